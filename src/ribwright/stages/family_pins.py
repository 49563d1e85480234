"""One pattern of locating pins for all parts of a family, where there is one: a proposal, and no drawn pin is moved.

A pattern is a set of holes by their distances from the first of them; it is laid on a part by a shift alone, for the parts lie alike
in their coordinates. A hole of diameter d may lie where its rim keeps `hole_to_bend` thicknesses of the practice file off every bend
tangent line and edge of the flat web, and WEB_LEFT thicknesses (common practice) off every other hole. With A(d) the places that leaves on
a part, a pattern p_i goes on it where

    shift in the intersection of A(d_i) - p_i

is not empty: exact for polygons, so that "does not fit" is no matter of search. Patterns are tried as drawn on each part, then drawn
nearer together in steps of 2 %; the one that most parts take is proposed, of those the widest, for pins far apart locate best. What is
proposed is then judged by the checks of every plan (`judged`): a hole too near, or a blank that would go on the wrong way round.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from shapely import LinearRing, MultiPolygon, Point, Polygon
from shapely.affinity import translate
from shapely.geometry.base import BaseGeometry
from shapely.ops import polylabel, unary_union

from ribwright.features.part import Hole, Part
from ribwright.stages.checks.context import Looked
from ribwright.stages.checks.hole_place import web_lines
from ribwright.stages.finding import Finding
from ribwright.stages.plan import Plan, make_plan

Pair = tuple[float, float]
WEB_LEFT = 2.0  # thicknesses of web between a pin hole and another hole's rim or tangent circle: common practice
NEARER = tuple(round(1.0 - 0.02 * k, 2) for k in range(1, 31))
GRID = {"in": 0.05 * 25.4, "mm": 1.0}  # what proposed places are rounded to [mm]
AGAINST = ("hole-in-bend", "hole-near-bend", "relief-meets-hole", "wrong-laying", "one-pin-turns")
LOOK = "wrong-laying-seen"
ROUND_ERROR = 0.01  # of circles as polygons: rims are kept off by this much more [mm]


@dataclass(frozen=True)
class Pattern:
    """Holes by their places from the first one [mm]; `source`: the part they are drawn on, `share` how far they are drawn nearer."""

    holes: tuple[Hole, ...]
    source: str
    share: float = 1.0

    @property
    def offsets(self) -> tuple[Pair, ...]:
        """Places from the first hole [mm]."""
        x, y = self.holes[0].at
        return tuple((h.at[0] - x, h.at[1] - y) for h in self.holes)

    @property
    def span(self) -> float:
        """The largest distance of two holes [mm]."""
        p = np.array(self.offsets)
        return float(np.max(np.hypot(*(p[:, None] - p[None, :]).T)))


@dataclass(frozen=True)
class Taken:
    """One part and the pattern. `first` where its first hole lies [mm], None where it does not go on; `as_drawn`: the part has it already;
    `why`: what is in the way; `look`: what a press hand must look at with these pins."""

    number: str
    first: Pair | None
    as_drawn: bool = False
    why: str = ""
    look: str = ""


@dataclass(frozen=True)
class CommonPins:
    """The pattern that most parts take, None where no part has two pins; `parts` in the family's order."""

    pattern: Pattern | None
    parts: tuple[Taken, ...] = ()

    @property
    def all(self) -> bool:
        """Whether every part takes it."""
        return self.pattern is not None and all(t.first is not None for t in self.parts)


def common_pins(plans: Sequence[Plan]) -> CommonPins:
    """The proposal for these parts, the base first. Units of the base part's shop decide what places are rounded to."""
    webs = [_Web(p) for p in plans]
    drawn = [p for w in webs if (p := w.drawn()) is not None]
    if not drawn:
        return CommonPins(None)
    grid = GRID["mm" if (plans[0].job.shop.units or plans[0].job.part.units) == "mm" else "in"]
    tried = _best([_laid(webs, p, grid) for p in drawn])
    if not tried.all:
        # from the widest on: the first that all take is the widest of those
        nearer = (_nearer(p, share, grid) for share in NEARER for p in drawn)
        tried = next((t for p in nearer if (t := _laid(webs, p, grid)).all), tried)
    return tried


