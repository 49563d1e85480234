"""The plane-to-plane map of a picture: what perspective, a turn and unequal scale make of a flat sheet, and its way back.

    (x, y) = ((h1 u + h2 v + h3)/w, (h4 u + h5 v + h6)/w),   w = h7 u + h8 v + 1      u, v in the picture, x, y on the sheet

Four pairs give it exactly (the direct linear transform, on pairs moved to their middle and scaled, R. Hartley, IEEE PAMI 19 (1997) 580);
of more the distances on the sheet are made least (Gauss-Newton). A lens bends straight lines and is no such map: its error stays in.

    covariance of h (8, 8) = (J^T W J)^-1,   of a point: g cov g^T      W by what the places on the sheet and in the picture are known to

Sources: R. Hartley, A. Zisserman, Multiple View Geometry, 2nd ed., 4.1 and 5.2 (from memory); the map is held against scikit-image's in
the tests.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
PARAMETERS = 8
IN_LINE = 0.02  # least height of a triangle of three marks over its longest side: below it they are taken as in line
MOST_STEPS = 30


@dataclass(frozen=True, eq=False)
class Homography:
    """`h` (3, 3) takes what `middle` and `scale` have made small: (p - middle)/scale. `cov` (8, 8) of its first eight numbers."""

    h: Array
    middle: Array
    scale: float
    cov: Array

    def moved(self, points: Array) -> Array:
        """Points (n, 2) of the picture on the sheet."""
        q = self._small(points)
        out = q @ self.h.T
        return np.asarray(out[:, :2] / out[:, 2:])

    def slopes(self, points: Array) -> Array:
        """d(x, y)/d(u, v) at points (n, 2): (n, 2, 2) [mm a pixel]."""
        q = self._small(points)
        out = q @ self.h.T
        w = out[:, 2]
        xy = out[:, :2] / w[:, None]
        return np.asarray((self.h[None, :2, :2] - xy[:, :, None] * self.h[2, :2]) / w[:, None, None] / self.scale)

    def sd(self, points: Array) -> Array:
        """Standard uncertainty of the map at points (n, 2) of the picture, along its worst direction (n,) [mm]."""
        g = _gradient(self._small(points), self.h)
        c = np.einsum("nij,jk,nlk->nil", g, self.cov, g)
        return np.asarray(np.sqrt(np.maximum(np.linalg.eigvalsh(c)[:, -1], 0.0)))

    def _small(self, points: Array) -> Array:
        q = (np.asarray(points, np.float64) - self.middle) / self.scale
        return np.column_stack([q, np.ones(len(q))])


def flattest(points: Array) -> float:
    """Of all threes of points (n, 2) the least height over longest side [-]; 0: three lie in line."""
    n = len(points)
    least = np.inf
    for i in range(n):
        for j in range(i + 1, n):
            for k in range(j + 1, n):
                a, b, c = points[i], points[j], points[k]
                longest = max(np.hypot(*(a - b)), np.hypot(*(b - c)), np.hypot(*(c - a)))
                area = abs((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]))
                least = min(least, area / longest**2 if longest > 0.0 else 0.0)
    return float(least)


def best_four(points: Array) -> tuple[tuple[int, ...], float]:
    """Which four of points (n, 2), n >= 4, stand widest: no three of them near a line; and their `flattest`."""
    rows = [(flattest(points[list(four)]), four) for four in combinations(range(len(points)), 4)]
    worth, four = max(rows)
    return four, worth


def fit_homography(seen: Array, true: Array, sd_seen: float, sd_true: float) -> Homography:
    """The map that takes `seen` (n, 2) [pixel] to `true` (n, 2) [mm], n >= 4, no three of some four of them in line. `sd_seen` [pixel],
    `sd_true` [mm]: standard uncertainty of each coordinate. ValueError where there is no such map."""
    middle, scale = seen.mean(axis=0), float(np.sqrt(((seen - seen.mean(axis=0)) ** 2).sum(axis=1).mean()))
    q = np.column_stack([(seen - middle) / scale, np.ones(len(seen))])
    off, size = true.mean(axis=0), float(np.sqrt(((true - true.mean(axis=0)) ** 2).sum(axis=1).mean()))
    to = (true - off) / size
    rows = []
    for (u, v, _), (x, y) in zip(q, to, strict=True):
        rows += [[u, v, 1, 0, 0, 0, -x * u, -x * v, -x], [0, 0, 0, u, v, 1, -y * u, -y * v, -y]]
    g = np.linalg.svd(np.array(rows))[2][-1].reshape(3, 3)
    back = np.array([[size, 0.0, off[0]], [0.0, size, off[1]], [0.0, 0.0, 1.0]])
    h = back @ g
    if abs(h[2, 2]) < 1e-12 * np.abs(h).max():
        raise ValueError("no picture shows the marks so")
    h = h / h[2, 2]
    if ((q @ h.T)[:, 2] <= 0.0).any():
        raise ValueError("no picture shows the marks so")
    for _ in range(MOST_STEPS if len(seen) > PARAMETERS // 2 else 0):
        out = q @ h.T
        left = (true - out[:, :2] / out[:, 2:]).ravel()
        step = np.linalg.lstsq(_gradient(q, h).reshape(-1, PARAMETERS), left, rcond=None)[0]
        h = h + np.append(step, 0.0).reshape(3, 3)
        if np.abs(step).max() < 1e-12 * np.abs(h).max():
            break
    made = Homography(h, middle, scale, np.zeros((PARAMETERS, PARAMETERS)))
    gradient, slopes = _gradient(q, h), made.slopes(seen)
    normal = np.zeros((PARAMETERS, PARAMETERS))
    for own, s in zip(gradient, slopes, strict=True):
        normal += own.T @ np.linalg.inv(sd_true**2 * np.eye(2) + sd_seen**2 * s @ s.T) @ own
    # numbers of very unlike size: scaled before they are turned round
    size_of = np.sqrt(np.diag(normal))
    cov = np.linalg.inv(normal / np.outer(size_of, size_of)) / np.outer(size_of, size_of)
    return Homography(h, middle, scale, np.asarray(cov))


def _gradient(q: Array, h: Array) -> Array:
    """d(x, y)/dh (n, 2, 8) at small points q (n, 3)."""
    out = q @ h.T
    w, xy = out[:, 2], out[:, :2] / out[:, 2:]
    g = np.zeros((len(q), 2, PARAMETERS))
    a = q / w[:, None]
    g[:, 0, 0:3], g[:, 1, 3:6] = a, a
    g[:, :, 6:8] = -xy[:, :, None] * a[:, None, :2]
    return g
