"""A nearly flat face from many points: means over square cells, and the smooth surface h(x, y) through them.

    h = sum over i + j <= d of c_ij X^i Y^j, X and Y from -1 to 1 over the points; least squares of the cells' means, each as sure as the
    points in it make it. No one degree is the true one: those from 1 to 6 are averaged with Akaike's weights,
    AICc = chi^2 + 2 p + 2 p (p + 1)/(n - p - 1),   w ~ exp(-AICc/2)   p terms, n cells
    h = sum w_d h_d,   var h = sum w_d (var_(d+1) + (h_d - h)^2)
The variance is that of the next finer surface: what it would show more of could not be told from scatter, and may be there.
Where the means scatter about a surface by more than their points explain, its covariance grows by chi^2/(n - p).

A surface of degree 6 cannot follow waves of half the face's length and less: where cells stand off
every surface `near` takes that of degree 2 and the waves about it (geometry/missed_waves).

Source: N. Sugiura, Comm. Stat. A7 (1978) 13; K. Burnham, D. Anderson, Model Selection (2002), sections 4.2 and 4.3, both from memory.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from ribwright.geometry.missed_waves import MissedWaves, missed_waves, unexplained

Array = NDArray[np.float64]
CELL, POINTS = (
    10.0,
    20,
)  # edge of a cell [mm]; less where so many points fill a smaller one: a mean is that of a cell's middle
MOST_CELLS = 4000
LEAST = 3  # points of a cell that counts, where there are cells enough
STRAY = 4.0
SCATTER_FROM, PLANE_OF = 30_000, 6  # points that the scatter is told from; least of a cell for a plane of its own
SLIGHT = 0.01  # of the best one's weight, under which a surface is left out
REACH, WAYS = 4000, 32  # points kept to say how far the face goes, and ways in which the outermost is
BASE = 2  # degree of the surface that waves are told about
DEGREES = (1, 2, 3, 4, 5, 6)


@dataclass(frozen=True, eq=False)
class _Fitted:
    """One degree's surface and its weight; degree and covariance of the next finer one that was tried, else its own."""

    degree: int
    weight: float
    c: Array
    cov: Array
    finer: tuple[int, Array]


