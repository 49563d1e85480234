"""The smooth curve through points as a random function with noise: what `fit_error` and `run_error` leave points out of.

The quintic smoothing spline over `fair_parameter`, whose third derivative is kept small, seen as a random function (Wahba 1990, Spline
Models for Observational Data): covariance of the points lam R + 1 with R = (a^5/5 + a^4 d/2 + a^3 d^2/3)/4, a the smaller of two
parameters and d what they are apart; a parabola is free. A cubic one would have no curvature at the ends and miss the points beside
them. P is the inverse past that parabola.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ribwright.geometry.fair import fair_parameter, turning

Array = NDArray[np.float64]
TURN = np.radians(45.0)
SPIKE = np.radians(60.0)
CHI2_MEDIAN = 0.4549
KEPT = 0.9  # share of the points, the best fitted, that choose lam
LOG_LAM = np.arange(5.0, 16.1, 0.5)


@dataclass(frozen=True)
class Smoother:
    """One stiffness lam: `p` (n, n), `determinant` the log determinants of its likelihood."""

    p: Array
    determinant: float


@dataclass(frozen=True)
class Smoothers:
    """`y` (n, 2) the points about their centre in their size, `size` [mm], `each` stiffness from soft to stiff."""

    y: Array
    size: float
    each: tuple[Smoother, ...]


def smoothers(points: Array) -> Smoothers:
    """The smoothers of points (n, 2) [mm] in order."""
    # neither size nor place of the part may matter to the sums
    centre, size = points.mean(axis=0), float(np.ptp(points, axis=0).max())
    return Smoothers((points - centre) / size, size, tuple(_each(points)))


def _each(points: Array) -> Iterator[Smoother]:
    n = len(points)
    t = fair_parameter(_without_spikes(points, turn_over_gap(points)))
    small, gap = np.minimum.outer(t, t), np.abs(np.subtract.outer(t, t))
    r = (small**5 / 5 + small**4 * gap / 2 + small**3 * gap**2 / 3) / 4
    free = np.column_stack([np.ones(n), t, t**2])
    for log_lam in LOG_LAM:
        covariance = 10.0**log_lam * r + np.eye(n)
        inverse = np.linalg.inv(covariance)
        its_free = inverse @ free
        inner = free.T @ its_free
        p = inverse - its_free @ np.linalg.solve(inner, its_free.T)
        if np.diag(p).min() <= 0.0:  # so stiff or so soft that rounding has eaten it
            continue
        determinant = float(np.linalg.slogdet(covariance)[1] + np.linalg.slogdet(inner)[1])
        yield Smoother((p + p.T) / 2, determinant)


def turn_over_gap(points: Array) -> Array:
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


def frame(y: Array, expected: Array) -> tuple[Array, Array, Array]:
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
