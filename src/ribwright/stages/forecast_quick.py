"""The quick forecast of one place: closed form of pure bending, rigid-plastic strip below the closing pressure.

What `reach` says of a flange at its hardest place, here at any place and any undercut; radius and free edge follow from the
angle with the arc kept:

    inside radius   (R_b + t/2) w/phi - t/2          R_b block's edge, w its wall, phi angle from flat
    hoop strain     ln((A + sign x)/(A + sign (arc + s))),  x = rho sin phi + s cos phi      A plan radius of the bend's beginning
    thickness       t exp(-e/(1 + r)): the free edge is pulled or pushed along itself only
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import cos, exp, log, radians, sin

from ribwright.stages.finding import Predicted
from ribwright.stages.forecast_ask import Acting
from ribwright.stages.job import Job
from ribwright.stages.places import Place, whole_ring
from ribwright.stages.pressure import Flange, demand_of
from ribwright.stages.reach import RELEASED, reach

EDGE = "free edge where the released angle puts it, arc and straight part kept"


@dataclass(frozen=True)
class Quick:
    """Angles from flat [deg] with their bands, whether the flange closes, and why the formulas are not fitted here. None: not
    known for this temper."""

    closes: bool
    loaded: Predicted
    released: Predicted
    unverified: str


def quick(job: Job, place: Place, undercut: float, acting: Acting) -> Quick | None:
    """The quick forecast of a place on a block cut to `undercut` [deg]; None: the flow curve of this temper is not known."""
    job, curved = replace(job, sections=None), place.curved
    flange = Flange(place.where, place.radius, place.angle, place.leg, curved, undercut)
    demand = demand_of(job, flange, acting.share)
    r = reach(job, flange, demand, acting.share, acting.mpa, acting.least)
    if demand is None or r.under_load is None or r.released is None or r.closes is None:
        return None
    return Quick(r.closes, r.under_load, r.released, demand.unverified)


def springback(q: Quick) -> Predicted:
    """Angle given back [deg], with the band of the released angle."""
    value = q.loaded.value - q.released.value
    return Predicted(
        value,
        max(value - (q.released.high - q.released.value), 0.0),
        value + (q.released.value - q.released.low),
        RELEASED,
    )


def left_open(wall: float, loaded: Predicted) -> Predicted:
    """What is missing to the block's wall under load [deg]; negative: turned past it."""
    return Predicted(wall - loaded.value, wall - loaded.high, wall - loaded.low, loaded.model)


def radius_at(place: Place, t: float, angle: float) -> float:
    """Inside radius [mm] of a bend whose released arc is the drawing's, (R + t/2) a, at another angle [deg]."""
    return (place.radius + t / 2) * place.angle / angle - t / 2


def radius(q: Quick, place: Place, t: float) -> Predicted | None:
    """Released inside radius [mm]; None for a flange left open, whose free part is bowed."""
    if not q.closes or q.released.low <= 0:
        return None
    value, most, least = (radius_at(place, t, a) for a in (q.released.value, q.released.low, q.released.high))
    return Predicted(value, max(least, 0.0), max(most, 0.0), RELEASED)


def rim_strain(place: Place, t: float, angle: float) -> float:
    """True hoop strain of the free edge, mid-surface, at an angle [deg], of a whole ring; 0 on a straight edge."""
    place = place if place.ring is None else whole_ring(place)
    if place.axis is None or angle <= 0:
        return 0.0
    arc = (place.radius + t / 2) * radians(place.angle)
    turned = radians(angle)
    mid = arc / turned
    out = mid * sin(turned) + place.straight * cos(turned)
    return log((place.axis + place.sign * out) / (place.axis + place.sign * (arc + place.straight)))


def edge_strain(q: Quick, place: Place, t: float) -> Predicted:
    """Hoop strain of the free edge of the released flange."""
    value, *ends = (rim_strain(place, t, a) for a in (q.released.value, q.released.low, q.released.high))
    return Predicted(value, min(value, *ends), max(value, *ends), EDGE)


def edge_thickness(strain: Predicted, t: float, r: float, scatter: float) -> Predicted:
    """Thickness of the free edge [mm] at its hoop strain; `scatter`: half the 90 % band of the sheet itself, relative."""

    def thick(e: float) -> float:
        return t * exp(-e / (1 + r))

    value, thin, thickest = thick(strain.value), thick(strain.high), thick(strain.low)
    own = scatter * value
    low, high = ((d * d + own * own) ** 0.5 for d in (value - thin, thickest - value))
    return Predicted(value, value - low, value + high, EDGE)
