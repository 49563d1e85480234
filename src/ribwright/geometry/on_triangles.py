"""Values that triangles carry, read at points: at their corners by a plane through the neighbours', in between straight.

A triangle's value stands for its middle. At a corner it is what the plane of least squares through the middles round that node has
there (the recovery of Zienkiewicz and Zhu 1992, of values instead of stresses): one ring of triangles inside, two at a boundary. Triangles
of different groups do not mix: a jump between groups stays one.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.sparse import csr_array

Array = NDArray[np.float64]
Ints = NDArray[np.int64]
FLAT = 1e-9  # of a patch's own spread: a slope that the patch hardly says is left near nought


def corner_values(places: Array, triangles: Ints, values: Array, group: Ints) -> Array:
    """(T, 3, k): values (T, k) of triangles (T, 3) at their corners; places (N, 2), group (T,) number of the group of each."""
    out = np.zeros((len(triangles), 3, values.shape[1]))
    for g in np.unique(group):
        mine = np.flatnonzero(group == g)
        out[mine] = _nodal(places, triangles[mine], values[mine])[triangles[mine]]
    return out


def _nodal(places: Array, triangles: Ints, values: Array) -> Array:
    """(N, k), zero at nodes that no triangle has."""
    n, k = len(places), values.shape[1]
    node, of = _patches(n, triangles)
    corners = places[triangles]
    u, v = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    area = np.abs(u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]) / 2.0
    away, w = corners.mean(axis=1)[of] - places[node], area[of]
    spread = np.sqrt(np.bincount(node, w * np.sum(away**2, axis=1), n) / np.maximum(np.bincount(node, w, n), 1e-300))
    scaled = away / np.maximum(spread, 1e-300)[node, None]
    basis = np.stack([np.ones(len(of)), scaled[:, 0], scaled[:, 1]], axis=1)
    square = np.zeros((n, 3, 3))
    for a in range(3):
        for b in range(3):
            square[:, a, b] = np.bincount(node, w * basis[:, a] * basis[:, b], n)
    right = np.stack(
        [[np.bincount(node, w * basis[:, a] * values[of, c], n) for c in range(k)] for a in range(3)], axis=0
    )
    total = np.maximum(square[:, 0, 0], 1e-300)
    square += np.array([0.0, FLAT, FLAT])[None, :, None] * np.eye(3) * total[:, None, None]
    there = square[:, 0, 0] > 0.0
    out = np.zeros((n, k))
    out[there] = np.linalg.solve(square[there], right.transpose(2, 0, 1)[there])[:, 0]
    return out


def _patches(n: int, triangles: Ints) -> tuple[Ints, Ints]:
    """(node, triangle) pairs of every node's patch."""
    count = len(triangles)
    ring = csr_array((np.ones(3 * count), (triangles.ravel(), np.repeat(np.arange(count), 3))), shape=(n, count))
    sides = np.sort(np.concatenate([triangles[:, [0, 1]], triangles[:, [1, 2]], triangles[:, [2, 0]]]), axis=1)
    ends, times = np.unique(sides, axis=0, return_counts=True)
    edge = np.unique(ends[times == 1])
    wide = (ring[edge] @ ring.T @ ring).tocoo()
    one = ring.tocoo()
    inside = np.ones(n, bool)
    inside[edge] = False
    keep = inside[one.row]
    return np.concatenate([one.row[keep], edge[wide.row]]), np.concatenate([one.col[keep], wide.col])


@dataclass(frozen=True, eq=False)
class Triangles:
    """Plane triangles (T, 3) over places (N, 2) in which points are looked for."""

    places: Array
    triangles: Ints

    @cached_property
    def _tree(self) -> shapely.STRtree:
        corners = self.places[self.triangles]
        polygons = np.asarray(shapely.polygons(np.concatenate([corners, corners[:, :1]], axis=1)))
        return shapely.STRtree(polygons)

    def find(self, points: Array) -> tuple[Ints, Array]:
        """The triangle each of points (n, 2) lies in, -1 outside, and its shares (n, 3) of the corners, NaN outside. On a shared side the
        triangle of the lower number answers."""
        which = np.full(len(points), -1)
        at, tri = self._tree.query(shapely.points(points), predicate="intersects")
        order = np.lexsort((-tri, at))
        which[at[order]] = tri[order]
        found = which >= 0
        shares = np.full((len(points), 3), np.nan)
        a, b, c = (self.places[self.triangles[which[found], i]] for i in range(3))
        whole = _cross(b - a, c - a)
        second, third = _cross(points[found] - a, c - a) / whole, _cross(b - a, points[found] - a) / whole
        shares[found] = np.stack([1.0 - second - third, second, third], axis=1)
        return which, shares


def _cross(a: Array, b: Array) -> Array:
    return np.asarray(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0])
