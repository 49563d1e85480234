"""A nearly flat face from many points: means over square cells, and the smooth surface h(x, y) through them.

    h = sum over i + j <= d of c_ij X^i Y^j, X and Y from -1 to 1 over the points; least squares of the cells' means, each as sure as the
    points in it make it; d from 1 to 6 by the least of Akaike's measure for few data,
    AICc = chi^2 + 2 p + 2 p (p + 1)/(n - p - 1)   p terms, n cells
Where the means scatter about the surface by more than their points explain, its covariance grows by chi^2/(n - p).

Source of AICc: N. Sugiura, Comm. Stat. A7 (1978) 13; K. Burnham, D. Anderson, Model Selection (2002), both from memory.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
CELL, POINTS = (
    10.0,
    20,
)  # edge of a cell [mm]; less where so many points fill a smaller one: a mean is that of a cell's middle
MOST_CELLS = 4000
LEAST = 3  # points of a cell that counts, where there are cells enough
STRAY = 4.0
DEGREES = (1, 2, 3, 4, 5, 6)


@dataclass(frozen=True, eq=False)
class SmoothFace:
    """`at` (n, 2) cells' places, `means` (n,), `counts` (n,) of their points; `spread` the points' standard deviation within cells [mm],
    None where no cell has two; the surface's `degree`, coefficients and their covariance."""

    at: Array
    means: Array
    counts: Array
    spread: float | None
    degree: int
    middle: Array
    half: Array
    c: Array
    cov: Array
    misfit: float

    def height(self, points: Array) -> tuple[Array, Array]:
        """(h, its standard uncertainty) at points (n, 2) [mm]."""
        x = self._terms(points)
        return x @ self.c, self._sd(x)

    def slope(self, points: Array, way: Array) -> tuple[Array, Array]:
        """(slope along unit `way` (n, 2), its standard uncertainty) at points (n, 2) [-]."""
        x = self._terms(points, way)
        return x @ self.c, self._sd(x)

    def _sd(self, x: Array) -> Array:
        return np.asarray(np.sqrt(np.maximum(np.einsum("ni,ij,nj->n", x, self.cov, x), 0.0)))

    def _terms(self, points: Array, way: Array | None = None) -> Array:
        return _terms((points - self.middle) / self.half, self.degree, None if way is None else way / self.half)


def _terms(u: Array, degree: int, way: Array | None = None) -> Array:
    """X^i Y^j at scaled places (n, 2), or their slopes along `way` (n, 2)."""
    x, y = u[:, 0], u[:, 1]
    powers = [(i, d - i) for d in range(degree + 1) for i in range(d + 1)]
    if way is None:
        return np.column_stack([x**i * y**j for i, j in powers])
    rows = []
    for i, j in powers:
        by_x = i * x ** max(i - 1, 0) * y**j
        by_y = j * x**i * y ** max(j - 1, 0)
        rows.append(by_x * way[:, 0] + by_y * way[:, 1])
    return np.column_stack(rows)


def cells_of(points: Array) -> NDArray[np.int64]:
    """Number of its cell for each point (n, 2)."""
    low, size = points.min(axis=0), np.ptp(points, axis=0)
    area = float(size[0] * size[1])
    edge = max(min(CELL, float(np.sqrt(area * POINTS / len(points)))), float(np.sqrt(area / MOST_CELLS)), 1e-6)
    i = ((points - low) / edge).astype(np.int64)
    return i[:, 0] * (int(size[1] / edge) + 1) + i[:, 1]


def smooth_face(points: Array, h: Array, sd: float | None = None) -> SmoothFace | None:
    """The face through points (n, 2) at heights h (n,); `sd` of one height, None: from their scatter within cells. None where there are
    too few points for a plane with its uncertainty."""
    if len(points) < 6:
        return None
    cell = cells_of(points)
    keep = np.ones(len(h), bool)
    mean, spread = np.zeros(0), None
    for _ in range(3):
        n = np.bincount(cell[keep], minlength=cell.max() + 1)
        mean = np.bincount(cell[keep], h[keep], minlength=len(n)) / np.maximum(n, 1)
        left = h - mean[cell]
        free = int(keep.sum() - np.count_nonzero(n))
        spread = float(np.sqrt(np.sum(left[keep] ** 2) / free)) if free > 5 else None
        if spread is None or spread == 0.0:
            break
        keep = np.abs(left) < STRAY * max(spread, sd or 0.0)
    n = np.bincount(cell[keep], minlength=len(mean))
    least = LEAST if np.count_nonzero(n >= LEAST) > 12 else 1
    used = n >= least
    count = n[used].astype(float)
    at = np.column_stack([np.bincount(cell[keep], points[keep, k], minlength=len(n))[used] / count for k in (0, 1)])
    means = np.bincount(cell[keep], h[keep], minlength=len(n))[used] / count
    one = sd if sd is not None else spread
    return _surface(at, means, count, spread, one)


def _surface(at: Array, means: Array, count: Array, spread: float | None, one: float | None) -> SmoothFace | None:
    low, high = at.min(axis=0), at.max(axis=0)
    middle, half = (low + high) / 2, np.maximum((high - low) / 2, 1e-6)
    size = max(one or 0.0, 1e-6) / np.sqrt(count)
    best: tuple[float, int, Array, Array, float] | None = None
    for degree in DEGREES:
        x = _terms((at - middle) / half, degree)
        n, p = x.shape
        if n < p + 3 + (degree > 1) * p:
            break
        w = x / size[:, None]
        c, _, rank, _ = np.linalg.lstsq(w, means / size, rcond=None)
        if rank < p:
            break
        chi2 = float(np.sum(((means - x @ c) / size) ** 2))
        # with no notion of a point's error the scatter itself decides
        measure = chi2 if one is not None else n * float(np.log(max(chi2 / n, 1e-30)))
        score = measure + 2 * p + 2 * p * (p + 1) / (n - p - 1)
        if best is None or score < best[0]:
            best = (score, degree, c, np.linalg.inv(w.T @ w), chi2 / (n - p))
    if best is None:
        return None
    _, degree, c, cov, misfit = best
    grown = misfit if one is None else max(misfit, 1.0)
    return SmoothFace(at, means, count, spread, degree, middle, half, c, cov * grown, misfit)
