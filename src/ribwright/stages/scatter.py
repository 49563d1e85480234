"""What moves a released flange, by the section model's own sensitivities: each cause one step, one run, the change it makes.

    thickness        2 %                      friction            to 0.1, the middle of 0 to 0.2, even over that span; 0 in the answer
    strength         k_cov of the record      block's edge        half a step of the radius gauges, even over the step
    hardening n      0.025, the stress at 5 % plastic strain kept
    modulus          1.25 %                   pressure            5 %
    back stress      to its top: share 0.7, even over 0.3 to 0.7, and in aluminium a limit of 40 MPa, even over 30 to 40
    R-value          to a fifth more, even over a fifth to either side; 0.4 where the record has none

A cause that is even over a span of half-width h about the value used moves it by h/sqrt(3). Friction leans: the answer stands at the
end of its span where there is none. What its middle does, d, is how far it moves the mean, about which it scatters by d/sqrt(3). The
mean is not put into the answer; the band lies about it, and so more to one side of the answer. All are taken as independent.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from ribwright.mechanics.flow_curve import Swift
from ribwright.mechanics.sheet_law import SheetLaw, scaled
from ribwright.stages.job import Job
from ribwright.stages.places import Place, flange_on
from ribwright.stages.sheet_laws import LIMIT_BAND, JobLaw, law_of_material
from ribwright.stages.stack import MODEL, PIECE, TOOLING
from ribwright.stages.undercut import DEFAULT_K_COV, MODULUS_COV, THICKNESS_COV

if TYPE_CHECKING:
    from ribwright.mechanics.section.model import Flange

EVEN = float(np.sqrt(3.0))
N_SD, N_KEPT_AT = 0.025, 0.05
PRESSURE_COV = 0.05
MOST_FRICTION = 0.2  # our estimate: aluminium on a block of wood, plastic or metal, oiled or not
R_SHARE = (
    0.2  # forming literature gives 0.6 to 0.9 for 2024, 6061 and 7075 sheet (memory); our estimate for every other
)
R_UNKNOWN = 0.4  # about the 1 that is taken then: our estimate


@dataclass(frozen=True)
class Variant:
    """One cause a step off: the flange and pressure [MPa] to run, and how many standard deviations the step is. `leans`: it may
    lie to one side of the value used alone, the step goes to the middle of where, and what it does moves the mean."""

    name: str
    kind: str
    source: str
    flange: Flange
    pressure: float
    weight: float
    leans: bool = False


def variants(job: Job, known: JobLaw, place: Place, undercut_deg: float, pressure: float) -> tuple[Variant, ...]:
    """The runs that tell what moves the place's flange on a block cut to `undercut_deg`, pressed to `pressure` [MPa]."""
    law, m = known.law, job.formed
    assert law is not None
    assert m is not None
    f = flange_on(law, job.t, place, undercut_deg)
    k = m.facts.get("k_cov")
    k_cov = k.value if k else DEFAULT_K_COV
    k_words = f"{k.source} ({k.standing()})" if k else "no figure in the record: 6 % taken"
    step = job.catalogue.practice["radius_gauge_step"]
    limit = LIMIT_BAND[1] if np.isfinite(known.limit) else known.limit
    share = law_of_material(m, known.share_band[1], limit).law
    assert share is not None
    r_known = any(key in m.facts for key in ("r_value", "r0"))
    r_words = "a fifth to either side, as forming literature has 0.6 to 0.9 for aluminium sheet (memory): our estimate"
    rows = [
        Variant("strength of the sheet", PIECE, k_words, replace(f, law=scaled(law, 1 + k_cov)), pressure, 1.0),
        Variant(
            "thickness of the sheet", PIECE, "2 %, a standard's table over two (memory)",
            replace(f, t=f.t * (1 + THICKNESS_COV)), pressure, 1.0,
        ),
        Variant(
            "hardening of the sheet", MODEL, "n off by up to 0.05 by rule S1, taken as two sd; stress at 5 % strain kept",
            replace(f, law=_steeper(law)), pressure, 1.0,
        ),
        Variant(
            "modulus of the sheet", PIECE, "1.25 %, spread of published moduli",
            replace(f, law=replace(law, e=law.e * (1 + MODULUS_COV))), pressure, 1.0,
        ),
        Variant(
            "back stress", MODEL, "share 0.3 to 0.7, limit in aluminium 30 to 40 MPa, rule B1: no test of these sheets was found",
            replace(f, law=share), pressure, EVEN * _share_steps(known),
        ),
        Variant("pressure", PIECE, "5 %, gauge and hand on the valve: an estimate", f, pressure * (1 + PRESSURE_COV), 1.0),
        Variant(
            "friction", MODEL, "0 to 0.2 between sheet and block, our estimate; 0 in the answer, so the band leans to where it moves",
            replace(f, friction=MOST_FRICTION / 2), pressure, EVEN, True,
        ),
        Variant(
            "R-value of the sheet", MODEL, r_words if r_known else "not in the record: 0.6 to 1.4 taken, our estimate",
            replace(f, law=replace(law, r=law.r + (R_SHARE * law.r if r_known else R_UNKNOWN))), pressure, EVEN,
        ),
        Variant(
            "block's edge as filed", TOOLING, f"{step.source} ({step.standing()})",
            replace(f, radius=f.radius + step.value / 2), pressure, EVEN,
        ),
    ]  # fmt: skip
    return tuple(rows)


def _share_steps(known: JobLaw) -> float:
    """Half the share's band over the step that was run; 1 for the default in the middle of it."""
    low, high = known.share_band
    return max((high - known.share) / ((high - low) / 2), 0.1)


def _steeper(law: SheetLaw) -> SheetLaw:
    """The law with a greater hardening exponent, turned about its stress at 5 % plastic strain."""
    curve = law.curve
    assert isinstance(curve, Swift)
    n = min(curve.n + N_SD, 0.99)
    return replace(law, curve=Swift(curve.k * (curve.e0 + N_KEPT_AT) ** (curve.n - n), n, curve.e0))
