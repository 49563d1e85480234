"""Rubber against its tools and the sheet, compiled: see `contact` for what it says."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ribwright.mechanics.compiled import compiled
from ribwright.mechanics.pad_model.line_kernel import MARGIN, beside, hermite, on_cubic, profile_gap

Array = NDArray[np.float64]
Ints = NDArray[np.int64]


@compiled
def _pressure(k: float, core: float, gap: float) -> tuple[float, float, float]:
    """(energy, pressure, its rise with depth) of a soft wall for a gap < 0; with a core > 0 none goes as deep as that."""
    left = 1.0 + gap / core if core > 0.0 else 1.0
    if left <= 1e-6:
        return np.inf, np.inf, np.inf
    part = gap / core if core > 0.0 else 0.0
    return 0.5 * k * gap * gap / left, -k * gap * (1.0 + 0.5 * part) / left**2, k / left**3


@compiled
def _stored(k: float, core: float, pressure: float) -> float:
    """Energy of a soft wall that pushes with a pressure."""
    if core <= 0.0:
        return 0.5 * pressure * pressure / k
    free = 1.0 / np.sqrt(1.0 + 2.0 * pressure / (k * core))
    return 0.5 * k * (core * (1.0 - free)) ** 2 / free


@compiled
def _add(
    ends: Array, share: float, at: tuple[float, float, float], held: float, stored: float, slope: Array, curve: Array,
    force: Array, stiff: Array,
) -> None:  # fmt: skip
    """Adds one point's force (d,) and stiffness (d, d): `ends` (4,) its edge, `at` energy, pressure and rise, slope (d,) and curve
    (d, d) of its gap, `held` the pressure, `stored` the energy that the stiffness believes in."""
    dx, dy = ends[2] - ends[0], ends[3] - ends[1]
    l = np.hypot(dx, dy)
    t = (-dx / l, -dy / l, dx / l, dy / l)
    n = (dy / l, -dx / l, -dy / l, dx / l)  # d2 l = n n/l
    d = len(slope)
    for i in range(d):
        ti = t[i] if i < 4 else 0.0
        force[i] += share * (ti * at[0] - slope[i] * l * at[1])
        for j in range(d):
            tj = t[j] if j < 4 else 0.0
            k = l * (at[2] * slope[i] * slope[j] - held * curve[i, j]) - held * (ti * slope[j] + slope[i] * tj)
            if i < 4 and j < 4:
                k += stored * n[i] * n[j] / l
            stiff[i, j] += share * k


@compiled
def sheet_distance(
    line: Array, length: Array, i: int, s: float, x: float, y: float, place: float, slope: Array, curve: Array
) -> float:
    """Distance of a point at `place` along its edge from the sheet, its slope (10,) and curve (10, 10) in the edge's ends and x, y,
    theta of nodes i and i + 1."""
    fx, fy = on_cubic(line, length, i, s, 0)
    rx, ry = x - fx, y - fy
    far = max(np.hypot(rx, ry), 1e-9)
    h0, h1, l = hermite(s, 0), hermite(s, 1), length[i]
    cs, ss = (np.cos(line[i, 2]), np.cos(line[i + 1, 2])), (np.sin(line[i, 2]), np.sin(line[i + 1, 2]))
    # r = point - foot by the ten values, and its change with s
    bx, by, mx, my = np.zeros(10), np.zeros(10), np.zeros(10), np.zeros(10)
    bx[0] = by[1] = 1.0 - place
    bx[2] = by[3] = place
    for e in range(2):
        o = 4 + 3 * e
        bx[o] = by[o + 1] = -h0[2 * e]
        mx[o] = my[o + 1] = -h1[2 * e]
        bx[o + 2], by[o + 2] = h0[2 * e + 1] * l * ss[e], -h0[2 * e + 1] * l * cs[e]
        mx[o + 2], my[o + 2] = h1[2 * e + 1] * l * ss[e], -h1[2 * e + 1] * l * cs[e]
    c1x, c1y = on_cubic(line, length, i, s, 1)
    c2x, c2y = on_cubic(line, length, i, s, 2)
    bend = c1x * c1x + c1y * c1y - rx * c2x - ry * c2y
    free = 0.0 < s < 1.0 and bend > 1e-12
    for a in range(10):
        slope[a] = (rx * bx[a] + ry * by[a]) / far
    for a in range(10):
        ma = rx * mx[a] + ry * my[a] - c1x * bx[a] - c1y * by[a]
        for b in range(10):
            k = bx[a] * bx[b] + by[a] * by[b] - slope[a] * slope[b]
            if free:
                k -= ma * (rx * mx[b] + ry * my[b] - c1x * bx[b] - c1y * by[b]) / bend
            curve[a, b] = k
    for e in range(2):
        o = 6 + 3 * e
        curve[o, o] += h0[2 * e + 1] * l * (rx * cs[e] + ry * ss[e])
    for a in range(10):
        for b in range(10):
            curve[a, b] /= far
    return far


@compiled
def surface_energy(
    at: Array, edges: Ints, places: Array, shares: Array, k: float, lines: Array, arcs: Array, line: Array, length: Array,
    thick: float, far: Array, side: Ints,
) -> float:  # fmt: skip
    """Energy of all contact; fills `far` and `side` (q e,) of the surface points beside the sheet."""
    total, q = 0.0, len(places)
    for e in range(len(edges)):
        a, b = edges[e, 0], edges[e, 1]
        l = np.hypot(at[b, 0] - at[a, 0], at[b, 1] - at[a, 1])
        for p in range(q):
            x = at[a, 0] + places[p] * (at[b, 0] - at[a, 0])
            y = at[a, 1] + places[p] * (at[b, 1] - at[a, 1])
            gap = profile_gap(lines, arcs, x, y)[0]
            if gap < 0.0:
                total += shares[p] * l * _pressure(k, 0.0, gap)[0]
            d, _, _, on = beside(line, length, x, y, thick + MARGIN)
            far[e * q + p], side[e * q + p] = d, on
            if d < thick:
                total += shares[p] * l * _pressure(k, thick, d - thick)[0]
    return total


@compiled
def surface_touch(
    at: Array, edges: Ints, places: Array, shares: Array, k: float, lines: Array, arcs: Array, line: Array, length: Array,
    thick: float, held_tools: Array, held_sheet: Array, p_tools: Array, p_sheet: Array, rise: Array, slope4: Array,
    slope10: Array, segment: Ints, along: Array, span: Array, force4: Array, stiff4: Array, force10: Array, stiff10: Array,
) -> float:  # fmt: skip
    """Energy of all contact, and everything of every surface point; held_... NaN: the stiffness takes the pressures as they are.

    Of points (n,): p_tools, p_sheet [MPa], rise (n, 2) of either with depth, slope4 (n, 4), slope10 (n, 10) of the gaps, segment of
    the sheet or -1, `along` place on it, `span` the length it stands for [mm]; of edges force4 (e, 4), stiff4 (e, 4, 4) by the tools;
    of points force10 (n, 10), stiff10 (n, 10, 10) by the sheet.
    """
    total, q = 0.0, len(places)
    ends, c4, c10 = np.empty(4), np.empty((4, 4)), np.empty((10, 10))
    for e in range(len(edges)):
        a, b = edges[e, 0], edges[e, 1]
        ends[0], ends[1], ends[2], ends[3] = at[a, 0], at[a, 1], at[b, 0], at[b, 1]
        l = np.hypot(ends[2] - ends[0], ends[3] - ends[1])
        for p in range(q):
            i, t = e * q + p, places[p]
            x, y = ends[0] + t * (ends[2] - ends[0]), ends[1] + t * (ends[3] - ends[1])
            span[i] = shares[p] * l
            gap, nx, ny, bend = profile_gap(lines, arcs, x, y)
            segment[i] = -1
            if gap < 0.0:
                law = _pressure(k, 0.0, gap)
                total += span[i] * law[0]
                n4 = (nx * (1.0 - t), ny * (1.0 - t), nx * t, ny * t)
                t4 = (-ny * (1.0 - t), nx * (1.0 - t), -ny * t, nx * t)
                for m in range(4):
                    slope4[i, m] = n4[m]
                    for n in range(4):
                        c4[m, n] = bend * t4[m] * t4[n]
                p_tools[i], rise[i, 0] = law[1], law[2]
                h = law[1] if np.isnan(held_tools[i]) else held_tools[i]
                _add(ends, shares[p], law, h, _stored(k, 0.0, h), slope4[i], c4, force4[e], stiff4[e])
            d, seg, s, _ = beside(line, length, x, y, thick + MARGIN)
            if d < thick:
                law = _pressure(k, thick, d - thick)
                total += span[i] * law[0]
                sheet_distance(line, length, seg, s, x, y, t, slope10[i], c10)
                segment[i], along[i], p_sheet[i], rise[i, 1] = seg, s, law[1], law[2]
                h = law[1] if np.isnan(held_sheet[i]) else held_sheet[i]
                _add(ends, shares[p], law, h, _stored(k, thick, h), slope10[i], c10, force10[i], stiff10[i])
    return total
