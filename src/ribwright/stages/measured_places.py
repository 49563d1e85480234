"""Where an edge is measured: start, middle, end and the stations of a bevel; a place that falls into a notch, a flute or a step of a
joggle is moved to the nearest that is clear."""

from __future__ import annotations

import numpy as np
from shapely import LineString, Point, union_all
from shapely.ops import nearest_points

from ribwright.features.laid import LaidEdge
from ribwright.stages.joggles import steps
from ribwright.stages.plan import Plan

CLEARANCES = (1.0, 0.5, 0.25)  # of the share of 1.5 flange widths that is kept from a cut, largest first
WIDTHS = 1.5
NEAR_STEP = 1.0  # mm kept from a flute or a step


def cut_away(plan: Plan, name: str) -> tuple[tuple[float, float], ...]:
    """From where to where notches interrupt an edge, along it as typed [mm]."""
    return tuple(n.open_along for n in plan.blank.notches if n.stands and n.notch.edge == name)


def pressed_in(plan: Plan, name: str) -> list[tuple[float, float]]:
    """Stretches of an edge that flutes and steps of joggles take, along it as typed [mm]."""
    flutes = [f for run in plan.fluting.runs for f in run.flutes if f.edge == name]
    found = [(f.along - f.width / 2 - NEAR_STEP, f.along + f.width / 2 + NEAR_STEP) for f in flutes]
    joggled = [s for s in steps(plan.job, plan.blank) if s.edge == name]
    return found + [(s.start - NEAR_STEP, s.end + NEAR_STEP) for s in joggled]


def clear_place(plan: Plan, name: str, along: float) -> float:
    """The place nearest to `along` [mm, as typed] that lies 1.5 flange widths clear of notches, less where that leaves none, and out of
    flutes and steps; `along` itself where all of the edge is taken."""
    strip, i = plan.blank.strip_of(name)
    mine = strip.at.edge == i
    low, high = strip.at.span(strip.at.along, i)
    if high - low < 1.0:
        low, high = float(np.min(strip.at.along[mine])), float(np.max(strip.at.along[mine]))
    own = LineString([(low, 0), (high, 0)])
    cuts, pressed = cut_away(plan, name), pressed_in(plan, name)
    if not cuts and not pressed:
        return along
    width = float(np.max(strip.at.width[mine]))
    for share in CLEARANCES:
        far = share * WIDTHS * width
        taken = [(low - far, high + far) for low, high in cuts] + pressed
        free = own.difference(union_all([LineString([(a, 0), (b, 0)]) for a, b in taken]))
        if free.length > 0:
            return float(nearest_points(free, Point(along, 0))[0].x)
    return along


def stations_of(plan: Plan, edge: LaidEdge) -> tuple[tuple[str, float], ...]:
    """(name, along as typed [mm]) of where an edge is measured; see `places_of`."""
    return tuple((name, along) for name, along, _ in places_of(plan, edge))


def places_of(plan: Plan, edge: LaidEdge) -> tuple[tuple[str, float, float], ...]:
    """(name, along as typed, what it was moved from [mm]) of where an edge is measured: start, middle, end of what lies 1.5 flange
    widths clear of free ends, and every station of a bevel between them; the middle alone of a short edge; moved out of notches,
    flutes and steps of joggles. Where an even flange runs on over a smooth join, the place is measured once, on the edge before."""
    strip, i = plan.blank.strip_of(edge.edge.name)
    low, high = strip.at.span(strip.at.along, i)
    if high - low < 1.0:
        return _out_of_details(plan, edge.edge.name, {(low + high) / 2: "middle"})
    spots = {low: "start", (low + high) / 2: "middle", high: "end"}
    assert edge.flange is not None
    entered = high if edge.edge.turned else low
    joined = strip.run.edges[0] != i or (strip.at.closed and len(strip.run.edges) > 1)
    if joined and not (edge.flange.bend_angle.varies or edge.flange.width.varies):
        at = edge.drawn.length if edge.edge.turned else 0.0
        if abs(entered - at) < 1.0:
            del spots[entered]
    for along in (edge.flange.bend_angle, edge.flange.width):
        for at, _ in along.resolved(edge.drawn.length) if along.varies else ():
            if low < at < high and not any(abs(at - x) < 1.0 for x in spots):
                spots[at] = "bevel"
    return _out_of_details(plan, edge.edge.name, spots)


def _out_of_details(plan: Plan, name: str, spots: dict[float, str]) -> tuple[tuple[str, float, float], ...]:
    """The places moved out of notches, flutes and steps; one that was moved is 'near' what it stood for, of two at a place one is kept."""
    moved: dict[float, tuple[str, float]] = {}
    for x in sorted(spots):
        to = clear_place(plan, name, x)
        if not any(abs(to - other) < 1.0 for other in moved):
            moved[to] = (spots[x] if abs(to - x) < 1e-9 else f"near {spots[x]}", x)
    return tuple((moved[x][0], x, moved[x][1]) for x in sorted(moved))
