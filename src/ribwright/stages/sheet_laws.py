"""The plasticity law of a job's formed sheet, from its record: what the section model bends.

Flow curve: Swift, K (e0 + p)^n, of the record's hardening; where its prestrain is 0 the curve is started at the yield stress.
Unloading: the springback modulus, of clad sheet the secondary one (the cladding yields long before the core).
Back stress: `share` of what the sheet hardens up to 2 % plastic strain, in aluminium at most 35 MPa (rule B1).
"""

from __future__ import annotations

from dataclasses import dataclass

from ribwright.mechanics.flow_curve import Swift
from ribwright.mechanics.hardening import prestrain_from_yield
from ribwright.mechanics.sheet_law import ALUMINIUM_LIMIT, KINEMATIC_BAND, KINEMATIC_SHARE, SheetLaw, sheet_law
from ribwright.shop.sheet import Material
from ribwright.stages.job import Job

LIMIT_BAND = (30.0, 40.0)  # MPa, of the back stress in aluminium (rule B1)
FROM_RULE = "kinematic share: rule B1"  # what the record's source says where no share was typed


@dataclass(frozen=True)
class JobLaw:
    """`law` of the sheet as formed, None where `why_not` says what is missing. `share` and the band it may lie in [-], `limit` of the
    back stress [MPa], infinite where none is known; `defaults` says in words what stood in for numbers the record lacks."""

    law: SheetLaw | None
    why_not: str = ""
    share: float = KINEMATIC_SHARE
    share_band: tuple[float, float] = KINEMATIC_BAND
    limit: float = float("inf")
    defaults: tuple[str, ...] = ()


def law_of(job: Job) -> JobLaw:
    """The law of the sheet in the temper it is formed in."""
    m = job.formed
    if m is None or m.hardening is None:
        return JobLaw(None, f"no flow curve for {job.formed_name}")
    return law_of_material(m)


def law_of_material(m: Material, share: float | None = None, limit: float | None = None) -> JobLaw:
    """The law of a record; `share` stands in for its kinematic share, `limit` for the default limit of its back stress [MPa]."""
    h, modulus, nu = m.hardening, m.springback_modulus(), m.number("poisson")
    if h is None:
        return JobLaw(None, f"no flow curve for {m.name}")
    if modulus is None or nu is None:
        return JobLaw(None, f"no {'modulus' if modulus is None else 'Poisson ratio'} for {m.name}")
    if not 0.0 < h.n < 1.0:
        return JobLaw(None, f"the hardening exponent of {m.name}, {h.n:g}, is not between 0 and 1")
    defaults, e0, stress = [], h.prestrain, m.number("yield_mpa")
    if e0 <= 0.0:
        if stress is None:
            return JobLaw(None, f"neither prestrain nor yield stress for {m.name}")
        e0 = float(prestrain_from_yield(stress, h.k_mpa, h.n))
        defaults.append("flow curve started at the yield stress")
    taken = h.kinematic_share if share is None else share
    if FROM_RULE in h.source:
        defaults.append(
            f"kinematic share {taken:g}, default of rule B1, band {KINEMATIC_BAND[0]:g} to {KINEMATIC_BAND[1]:g}"
        )
    if not any(k in m.facts for k in ("r_value", "r0")):
        defaults.append("R-value 1")
    if limit is None:
        limit = ALUMINIUM_LIMIT if m.family == "aluminium" else float("inf")
    law = sheet_law(modulus, nu, Swift(h.k_mpa, h.n, e0), m.r_bar(), taken, limit)
    return JobLaw(law, "", taken, KINEMATIC_BAND, limit, tuple(defaults))
