"""Waves that a smooth surface does not follow, found from what is left of it at places scattered over the face.

What is left is taken for a random field of one size and one reach, heights covarying as (Matern's function of order 5/2)
    k(d) = S^2 (1 + a + a^2/3) exp(-a),  a = sqrt(5) d/L            S^2 and L by the greatest likelihood over a grid, a wave W long shows
                                                                      as L of about W/4
At a place the field's height and slope are those expected of it, given what is left at the places round it with their own errors, and
so is their variance: little where places stand thick against L, S where they do not. Gaussian process regression:
    f = k^T (K + D)^-1 r,   var f = S^2 - k^T (K + D)^-1 k,   and with k' = dk/ds for the slope, var = 5 S^2/(3 L^2) - k'^T (K + D)^-1 k'
What is left is no more than its errors explain where chi^2 < n + SURE sqrt(2 n).

Source: C. E. Rasmussen, C. K. I. Williams, Gaussian Processes for Machine Learning (2006), equations 2.25, 2.26, 4.17, 5.8, from memory.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import cho_factor, cho_solve

Array = NDArray[np.float64]
SURE, LEAST = 3.0, 6
REACHES = (6.0, 10.0, 16.0, 25.0, 40.0, 65.0, 100.0)  # L [mm]
SIZES = (0.5, 1.0, 2.0)  # S in roots of the mean square left beyond its errors
MOST_LOOKED_AT = 350  # places that S and L are found from
ROUND = 80  # places round one that tell


@dataclass(frozen=True, eq=False)
class MissedWaves:
    """`at` (n, 2), `left` (n,), variances of its errors `own` (n,) [mm2]; `size` S and `reach` L [mm]."""

    at: Array
    left: Array
    own: Array
    size: float
    reach: float

    def near(self, p: Array, way: Array) -> tuple[float, float, float, float]:
        """(height, its standard uncertainty, slope along unit `way`, its own) of the waves at a place p (2,) [mm, -]."""
        v = p - self.at
        square = np.einsum("ni,ni->n", v, v)
        rows = np.argpartition(square, ROUND)[:ROUND] if len(square) > ROUND else np.arange(len(square))
        v, var = v[rows], self.size**2
        a = np.sqrt(5.0 * square[rows]) / self.reach
        k = var * (1.0 + a + a * a / 3.0) * np.exp(-a)
        slope = -var * 5.0 / (3.0 * self.reach**2) * (1.0 + a) * np.exp(-a) * (v @ way)
        x = cho_solve(
            _factor(self.at[rows], self.own[rows], self.size, self.reach), np.column_stack([self.left[rows], k, slope])
        )
        steep = 5.0 * var / (3.0 * self.reach**2)
        h_var, m_var = var - float(k @ x[:, 1]), steep - float(slope @ x[:, 2])
        return (
            float(k @ x[:, 0]),
            float(np.sqrt(max(h_var, 0.0))),
            float(slope @ x[:, 0]),
            float(np.sqrt(max(m_var, 0.0))),
        )


def unexplained(left: Array, sd: Array, terms: int) -> bool:
    """Whether what is `left` (n,) of a surface of `terms` is more than the errors `sd` (n,) explain."""
    free = len(left) - terms
    return free >= LEAST and float(np.sum((left / sd) ** 2)) > free + SURE * float(np.sqrt(2.0 * free))


def missed_waves(at: Array, left: Array, sd: Array) -> MissedWaves:
    """The waves in what is `left` (n,) of a surface at places (n, 2), each known to `sd` (n,) [mm]."""
    own = sd**2
    n = len(left)
    rows = np.arange(n) if n <= MOST_LOOKED_AT else np.random.default_rng(3).choice(n, MOST_LOOKED_AT, replace=False)
    a, r, d = at[rows], left[rows], own[rows]
    beyond = float(np.sqrt(max(np.mean(r * r) - np.mean(d), 1e-12)))
    best = min(
        ((_surprise(a, r, d, k * beyond, reach), k * beyond, reach) for reach in REACHES for k in SIZES),
        key=lambda x: x[0],
    )
    return MissedWaves(at, left, own, best[1], best[2])


def _factor(at: Array, own: Array, size: float, reach: float) -> tuple[Array, bool]:
    d = np.sqrt(np.maximum(np.sum((at[:, None] - at[None]) ** 2, axis=2), 0.0))
    a = np.sqrt(5.0) * d / reach
    return cho_factor(size**2 * (1.0 + a + a * a / 3.0) * np.exp(-a) + np.diag(own), lower=True, check_finite=False)  # type: ignore[no-any-return]


def _surprise(at: Array, left: Array, own: Array, size: float, reach: float) -> float:
    """-2 log of the likelihood, less what is common to all."""
    c = _factor(at, own, size, reach)
    return float(left @ cho_solve(c, left)) + 2.0 * float(np.sum(np.log(np.diag(c[0]))))