def with_pins(part: Part, pattern: Pattern, first: Pair) -> Part:
    """The part with the pattern's holes in the place of its own pin holes: to be judged, not to be made."""
    holes = tuple(
        replace(h, at=(first[0] + dx, first[1] + dy))
        for h, (dx, dy) in zip(pattern.holes, pattern.offsets, strict=True)
    )
    return replace(part, holes=(*(h for h in part.holes if h.kind != "tooling"), *holes))


def judged(common: CommonPins, plans: Sequence[Plan]) -> CommonPins:
    """The proposal with every part planned again with it: where a check of pins or holes then finds what it does not find on the part as
    drawn, the part does not take it, and the finding says why."""
    if common.pattern is None:
        return common
    parts = tuple(_judged(common.pattern, t, p) for t, p in zip(common.parts, plans, strict=True))
    return replace(common, parts=parts)


def _judged(pattern: Pattern, taken: Taken, plan: Plan) -> Taken:
    if taken.first is None or taken.as_drawn:
        return taken
    tried = make_plan(replace(plan.job, part=with_pins(plan.job.part, pattern, taken.first), sections=None))
    known = {_subject(f) for f in plan.findings}
    new = [f for f in tried.findings if _subject(f) not in known]
    against = next((f.say for f in new if f.code in AGAINST), "")
    look = next((f.say for f in new if f.code == LOOK), "")
    return replace(taken, first=None, why=against) if against else replace(taken, look=look)


def _subject(f: Finding) -> tuple[str, str]:
    return f.code, str(f.where.get("hole"))


def _best(laid: list[CommonPins]) -> CommonPins:
    return max(laid, key=lambda c: (sum(t.first is not None for t in c.parts), c.pattern.span if c.pattern else 0.0))


def _laid(webs: list[_Web], pattern: Pattern, grid: float) -> CommonPins:
    return CommonPins(pattern, tuple(w.taken(pattern, grid) for w in webs))


def _nearer(pattern: Pattern, share: float, grid: float) -> Pattern:
    """The pattern with its places drawn together and rounded; slots and diameters stay."""
    x, y = pattern.holes[0].at
    at = [(x + _to(share * dx, grid), y + _to(share * dy, grid)) for dx, dy in pattern.offsets]
    holes = tuple(replace(h, at=p) for h, p in zip(pattern.holes, at, strict=True))
    return Pattern(holes, pattern.source, share)


def _to(v: float, grid: float) -> float:
    return float(np.round(v / grid) * grid) if grid else v


