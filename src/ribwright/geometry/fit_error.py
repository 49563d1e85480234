"""How far each typed point lies from the smooth curve through all the others, held against how well that curve is known there.

For point i the curve is fitted without it (leave-one-out). Its miss e_i is judged by the local fit error

    s_i^2 = m_i + r_i^2 + a_i^2
    m_i = median of e_j^2 / 0.4549 over the four nearest points j, each left out together with i         (0.4549: median of chi^2)
    r_i : what the rounding of the table (its step over root 12) makes of e_i
    a_i = curvature / 2 * (miss along the curve)^2, what an unsure parameter makes of it

The neighbours are judged with i left out too, so that a wrong point does not widen the error that it is held against. A median of
four lets one of them be wrong itself.

The curve is the quintic smoothing spline over `fair_parameter`, whose third derivative is kept small, seen as a random function with noise
(Wahba 1990, Spline Models for Observational Data): covariance of the points lam R + 1 with R = (a^5/5 + a^4 d/2 + a^3 d^2/3)/4, a the
smaller of two parameters and d what they are apart; a parabola is free. A cubic one would have no curvature at the ends and miss the points
beside them. With P the inverse past that parabola, the fit without any point is known from one solve: e_i = (P y)_i / P_ii, and
without i and j likewise. For each point lam is that of the largest restricted likelihood (Patterson and Thompson 1971) of the best
fitted nine tenths of the others: a wrong point must not choose it.

Not judged: the ends (the curve is extrapolated there), and where the chords turn by more than TURN over the gap that the
point leaves: the nose of a section typed with few points, the points beside a drawn corner.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ribwright.geometry.fair import fair_parameter, turning

Array = NDArray[np.float64]
THRESHOLD = 4.5
"""|e_i| / s_i from which a point is suspect. Set by trial, not by a law: of tables of sections without a planted error fewer than one in a
hundred has a larger one (benchmarks/ordinates.py --clean). What a cubic misses is no normal noise, and s_i rests on four points."""
TURN = np.radians(45.0)
SPIKE = np.radians(60.0)
ASIDE = 6  # points: a wrong one is felt so far
LEAST_POINTS = 7
BLOCK, OVERLAP = 120, 20  # points solved at once; the influence of a point dies out within some ten
CHI2_MEDIAN = 0.4549
KEPT = 0.9  # share of the points, the best fitted, that choose lam
LOG_LAM = np.arange(5.0, 16.1, 0.5)


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


@dataclass(frozen=True)
class Suspect:
    """Point `index` misses the curve through the others by `miss` [mm] along `normal`; `local` as above."""

    index: int
    miss: float
    local: float
    normal: tuple[float, float]


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


def suspects(points: Array, step: float, most: int = 20) -> tuple[Suspect, ...]:
    """The points past THRESHOLD, the worst first. Each is set aside before others are sought near it, so that it accuses no neighbour."""
    left = np.arange(len(points))
    found: list[Suspect] = []
    while len(found) < most:
        errors = fit_error(points[left], step)
        aside: list[int] = []
        for i in np.argsort(-errors.share):
            if errors.share[i] <= THRESHOLD:
                break
            if all(abs(i - j) > ASIDE for j in aside):
                aside.append(int(i))
        if not aside:
            break
        for i in aside:
            nx, ny = errors.normal[i]
            found.append(Suspect(int(left[i]), float(errors.miss[i]), float(errors.local[i]), (float(nx), float(ny))))
        left = np.delete(left, aside)
    return tuple(found)


def _solved(points: Array, step: float) -> FitError:
    n, over_gap = len(points), _turn_over_gap(points)
    t = fair_parameter(_without_spikes(points, over_gap))
    # neither size nor place of the part may matter to the sums
    centre, size = points.mean(axis=0), float(np.ptp(points, axis=0).max())
    y = (points - centre) / size
    small, gap = np.minimum.outer(t, t), np.abs(np.subtract.outer(t, t))
    r = (small**5 / 5 + small**4 * gap / 2 + small**3 * gap**2 / 3) / 4
    free = np.column_stack([np.ones(n), t, t**2])
    cost, miss, local, normal = np.full(n, np.inf), np.zeros(n), np.full(n, np.inf), np.zeros((n, 2))
    for log_lam in LOG_LAM:
        covariance = 10.0**log_lam * r + np.eye(n)
        inverse = np.linalg.inv(covariance)
        its_free = inverse @ free
        inner = free.T @ its_free
        p = inverse - its_free @ np.linalg.solve(inner, its_free.T)
        if np.diag(p).min() <= 0.0:  # so stiff or so soft that rounding has eaten it
            continue
        determinant = float(np.linalg.slogdet(covariance)[1] + np.linalg.slogdet(inner)[1])
        its_cost, its_miss, its_local, its_normal = _each_left_out((p + p.T) / 2, y, determinant, step / size)
        better = its_cost < cost
        cost[better], miss[better], local[better] = its_cost[better], its_miss[better], its_local[better]
        normal[better] = its_normal[better]
    judged = over_gap < TURN
    return FitError(miss * size, np.maximum(local * size, 1e-12), normal, judged)


def _turn_over_gap(points: Array) -> Array:
    """Angle [rad] by which the chords turn at the two neighbours of each point when it is left out; infinite at the ends."""
    angle = np.full(len(points), np.inf)
    for i in range(1, len(points) - 1):
        around = np.delete(points[max(0, i - 2) : i + 3], i - max(0, i - 2), axis=0)
        angle[i] = turning(around).sum()
    return angle


def _without_spikes(points: Array, over_gap: Array) -> Array:
    """The points for the parameter alone: a slip so gross that the chords turn sharply at it, while without it they would not, is put in
    the middle between its neighbours."""
    spikes = np.flatnonzero((over_gap < TURN) & (turning(points) > SPIKE))
    out = points.copy()
    out[spikes] = (points[spikes - 1] + points[spikes + 1]) / 2
    return out


def _each_left_out(p: Array, y: Array, determinant: float, step: float) -> tuple[Array, Array, Array, Array]:
    """With one lam, for each point left out: minus the log likelihood of the others, its miss, local fit error and normal."""
    n, diagonal = len(y), np.diag(p)
    off = (p @ y) / diagonal[:, None]
    tangent, normal, curvature = _frame(y, y - off)
    # row i: what the others miss by without i, from the 2 x 2 block of p
    both = diagonal[None, :] - p**2 / diagonal[:, None]
    np.fill_diagonal(both, 1.0)
    others = np.sum(((p @ y)[None] - p[:, :, None] * off[:, None]) * normal[None], axis=2) / both
    weighed = others**2 * np.maximum(both, 0.0)
    np.fill_diagonal(weighed, 0.0)  # the least of its row: one term of 0
    kept = int(KEPT * n)
    spread = np.sqrt(np.maximum(np.partition(weighed, kept, axis=1)[:, :kept].mean(axis=1), 1e-28))
    cost = (n - 4) * np.log(spread) + (determinant + np.log(diagonal)) / 2
    near = np.median(np.take_along_axis(others, _nearest_four(n), axis=1) ** 2, axis=1) / CHI2_MEDIAN
    rounding = step / np.sqrt(12) * np.linalg.norm(p, axis=1) / diagonal
    unsure = curvature / 2 * np.sum(off * tangent, axis=1) ** 2
    return cost, np.sum(off * normal, axis=1), np.sqrt(near + rounding**2 + unsure**2), normal


def _frame(y: Array, expected: Array) -> tuple[Array, Array, Array]:
    """Unit tangent, normal to its left and curvature of the circle through the point before, the expected one and the point after."""
    before, after = np.vstack([expected[:1], y[:-1]]), np.vstack([y[1:], expected[-1:]])
    u, v = expected - before, after - expected
    lu, lv = np.maximum(np.sum(u**2, axis=1), 1e-30), np.maximum(np.sum(v**2, axis=1), 1e-30)
    tangent = u / lu[:, None] + v / lv[:, None]
    tangent /= np.maximum(np.hypot(*tangent.T), 1e-30)[:, None]
    across = np.maximum(np.sum((after - before) ** 2, axis=1), 1e-30)
    curvature = 2 * np.abs(u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]) / np.sqrt(lu * lv * across)
    curvature[[0, -1]] = 0.0
    return tangent, np.column_stack([-tangent[:, 1], tangent[:, 0]]), curvature


def _nearest_four(n: int) -> NDArray[np.intp]:
    """(n, 4): the two points before and the two after, near an end the nearest four. The ends, whose miss is one of extrapolation,
    count only for the points beside them."""
    index = np.arange(n)
    distance = np.abs(index[:, None] - index[None]) + 0.1 * (index[None] > index[:, None])
    distance[2:-2, [0, -1]] = n
    np.fill_diagonal(distance, n)
    return np.argsort(distance, axis=1, kind="stable")[:, :4]
