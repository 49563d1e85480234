"""Formed rings, holes and straight flanges as meshes, made by formula: rows across, columns along, the flange turned down.

Plain enough to be seen through: nodes lie on the true mid-surface, normals are exact, the first flat places are the handbook's.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ribwright.mechanics.inverse.model import FormedSheet

Array = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class Section:
    """A flange in section at stations s along the mid-surface, from the bend tangent line: reach and depth [mm], turned [rad];
    `bend` of them lie before the bend's end."""

    s: Array
    reach: Array
    depth: Array
    turned: Array
    bend: int
    mid_radius: float


def section(length: float, angle_deg: float, h: float, mid_radius: float = 3.5, least_rows: int = 3) -> Section:
    """Rows of about h [mm], at least three round the bend; mid_radius 0: a wall that starts at its held line, no bend."""
    a = np.radians(angle_deg)
    if mid_radius == 0.0:
        s = np.linspace(0.0, length, int(np.ceil(length / h)) + 1)
        return Section(s, s * np.cos(a), s * np.sin(a), np.full(len(s), a), 0, 0.0)
    arc = mid_radius * a
    bend = max(least_rows, int(np.ceil(arc / h)))
    beyond = np.linspace(0.0, length, max(int(np.ceil(length / h)), 1) + 1)[1:] if length > 0.0 else np.zeros(0)
    s = np.concatenate([np.linspace(0.0, arc, bend + 1), arc + beyond])
    turned = np.minimum(s / mid_radius, a)
    over = np.maximum(s - arc, 0.0)
    reach = mid_radius * np.sin(turned) + over * np.cos(a)
    depth = mid_radius * (1.0 - np.cos(turned)) + over * np.sin(a)
    return Section(s, reach, depth, turned, bend, mid_radius)


def grid(rows: int, columns: int, closed: bool, first: int = 0) -> Ints:
    """Triangles of a grid of nodes column by column, diagonals turning row by row; anti-clockwise with columns along +x, rows along +y."""
    out = []
    for i in range(columns if closed else columns - 1):
        left, right = i * rows, ((i + 1) % columns) * rows
        for j in range(rows - 1):
            a, b, c, d = left + j, right + j, right + j + 1, left + j + 1
            out += [(a, b, d), (b, c, d)] if j % 2 == 0 else [(a, b, c), (a, c, d)]
    return np.array(out, np.int64) + first


