"""What the bands of a forecast are made from: each thing that scatters, changed one at a time, and the pad's share. STUB"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import hypot
from typing import Any

from ribwright.mechanics.sheet_law import scaled
from ribwright.stages.forecast_ask import Acting
from ribwright.stages.forecast_section import Walk, walk_of
from ribwright.stages.job import Job
from ribwright.stages.places import Place, flange_on
from ribwright.stages.plan import Plan
from ribwright.stages.sheet_laws import JobLaw
from ribwright.stages.undercut import DEFAULT_K_COV, THICKNESS_COV, Z90

MODEL_SD_DEG = 0.3


@dataclass(frozen=True)
class Spread:
    """One thing changed by `sds` standard deviations; the walk that shows what it does."""

    name: str
    walk: Walk
    sds: float
    one_way: bool = False
    pads: bool = False


def spread_of(job: Job, law: JobLaw, place: Place, undercut: float, acting: Acting) -> tuple[Spread, ...]:
    assert law.law is not None
    f = flange_on(law.law, job.t, place, undercut)
    cov = (job.formed.number("k_cov") if job.formed else None) or DEFAULT_K_COV
    rows = [
        Spread("thickness", walk_of(replace(f, t=f.t * (1 + THICKNESS_COV)), acting), 1.0),
        Spread("strength", walk_of(replace(f, law=scaled(f.law, 1 + cov)), acting), 1.0),
        Spread("friction", walk_of(replace(f, friction=0.2), acting), Z90, True),
        Spread("pressure", walk_of(f, replace(acting, mpa=acting.mpa * 1.05)), 1.0),
    ]
    return (*rows, *_pad(f, acting))


def _pad(f: Any, acting: Acting) -> list[Spread]:
    s = acting.share
    if s.mpa <= 0:
        return []
    softer, stiffer = (hypot(Z90 * s.sd, abs(s.mpa - end)) for end in (s.least, s.most))
    return [
        Spread("pad takes more", walk_of(f, acting, s.mpa + stiffer), Z90, True, True),
        Spread("pad takes less", walk_of(f, acting, max(s.mpa - softer, 0.0)), Z90, True, True),
    ]


def unverified(plan: Plan, law: JobLaw, place: Place, undercut: float, acting: Acting) -> tuple[str, ...]:
    return ()
