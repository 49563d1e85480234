"""Forces out of balance at every unknown node and their slopes, compiled; one pass over the patches.

    f_i = t A sigma grad N_i  in the patch's plane, turned into the tangent plane of node i, added up; out of balance is -sum f_i
    t = t0 J^thin             thin 0: the sheet's own thickness everywhere; 1: volume kept, J the flat over the formed area

Web held by friction: + a_i tau u/sqrt(u^2 + delta^2) with u from the formed place to the flat one, a_i the node's area.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ribwright.mechanics.compiled import compiled
from ribwright.mechanics.inverse.element import respond

Array = NDArray[np.float64]
Ints = NDArray[np.int64]


@compiled
def assemble(
    x: Array,
    corners: Ints,
    gradients: Array,
    volume: Array,
    turn: Array,
    law: Array,
    points: Array,
    c: Array,
    regular: float,
    thin: Array,
    soften: float,
    number: Ints,
    slot: Ints,
    width: Ints,
    off: Array,
    data: Array,
    slopes: bool,
) -> float:
    """Least J of all patches; where it is over 0, off (n, 2) [N] and, if asked, data (the matrix's numbers, N/mm) are filled.

    x (N, 2) flat places, volume (P,) t0 A [mm^3]; the rest as `Patches`, `Pattern` and `element` name it.
    """
    off[:] = 0.0
    if slopes:
        data[:] = 0.0
    count, m = corners.shape
    work, mid, s = np.empty((3, 4)), np.empty(7), np.empty((3, 5))
    force, moved = np.empty(2), np.empty((3, 2))
    least = np.inf
    for e in range(count):
        g11, g12, g21, g22 = 0.0, 0.0, 0.0, 0.0
        for i in range(m):
            node = corners[e, i]
            g11 += x[node, 0] * gradients[e, i, 0]
            g12 += x[node, 0] * gradients[e, i, 1]
            g21 += x[node, 1] * gradients[e, i, 0]
            g22 += x[node, 1] * gradients[e, i, 1]
        j = respond(law, points, c, regular, soften, g11, g12, g21, g22, work, mid, s)
        least = min(least, j)
        if j <= 0.0:
            return least
        weight = volume[e] * j ** thin[e] if thin[e] != 0.0 else volume[e]
        for i in range(m):
            a = number[corners[e, i]]
            if a < 0:
                continue
            p, q = gradients[e, i, 0], gradients[e, i, 1]
            t11, t12, t21, t22 = turn[e, i, 0, 0], turn[e, i, 0, 1], turn[e, i, 1, 0], turn[e, i, 1, 1]
            force[0], force[1] = s[0, 0] * p + s[2, 0] * q, s[2, 0] * p + s[1, 0] * q
            off[a, 0] -= weight * (t11 * force[0] + t12 * force[1])
            off[a, 1] -= weight * (t21 * force[0] + t22 * force[1])
        if not slopes:
            continue
        for k in range(m):
            if number[corners[e, k]] < 0:
                continue
            p, q = gradients[e, k, 0], gradients[e, k, 1]
            for beta in range(2):
                swell = thin[e] / j * (g22 * p - g21 * q if beta == 0 else g11 * q - g12 * p)
                for d in range(3):
                    moved[d, beta] = s[d, 1 + 2 * beta] * p + s[d, 2 + 2 * beta] * q + swell * s[d, 0]
            step = width[number[corners[e, k]]]
            for i in range(m):
                at = slot[e, i, k]
                if at < 0:
                    continue
                p, q = gradients[e, i, 0], gradients[e, i, 1]
                t11, t12, t21, t22 = turn[e, i, 0, 0], turn[e, i, 0, 1], turn[e, i, 1, 0], turn[e, i, 1, 1]
                for beta in range(2):
                    f1 = moved[0, beta] * p + moved[2, beta] * q
                    f2 = moved[2, beta] * p + moved[1, beta] * q
                    data[at + beta * step] -= weight * (t11 * f1 + t12 * f2)
                    data[at + beta * step + 1] -= weight * (t21 * f1 + t22 * f2)
    return least


@compiled
def drag(
    x: Array,
    home: Array,
    pull: Array,
    easing: float,
    number: Ints,
    own: Ints,
    width: Ints,
    off: Array,
    data: Array,
    slopes: bool,
) -> None:
    """Adds friction: pull (N,) a_i tau [N], easing delta [mm], home (N, 2) where the node lies in the formed part."""
    for node in range(len(x)):
        a = number[node]
        if a < 0 or pull[node] == 0.0:
            continue
        u, v = x[node, 0] - home[node, 0], x[node, 1] - home[node, 1]
        r2 = u * u + v * v + easing * easing
        r = np.sqrt(r2)
        off[a, 0] += pull[node] * u / r
        off[a, 1] += pull[node] * v / r
        if slopes:
            at, step, stiff = own[a], width[a], pull[node] / r
            data[at] += stiff * (1.0 - u * u / r2)
            data[at + 1] -= stiff * u * v / r2
            data[at + step] -= stiff * u * v / r2
            data[at + step + 1] += stiff * (1.0 - v * v / r2)