def ring(
    sign: float, radius: float, length: float, angle_deg: float, h: float, *, kf: float = 0.5, web: float = 0.0,
    mid_radius: float = 3.5, thickness: float = 1.0, least_rows: int = 3, staggered: bool = True,
) -> FormedSheet:  # fmt: skip
    """A whole ring: sign 1 convex (the flange outside its tangent line), -1 a hole; `web` [mm] of flat ring on the other side of the
    line. Neutral axis at kf of the thickness."""
    sec = section(length, angle_deg, h, mid_radius, least_rows)
    flat = int(np.ceil(web / h))
    before = -np.linspace(web, 0.0, flat + 1)[:-1]
    s = np.concatenate([before, sec.s])
    reach, depth = np.concatenate([before, sec.reach]), np.concatenate([0.0 * before, sec.depth])
    turned = np.concatenate([0.0 * before, sec.turned])
    stretch = 1.0 - (0.5 - kf) * thickness / mid_radius if mid_radius > 0.0 else 1.0
    width = s - (1.0 - stretch) * np.clip(s, 0.0, sec.s[sec.bend])
    rows, columns = len(s), 2 * int(np.ceil(np.pi * radius / h))
    i, j = np.divmod(np.arange(rows * columns), rows)
    at = 2.0 * np.pi * (i + 0.5 * (j % 2) * staggered) / columns
    out = np.stack([np.cos(at), np.sin(at)], axis=1)
    nodes = np.column_stack([out * (radius + sign * reach[j])[:, None], -depth[j]])
    normals = np.column_stack([out * (sign * np.sin(turned[j]))[:, None], np.cos(turned[j])])
    start = out * (radius + sign * width[j])[:, None]
    triangles = grid(rows, columns, closed=True)
    if sign > 0:
        triangles = triangles[:, [0, 2, 1]]
    row = (np.arange(len(triangles)) // 2) % (rows - 1)
    bend = (row >= flat) & (row < flat + sec.bend)
    middle = nodes[triangles].mean(axis=1)
    radial = middle[:, :2] / np.linalg.norm(middle[:, :2], axis=1)[:, None]
    mid_turn = (turned[row] + turned[row + 1]) / 2.0
    along = np.column_stack([sign * radial * np.cos(mid_turn)[:, None], -np.sin(mid_turn)])
    along[~bend] = 0.0
    dphi = np.radians(angle_deg) / max(sec.bend, 1)
    factor = stretch * (dphi / 2.0) / np.sin(dphi / 2.0)
    return FormedSheet(nodes, normals, triangles, along, np.where(bend, factor, 1.0), j <= flat, start)


def straight(
    length: float, angle_deg: float, run: float, h: float, *, kf: float = 0.5, web: float = 0.0,
    mid_radius: float = 3.5, thickness: float = 1.0,
) -> FormedSheet:  # fmt: skip
    """A straight flange of a run [mm] along x, the web on the side of -y."""
    sec = section(length, angle_deg, h, mid_radius)
    flat = int(np.ceil(web / h))
    before = -np.linspace(web, 0.0, flat + 1)[:-1]
    s, reach = np.concatenate([before, sec.s]), np.concatenate([before, sec.reach])
    depth, turned = np.concatenate([0.0 * before, sec.depth]), np.concatenate([0.0 * before, sec.turned])
    stretch = 1.0 - (0.5 - kf) * thickness / mid_radius if mid_radius > 0.0 else 1.0
    width = s - (1.0 - stretch) * np.clip(s, 0.0, sec.s[sec.bend])
    rows, columns = len(s), int(np.ceil(run / h)) + 1
    i, j = np.divmod(np.arange(rows * columns), rows)
    x = run * i / (columns - 1)
    nodes = np.column_stack([x, reach[j], -depth[j]])
    normals = np.column_stack([0.0 * x, np.sin(turned[j]), np.cos(turned[j])])
    triangles = grid(rows, columns, closed=False)
    row = (np.arange(len(triangles)) // 2) % (rows - 1)
    bend = (row >= flat) & (row < flat + sec.bend)
    mid_turn = (turned[row] + turned[row + 1]) / 2.0
    along = np.where(bend[:, None], np.column_stack([0.0 * mid_turn, np.cos(mid_turn), -np.sin(mid_turn)]), 0.0)
    dphi = np.radians(angle_deg) / max(sec.bend, 1)
    factor = stretch * (dphi / 2.0) / np.sin(dphi / 2.0)
    held = j <= flat
    return FormedSheet(
        nodes, normals, triangles, along, np.where(bend, factor, 1.0), held, np.column_stack([x, width[j]])
    )


def part_of_ring(whole: FormedSheet, rows: int, share: float) -> FormedSheet:
    """A share of a ring's columns: a curved flange with two free ends."""
    keep = np.arange(len(whole.nodes)) < rows * max(int(len(whole.nodes) // rows * share), 3)
    inside = keep[whole.triangles].all(axis=1)
    w = whole
    return FormedSheet(
        w.nodes[keep],
        w.normals[keep],
        w.triangles[inside],
        w.along[inside],
        w.allowance[inside],
        w.held[keep],
        w.start[keep],
    )


def edge_width(places: Array, radius: float, rows: int) -> Array:
    """Flat width of a ring's free edge at every column [mm]."""
    return np.abs(np.linalg.norm(places[rows - 1 :: rows], axis=1) - radius)
