"""Which place of a part is laid under the pad, and the half section there: block, room beside it, container.

The pad model knows a plane section, the same on both sides of the block's middle:

    edge     where the planes of web face and wall meet: R_b tan(w/2) outward of the bend tangent line
    half     from the block's middle to that edge: half the block square to the edge at the place, but no more than half its
             least width in plan, for the rubber over a long block flows out the shorter way
    beside   from that edge, square to it, to the container's wall as the block stands on the table; of a loose pad to its edge
    room     what of it is counted: in a container no more than four times the half block, or than the pad is thick where that is
             more; rubber further off costs time and moved the closing pressure by 1.5 and 4 % in two cases (a slow test)

What the rubber takes in all to fill the container beside the whole block is told besides, by volume: H (1 - block's area/opening).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ribwright.errors import Fault, InputError, UnitError, nearest
from ribwright.features.laid import LaidEdge, LaidLoop
from ribwright.stages.pads import is_loose, pad_area
from ribwright.stages.places import Place, places_of
from ribwright.stages.placing import middle_of, turned_points
from ribwright.stages.plan import Plan
from ribwright.stages.setup import Setup
from ribwright.stages.undercut import kept_arc_radius
from ribwright.units import length_mm

Array = NDArray[np.float64]

AS_ASKED = "as asked for"
GOVERNS = "asks for most pressure among the straight places"
ALL_CURVED = "asks for most pressure; the part has no straight place"
CURVED = "the flange is curved in plan, and the pad model knows straight flanges only"
HOLE = "the flange of a hole is a ring, and the pad model knows straight flanges only"
CUTOUT = "the flange of a cutout has a window beside it, and the pad model knows a container's wall only"
ROOM = 4.0  # times the half block: room beside it that is counted
EVERY_DEG = 1.0  # between the directions in which the block's least width is looked for


@dataclass(frozen=True)
class Chosen:
    """The place, how it came to be taken, and why the pad model does not know it ("" where it does)."""

    place: Place
    how: str
    why_not: str


@dataclass(frozen=True)
class HalfSection:
    """Lengths mm. `across`: the block square to the edge at the place; `narrow`: its least width in plan; `half`, `beside`, `room` as
    above, `beside` negative where the block hangs over. `fill`: how far the ram comes down until the rubber has filled the whole
    container beside the block; None under a loose pad."""

    across: float
    narrow: float
    half: float
    beside: float
    room: float
    height: float
    fill: float | None

    @property
    def half_width(self) -> float:
        """From the block's middle to the container's wall as it is counted, or to the edge of a loose pad."""
        return self.half + self.room


def choose(plan: Plan, typed: str) -> Chosen:
    """The place called `typed`: NAME, or NAME at LENGTH for the place of a forecast nearest to there. "": the one that asks for
    most pressure among the straight ones. InputError for a name that is not there."""
    places = places_of(plan.job, plan.blank)
    if not places:
        allowed = "a part with a flange that leaves a straight part past its bend"
        raise InputError([Fault("command line", "--pad", "no place to take a section at", allowed)])
    if typed:
        place, how = _called(plan, places, typed), AS_ASKED
    else:
        straight = [p for p in places if not why_not(plan, p)]
        place, how = _hardest(plan, straight or list(places)), GOVERNS if straight else ALL_CURVED
    return Chosen(place, how, why_not(plan, place))


def why_not(plan: Plan, place: Place) -> str:
    """Why the pad model does not know a place, in words; "" where it does."""
    if "hole" in place.where:
        return HOLE
    if place.curved:  # also where flutes or wrinkles let its hoop out and its section is taken as straight
        return CURVED
    return "" if _loop_of(plan, place.owner).loop.name == "web" else CUTOUT


def straight_names(plan: Plan) -> tuple[str, ...]:
    """The edges with a place that the pad model knows, in the order of the blank."""
    return tuple(dict.fromkeys(p.owner for p in places_of(plan.job, plan.blank) if not why_not(plan, p)))


def _hardest(plan: Plan, places: list[Place]) -> Place:
    """The place that asks for most pressure: by its flange's demand, then by the shortest straight part, then the first."""
    assert plan.setup is not None
    asked = {str(d.where.get("edge", d.where.get("hole"))): d.need.value for d in plan.setup.demands}
    return max(places, key=lambda p: (asked.get(p.owner, 0.0), -p.straight))


