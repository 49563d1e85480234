"""Cubic B-splines through points, as poles over simple knots: the form in which solids and drawings exchange curves.

Knots u_0 < ... < u_n, the ends four times; n + 3 poles. Basis by the recurrence of de Boor and Cox
(de Boor, A Practical Guide to Splines, ch. IX and X); ends clamped to given first derivatives.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
DEGREE = 3


def basis(knots: Array, at: Array) -> Array:
    """Values of the n + 3 cubic basis functions at `at` (m,), (m, n + 3). `at` lies within the knots (n + 1,)."""
    t = np.concatenate([[knots[0]] * DEGREE, knots, [knots[-1]] * DEGREE])
    span = np.clip(np.searchsorted(knots, at, side="right") - 1, 0, len(knots) - 2) + DEGREE
    # only the four functions that live on a span are carried
    local = np.zeros((len(at), DEGREE + 1))
    local[:, 0] = 1.0
    for k in range(1, DEGREE + 1):
        saved = np.zeros(len(at))
        for r in range(k):
            right, left = t[span + r + 1] - at, at - t[span + 1 - k + r]
            share = local[:, r] / (right + left)
            local[:, r] = saved + right * share
            saved = left * share
        local[:, k] = saved
    out = np.zeros((len(at), len(knots) + 2))
    columns = span[:, None] - DEGREE + np.arange(DEGREE + 1)
    np.put_along_axis(out, columns, local, axis=1)
    return out


def poles_through(knots: Array, points: Array, start: Array, end: Array) -> Array:
    """Poles (m, n + 3, 2) of m curves that pass `points` (m, n + 1, 2) at the knots (n + 1,) with first derivatives
    `start`, `end` (m, 2) there."""
    n = len(knots)
    matrix = np.zeros((n + 2, n + 2))
    matrix[1:-1] = basis(knots, knots)
    h0, h1 = knots[1] - knots[0], knots[-1] - knots[-2]
    # a clamped cubic leaves its end along its first leg: C'(u_0) = 3 (P_1 - P_0)/h
    matrix[0, :2] = -DEGREE / h0, DEGREE / h0
    matrix[-1, -2:] = -DEGREE / h1, DEGREE / h1
    rhs = np.concatenate([start[:, None], points, end[:, None]], axis=1)
    flat = rhs.transpose(1, 0, 2).reshape(n + 2, -1)
    return np.linalg.solve(matrix, flat).reshape(n + 2, len(points), 2).transpose(1, 0, 2)
