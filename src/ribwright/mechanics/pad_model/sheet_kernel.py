"""The strip under the pad, compiled: the strip's own elements and block, each element with its own pressure outside."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ribwright.mechanics.compiled import compiled
from ribwright.mechanics.section.balance import STIFF
from ribwright.mechanics.section.element import RADIUS, THROUGH, WALL, T, element
from ribwright.mechanics.section.faces import face_distance, node_area, squeezed
from ribwright.mechanics.section.loads import HAIR, block_on, gap

Array = NDArray[np.float64]


@compiled
def strip_forces(
    case: Array, law: Array, points: Array, zeta: Array, weight: Array, arc: Array, outer: Array, q: Array, face_q: Array,
    was: Array, was_push: Array, now: Array, push: Array, force: Array, stiff: Array, node_force: Array, node_stiff: Array,
    out: Array, stress: Array,
) -> bool:  # fmt: skip
    """Forces of the elements (m, 6), stiffness (m, 6, 6), and of the block on the nodes (n, 3), (n, 3, 3), at positions `q`; the
    history, push (n,), moment and normal force `out` (m, 2) and layer stresses that go with them.

    The block meets faces as they are at `face_q`; `was_push` (n,), `outer` (m,) [MPa] push on either face for the stress through the sheet.
    """
    n, solved, through = len(arc), True, case[THROUGH]
    ends, by_push, by_half, push_by, half_force = np.zeros(6), np.zeros(6), np.zeros(3), np.zeros(4), np.zeros(5)
    for e in range(n - 1):
        for i in range(3):
            ends[i], ends[3 + i] = q[e, i], q[e + 1, i]
        long, flat_x, inside, outside = (
            arc[e + 1] - arc[e],
            0.5 * (arc[e] + arc[e + 1]),
            0.5 * (was_push[e] + was_push[e + 1]),
            outer[e],
        )
        fine = element(
            case, law, points, zeta, weight, ends, long, flat_x, through * inside, through * outside,
            was[e], now[e], force[e], stiff[e], by_push, out[e], stress[e],
        )  # fmt: skip
        squeezed(case, ends, long, flat_x, through * inside, through * outside, force[e], stiff[e])
        solved = solved and fine
    for i in range(n):
        half = face_distance(case, arc, face_q, i, -1.0)
        push[i] = block_on(
            case, half, STIFF * law[0] / case[T], node_area(case, arc, i), q[i], face_q[i], node_force[i], node_stiff[i],
            by_half, push_by, half_force,
        )  # fmt: skip
    return solved


@compiled
def block_climb(case: Array, e: float, arc: Array, face_q: Array, q: Array, to: Array) -> float:
    """Work against the block's push from q to `to`, exactly [N]: what `block_on` pushes is k (sqrt(g^2 + h^2) - g)/2 at a gap g, and
    that has an energy. Its bend over a hair h is too sharp for a quadrature."""
    total, hair, stiff = 0.0, HAIR * case[T], STIFF * e / case[T]
    for i in range(len(arc)):
        half = face_distance(case, arc, face_q, i, -1.0)
        for place, sign in ((to[i], -1.0), (q[i], 1.0)):
            x, y = place[0] + half * np.sin(place[2]), place[1] - half * np.cos(place[2])
            g = gap(x, y, case[RADIUS], case[WALL])[0]
            root = np.hypot(g, hair)
            # g root - g^2 without loss of figures for a large gap
            near = g * hair * hair / (root + g) if g > 0.0 else g * (root - g)
            total += sign * 0.25 * stiff * node_area(case, arc, i) * (near + hair * hair * np.arcsinh(g / hair))
    return total