def _called(plan: Plan, places: tuple[Place, ...], typed: str) -> Place:
    name, _, at = (w.strip() for w in typed.partition(" at "))
    name = name.removeprefix("hole ").strip()
    mine = [p for p in places if p.owner == name]
    if not mine:
        known = tuple(dict.fromkeys(p.owner for p in places))
        allowed = f"one of {', '.join(known)}, or like '{known[0]} at 2 in'"
        raise InputError([Fault("command line", "--place", repr(typed), allowed, nearest(name, known))])
    if not at:
        straight = [p for p in mine if not why_not(plan, p)]
        return _hardest(plan, straight or mine)
    unit = plan.job.shop.units or plan.job.part.units
    try:
        along = length_mm(at, "in" if unit == "in" else "mm")
    except UnitError as wrong:
        raise InputError([Fault("command line", "--place", wrong.found, wrong.allowed)]) from wrong
    return min(mine, key=lambda p: abs(p.along - along))


def _loop_of(plan: Plan, edge: str) -> LaidLoop:
    return next(loop for loop in plan.blank.laid if any(e.edge.name == edge for e in loop.edges))


def half_section(plan: Plan, place: Place, undercut: float) -> HalfSection:
    """The half section at a place of an outer edge, on a block that leans `undercut` [deg] past the bend angle there."""
    assert plan.setup is not None
    setup, block = plan.setup, plan.block
    edge = next(e for e in _loop_of(plan, place.owner).edges if e.edge.name == place.owner)
    at, inward = _edge_point(edge, place, undercut, plan.job.t)
    across = min(_across(outline, at, inward) for outline in block.outlines)
    narrow = least_width(block.outlines[0])
    loose, beside = is_loose(setup.press), _beside(plan, setup, at, -inward)
    fill = None if loose else block.height * (1.0 - block.bearing_area / pad_area(setup.press))
    half = min(across, narrow) / 2.0
    room = beside if loose else min(beside, max(ROOM * half, setup.press.pad.thickness_mm))
    return HalfSection(across, narrow, half, beside, room, block.height, fill)


def _edge_point(edge: LaidEdge, place: Place, undercut: float, t: float) -> tuple[Array, Array]:
    """Where the planes of web face and wall meet at the place, and the way inward from there, square to the edge."""
    s = edge.at(np.array([place.along]))
    way = edge.curve.tangent(s)[0]
    inward = np.array([-way[1], way[0]]) / float(np.hypot(*way))  # metal lies to the left of the travel
    radius = float(kept_arc_radius(place.radius, t, np.array(place.angle), np.array(undercut)))
    inset = float(edge.tangent_inset(s)[0]) - radius * float(np.tan(np.radians(place.angle + undercut) / 2.0))
    return edge.curve.point(s)[0] + inset * inward, inward


def _across(outline: Array, at: Array, inward: Array) -> float:
    """From a point of the block's edge straight across to the first other edge of an outline [mm]; infinite where there is none."""
    side = np.array([-inward[1], inward[0]])
    p = outline - at
    u, v = p @ inward, p @ side
    u1, v1 = np.roll(u, -1), np.roll(v, -1)
    cut = (v <= 0.0) != (v1 <= 0.0)
    met = u[cut] - v[cut] * (u1[cut] - u[cut]) / (v1[cut] - v[cut])
    far = met[met > 1.0]  # not the edge that the point itself lies on
    return float(far.min(initial=np.inf))


def least_width(outline: Array) -> float:
    """Least distance of two parallel lines that hold the outline between them [mm]; looked for every degree."""
    a = np.radians(np.arange(0.0, 180.0, EVERY_DEG))
    reach = outline @ np.stack([np.cos(a), np.sin(a)])
    return float(np.ptp(reach, axis=0).min())


def _beside(plan: Plan, setup: Setup, at: Array, outward: Array) -> float:
    """From a point of the block's edge outward to the container's wall, the block standing where the set-up puts it [mm]."""
    turn = setup.turned_deg
    stands = turned_points(at[None, :], turn)[0] - middle_of(plan.block, turn) + np.array(setup.place.at)
    way = turned_points(outward[None, :], turn)[0]
    ends = np.array(setup.press.pad.size_mm) / 2.0
    rows = [(e - np.sign(w) * x) / abs(w) for e, w, x in zip(ends, way, stands, strict=True) if abs(w) > 1e-9]
    return float(min(rows))
