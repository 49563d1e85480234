"""One linear step by minimal residuals (GMRES), with the factors of a nearby matrix doing most of the work.

Saad & Schultz, SIAM J. Sci. Stat. Comput. 7 (1986) 856; the factors stand on the right, so the residual that is judged is the
true one.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ribwright.mechanics.compiled import compiled

Array = NDArray[np.float64]


@compiled
def times(data: Array, rows: NDArray[np.int32], starts: NDArray[np.int32], v: Array) -> Array:
    """The product of a matrix kept by columns and v."""
    out = np.zeros(len(v))
    for j in range(len(v)):
        for k in range(starts[j], starts[j + 1]):
            out[rows[k]] += data[k] * v[j]
    return out


@compiled
def _against(basis: Array, count: int, w: Array, column: Array) -> float:
    """Takes from w what lies along the first `count` rows of the basis, writes it into column; the length of what is left. By plain
    loops: a library's threads would cost more than they bring at this length."""
    for i in range(count):
        along = 0.0
        for d in range(len(w)):
            along += basis[i, d] * w[d]
        column[i] = along
        for d in range(len(w)):
            w[d] -= along * basis[i, d]
    left = 0.0
    for d in range(len(w)):
        left += w[d] * w[d]
    return float(np.sqrt(left))


def solve(
    product: Callable[[Array], Array], nearby: Callable[[Array], Array], b: Array, share: float, most: int
) -> tuple[Array, int, float]:
    """(x, steps, what share of |b| is left) of product(x) = b, until `share` of it is left or after `most` steps; `nearby`
    solves a matrix like it."""
    size = float(np.sqrt(np.sum(b * b)))
    if size == 0.0:
        return np.zeros_like(b), 0, 0.0
    basis, made = np.empty((most + 1, len(b))), np.empty((most, len(b)))
    basis[0] = b / size
    h, turn = np.zeros((most + 1, most)), np.zeros((most, 2))
    g: Any = np.zeros(most + 1)
    g[0] = size
    count = 0
    for k in range(most):
        made[k] = nearby(basis[k])
        w = product(made[k])
        h[k + 1, k] = _against(basis, k + 1, w, h[:, k])
        for i in range(k):
            c, s = turn[i]
            h[i, k], h[i + 1, k] = c * h[i, k] + s * h[i + 1, k], c * h[i + 1, k] - s * h[i, k]
        c, s = np.array([h[k, k], h[k + 1, k]]) / max(float(np.hypot(h[k, k], h[k + 1, k])), 1e-300)
        turn[k] = c, s
        length = h[k + 1, k]
        h[k, k], h[k + 1, k] = c * h[k, k] + s * length, 0.0
        g[k], g[k + 1] = c * g[k], -s * g[k]
        count = k + 1
        if abs(g[k + 1]) <= share * size or length <= 1e-14 * size:
            break
        basis[k + 1] = w / length
    y = np.linalg.solve(np.triu(h[:count, :count]), g[:count])
    return np.einsum("kd,k->d", made[:count], y), count, float(abs(g[count]) / size)
