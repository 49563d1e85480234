"""How far each typed point lies from the smooth curve through all the others, held against how well that curve is known there.

For point i the curve is fitted without it (leave-one-out). Its miss e_i is judged by the local fit error

    s_i^2 = m_i + r_i^2 + a_i^2
    m_i = median of e_j^2 / 0.4549 over the four nearest points j, each left out together with i         (0.4549: median of chi^2)
    r_i : what the rounding of the table (its step over root 12) makes of e_i
    a_i = curvature / 2 * (miss along the curve)^2, what an unsure parameter makes of it

The neighbours are judged with i left out too, so that a wrong point does not widen the error that it is held against. A median of
four lets one of them be wrong itself.

The curve is that of `smoother`. With its P the fit without any point is known from one solve: e_i = (P y)_i / P_ii, and
without i and j likewise. For each point lam is that of the largest restricted likelihood (Patterson and Thompson 1971) of the best
fitted nine tenths of the others: a wrong point must not choose it.

Not judged: the ends (the curve is extrapolated there), and where the chords turn by more than TURN over the gap that the
point leaves: the nose of a section typed with few points, the points beside a drawn corner.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ribwright.geometry.smoother import CHI2_MEDIAN, KEPT, TURN, Smoother, frame, smoothers, turn_over_gap

Array = NDArray[np.float64]
THRESHOLD = 4.5
"""|e_i| / s_i from which a point is suspect. Set by trial, not by a law: of tables of sections without a planted error fewer than one in a
hundred has a larger one (benchmarks/ordinates.py --clean). What a cubic misses is no normal noise, and s_i rests on four points."""
LEAST_POINTS = 7
BLOCK, OVERLAP = 120, 20  # points solved at once; the influence of a point dies out within some ten


@dataclass(frozen=True)
class FitError:
    """Of each point: `miss` (n,) signed, positive to the left of travel; `local` fit error (n,), both [mm]; `normal` (n, 2) to the left;
    `judged` (n,)."""

    miss: Array
    local: Array
    normal: Array
    judged: NDArray[np.bool_]

    @property
    def share(self) -> Array:
        """|miss| over local fit error, 0 where not judged."""
        return np.asarray(np.where(self.judged, np.abs(self.miss) / self.local, 0.0))


def fit_error(points: Array, step: float) -> FitError:
    """Every point against the others; points (n, 2) [mm] in order, neighbours apart; `step` [mm] is the table's last digit."""
    n = len(points)
    if n < LEAST_POINTS:
        return FitError(np.zeros(n), np.full(n, np.inf), np.zeros((n, 2)), np.zeros(n, bool))
    if n <= BLOCK:
        return _solved(points, step)
    parts = []
    first = 0
    while first < n:
        # a last block of some few points would know too little
        last = n if n - first < 2 * BLOCK // 3 else min(n, first + BLOCK // 2)
        a, b = max(0, first - OVERLAP), min(n, last + OVERLAP)
        whole = _solved(points[a:b], step)
        cut = slice(first - a, last - a)
        parts.append((whole.miss[cut], whole.local[cut], whole.normal[cut], whole.judged[cut]))
        first = last
    miss, local, normal, judged = (np.concatenate(column) for column in zip(*parts, strict=True))
    return FitError(miss, local, normal, judged)


def _solved(points: Array, step: float) -> FitError:
    n = len(points)
    found = smoothers(points)
    size = found.size
    cost, miss, local, normal = np.full(n, np.inf), np.zeros(n), np.full(n, np.inf), np.zeros((n, 2))
    for s in found.each:
        its_cost, its_miss, its_local, its_normal = _each_left_out(s, found.y, step / size)
        better = its_cost < cost
        cost[better], miss[better], local[better] = its_cost[better], its_miss[better], its_local[better]
        normal[better] = its_normal[better]
    return FitError(miss * size, np.maximum(local * size, 1e-12), normal, turn_over_gap(points) < TURN)


def _each_left_out(s: Smoother, y: Array, step: float) -> tuple[Array, Array, Array, Array]:
    """With one lam, for each point left out: minus the log likelihood of the others, its miss, local fit error and normal."""
    p, n = s.p, len(y)
    diagonal = np.diag(p)
    off = (p @ y) / diagonal[:, None]
    tangent, normal, curvature = frame(y, y - off)
    # row i: what the others miss by without i, from the 2 x 2 block of p
    both = diagonal[None, :] - p**2 / diagonal[:, None]
    np.fill_diagonal(both, 1.0)
    others = np.sum(((p @ y)[None] - p[:, :, None] * off[:, None]) * normal[None], axis=2) / both
    weighed = others**2 * np.maximum(both, 0.0)
    np.fill_diagonal(weighed, 0.0)  # the least of its row: one term of 0
    kept = int(KEPT * n)
    spread = np.sqrt(np.maximum(np.partition(weighed, kept, axis=1)[:, :kept].mean(axis=1), 1e-28))
    cost = (n - 4) * np.log(spread) + (s.determinant + np.log(diagonal)) / 2
    near = np.median(np.take_along_axis(others, _nearest_four(n), axis=1) ** 2, axis=1) / CHI2_MEDIAN
    rounding = step / np.sqrt(12) * np.linalg.norm(p, axis=1) / diagonal
    unsure = curvature / 2 * np.sum(off * tangent, axis=1) ** 2
    return cost, np.sum(off * normal, axis=1), np.sqrt(near + rounding**2 + unsure**2), normal


def _nearest_four(n: int) -> NDArray[np.intp]:
    """(n, 4): the two points before and the two after, near an end the nearest four. The ends, whose miss is one of extrapolation,
    count only for the points beside them."""
    index = np.arange(n)
    distance = np.abs(index[:, None] - index[None]) + 0.1 * (index[None] > index[:, None])
    distance[2:-2, [0, -1]] = n
    np.fill_diagonal(distance, n)
    return np.argsort(distance, axis=1, kind="stable")[:, :4]