@dataclass(frozen=True, eq=False)
class SmoothFace:
    """`at` (n, 2) cells' places, `means` (n,), `counts` (n,) of their points, `one` standard deviation of a point, and
    the stated one is `wide` times that; `spread` the points' standard deviation within cells [mm],
    None where no cell has two; `reach` (m, 2) some of the points, as far as they reach; the surfaces over the scaled places."""

    at: Array
    means: Array
    counts: Array
    one: float | None
    wide: float
    spread: float | None
    reach: Array
    middle: Array
    half: Array
    fitted: tuple[_Fitted, ...]

    @property
    def degree(self) -> int:
        """Of the surface with the most weight."""
        return max(self.fitted, key=lambda f: f.weight).degree

    def smooth(self, points: Array) -> tuple[Array, Array]:
        """(h of the surface alone, its standard uncertainty) at points (n, 2) [mm]."""
        h, h_sd = self._averaged(points, None)
        return h, self.wide * h_sd

    def near(self, points: Array, ways: Array) -> tuple[Array, Array, Array, Array]:
        """(h [mm], its standard uncertainty, slope along unit `ways` (n, 2), its own) at points (n, 2), with the waves that
        the surface does not follow."""
        if self._waved is None:
            (h, h_sd), (m, m_sd) = self._averaged(points, None), self._averaged(points, ways / self.half)
        else:
            c, waves = self._waved
            u = (points - self.middle) / self.half
            more = np.array([waves.near(p, way) for p, way in zip(points, ways, strict=True)]).reshape(-1, 4)
            h, m = _terms(u, BASE) @ c + more[:, 0], _terms(u, BASE, ways / self.half) @ c + more[:, 2]
            h_sd, m_sd = more[:, 1], more[:, 3]
        return h, self.wide * h_sd, m, self.wide * m_sd

    @cached_property
    def _waved(self) -> tuple[Array, MissedWaves] | None:
        """(the surface of degree BASE, the waves about it) where cells stand off every smooth surface: one of a high degree that waves have
        bent says nothing of the face near its ends."""
        if not self.one:
            return None
        sd = np.maximum(self.one, 1e-6) / np.sqrt(self.counts)
        if not unexplained(
            self.means - self._averaged(self.at, None)[0], sd, (self.degree + 1) * (self.degree + 2) // 2
        ):
            return None
        x = _terms((self.at - self.middle) / self.half, BASE)
        c = np.asarray(np.linalg.lstsq(x / sd[:, None], self.means / sd, rcond=None)[0])
        return c, missed_waves(self.at, self.means - x @ c, sd)

    def _averaged(self, points: Array, way: Array | None) -> tuple[Array, Array]:
        u = (points - self.middle) / self.half
        values, variances = [], []
        for f in self.fitted:
            values.append(_terms(u, f.degree, way) @ f.c)
            degree, cov = f.finer
            x = _terms(u, degree, way)
            variances.append(np.einsum("ni,ij,nj->n", x, cov, x))
        w = np.array([[f.weight] for f in self.fitted])
        each = np.array(values)
        mean = np.sum(w * each, axis=0)
        return mean, np.sqrt(np.maximum(np.sum(w * (np.array(variances) + (each - mean) ** 2), axis=0), 0.0))


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
    # stated errors that points share do not scatter: what tells waves from scatter is the scatter
    spread = _scatter(points, h, np.where(keep, cell, -1), spread)
    one = spread if spread is not None else sd
    kept = points[keep][:: max(1, int(keep.sum()) // (10 * REACH))]
    way = np.linspace(0.0, 2 * np.pi, WAYS, endpoint=False)
    outermost = np.argmax(kept @ np.array([np.cos(way), np.sin(way)]), axis=0)
    reach = np.concatenate([kept[:: max(1, len(kept) // REACH)], kept[outermost]])
    wide = max(1.0, sd / one) if sd and one else 1.0
    return _surface(at, means, count, spread, one, wide, reach)


def _scatter(points: Array, h: Array, cell: NDArray[np.int64], flat: float | None) -> float | None:
    """Standard deviation of the points about a plane of their own in each cell, a cell of -1 left out; `flat` that about their means, where
    few cells have points for a plane. A cell that leans would scatter by its lean."""
    stride = 1 + len(cell) // SCATTER_FROM
    rows = np.flatnonzero((cell >= 0) & (cell % stride == 0))
    _, own, n = np.unique(cell[rows], return_inverse=True, return_counts=True)
    full = n >= PLANE_OF
    if not full.any() or int(np.sum(n[full] - 3)) < PLANE_OF:
        return flat
    v = np.column_stack([points[rows], h[rows]])
    v = v - np.column_stack([np.bincount(own, x) / n for x in v.T])[own]
    m = np.array([[np.bincount(own, v[:, i] * v[:, j])[full] for j in range(3)] for i in range(3)]).transpose(2, 0, 1)
    square = m[:, 2, 2] - np.einsum("ni,nij,nj->n", m[:, :2, 2], np.linalg.pinv(m[:, :2, :2]), m[:, :2, 2])
    return float(np.sqrt(max(float(np.sum(square)), 0.0) / np.sum(n[full] - 3)))


def _surface(
    at: Array, means: Array, count: Array, spread: float | None, one: float | None, wide: float, reach: Array
) -> SmoothFace | None:
    low, high = at.min(axis=0), at.max(axis=0)
    middle, half = (low + high) / 2, np.maximum((high - low) / 2, 1e-6)
    size = max(one or 0.0, 1e-6) / np.sqrt(count)
    tried: list[tuple[float, _Fitted]] = []
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
        misfit = chi2 / (n - p)
        grown = misfit if one is None else max(misfit, 1.0)
        cov = np.asarray(np.linalg.inv(w.T @ w) * grown)
        tried.append(
            (measure + 2 * p + 2 * p * (p + 1) / (n - p - 1), _Fitted(degree, 1.0, np.asarray(c), cov, (degree, cov)))
        )
    if not tried:
        return None
    tried = [
        (score, replace(f, finer=(finer.degree, finer.cov)))
        for (score, f), (_, finer) in zip(tried, [*tried[1:], tried[-1]], strict=True)
    ]
    best = min(score for score, _ in tried)
    weights = [float(np.exp(-(score - best) / 2.0)) for score, _ in tried]
    kept = [replace(f, weight=w) for (_, f), w in zip(tried, weights, strict=True) if w > SLIGHT]
    total = sum(f.weight for f in kept)
    return SmoothFace(
        at,
        means,
        count,
        one,
        wide,
        spread,
        reach,
        middle,
        half,
        tuple(replace(f, weight=f.weight / total) for f in kept),
    )
