"""What the bands of a forecast are made from: each cause of scatter changed one at a time, the pad's share, the model's own miss."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import hypot
from typing import TYPE_CHECKING

from ribwright.stages import section_miss
from ribwright.stages.forecast_ask import Acting
from ribwright.stages.forecast_section import Walk, under_share, walk_of
from ribwright.stages.job import Job
from ribwright.stages.places import Place, flange_on, whole_ring
from ribwright.stages.plan import Plan
from ribwright.stages.scatter import PRESSURE_COV, variants
from ribwright.stages.section_miss import Miss, misses
from ribwright.stages.sheet_laws import JobLaw
from ribwright.stages.stack import MODEL, PIECE
from ribwright.stages.undercut import Z90

if TYPE_CHECKING:
    from ribwright.mechanics.section.model import Flange

MORE, LESS, WEAKER = "pad keeps more", "pad keeps less", "less pressure"
PAD_FIT = "what the pad keeps was fitted on straight 90 deg flanges"
SHRINKS = "edge that shrinks, taken as a whole ring: where it wrinkles or is fluted it springs back less"
RING = "a whole ring"


@dataclass(frozen=True)
class Spread:
    """One cause changed by `sds` standard deviations, and the walk that shows what it does. `one_way`: counted only the way it
    moves a number. `leans`, `kind`: as of an `Effect`."""

    name: str
    walk: Walk
    sds: float
    one_way: bool = False
    leans: bool = False
    kind: str = MODEL


def value_walk(flange: Flange, acting: Acting) -> Walk:
    """The walk of a place's value: it also tells what the pad's share does at both ends of its band, and what none would do."""
    return walk_of(flange, acting, (*_ends(acting).values(), 0.0))


def spread_of(job: Job, law: JobLaw, place: Place, undercut: float, acting: Acting) -> tuple[Spread, ...]:
    """Every cause but the pad at one place on a block cut to `undercut` [deg]."""
    from ribwright.mechanics.section.standing import with_web

    rows = tuple(
        Spread(
            v.name, walk_of(with_web(v.flange), replace(acting, mpa=v.pressure)), v.weight, leans=v.leans, kind=v.kind
        )
        for v in variants(job, law, place, undercut, acting.mpa)
    )
    ring = ring_of(job, law, place, undercut, acting)
    return rows if ring is None else (*rows, ring)


def ring_of(job: Job, law: JobLaw, place: Place, undercut: float, acting: Acting) -> Spread | None:
    """The whole ring of a place that is taken as straight: it stands at the end of the band, and counts only the way it lies."""
    from ribwright.mechanics.section.standing import with_web

    if place.ring is None:
        return None
    assert law.law is not None
    return Spread(RING, walk_of(with_web(flange_on(law.law, job.t, whole_ring(place), undercut)), acting), Z90, True)


def pads_of(walk: Walk, acting: Acting) -> tuple[Spread, ...]:
    """What the pad's share does and a flange that opens under less pressure, read off the value's own walk."""
    sds = {WEAKER: 1.0}
    return tuple(
        Spread(name, under_share(walk, kg), sds.get(name, Z90), True, kind=PIECE) for name, kg in _ends(acting).items()
    )


def _ends(acting: Acting) -> dict[str, float]:
    """What is kept from an open flange [MPa]: by the pad at both ends of its 90 % band, of a stack from the softest layer alone to the
    hardest; and besides its share by a pressure that is a standard deviation less."""
    s = acting.share
    less = {WEAKER: s.mpa + PRESSURE_COV * acting.mpa}
    if s.mpa <= 0.0:
        return less
    softer, stiffer = (hypot(Z90 * s.sd, abs(s.mpa - end)) for end in (s.least, s.most))
    return {MORE: s.mpa + stiffer, LESS: max(s.mpa - softer, 0.0), **less}


def own_misses(plan: Plan, law: JobLaw, place: Place, acting: Acting) -> tuple[Miss, ...]:
    """How far the model itself may be off at a place."""
    assert law.law is not None
    press = plan.setup.press if plan.setup else None
    return misses(law.law, plan.job.t, place.radius, place.axis, acting.mpa, press)


def angle_sd(rows: tuple[Miss, ...]) -> float:
    """Standard deviation [deg] of the model's own angles."""
    return hypot(*(r.sd for r in rows))


def unverified(plan: Plan, law: JobLaw, place: Place, acting: Acting) -> tuple[str, ...]:
    """Why the model is not proven at a place, reason by reason; none where it was held against something."""
    if law.law is None:
        return (law.why_not,)
    words = section_miss.unverified(own_misses(plan, law, place, acting))
    rows = [w for w in words.split("; ") if w]
    rows += [SHRINKS] if place.axis is not None and place.sign > 0 else []
    rows += [section_miss.fluted(place.relieved)] if place.relieved else []
    other = place.curved or abs(place.angle - 90.0) >= 0.5
    rows += [PAD_FIT] if other and acting.share.mpa > 0.0 else []
    return (*rows, *acting.share.unverified)