class _Web:
    """One part's flat web, and where on it a pin hole may lie."""

    def __init__(self, plan: Plan):
        self.part = plan.job.part
        looked = Looked(plan.job, plan.blank, plan.block)
        self.length = looked.length
        self.keep = plan.job.catalogue.practice["hole_to_bend"].value * plan.job.t
        self.left = WEB_LEFT * plan.job.t
        self.lines = web_lines(looked)
        rings = [np.concatenate([ln.coords for k, _, ln in self.lines if k == n]) for n in range(len(plan.blank.laid))]
        web: BaseGeometry = Polygon(rings[0]).buffer(0)
        for ring in rings[1:]:
            web = web.difference(Polygon(ring).buffer(0))
        self.web = web
        self.others = [
            (
                f"hole {h.hole.name}",
                Point(h.hole.at).buffer(((h.tangent_diameter or h.cut_diameter) + h.hole.slot) / 2 + ROUND_ERROR, 64),
            )
            for h in plan.blank.holes
            if h.hole.kind != "tooling"
        ]
        self.known: dict[float, BaseGeometry] = {}

    def drawn(self) -> Pattern | None:
        """The part's own pin holes, two or more."""
        pins = tuple(h for h in self.part.holes if h.kind == "tooling")
        return Pattern(pins, self.part.number) if len(pins) > 1 else None

    def room(self, hole: Hole) -> BaseGeometry:
        """Where the middle of this hole may lie."""
        radius = hole.diameter / 2 + hole.slot / 2
        if radius not in self.known:
            edge = unary_union([LinearRing(r.coords) for r in _rings(self.web)]).buffer(self.keep + radius, 64)
            others = unary_union([shape.buffer(self.left + radius, 64) for _, shape in self.others])
            self.known[radius] = self.web.difference(edge).difference(others)
        return self.known[radius]

    def taken(self, pattern: Pattern, grid: float) -> Taken:
        """Where the pattern goes on, its own place first."""
        own = self.drawn()
        if own is not None and _same(own, pattern):
            return Taken(self.part.number, own.holes[0].at, as_drawn=True)
        places: BaseGeometry = self.room(pattern.holes[0])
        for hole, (dx, dy) in zip(pattern.holes[1:], pattern.offsets[1:], strict=True):
            places = places.intersection(translate(self.room(hole), -dx, -dy))
        if places.area <= 0.0:
            return Taken(self.part.number, None, why=self._why(pattern))
        return Taken(self.part.number, self._first(places, grid))

    def _first(self, places: BaseGeometry, grid: float) -> Pair:
        """The first hole's own place where it may stay, else the middle of the largest room, rounded where that still lies in it."""
        own = next((h.at for h in self.part.holes if h.kind == "tooling"), None)
        if own is not None and places.covers(Point(own)):
            return own
        largest = max(_polygons(places), key=lambda p: p.area)
        deep = polylabel(largest, max(largest.length * 1e-3, 1e-3))
        rounded = Point(_to(deep.x, grid), _to(deep.y, grid))
        at = rounded if places.covers(rounded) else deep
        return float(at.x), float(at.y)

    def _why(self, pattern: Pattern) -> str:
        """The hole that is farthest from where it may lie, with the pattern's middle on the middle of the web."""
        p = np.array(pattern.offsets)
        shift = np.array([self.web.centroid.x, self.web.centroid.y]) - (p.min(axis=0) + p.max(axis=0)) / 2
        worst = max(zip(pattern.holes, p + shift, strict=True), key=lambda hp: self.room(hp[0]).distance(Point(hp[1])))
        hole, at = worst[0], Point(worst[1])
        short = self.room(hole).distance(at)
        if short <= 0.0:
            return "no one shift keeps every hole clear of bends and other holes"
        near = [(line.distance(at), f"the bend at {name}") for _, name, line in self.lines]
        near += [(shape.distance(at), name) for name, shape in self.others]
        return f"with the pattern on the middle of its web, {hole.name} lies {self.length(short)} outside its room, next to {min(near)[1]}"


def _same(a: Pattern, b: Pattern) -> bool:
    """Whether the holes are the same to 1e-6 mm, places and sizes."""
    if len(a.holes) != len(b.holes):
        return False
    sizes = [[(h.diameter, h.slot, h.slot_angle) for h in p.holes] for p in (a, b)]
    return np.allclose(sizes[0], sizes[1], atol=1e-6) and np.allclose(a.offsets, b.offsets, atol=1e-6)


def _rings(shape: BaseGeometry) -> list[LinearRing]:
    return [r for p in _polygons(shape) for r in (p.exterior, *p.interiors)]


def _polygons(shape: BaseGeometry) -> list[Polygon]:
    if isinstance(shape, Polygon):
        return [] if shape.is_empty else [shape]
    if isinstance(shape, MultiPolygon):
        return list(shape.geoms)
    return [p for g in getattr(shape, "geoms", []) for p in _polygons(g)]
