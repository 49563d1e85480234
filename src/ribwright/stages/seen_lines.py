"""What is seen of a piece square above its web: the lines that a traced outline is held against, edge by edge.

    blank   the cut line and its openings, flanges flat
    part    the silhouette of the formed part. In the section square to an edge, from the bend tangent line outward, a the angle from flat,
            R inside radius, t thickness, L straight part of the flange:
                a < 90 deg    (R + t) sin a + L cos a     outer corner of the free edge: an open flange leans out
                a >= 90 deg   R + t                       the bend itself; at 90 deg that is the outside mold line
            web and reliefs as cut, a flanged hole's smallest opening

The silhouette of a flange hangs on its angle; `reach` says how far, so that an angle that nobody measured can be counted as uncertainty.
Geometry alone; the flange is taken as straight in its section.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.polygon import orient

from ribwright.features.inspected import BLANK
from ribwright.features.laid import LaidEdge
from ribwright.features.part import Hole
from ribwright.geometry.curve import samples
from ribwright.geometry.offset import outward
from ribwright.stages.blank import RunStrip
from ribwright.stages.flat_holes import FlatHole
from ribwright.stages.measured_places import cut_away, pressed_in, stations_of
from ribwright.stages.plan import Plan

Array = NDArray[np.float64]
CHORD = 0.003  # of the drawn lines [mm]
EVERY = 10.0  # between places along an edge [mm]
END = 4.0  # kept from the ends of an edge, where corners are rounded [mm]
CLOSE = 1.0  # places nearer than this are one [mm]
SEWN = 1e-4  # [mm]
LEAST_OPENING = 1.0  # mm2


@dataclass(frozen=True, eq=False)
class SeenEdge:
    """A drawn edge as it is seen.

    along    places as typed (n,) [mm];  line, normal  the seen line and its outward normal there (n, 2)
    taken    stretches where it cannot be held: notches; of a part flutes and steps
    reach    how far the line moves in and out by what the drawing allows the angle (n, 2) [mm]; None: the drawing allows nothing known;
             zeros where no angle moves it
    stations where the inspection sheet asks for it, along as typed
    """

    laid: LaidEdge
    along: Array
    line: Array
    normal: Array
    taken: tuple[tuple[float, float], ...]
    reach: Array | None
    stations: tuple[float, ...]

    @property
    def name(self) -> str:
        return self.laid.edge.name

    def places(self) -> list[float]:
        """Where it is held, along as typed [mm]: each station of the inspection sheet, and about every EVERY mm between its ends."""
        low, high = float(self.along.min()), float(self.along.max())
        room = high - low
        ends = min(END, room / 4.0)
        n = 2 * max(1, int(np.ceil((room - 2.0 * ends) / EVERY / 2.0)))
        grid = np.linspace(low + ends, high - ends, n + 1).tolist() if room > 4.0 * CLOSE else [(low + high) / 2.0]
        own = [x for x in self.stations if low <= x <= high]
        every = own + [x for x in grid if not any(abs(x - o) < CLOSE for o in own)]
        return sorted(x for x in every if not any(a <= x <= b for a, b in self.taken))

    def at(self, along: float) -> tuple[Array, Array]:
        """(point, outward normal) at a place."""
        order = np.argsort(self.along)
        s = self.along[order]
        p = np.array([np.interp(along, s, self.line[order, k]) for k in (0, 1)])
        n = np.array([np.interp(along, s, self.normal[order, k]) for k in (0, 1)])
        return p, n / max(float(np.hypot(*n)), 1e-12)

    def moved_by_angle(self, along: float) -> float | None:
        """The furthest that the drawing's tolerance of the angle moves the line there [mm]; None where no tolerance is known."""
        if self.reach is None:
            return None
        order = np.argsort(self.along)
        return float(np.interp(along, self.along[order], np.abs(self.reach).max(axis=1)[order]))


@dataclass(frozen=True)
class SeenHole:
    """A hole as it is seen: `diameter` None where that is not known; `takes_pin` a tooling hole."""

    hole: Hole
    diameter: float | None

    @property
    def takes_pin(self) -> bool:
        return self.hole.kind == "tooling"


@dataclass(frozen=True, eq=False)
class SeenLines:
    """`rings` closed, metal on the left, the outer one first, without the holes."""

    rings: tuple[Array, ...]
    edges: tuple[SeenEdge, ...]
    holes: tuple[SeenHole, ...]


def silhouette(radius: float, thickness: float, angle_deg: Array, straight: Array) -> Array:
    """Bend tangent line to the outermost of a flange, seen square above the web [mm], for angles and straight parts (n,)."""
    a = np.radians(angle_deg)
    outer = radius + thickness
    return np.where(angle_deg < 90.0, outer * np.sin(a) + np.maximum(straight, 0.0) * np.cos(a), outer)


