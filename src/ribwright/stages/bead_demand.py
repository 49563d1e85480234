"""What pressure fills a bead, by a strip of sheet over its groove, and what the rubber adds; its stretch and thickness.

    value  the web stretches with it on its closer side, out to the bend or half way to the next bead, and rubs on block and rubber
    low    both sides give as the wider one does; where that ends at an edge without a flange, nothing holds it but its rubbing
    high   the bead's length comes out of its own width

with the scatter of the sheet on the ends. A bead counts as filled where the middle of the sheet lies within `bead_filled_gap` of the
groove's
bottom. A pad has to follow the sheet down: an incompressible half space pressed to a wave of height d and length 2 w takes
p = pi G d/w (K. L. Johnson, Contact Mechanics, 1985, 13.2, recalled; a bead is half such a wave), taken half to twice that in the band.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from ribwright.geometry.groove_profile import GrooveProfile
from ribwright.mechanics.bead_fill import Filled, filling, strip_of
from ribwright.mechanics.sheet_law import SheetLaw
from ribwright.shop.shop import Press
from ribwright.stages.bead_room import Room, rooms
from ribwright.stages.bead_shapes import BeadShape
from ribwright.stages.blank import Blank
from ribwright.stages.finding import Predicted
from ribwright.stages.job import Job
from ribwright.stages.pads import layers_near, shear_of
from ribwright.stages.sheet_laws import law_of
from ribwright.stages.undercut import DEFAULT_K_COV, THICKNESS_COV, Z90

Say = Callable[[str], None]
MODEL = "strip of sheet over the groove + pi G d/w of the pad"
MOST = 400.0  # MPa, looked for no further
TOO_LONG = 0.2  # true stretch of its own width past which a bead is not solved: it would neck


def quietly(words: str) -> None:
    """Nobody hears of progress."""


@dataclass(frozen=True)
class BeadForm:
    """A bead formed by an even pressure, whatever press. Pressures on the sheet [MPa]: `held` by the web out to the bend or next bead,
    `rim` at its own rims, `loose` as its wider side gives; stretch of the mid-surface over its width (engineering) and thickness at
    `held`, and `upper` the stretch where all of its length comes out of its own width."""

    held: float
    rim: float
    loose: float
    stretch: float
    upper: float
    thickness: float
    drawn: float


@dataclass(frozen=True, eq=False)
class BeadDemand:
    """What a bead asks of a press. `where` {bead}; `even` pressure on the sheet, `rubber` what the pad takes [MPa], `need` at the ram."""

    shape: BeadShape
    room: Room
    where: dict[str, object]
    form: BeadForm
    rubber: float
    need: Predicted
    unverified: str = "no bead was compared"
    by_model: bool = True


def formed(job: Job, room: Room, say: Say = quietly) -> BeadForm | None:
    """A bead's pressures and stretch, telling which of its three strips is solved. None where the sheet's law is not known, the section is
    none, or the sheet would neck before."""
    law, mid = law_of(job).law, room.shape.mid
    if law is None or mid is None or room.shape.why_not or np.log(mid.length / mid.width) > TOO_LONG:
        return None
    gap = min(job.catalogue.practice["bead_filled_gap"].value, mid.depth / 4)
    rub = job.catalogue.practice["web_friction"].value
    found = []
    for i, (web, free, by) in enumerate(
        ((room.web, False, rub), (0.0, False, 0.0), (room.far, room.ends_free, rub)), 1
    ):
        say(f"bead {room.shape.number}: pressure that fills it, {i} of 3")
        found.append(_filled(law, job.t, mid, round(web, 6), by, free, gap))
    held, rim, loose = found
    if held.outcome != "filled" or rim.outcome != "filled":
        return None
    upper = mid.length / mid.width - 1
    low = loose.pressure if loose.outcome == "filled" else held.pressure
    return BeadForm(
        held.pressure, max(rim.pressure, held.pressure), min(low, held.pressure), float(np.expm1(held.stretch)), upper,
        held.thickness, held.drawn,
    )  # fmt: skip


@lru_cache(maxsize=192)
def _filled(law: SheetLaw, t: float, mid: GrooveProfile, web: float, rub: float, free: bool, gap: float) -> Filled:
    return filling(strip_of(law, t, mid, web, rub, held=not free), gap, MOST)


def solve_beads(job: Job, blank: Blank, say: Say) -> None:
    """Solve all beads once, for all who ask later. `say` hears of each strip before it is solved, and may end the work by an exception."""
    for room in rooms(job, blank):
        formed(job, room, say)


def bead_demands(job: Job, blank: Blank, press: Press, height: float) -> tuple[BeadDemand, ...]:
    """What each bead asks of a press over a block `height` [mm] high; nothing for those that could not be solved."""
    out = []
    for room in rooms(job, blank):
        form = formed(job, room)
        if form is not None:
            out.append(_demand(job, room, form, press, height))
    return tuple(out)


def _demand(job: Job, room: Room, form: BeadForm, press: Press, height: float) -> BeadDemand:
    b = room.shape.bead
    rubber = np.pi * rubber_modulus(press, height) * b.depth / b.width
    cov = sheet_cov(job)
    value = form.held + rubber
    low = value - np.hypot(form.held - form.loose * (1 - Z90 * cov), rubber / 2)
    high = value + np.hypot(form.rim * (1 + Z90 * cov) - form.held, rubber)
    need = Predicted(value, max(float(low), 0.0), float(high), MODEL)
    return BeadDemand(room.shape, room, {"bead": str(room.shape.number)}, form, float(rubber), need)


def sheet_cov(job: Job) -> float:
    """Relative scatter of a bead's pressure from the sheet: p ~ K t."""
    m = job.formed
    return float(np.hypot((m.number("k_cov") if m else None) or DEFAULT_K_COV, THICKNESS_COV))


def rubber_modulus(press: Press, height: float) -> float:
    """Shear modulus of the rubber next to the work [MPa], layers within one block height in series; 0 under a fluid."""
    if press.kind == "fluid":
        return 0.0
    return 1.0 / sum(share / shear_of(layer) for layer, share in layers_near(press.pad, height))
