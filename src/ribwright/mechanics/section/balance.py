"""What a strip leaves out of balance at given positions, and the slopes of it, compiled.

Virtual work of one field of moves: layers and faces go where the kept volume puts them, and everything is taken where the sheet is now,
not where it was. Taken a step late, faces and push made the released angle depend on the steps by 0.1 to 0.4 deg (docs/SECTION.md).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ribwright.mechanics.compiled import compiled
from ribwright.mechanics.section.band import WIDE
from ribwright.mechanics.section.element import EDGE, THROUGH, T, element
from ribwright.mechanics.section.faces import face, face_at, node_area
from ribwright.mechanics.section.loads import block_on, edge_on, felt, pressure_on

Array = NDArray[np.float64]
# of E/t, the block's penalty. Ten times this, a block as hard as the continuum's, lowers the springback by 0.1 to 0.2 deg, in hard sheet
# at 35 MPa by 0.5, and asks for a third more steps; it stands for the give of the sheet's inner face too (docs/SECTION.md)
STIFF = 0.3


@compiled
def out_of_balance(
    case: Array, law: Array, points: Array, zeta: Array, weight: Array, arc: Array, block: float, pressure: float,
    q: Array, was_q: Array, was: Array, now: Array, push: Array, force: Array, rows: Array, out: Array, stress: Array,
) -> bool:  # fmt: skip
    """Forces (N, 3) left over at positions `q`, their slopes in `rows`, the history and push that go with them."""
    n = len(arc)
    force[:] = 0.0
    rows[:] = 0.0
    f, k, ends, by_push = np.zeros(6), np.zeros((6, 6)), np.zeros(6), np.zeros(6)
    fn, kn, by_half, push_by, half_force = np.zeros(3), np.zeros((3, 3)), np.zeros(3), np.zeros(4), np.zeros(5)
    by, twice, pushes = np.zeros(4), np.zeros((4, 4)), np.zeros((n, 9))
    solved, through = True, case[THROUGH]
    stiff = block * STIFF * law[0] / case[T]
    for i in range(n):
        push[i] = 0.0
        if stiff > 0.0:
            near = felt(case, face_at(case, arc, q, i, -1.0), q[i])
            half = -face(case, arc, q, i, -1.0, by, twice, near)
            fn[:] = 0.0
            kn[:] = 0.0
            push[i] = block_on(
                case, half, stiff, node_area(case, arc, i), q[i], was_q[i], fn, kn, by_half, push_by, half_force
            )  # fmt: skip
            _push_in(n, i, by, twice, near, through, fn, kn, by_half, half_force, push_by, force, rows, pushes[i])
    last = n - 1
    at = face(case, arc, q, last, -1.0 if case[EDGE] > 0.0 else 1.0, by, twice)
    fn[:] = 0.0
    kn[:] = 0.0
    edge_on(case, q[last], at, pressure, fn, kn, by_half)
    for a in range(3):
        row = 3 * last + a
        force[last, a] += fn[a]
        for b in range(3):
            rows[row, WIDE + b - a] += kn[a, b] + by_half[a] * by[b]
            rows[row, WIDE + b - a - 3] -= by_half[a] * by[b]
        rows[row, WIDE - a] += by_half[a] * by[3]
    for e in range(n - 1):
        for i in range(3):
            ends[i], ends[3 + i] = q[e, i], q[e + 1, i]
        fine = element(
            case, law, points, zeta, weight, ends, arc[e + 1] - arc[e], 0.5 * (arc[e] + arc[e + 1]),
            0.5 * through * (push[e] + push[e + 1]), through * pressure, was[e], now[e], f, k, by_push, out[e], stress[e],
        )  # fmt: skip
        solved = solved and fine
        pressure_on(case, ends, pressure, f, k)
        for i in range(6):
            force[e + i // 3, i % 3] += f[i]
            for j in range(6):
                rows[3 * e + i, WIDE + j - i] += k[i, j]
            if through > 0.0:
                works = 0.5 * through * by_push[i]
                for j in range(0 if e > 0 else 3, 9):
                    rows[3 * e + i, WIDE + j - i - 3] += works * pushes[e, j]
                for j in range(9 if e < n - 2 else 6):
                    rows[3 * e + i, WIDE + j - i] += works * pushes[e + 1, j]
    return solved


@compiled
def _push_in(
    n: int, i: int, by: Array, twice: Array, near: bool, through: float, fn: Array, kn: Array, by_half: Array,
    half_force: Array, push_by: Array, force: Array, rows: Array, pushes: Array,
) -> None:  # fmt: skip
    """Adds what the block pushes node i with to the strip's `force` and `rows`: on the node, and on it and the ones beside it as the
    face moves against the mid-surface. `by`, `twice`: of the inner face's z, which is minus its distance; second slopes only `near`.
    Writes `pushes` (9,): the push's slopes with the three nodes."""
    lo, hi = max(i - 1, 0), min(i + 1, n - 1)
    # a place for each of the face's four variables: three that are of the next node and minus of the one before, the node's own x
    before, after = 3 * lo, 3 * hi
    place = (before, before + 1, before + 2, after, after + 1, after + 2, 3 * i)
    sign, of = (1.0, 1.0, 1.0, -1.0, -1.0, -1.0, -1.0), (0, 1, 2, 0, 1, 2, 3)
    for b in range(3):
        pushes[3 + b] += push_by[b]
        force[i, b] += fn[b]
        for a in range(3):
            rows[3 * i + a, WIDE + b - a] += kn[a, b]
    for m in range(7):
        at, g = place[m], sign[m] * by[of[m]]
        pushes[at - 3 * (i - 1)] += push_by[3] * g
        for a in range(3):
            rows[3 * i + a, WIDE + at - 3 * i - a] += by_half[a] * g
        if through > 0.0:
            force[at // 3, at % 3] += half_force[0] * g
            for a in range(3):
                rows[at, WIDE + 3 * i + a - at] += half_force[1 + a] * g
            for o in range(7 if near else 0):
                both = half_force[4] * g * by[of[o]] - half_force[0] * sign[m] * twice[of[m], of[o]]
                rows[at, WIDE + place[o] - at] += sign[o] * both