def seen_lines(plan: Plan, what: str) -> SeenLines:
    """The lines of the blank or of the formed part."""
    flat = what == BLANK
    rings = [np.array(loop.path.chords(CHORD)) for loop in plan.blank.loops]
    edges = [
        _edge(plan, loop, i, flat)
        for loop in range(len(plan.blank.laid))
        for i in range(len(plan.blank.laid[loop].edges))
    ]
    if not flat:
        rings = _silhouettes(plan, rings)
    holes = tuple(SeenHole(h.hole, _opening(h, flat)) for h in plan.blank.holes)
    return SeenLines(tuple(rings), tuple(edges), holes)


def _opening(h: FlatHole, flat: bool) -> float | None:
    return h.cut_diameter if flat or h.hole.kind != "lightening" else h.rim_diameter


def _edge(plan: Plan, loop: int, i: int, flat: bool) -> SeenEdge:
    laid = plan.blank.laid[loop].edges[i]
    name = laid.edge.name
    taken = cut_away(plan, name)
    if laid.flange is None:
        s = samples(laid.curve, 0.004)
        return SeenEdge(
            laid, laid.along(s), laid.curve.point(s), outward(laid.curve.tangent(s)), taken, np.zeros((len(s), 2)), ()
        )
    strip, _ = plan.blank.strip_of(name)
    mine = (strip.at.edge == i) & ~strip.at.cut
    along, normal = strip.at.along[mine], strip.at.normal[mine]
    stations = tuple(x for _, x in stations_of(plan, laid))
    if flat:
        return SeenEdge(
            laid, along, strip.flat[mine], strip.at.across[mine], taken, np.zeros((len(along), 2)), stations
        )
    out = _out(plan, strip)[mine]
    line = strip.at.tangent[mine] + out[:, None] * normal
    return SeenEdge(
        laid, along, line, normal, (*taken, *pressed_in(plan, name)), _reach(plan, laid, strip, mine, out), stations
    )


def _out(plan: Plan, strip: RunStrip) -> Array:
    assert strip.run.flange is not None
    return silhouette(strip.run.flange.bend_radius, plan.job.t, strip.at.angle, strip.at.leg)


def _reach(plan: Plan, laid: LaidEdge, strip: RunStrip, mine: NDArray[np.bool_], out: Array) -> Array | None:
    """How far the silhouette moves where the angle is as far off as the drawing allows, closed and open (n, 2) [mm]; the bend keeps its
    tangent line."""
    assert laid.flange is not None
    tolerance = plan.job.part.tolerance
    keys = (f"edge.{laid.edge.name}.flange_angle", f"flange.{laid.flange.name}.flange_angle", "flange_angle")
    limits = next((tolerance[k] for k in keys if k in tolerance), None)
    if limits is None:
        return None
    angle, leg = strip.at.angle[mine], strip.at.leg[mine]
    moved = [silhouette(laid.flange.bend_radius, plan.job.t, angle + d, leg) - out for d in (limits[1], -limits[0])]
    return np.column_stack(moved)


def _silhouettes(plan: Plan, rings: list[Array]) -> list[Array]:
    """The cut lines with every flange put where it is seen once formed."""
    metal: Any = shapely.Polygon(rings[0], rings[1:]).buffer(0)
    flat, stood = [], []
    for strip in plan.blank.strips:
        out = strip.at.tangent + _out(plan, strip)[:, None] * strip.at.normal
        flat += _quads(strip, strip.flat)
        stood += _quads(strip, out)
    metal = metal.difference(shapely.union_all(flat).buffer(SEWN, join_style="mitre"))
    sewn = [metal.buffer(2.0 * SEWN, join_style="mitre"), shapely.union_all(stood).buffer(SEWN, join_style="mitre")]
    metal = shapely.union_all(sewn).buffer(-SEWN, join_style="mitre").simplify(4.0 * SEWN)
    if metal.geom_type != "Polygon":
        metal = max(metal.geoms, key=lambda g: g.area)
    metal = orient(metal, 1.0)
    inner = [r for r in metal.interiors if shapely.Polygon(r).area > LEAST_OPENING]
    return [np.asarray(r.coords, np.float64)[:-1] for r in (metal.exterior, *inner)]


def _quads(strip: RunStrip, outer: Array) -> list[Any]:
    """Cell by cell what lies between the bend tangent line and a line beside it."""
    tangent = strip.at.tangent
    gap = np.zeros(len(tangent) - 1, bool)
    for a, b in strip.at.gaps:
        gap[a:b] = True
    cells = np.flatnonzero(~gap)
    corners = np.stack([tangent[cells], tangent[cells + 1], outer[cells + 1], outer[cells]], axis=1)
    made: Any = shapely.buffer(shapely.polygons(corners), 0.0)
    return [q for q in made if not q.is_empty]
