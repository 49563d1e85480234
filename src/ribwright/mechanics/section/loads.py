"""What pushes on the strip, compiled: the pressure on its outer face, the block on its inner face.

The block in section is exact: web face y = 0 for x <= 0, edge an arc of radius R about (0, -R), wall the straight line that leaves
the arc at the wall angle w from the web. The pressure follows the outer face, half a thickness out, and has that face's area.
It stands on the cut edge too, as rubber and fluid do. The block pushes at the nodes by a penalty that sets in over a hair of
the thickness.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ribwright.mechanics.compiled import compiled
from ribwright.mechanics.section.element import AXIS, EDGE, FRICTION, RADIUS, RING, SIGN, WALL, T

Array = NDArray[np.float64]
HAIR = 1e-4  # of the thickness
SLIDE = 1e-4  # of the thickness: sliding by more than this is resisted by the whole friction


@compiled
def gap(x: float, y: float, radius: float, wall: float) -> tuple[float, float, float, float]:
    """(g, mx, my, bend): distance to the block [mm], negative inside, its unit normal, curvature of the level line [1/mm]."""
    v = y + radius
    s, c = np.sin(wall), np.cos(wall)
    if x > 0.0 and x * c < v * s:
        far = np.hypot(x, v)
        return far - radius, x / far, v / far, 1.0 / far
    beside = x * s + v * c - radius
    if beside > y:
        return beside, s, c, 0.0
    return y, 0.0, 1.0, 0.0


@compiled
def pressure_on(case: Array, ends: Array, half1: float, half2: float, p: float, force: Array, slope: Array) -> None:
    """Adds minus the pressure's forces on an element's two nodes to `force` (6,), and their slopes to `slope` (6, 6)."""
    ring, sign = case[RING] > 0.0, case[SIGN]
    c1, s1, c2, s2 = np.cos(ends[2]), np.sin(ends[2]), np.cos(ends[5]), np.sin(ends[5])
    x1, y1, x2, y2 = ends[0] - half1 * s1, ends[1] + half1 * c1, ends[3] - half2 * s2, ends[4] + half2 * c2
    dx, dy, r = x2 - x1, y2 - y1, 1.0
    if ring:
        r = case[AXIS] + sign * 0.5 * (x1 + x2)
    h = 0.5 * p
    fx, fy = -h * dy * r, h * dx * r
    # slopes by the outer points (x1, y1, x2, y2): (ax, hr, ax, -hr) of fx, (ay - hr, 0, ay + hr, 0) of fy; then by the nodes
    hr, ax, ay = h * r, 0.0, 0.0
    if ring:
        ax, ay = -0.5 * h * dy * sign, 0.5 * h * dx * sign
    by_x = (ax, hr, -half1 * (c1 * ax + s1 * hr), ax, -hr, -half2 * (c2 * ax - s2 * hr))
    by_y = (ay - hr, 0.0, -half1 * c1 * (ay - hr), ay + hr, 0.0, -half2 * c2 * (ay + hr))
    for o, c, s, half in ((0, c1, s1, half1), (3, c2, s2, half2)):
        force[o] += fx
        force[o + 1] += fy
        force[o + 2] -= half * (c * fx + s * fy)
        for j in range(6):
            slope[o, j] += by_x[j]
            slope[o + 1, j] += by_y[j]
            slope[o + 2, j] -= half * (c * by_x[j] + s * by_y[j])
        slope[o + 2, o + 2] += half * (s * fx - c * fy)


@compiled
def edge_on(case: Array, node: Array, p: float, force: Array, slope: Array) -> None:
    """Adds minus the pressure's force on the cut edge, p t along the sheet, to `force` (3,) of the last node and its slopes."""
    if case[EDGE] == 0.0:
        return
    c, s, r = np.cos(node[2]), np.sin(node[2]), 1.0
    if case[RING] > 0.0:
        r = case[AXIS] + case[SIGN] * node[0]
        slope[0, 0] += p * case[T] * case[SIGN] * c
        slope[1, 0] += p * case[T] * case[SIGN] * s
    w = p * case[T] * r
    force[0] += w * c
    force[1] += w * s
    slope[0, 2] -= w * s
    slope[1, 2] += w * c


@compiled
def block_on(
    case: Array, half: float, stiff: float, area: float, node: Array, was: Array, force: Array, slope: Array,
    by_half: Array, push_by: Array,
) -> float:  # fmt: skip
    """Adds minus the block's push on a node of `area` [mm2 per mm or radian] to `force` (3,), `slope` (3, 3); the push [MPa].

    `stiff` [MPa/mm], 0: no block; `was` (3,): the node at the last commit, from which friction counts sliding. Writes `by_half`
    (3,), the force's slope with the distance `half` of the face, and `push_by` (4,), the push's with x, y, theta and `half`.
    """
    by_half[:] = 0.0
    push_by[:] = 0.0
    if stiff == 0.0:
        return 0.0
    mu = case[FRICTION]
    c, s = np.cos(node[2]), np.sin(node[2])
    x, y = node[0] + half * s, node[1] - half * c
    g, mx, my, bend = gap(x, y, case[RADIUS], case[WALL])
    root = np.hypot(g, HAIR * case[T])
    push = stiff * 0.5 * (root - g)
    hit = stiff * 0.5 * (1.0 - g / root)  # -d push/d g
    f = -push * area
    normal = (mx, my, half * (mx * c + my * s))
    along = (my, -mx, half * (my * c - mx * s))
    drag, stick, rub = 0.0, 0.0, 0.0
    if mu > 0.0:
        x0, y0 = was[0] + half * np.sin(was[2]), was[1] - half * np.cos(was[2])
        slid, hair = along[0] * (x - x0) + along[1] * (y - y0), SLIDE * case[T]
        size = np.hypot(slid, hair)
        drag, stick, rub = -mu * f * slid / size, -mu * f * hair**2 / size**3, -mu * hit * area * slid / size
    for i in range(3):
        force[i] += f * normal[i] + drag * along[i]
        push_by[i] = -hit * normal[i]
        for j in range(3):
            slope[i, j] += hit * area * normal[i] * normal[j] + (f * bend + stick) * along[i] * along[j]
            slope[i, j] += rub * along[i] * normal[j]
    slope[2, 2] += f * half * (my * c - mx * s)
    # the face moves by (s, -c) a unit of `half`
    out, by = mx * s - my * c, my * s + mx * c
    push_by[3] = -hit * out
    for i in range(3):
        by_half[i] = hit * area * out * normal[i] + f * bend * by * along[i] + rub * out * along[i]
    by_half[2] += f * (mx * c + my * s)
    return push
