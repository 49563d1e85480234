"""A circle through measured points: orthogonal distances at their least, with the covariance of centre and radius.

    sum_i (|p_i - c| - r)^2 -> min      start: the algebraic fit by Taubin, then Levenberg's damped Gauss-Newton
    cov(cx, cy, r) = sd^2 (J^T J)^-1    J_i = (-u_i, -1), u_i the unit vector from the centre to the point

The covariance takes the points' errors as independent of each other and of one size, and small against the radius; `sd` of one point along
the radius, or what the residuals say, sqrt(sum d^2/(n - 3)). On a short arc the distances hang on centre and radius nearly alike: then the
covariance is large and says so, and the fit is worth no more.

Sources: W. Gander, G. Golub, R. Strebel, BIT 34 (1994) 558 (geometric fit); G. Taubin, IEEE PAMI 13 (1991) 1115, in the form by singular
values of N. Chernov, Circular and Linear Regression (2010); all three from memory, held against their published figures in the tests.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
MOST_STEPS = 100
SETTLED = 1e-12  # a step this small against the radius ends the search
STRAIGHT = 1e-9  # spread across a line over that along it: below it there is no circle


@dataclass(frozen=True, eq=False)
class FittedCircle:
    """Centre (2,) and radius [mm]; `cov` (3, 3) of cx, cy, r [mm2], None where nothing says how large the points' errors are;
    `rms` sqrt(mean d^2) of the points' distances d from the circle [mm]; `points` how many there were."""

    centre: Array
    radius: float
    cov: Array | None
    rms: float
    points: int

    @property
    def sd(self) -> Array | None:
        """Standard uncertainty of cx, cy, r (3,) [mm]."""
        return None if self.cov is None else np.asarray(np.sqrt(np.diag(self.cov)))


def taubin_circle(points: Array) -> tuple[Array, float]:
    """Centre (2,) and radius of the algebraic fit of points (n, 2), n >= 3. ValueError where they lie on a line or in one place."""
    p = np.asarray(points, np.float64)
    if p.ndim != 2 or len(p) < 3 or not np.isfinite(p).all():
        raise ValueError("a circle takes three points or more, all finite")
    middle = p.mean(axis=0)
    q = p - middle
    spread = np.linalg.svd(q, compute_uv=False)
    if spread[0] <= 0.0 or spread[1] <= STRAIGHT * spread[0]:
        raise ValueError("the points lie on a line: no circle")
    z = np.einsum("ni,ni->n", q, q)
    mean = z.mean()
    rows = np.column_stack([(z - mean) / (2.0 * np.sqrt(mean)), q])
    a = np.linalg.svd(rows, full_matrices=False)[2][-1]
    if abs(a[0]) <= STRAIGHT:
        raise ValueError("the points lie on a line: no circle")
    k = a[0] / (2.0 * np.sqrt(mean))
    centre = -a[1:] / (2.0 * k)
    radius = np.sqrt(centre @ centre + mean)
    return middle + centre, float(radius)


def fit_circle(points: Array, sd: float | None = None) -> FittedCircle:
    """The circle of least orthogonal distances from points (n, 2) [mm], n >= 3. `sd`: standard uncertainty of one point along the radius
    [mm]; None: from the residuals. ValueError where the points make no circle."""
    p = np.asarray(points, np.float64)
    start, radius = taubin_circle(p)
    at = p.mean(axis=0)
    q = p - at
    x = np.array([*(start - at), radius])
    damping = 1e-6
    d, jac = _distances(q, x)
    for _ in range(MOST_STEPS):
        normal, pull = jac.T @ jac, jac.T @ d
        step = np.linalg.solve(normal + damping * np.diag(np.diag(normal)), -pull)
        tried = x + step
        d_tried, jac_tried = _distances(q, tried)
        if tried[2] > 0.0 and d_tried @ d_tried <= d @ d:
            x, d, jac = tried, d_tried, jac_tried
            damping = max(damping / 10.0, 1e-12)
        else:
            damping *= 10.0
        if np.linalg.norm(step) <= SETTLED * x[2]:
            break
    n, total = len(p), float(d @ d)
    spread = sd if sd is not None else (np.sqrt(total / (n - 3)) if n > 3 else None)
    cov = None if spread is None else np.asarray(spread * spread * np.linalg.pinv(jac.T @ jac))
    return FittedCircle(at + x[:2], float(x[2]), cov, float(np.sqrt(total / n)), n)


def _distances(p: Array, x: Array) -> tuple[Array, Array]:
    """Distances outside the circle x = (cx, cy, r) (n,) and their slopes (n, 3)."""
    arm = p - x[:2]
    far = np.hypot(arm[:, 0], arm[:, 1])
    unit = arm / np.where(far > 0.0, far, 1.0)[:, None]
    return far - x[2], np.column_stack([-unit, -np.ones(len(p))])
