"""What a bead lies near: bends and cut edges of the web, holes, cutouts, other beads."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from shapely import LineString, Point
from shapely.geometry.base import BaseGeometry

from ribwright.stages.bead_shapes import BeadShape, bead_shapes
from ribwright.stages.blank import Blank
from ribwright.stages.job import Job


@dataclass(frozen=True)
class Near:
    """Something beside a bead: what kind ("edge", "hole", "bead"), its name, and the flat web between it and the bead's rim [mm],
    negative where they overlap."""

    kind: str
    name: str
    gap: float


@dataclass(frozen=True, eq=False)
class Room:
    """A bead with what lies near it, the nearest of each kind first. `web`: flat web beside it that stretches with it, to the bend of the
    nearest flange or half way to the next bead, whichever is less [mm]."""

    shape: BeadShape
    near: tuple[Near, ...]
    web: float

    def nearest(self, kind: str) -> Near | None:
        """The nearest of a kind."""
        return min((n for n in self.near if n.kind == kind), key=lambda n: n.gap, default=None)


def rooms(job: Job, blank: Blank) -> tuple[Room, ...]:
    """One a bead, in the order of the file."""
    shapes = bead_shapes(job)
    lines = web_ends(blank)
    lying = {s.number: LineString(s.path) for s in shapes}
    out = []
    for s in shapes:
        line, half = lying[s.number], s.bead.width / 2
        near = [Near("edge", name, _signed(line, other, outer) - half) for name, other, outer in lines]
        for h in blank.holes:
            radius = (h.tangent_diameter or h.cut_diameter) / 2
            near.append(
                Near(
                    "hole",
                    h.hole.name,
                    float(line.distance(_slot(h.hole.at, h.hole.slot, h.hole.slot_angle))) - radius - half,
                )
            )
        for other in shapes:
            if other is not s:
                gap = float(line.distance(lying[other.number])) - half - other.bead.width / 2
                near.append(Near("bead", str(other.number), gap))
        web = min([n.gap / 2 if n.kind == "bead" else n.gap for n in near if n.kind != "hole"], default=0.0)
        out.append(Room(s, tuple(sorted(near, key=lambda n: n.gap)), max(web, 0.0)))
    return tuple(out)


def _slot(at: tuple[float, float], slot: float, angle: float) -> BaseGeometry:
    if not slot:
        return Point(at)
    way = np.array([np.cos(np.radians(angle)), np.sin(np.radians(angle))]) * slot / 2
    return LineString([np.array(at) - way, np.array(at) + way])


def _signed(line: LineString, other: LineString, inside: BaseGeometry) -> float:
    """Distance, negative by how far the path reaches past the web's end there."""
    if inside.contains(line):
        return float(line.distance(other))
    return (
        -float(max(other.distance(Point(p)) for p in line.coords if not inside.contains(Point(p))))
        if any(not inside.contains(Point(p)) for p in line.coords)
        else 0.0
    )


def web_ends(blank: Blank) -> list[tuple[str, LineString, BaseGeometry]]:
    """(edge, line, the web as if that loop alone bounded it) where the flat web ends: bend tangent lines, cut edges elsewhere."""
    from shapely import Polygon, box

    out = []
    for k, loop in enumerate(blank.laid):
        rows = []
        for i, e in enumerate(loop.edges):
            strip = next((s for s in blank.strips if s.loop == k and i in s.run.edges), None)
            points = (
                strip.at.tangent[strip.at.edge == i]
                if strip
                else e.curve.point(np.linspace(0, e.curve.length, 60 if e.edge.kind != "line" else 2))
            )
            rows.append((e.edge.name, points))
        ring = Polygon(np.concatenate([p for _, p in rows])).buffer(0)
        inside = ring if k == 0 else box(-1e6, -1e6, 1e6, 1e6).difference(ring)
        out += [(name, LineString(points), inside) for name, points in rows]
    return out
