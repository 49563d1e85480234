"""How far a run of neighbouring points lies from the smooth curve through all the others: two or three wrong ones side by side.

Each of two wrong points hides the other from `fit_error`: it pulls the curve, and widens the local fit error. So all of a run B is left
out at once. With the smoother's P (`smoother`) and y the points

    e_B = P_BB^-1 (P y)_B                                                             misses of the run's points
    e_j = ((P y)_j - P_jB e_B) / (P_jj - P_jB P_BB^-1 P_Bj)                           of any other point j, left out with it

which a test holds against fits without those points. The local fit error is that of `fit_error`, from the two points before the run and
the two after it. A run is wrong when each of its points is: its share is the least of theirs.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ribwright.geometry.fair import turning
from ribwright.geometry.smoother import CHI2_MEDIAN, KEPT, TURN, Smoother, Smoothers, frame, smoothers

Array = NDArray[np.float64]
COARSE = 2  # every second stiffness will do: the likelihood is flat about its best


@dataclass(frozen=True)
class RunError:
    """Of the run of k points that begins at each point: `miss` (m, k) signed, positive to the left of travel, `local` fit error (m, k),
    both [mm]; `normal` (m, k, 2) to the left; `judged` (m,)."""

    miss: Array
    local: Array
    normal: Array
    judged: NDArray[np.bool_]

    @property
    def share(self) -> Array:
        """(m,) the least |miss| over local fit error of a run's points, 0 where not judged."""
        return np.asarray(np.where(self.judged, np.min(np.abs(self.miss) / self.local, axis=1), 0.0))


def run_error(points: Array, step: float, k: int, found: Smoothers | None = None) -> RunError:
    """Every run of k against the others; points (n, 2) [mm] in order, neighbours apart; `step` [mm] is the table's last digit; `found`: the
    smoothers of these points where they are known."""
    n = len(points)
    m = n - k + 1
    runs = np.arange(m)[:, None] + np.arange(k)
    near = _two_each_side(n, k)
    cost = np.full(m, np.inf)
    off, spread, rounding = np.zeros((m, k, 2)), np.zeros(m), np.zeros((m, k))
    found = found or smoothers(points)
    y, size = found.y, found.size
    for s in found.each[::COARSE]:
        its = _left_out(s, y, runs, near, step / size)
        better = its[0] < cost
        cost[better] = its[0][better]
        off[better], spread[better], rounding[better] = its[1][better], its[2][better], its[3][better]
    miss, local, normal = np.zeros((m, k)), np.full((m, k), np.inf), np.zeros((m, k, 2))
    for i in (int(i) for i in np.flatnonzero(np.isfinite(cost))):
        first, last = max(0, i - 1), min(n, i + k + 1)
        expected = y[first:last].copy()
        expected[i - first : i - first + k] -= off[i]
        tangent, its_normal, curvature = (a[i - first : i - first + k] for a in frame(expected, expected))
        unsure = curvature / 2 * np.sum(off[i] * tangent, axis=1) ** 2
        miss[i], normal[i] = np.sum(off[i] * its_normal, axis=1), its_normal
        local[i] = np.sqrt(spread[i] + rounding[i] ** 2 + unsure**2)
    return RunError(miss * size, np.maximum(local * size, 1e-12), normal, _turns_little(points, k))


def _left_out(
    s: Smoother, y: Array, runs: NDArray[np.intp], near: NDArray[np.intp], step: float
) -> tuple[Array, Array, Array, Array]:
    """With one stiffness, for each run left out: minus the log likelihood of the others, misses (m, k, 2), the square that the points
    beside it miss by (m,), what rounding makes of the misses (m, k)."""
    p, n, k = s.p, len(y), runs.shape[1]
    its, its_rows = p[runs[:, :, None], runs[:, None, :]], p[runs]
    off = np.linalg.solve(its, (p @ y)[runs])
    weights = np.linalg.solve(its, its_rows)
    left = np.diag(p)[None] - np.einsum("mkn,mkn->mn", its_rows, weights)
    np.put_along_axis(left, runs, 1.0, axis=1)
    normal = frame(y, y - (p @ y) / np.diag(p)[:, None])[1]
    others = np.sum(((p @ y)[None] - np.einsum("mkn,mkc->mnc", its_rows, off)) * normal[None], axis=2) / left
    weighed = others**2 * np.maximum(left, 0.0)
    np.put_along_axis(weighed, runs, 0.0, axis=1)
    kept = int(KEPT * n)
    spread = np.sqrt(np.maximum(np.partition(weighed, kept, axis=1)[:, :kept].mean(axis=1), 1e-28))
    cost = np.asarray((n - 3 - k) * np.log(spread) + (s.determinant + np.linalg.slogdet(its)[1]) / 2)
    beside = np.median(np.take_along_axis(others, near, axis=1) ** 2, axis=1) / CHI2_MEDIAN
    rounding = step / np.sqrt(12) * np.linalg.norm(weights, axis=2)
    return cost, np.asarray(off), np.asarray(beside), np.asarray(rounding)


def _two_each_side(n: int, k: int) -> NDArray[np.intp]:
    """(m, 4): of each run the two points before it and the two after, near an end the nearest four. The ends of the line, whose miss is
    one of extrapolation, count only where no others are there."""
    out = np.empty((n - k + 1, 4), int)
    for i in range(len(out)):
        before, after = list(range(i)), list(range(i + k, n))
        away = {j: min(abs(j - i), abs(j - i - k + 1)) + (n if j in (0, n - 1) else 0) for j in before + after}
        sides = [sorted(side, key=lambda j: away[j])[:2] for side in (before, after)]
        chosen = sides[0] + sides[1]
        rest = sorted((j for j in away if j not in chosen), key=lambda j: away[j])
        out[i] = (chosen + rest)[:4]
    return out


def _turns_little(points: Array, k: int) -> NDArray[np.bool_]:
    """Where the chords turn by less than TURN at the two neighbours of a run that is left out; not at the ends."""
    m = len(points) - k + 1
    out = np.zeros(m, bool)
    for i in range(1, m - 1):
        around = np.delete(points[max(0, i - 2) : i + k + 2], np.arange(i, i + k) - max(0, i - 2), axis=0)
        out[i] = turning(around).sum() < TURN
    return out
