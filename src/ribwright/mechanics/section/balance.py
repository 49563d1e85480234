"""What a strip leaves out of balance at given positions, and the slopes of it, compiled.

Everything is taken where the sheet is now, not where it was: faces of a sheet whose volume is kept, push of the block, stress
through the sheet. Taken a step late, they made the released angle depend on the steps by up to 0.2 deg (docs/SECTION.md).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ribwright.mechanics.compiled import compiled
from ribwright.mechanics.section.band import WIDE
from ribwright.mechanics.section.element import AXIS, RING, SIGN, THROUGH, T, element
from ribwright.mechanics.section.loads import block_on, edge_on, pressure_on

Array = NDArray[np.float64]
# of E/t, the block's penalty. A rigid block (ten times this and more) lowers the springback by 0.05 to 0.2 deg, but in sharp bends its
# push crowds on single nodes and the answer hangs on the mesh (docs/SECTION.md)
STIFF = 0.3


@compiled
def out_of_balance(
    case: Array, law: Array, points: Array, zeta: Array, weight: Array, arc: Array, block: float, pressure: float,
    q: Array, was_q: Array, was: Array, now: Array, push: Array, force: Array, rows: Array, out: Array, stress: Array,
) -> bool:  # fmt: skip
    """Forces (N, 3) left over at positions `q`, their slopes in `rows`, the history and push that go with them. The slope of the
    pressure with the faces' distance, small, is left out of `rows`."""
    n = len(arc)
    force[:] = 0.0
    rows[:] = 0.0
    f, k, ends, by_push = np.zeros(6), np.zeros((6, 6)), np.zeros(6), np.zeros(6)
    fn, kn, by_half, push_by = np.zeros(3), np.zeros((3, 3)), np.zeros(3), np.zeros(4)
    half_by, pushes = np.zeros(4), np.zeros((n, 9))
    solved = True
    stiff = block * STIFF * law[0] / case[T]
    for i in range(n):
        fn[:] = 0.0
        kn[:] = 0.0
        lo, hi = max(i - 1, 0), min(i + 1, n - 1)
        half = face(case, arc, q, i, -1.0, half_by)
        push[i] = block_on(case, half, stiff, node_area(case, arc, i), q[i], was_q[i], fn, kn, by_half, push_by)
        for b in range(3):
            pushes[i, 3 + b] += push_by[b]
            pushes[i, 3 * (lo - i + 1) + b] -= push_by[3] * half_by[b]
            pushes[i, 3 * (hi - i + 1) + b] += push_by[3] * half_by[b]
        pushes[i, 3] += push_by[3] * half_by[3]
        if i == n - 1:
            edge_on(case, q[i], pressure, fn, kn)
        for a in range(3):
            force[i, a] += fn[a]
            for b in range(3):
                rows[3 * i + a, WIDE + b - a] += kn[a, b]
                rows[3 * i + a, WIDE + 3 * (lo - i) + b - a] -= by_half[a] * half_by[b]
                rows[3 * i + a, WIDE + 3 * (hi - i) + b - a] += by_half[a] * half_by[b]
            rows[3 * i + a, WIDE - a] += by_half[a] * half_by[3]
    through = 0.5 * case[THROUGH]
    outer = face(case, arc, q, 0, 1.0, half_by)
    for e in range(n - 1):
        for i in range(3):
            ends[i], ends[3 + i] = q[e, i], q[e + 1, i]
        fine = element(
            case, law, points, zeta, weight, ends, arc[e + 1] - arc[e], 0.5 * (arc[e] + arc[e + 1]),
            0.5 * (was_q[e, 0] + was_q[e + 1, 0]), through * (push[e] + push[e + 1]), case[THROUGH] * pressure,
            was[e], now[e], f, k, by_push, out[e], stress[e],
        )  # fmt: skip
        solved = solved and fine
        next_outer = face(case, arc, q, e + 1, 1.0, half_by)
        pressure_on(case, ends, outer, next_outer, pressure, f, k)
        outer = next_outer
        for i in range(6):
            force[e + i // 3, i % 3] += f[i]
            for j in range(6):
                rows[3 * e + i, WIDE + j - i] += k[i, j]
            if through > 0.0:
                for j in range(9):
                    if e > 0 or j >= 3:
                        rows[3 * e + i, WIDE + j - i - 3] += through * by_push[i] * pushes[e, j]
                    if e < n - 2 or j < 6:
                        rows[3 * e + i, WIDE + j - i] += through * by_push[i] * pushes[e + 1, j]
    return solved


@compiled
def face(case: Array, arc: Array, q: Array, i: int, side: float, by: Array) -> float:
    """Distance of a face (`side` +1 outer, -1 inner) from the mid-surface at a node [mm]: bending with the volume kept makes
    the inner half thicker and the outer one thinner, hoop stretch thins both. z - k z^2/2 = half the thickness over l.

    Writes `by` (4,): its slopes with x, y and theta of the next node (minus those with the node before), with the node's own x.
    """
    lo, hi = max(i - 1, 0), min(i + 1, len(arc) - 1)
    dx, dy = q[hi, 0] - q[lo, 0], q[hi, 1] - q[lo, 1]
    long = arc[hi] - arc[lo]
    far = np.sqrt(dx * dx + dy * dy)
    l, k = far / long, (q[hi, 2] - q[lo, 2]) / long
    z, thin = side * 0.5 * case[T], 0.0
    if case[RING] > 0.0:
        now_r = case[AXIS] + case[SIGN] * q[i, 0]
        z *= (case[AXIS] + case[SIGN] * arc[i]) / now_r
        thin = -case[SIGN] / now_r
    lam = np.sqrt(max(l * l - 2.0 * k * z, 0.04))
    both = l + lam
    at = side * 2.0 * z / both
    by_l = -at / both * (1.0 + l / lam)
    by[0], by[1], by[2] = by_l * dx / far / long, by_l * dy / far / long, at / both * z / lam / long
    by[3] = at * (1.0 + k * z / (both * lam)) * thin
    return at


@compiled
def face_distance(case: Array, arc: Array, q: Array, i: int, side: float) -> float:
    """`face` without its slopes."""
    return face(case, arc, q, i, side, np.zeros(4))


@compiled
def node_area(case: Array, arc: Array, i: int) -> float:
    """Flat area of a node [mm2 per mm of width, or per radian]."""
    long = 0.0
    if i > 0:
        long += 0.5 * (arc[i] - arc[i - 1])
    if i < len(arc) - 1:
        long += 0.5 * (arc[i + 1] - arc[i])
    return long * (case[AXIS] + case[SIGN] * arc[i]) if case[RING] > 0.0 else long
