"""The plane that most points of a cloud lie near, strays and other faces borne.

Planes through three points drawn at random are tried; the one with the most points within `within` is taken (random sample consensus,
Fischler and Bolles, Comm. ACM 24 (1981) 381, from memory) and fitted to those by least squares of their distances, again with what then
lies near. The draw is seeded: the same points give the same plane.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
LOOKED_AT, TRIALS, AGAIN = 2500, 300, 4


@dataclass(frozen=True, eq=False)
class Plane:
    """normal . p = offset, `normal` (3,) a unit vector; `share` of the points that lie near it."""

    normal: Array
    offset: float
    share: float

    def height(self, points: Array) -> Array:
        """How far points (n, 3) stand off the plane along its normal [mm]."""
        return np.asarray(points @ self.normal - self.offset)


def main_plane(points: Array, within: float, along: Array | None = None, most_tilt: float = 0.5) -> Plane | None:
    """The plane with the most points within `within` [mm]; with `along` (3,) only such whose normal lies within `most_tilt` [rad] of it.
    None where three points of no such plane were drawn."""
    rng = np.random.default_rng(7)
    some = points if len(points) <= LOOKED_AT else points[rng.integers(0, len(points), LOOKED_AT)]
    drawn = some[rng.integers(0, len(some), (TRIALS, 3))]
    normals = np.cross(drawn[:, 1] - drawn[:, 0], drawn[:, 2] - drawn[:, 0])
    size = np.linalg.norm(normals, axis=1)
    good = size > 1e-9
    normals = normals[good] / size[good, None]
    offsets = np.einsum("ni,ni->n", normals, drawn[good, 0])
    if along is not None:
        near = np.abs(normals @ along) > np.cos(most_tilt)
        normals, offsets = normals[near], offsets[near]
    if not len(normals):
        return None
    counts = np.sum(np.abs(some @ normals.T - offsets) < within, axis=0)
    best = int(np.argmax(counts))
    plane = Plane(normals[best], float(offsets[best]), 0.0)
    for _ in range(AGAIN):
        near = np.abs(plane.height(some)) < within
        if near.sum() < 3:
            return None
        middle = some[near].mean(axis=0)
        normal = np.linalg.svd(some[near] - middle, full_matrices=False)[2][2]
        plane = Plane(normal * np.sign(normal @ plane.normal or 1.0), 0.0, float(near.mean()))
        plane = Plane(plane.normal, float(plane.normal @ middle), plane.share)
    return plane
