"""Which of several drawn lines many points lie nearest to, where along it, and how far to its right.

A raster over all of them says for each cell which sampled place of which line is nearest; from there a point is projected onto the circle
of curvature of the line, once from the cell's place and once more from the place so found:
    t, n along and right of travel, k curvature (+ left):   step = arctan2(k t, 1 + k n)/k,   u = (k (t^2 + n^2) + 2 n)/(1 + w),
    w = sqrt((1 + k n)^2 + k^2 t^2)
What is left is of the order k' t^3/6 in the distance and k' u t^2/2 in the place, t half the spacing of the places: on drawn lines under
1e-6 and 1e-4 mm. Where two lines are about as near,
beyond a corner, either may be named; beyond its ends a line goes on along its last circle of curvature.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from ribwright.geometry.curve import Curve
from ribwright.geometry.offset import outward

Array = NDArray[np.float64]
Ints = NDArray[np.int32]
SPACING = 0.5  # between places of a line, more where there would be too many [mm]
MOST_PLACES, MOST_CELLS = 40_000, 250_000
CHUNK = 65_536  # points at a time: what they take stays in the processor's cache
STRAIGHT = 1e-12  # curvature that bends nothing [1/mm]


class NearCurves:
    """`curves` looked for within `reach` [mm] of their box; points farther off are given the line of the raster's nearest cell."""

    def __init__(self, curves: Sequence[Curve], reach: float):
        from scipy.spatial import cKDTree

        lengths = np.array([c.length for c in curves])
        spacing = max(SPACING, float(lengths.sum()) / MOST_PLACES)
        counts = np.maximum(np.ceil(lengths / spacing).astype(int) + 1, 2)
        self._spacing, self._first = lengths / (counts - 1), np.concatenate([[0], np.cumsum(counts)[:-1]])
        self._last = counts - 1
        self._owner = np.repeat(np.arange(len(curves), dtype=np.int32), counts)
        at = [np.linspace(0.0, c.length, n) for c, n in zip(curves, counts, strict=True)]
        self._s = np.concatenate(at)
        self._p = np.concatenate([c.point(s) for c, s in zip(curves, at, strict=True)])
        self._t = np.concatenate([c.tangent(s) for c, s in zip(curves, at, strict=True)])
        self._n = outward(self._t)
        self._k = np.concatenate([c.curvature(s) for c, s in zip(curves, at, strict=True)])
        self._low = self._p.min(axis=0) - reach
        size = self._p.max(axis=0) + reach - self._low
        self._cell = max(SPACING, float(np.sqrt(size[0] * size[1] / MOST_CELLS)))
        self._shape = np.ceil(size / self._cell).astype(int) + 1
        x, y = (self._low[i] + (np.arange(self._shape[i]) + 0.5) * self._cell for i in (0, 1))
        centres = np.stack(np.meshgrid(x, y, indexing="ij"), axis=-1).reshape(-1, 2)
        self._label = cKDTree(self._p).query(centres)[1].astype(np.int32)

    def project(self, points: Array) -> tuple[Ints, Array, Array]:
        """(line (n,), place s along it (n,), distance to its right (n,)) of points (n, 2) [mm]."""
        n = len(points)
        line, s, u = np.empty(n, np.int32), np.empty(n), np.empty(n)
        for a in range(0, n, CHUNK):
            part = slice(a, min(a + CHUNK, n))
            line[part], s[part], u[part] = self._chunk(points[part])
        return line, s, u

    def outward(self, line: Ints, s: Array) -> Array:
        """Unit normals (n, 2) to the right of travel at the sampled places nearest to places s (n,) of lines (n,)."""
        place = np.rint(s / self._spacing[line]).astype(np.int64)
        return np.asarray(self._n[self._first[line] + np.clip(place, 0, self._last[line])])

    def _chunk(self, points: Array) -> tuple[Ints, Array, Array]:
        cell = ((points - self._low) * (1.0 / self._cell)).astype(np.int64)
        np.clip(cell, 0, self._shape - 1, out=cell)
        place = self._label[cell[:, 0] * self._shape[1] + cell[:, 1]]
        line = self._owner[place]
        first, last, spacing = self._first[line], self._last[line], self._spacing[line]
        s, _ = self._from(points, place)
        nearer = np.rint(s / spacing).astype(np.int64)
        s, u = self._from(points, first + np.clip(nearer, 0, last))
        return line, s, u

    def _from(self, points: Array, place: NDArray[np.integer]) -> tuple[Array, Array]:
        d = points - self._p[place]
        t = np.einsum("ni,ni->n", d, self._t[place])
        n = np.einsum("ni,ni->n", d, self._n[place])
        k = self._k[place]
        one, across = 1.0 + k * n, k * t
        bent = np.abs(k) > STRAIGHT
        step = np.where(bent, np.arctan2(across, one) / np.where(bent, k, 1.0), t)
        u = (k * (t * t + n * n) + 2.0 * n) / (1.0 + np.sqrt(one * one + across * across))
        return self._s[place] + step, u
