"""What the bands of a forecast are made from: each cause of scatter changed one at a time, the pad's share, the model's own miss."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import hypot
from typing import TYPE_CHECKING

from ribwright.stages import section_miss
from ribwright.stages.forecast_ask import Acting
from ribwright.stages.forecast_section import Walk, walk_of
from ribwright.stages.job import Job
from ribwright.stages.one_section import flange_of
from ribwright.stages.places import Place
from ribwright.stages.plan import Plan
from ribwright.stages.scatter import variants
from ribwright.stages.section_miss import Miss, misses
from ribwright.stages.sheet_laws import JobLaw
from ribwright.stages.undercut import Z90

if TYPE_CHECKING:
    from ribwright.mechanics.section.model import Flange

ONE_WAY = ("friction",)  # there is none less than none
MORE, LESS = "pad keeps more", "pad keeps less"
SHRINKS = "edge that shrinks, taken as a whole ring: where it wrinkles or is fluted it springs back less"


@dataclass(frozen=True)
class Spread:
    """One cause changed by `sds` standard deviations, and the walk that shows what it does. `one_way`: counted only the way it moves
    a number; `pads`: it changes what the pad keeps."""

    name: str
    walk: Walk
    sds: float
    one_way: bool = False
    pads: bool = False


def spread_of(job: Job, law: JobLaw, place: Place, undercut: float, acting: Acting) -> tuple[Spread, ...]:
    """Every cause at one place on a block cut to `undercut` [deg]."""
    from ribwright.mechanics.section.standing import with_web

    rows = [
        Spread(
            v.name, walk_of(with_web(v.flange), replace(acting, mpa=v.pressure)), v.weight, v.name in ONE_WAY
        )
        for v in variants(job, law, place, undercut, acting.mpa)
    ]  # fmt: skip
    return (*rows, *_pad(flange_of(job, law, place, undercut), acting))


def _pad(f: Flange, acting: Acting) -> list[Spread]:
    """The pad's share at both ends of its 90 % band, of a stack from the softest layer alone to the hardest."""
    s = acting.share
    if s.mpa <= 0.0:
        return []
    softer, stiffer = (hypot(Z90 * s.sd, abs(s.mpa - end)) for end in (s.least, s.most))
    return [
        Spread(MORE, walk_of(f, acting, s.mpa + stiffer), Z90, True, True),
        Spread(LESS, walk_of(f, acting, max(s.mpa - softer, 0.0)), Z90, True, True),
    ]


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
    shrinks = place.axis is not None and place.sign > 0
    rows = [w for w in words.split("; ") if w] + ([SHRINKS] if shrinks else [])
    return (*rows, *acting.share.unverified)
