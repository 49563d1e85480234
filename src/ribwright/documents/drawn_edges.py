"""The lines that a deviation sheet draws: of a formed part the drawn line of each edge, of a cut blank its cut line."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from ribwright.features.inspected import BLANK
from ribwright.features.laid import LaidEdge
from ribwright.geometry.curve import samples
from ribwright.geometry.offset import outward
from ribwright.stages.plan import Plan
from ribwright.stages.seen_lines import SeenEdge, seen_lines

Array = NDArray[np.float64]
CHORD = 0.02  # mm
LEAST = 61  # points of an edge
SHARES = (0.5, 0.42, 0.58, 0.34, 0.66, 0.26, 0.74, 0.15, 0.85)
SKIN = 0.5  # from where a look across the part begins inside it [mm]


@dataclass(frozen=True, eq=False)
class DrawnEdge:
    """An edge: `along` as typed (n,) [mm] of points close enough to draw it by, `length`; `place` gives points and outward normals
    (m, 2) at places as typed."""

    name: str
    along: Array
    length: float
    place: Callable[[Array], tuple[Array, Array]]


@dataclass(frozen=True, eq=False)
class Lines:
    """All edges by name, and the lines that are drawn: points (n, 2), whether they close."""

    edges: dict[str, DrawnEdge]
    drawn: tuple[tuple[Array, bool], ...]

    @property
    def box(self) -> tuple[float, float, float, float]:
        """(left, bottom, right, top) [mm]."""
        every = np.concatenate([p for p, _ in self.drawn])
        x0, y0, x1, y1 = (float(v) for v in (*every.min(axis=0), *every.max(axis=0)))
        return x0, y0, x1, y1

    @property
    def narrowest(self) -> float:
        """The least width [mm]: from places along the edges straight inward to the other side, or to an opening."""
        sides = shapely.union_all([shapely.LineString([*p, *(p[:1] if closed else ())]) for p, closed in self.drawn])
        least = np.inf
        for e in self.edges.values():
            p, n = e.place(np.array(SHARES) * e.length)
            rays = shapely.linestrings(np.stack([p - SKIN * n, p - 1e4 * n], axis=1))
            far = shapely.distance(shapely.intersection(rays, sides), shapely.points(p))
            least = min(least, float(np.nanmin(far, initial=np.inf)))
        return least


def lines_of(plan: Plan, what: str) -> Lines:
    """The lines of a formed part, or of the cut blank (BLANK)."""
    if what != BLANK:
        edges = {e.edge.name: _of_part(e) for loop in plan.blank.laid for e in loop.edges}
        return Lines(edges, tuple((e.place(e.along)[0], False) for e in edges.values()))
    seen = seen_lines(plan, BLANK)
    return Lines({e.name: _of_blank(e) for e in seen.edges}, tuple((r, True) for r in seen.rings))


def _of_part(e: LaidEdge) -> DrawnEdge:
    s = np.unique(np.concatenate([samples(e.curve, CHORD), np.linspace(0.0, e.curve.length, LEAST)]))

    def place(along: Array) -> tuple[Array, Array]:
        at = np.clip(e.at(along), 0.0, e.curve.length)
        return e.curve.point(at), outward(e.curve.tangent(at))

    return DrawnEdge(e.edge.name, e.along(s), e.drawn.length, place)


def _of_blank(e: SeenEdge) -> DrawnEdge:
    def place(along: Array) -> tuple[Array, Array]:
        at = [e.at(float(x)) for x in along]
        return np.array([p for p, _ in at]), np.array([n for _, n in at])

    return DrawnEdge(e.name, e.along, e.laid.drawn.length, place)
