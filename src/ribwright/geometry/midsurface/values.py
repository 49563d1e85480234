"""What the mesh of a formed part is: nodes, triangles, boundary cycles, and where each belongs.

The web's mid-surface lies in z = 0 under the drawn outline; flanges turned down go to z < 0. Seen from z > 0 outer cycles run
counter-clockwise and openings clockwise, so that material is always on the left.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Ints = NDArray[np.int64]

WEB, BEND, FLANGE = 0, 1, 2
# what a stretch of the boundary is: free edge of a flange, cut end of a flange, relief, plain edge of the web, plain hole
FREE, END, RELIEF, PLAIN, HOLE = 0, 1, 2, 3, 4


@dataclass(frozen=True, eq=False)
class Cycle:
    """One closed cycle of boundary nodes, material on its left.

    nodes  (n,) node numbers, the first not repeated
    kind   (n,) FREE, END, RELIEF, PLAIN or HOLE of the stretch from each node to the next
    place  (n,) number of the edge or hole the stretch belongs to; of a relief, the edge before it
    """

    nodes: Ints
    kind: Ints
    place: Ints


@dataclass(frozen=True, eq=False)
class FormedMesh:
    """The mid-surface of a formed part. N nodes, T triangles; lengths mm.

    nodes      (N, 3) on the mid-surface of the formed part
    normals    (N, 3) unit normals of that surface, not of the triangles; +z on the web
    triangles  (T, 3) node numbers, turning counter-clockwise seen against the normals
    part_of    (T,) WEB, BEND or FLANGE
    place_of   (T,) number of the edge or hole a bend or flange belongs to; -1 on the web
    along      (T, 3) unit meridian of a bend's triangle, in its plane, away from the web; zero elsewhere
    allowance  (T,) factor on a bend triangle's extent along `along` for the bend allowance; 1 elsewhere:
               (R + Kf t) dphi / (2 Rm sin(dphi/2)), dphi the angle the triangle spans, R + Kf t the neutral radius,
               Rm the mid-surface's (the chord of the triangle against the neutral fibre's arc)
    held       (N,) nodes of the flat web, those on the bend tangent lines included
    start      (N, 2) where the strain-corrected closed form puts the node in the flat
    size       element size asked for [mm]
    """

    nodes: Array
    normals: Array
    triangles: Ints
    part_of: NDArray[np.int8]
    place_of: Ints
    along: Array
    allowance: Array
    held: NDArray[np.bool_]
    start: Array
    loops: tuple[Cycle, ...]
    size: float

    @property
    def areas(self) -> Array:
        """Area of each triangle as formed (T,) [mm2]."""
        a, b, c = (self.nodes[self.triangles[:, k]] for k in range(3))
        return np.asarray(np.linalg.norm(np.cross(b - a, c - a), axis=1) / 2)

    @property
    def flat_areas(self) -> Array:
        """Signed area of each triangle at its start in the flat (T,) [mm2]; negative: turned over."""
        a, b, c = (self.start[self.triangles[:, k]] for k in range(3))
        u, v = b - a, c - a
        return np.asarray((u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]) / 2)


@dataclass(frozen=True)
class NoMesh:
    """Why no mesh was made, `at` the place in the flat [mm], `places` the edges or holes concerned.

    why  "folds"        a flange's surface folds
         "closes"       it has no flat
         "no-straight"  nothing of it stands past its bend
         "used-up"      nothing is left of an edge between its ends
         "relief"       a relief circle does not cut the outline at its corner
         "web-crosses"  the web's boundary crosses itself
         "edge-lost"    a boundary edge could not be had in the triangulation: another one crosses it or a node lies on it
    """

    why: str
    at: tuple[float, float]
    places: tuple[int, ...] = ()
