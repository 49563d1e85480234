"""The strip under the pad, compiled: the strip's own elements and block, each element with its own pressure outside."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ribwright.mechanics.compiled import compiled
from ribwright.mechanics.section.balance import face_distance
from ribwright.mechanics.section.element import THROUGH, T, element
from ribwright.mechanics.section.loads import block_on

Array = NDArray[np.float64]


@compiled
def strip_forces(
    case: Array, law: Array, points: Array, zeta: Array, weight: Array, arc: Array, outer: Array, q: Array, was_q: Array,
    was: Array, was_push: Array, now: Array, push: Array, force: Array, stiff: Array, node_force: Array, node_stiff: Array,
    out: Array, stress: Array,
) -> bool:  # fmt: skip
    """Forces of the elements (m, 6), stiffness (m, 6, 6), and of the block on the nodes (n, 3), (n, 3, 3), at positions `q`; the
    history, push (n,), moment and normal force `out` (m, 2) and layer stresses that go with them. `outer` (m,) [MPa]."""
    n, solved, through = len(arc), True, case[THROUGH]
    ends, by_push, by_half, push_by = np.zeros(6), np.zeros(6), np.zeros(3), np.zeros(4)
    for e in range(n - 1):
        for i in range(3):
            ends[i], ends[3 + i] = q[e, i], q[e + 1, i]
        fine = element(
            case, law, points, zeta, weight, ends, arc[e + 1] - arc[e], 0.5 * (arc[e] + arc[e + 1]),
            0.5 * (was_q[e, 0] + was_q[e + 1, 0]), through * 0.5 * (was_push[e] + was_push[e + 1]), through * outer[e],
            was[e], now[e], force[e], stiff[e], by_push, out[e], stress[e],
        )  # fmt: skip
        solved = solved and fine
    for i in range(n):
        area = 0.0
        if i > 0:
            area += 0.5 * (arc[i] - arc[i - 1])
        if i < n - 1:
            area += 0.5 * (arc[i + 1] - arc[i])
        push[i] = block_on(
            case,
            face_distance(case, arc, was_q, i, -1.0),
            law[0] / case[T],
            area,
            q[i],
            was_q[i],
            node_force[i],
            node_stiff[i],
            by_half,
            push_by,
        )
    return solved
