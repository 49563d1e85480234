"""What a bead lies near: bends and cut edges of the web, holes, cutouts, other beads."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from shapely import LineString, Point
from shapely.geometry.base import BaseGeometry

from ribwright.stages.bead_shapes import BeadShape, bead_shapes
from ribwright.stages.blank import Blank
from ribwright.stages.job import Job

FAR, RAYS = 1e4, 7


@dataclass(frozen=True)
class Near:
    """Something beside a bead: what kind ("edge", "hole", "bead"), its name, and the flat web between it and the bead's rim [mm],
    negative where they overlap."""

    kind: str
    name: str
    gap: float


@dataclass(frozen=True, eq=False)
class Room:
    """A bead with what lies near it, the nearest first. `web`, `far`: flat web that stretches with it on its closer and on its wider side,
    to the bend of a flange or half way to the next bead [mm]; `ends_free`: the wider side ends at an edge without a flange."""

    shape: BeadShape
    near: tuple[Near, ...]
    web: float
    far: float
    ends_free: bool

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
        near = [Near("edge", e.name, gap - half) for e, gap in zip(lines, _gaps(line, lines), strict=True)]
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
        (web, _), (far, free) = sorted(
            _beside(s, lines, [o for o in shapes if o is not s], side) for side in (1.0, -1.0)
        )
        out.append(Room(s, tuple(sorted(near, key=lambda n: n.gap)), web, far, free))
    return tuple(out)


def _beside(s: BeadShape, lines: list[End], others: list[BeadShape], side: float) -> tuple[float, bool]:
    """(least flat web on one side of a bead [mm], whether it ends at an edge without a flange), looked for square to its path."""
    best, free = FAR, True
    for p, q in pairwise(s.path):
        u = (q - p) / np.linalg.norm(q - p)
        way = side * np.array([-u[1], u[0]])
        for share in np.linspace(0.0, 1.0, RAYS):
            at = p + share * (q - p)
            ray, here = LineString([at, at + FAR * way]), Point(at)
            for end in lines:
                hit = ray.intersection(end.line)
                if not hit.is_empty and here.distance(hit) - s.bead.width / 2 < best:
                    best, free = here.distance(hit) - s.bead.width / 2, not end.flanged
            for o in others:
                hit = ray.intersection(LineString(o.path).buffer(o.bead.width / 2))
                if not hit.is_empty and (here.distance(hit) - s.bead.width / 2) / 2 < best:
                    best, free = (here.distance(hit) - s.bead.width / 2) / 2, False
    return max(best, 0.0), free


def _slot(at: tuple[float, float], slot: float, angle: float) -> BaseGeometry:
    if not slot:
        return Point(at)
    way = np.array([np.cos(np.radians(angle)), np.sin(np.radians(angle))]) * slot / 2
    return LineString([np.array(at) - way, np.array(at) + way])


def _gaps(line: LineString, ends: list[End]) -> list[float]:
    """Distance of a path from each end of the web; where points of it lie outside, how far they are past the nearest end, negative."""
    gaps = [float(line.distance(e.line)) for e in ends]
    for p in (Point(c) for c in line.coords):
        past = [k for k, e in enumerate(ends) if not e.inside.contains(p)]
        if past:
            k = min(past, key=lambda k: float(ends[k].line.distance(p)))
            gaps[k] = min(gaps[k], -float(ends[k].line.distance(p)))
    return gaps


@dataclass(frozen=True, eq=False)
class End:
    """Where the flat web ends at an edge: its bend tangent line, the cut edge where it has no flange; `inside`: the web as if the loop of
    that edge alone bounded it."""

    name: str
    line: LineString
    inside: BaseGeometry
    flanged: bool


def web_ends(blank: Blank) -> list[End]:
    """The ends of the flat web, edge by edge."""
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
            rows.append((e.edge.name, points, strip is not None))
        ring = Polygon(np.concatenate([p for _, p, _ in rows])).buffer(0)
        inside = ring if k == 0 else box(-1e6, -1e6, 1e6, 1e6).difference(ring)
        out += [End(name, LineString(points), inside, flanged) for name, points, flanged in rows]
    return out
