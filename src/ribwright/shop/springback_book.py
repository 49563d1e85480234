"""The springback book of a shop: every measured bend angle with what was forecast for it at the time.

Nothing in it is ever changed: a wrong line stays and a later one withdraws it. What was forecast is kept as it was, so that a later
version of the model, or of the part, rewrites no history. Lengths mm, angles deg, pressures MPa; uncertainties expanded, coverage factor 2.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from functools import cached_property
from math import hypot

Z90, COVERAGE = 1.645, 2.0  # 90 % of a normal law; of an expanded uncertainty
SECTION, CLOSED_FORM = "section", "closed-form"
FAMILIES = (CLOSED_FORM, SECTION)


@dataclass(frozen=True)
class Foretold:
    """A released angle as forecast for the block as cut [deg], with its 90 % band.

    springback   angle given back in that forecast, wall less released angle
    sd_model, sd_piece, sd_tooling   standard deviations: the same on every piece; another on each; of the block as made
    family       of FAMILIES: which model; `model` its own words
    told         (value, low, high) as the book corrected it then; equal to the forecast while the book was empty
    corrected_by how many pieces of the book moved `told`
    fingerprint, version   of the plan, and of the program
    """

    value: float
    low: float
    high: float
    springback: float
    sd_model: float
    sd_piece: float
    sd_tooling: float
    family: str
    model: str
    told: tuple[float, float, float]
    corrected_by: int
    fingerprint: str
    version: str


@dataclass(frozen=True)
class Observation:
    """One measured angle of one place.

    material     alloy and temper as it was formed; `lot` of the sheet, "" where nobody said
    place        name of the edge, or of the hole where `hole`; `along` as typed, 0 of a hole
    angle        the drawing's bend angle; `curvature` of the flange's line [1/mm], + where the free edge is stretched
    pressure     on the pad; None: not said. `pad_shore`, `pad_thickness` of the layer next to the work and of all; None: not known
    undercut     of the block as cut there
    measured     released angle as measured with the gauge, `u` its expanded uncertainty; `readings` behind it
    """

    part: str
    revision: str
    hand: str
    serial: str
    lot: str
    material: str
    thickness: float
    place: str
    hole: bool
    along: float
    radius: float
    angle: float
    curvature: float
    press: str
    pressure: float | None
    pad_shore: float | None
    pad_thickness: float | None
    block: str
    undercut: float
    measured: float
    u: float
    gauge: str
    readings: int
    date: str
    by: str
    foretold: Foretold
    id: str = ""

    @property
    def piece(self) -> tuple[str, str, str]:
        """Which piece: part, hand, serial."""
        return self.part, self.hand, self.serial

    @property
    def same(self) -> tuple[str, str, str, str, bool, float, str]:
        """What two entries of one measurement agree in; a length typed in the other unit is the same place."""
        return (*self.piece, self.place, self.hole, round(self.along, 1), self.date)

    @property
    def off(self) -> float:
        """Measured less forecast, before any correction [deg]; negative: it came out more open."""
        return self.measured - self.foretold.value

    @property
    def off_told(self) -> float:
        """Measured less what was told at the time [deg]."""
        return self.measured - self.foretold.told[0]

    @property
    def inside_told(self) -> bool:
        """Whether it came out inside the 90 % band that was told at the time, each side widened by the gauge: the band is that of the
        angle itself."""
        value, low, high = self.foretold.told
        gauge = Z90 * self.u / COVERAGE
        return value - hypot(value - low, gauge) <= self.measured <= value + hypot(high - value, gauge)


@dataclass(frozen=True)
class Withdrawn:
    """A line that takes an observation out of the reckoning: its id, who, why, when."""

    id: str
    by: str
    why: str
    date: str = ""


@dataclass(frozen=True)
class Book:
    """All lines in their order. `file` as it is called to people."""

    observations: tuple[Observation, ...] = ()
    withdrawn: tuple[Withdrawn, ...] = ()
    file: str = ""

    @cached_property
    def standing(self) -> tuple[Observation, ...]:
        """The observations that nobody withdrew."""
        out = {w.id for w in self.withdrawn}
        return tuple(o for o in self.observations if o.id not in out)

    def of(self, family: str) -> tuple[Observation, ...]:
        """Those that stand and were forecast by this family of models."""
        return tuple(o for o in self.standing if o.foretold.family == family)

    def twice(self, new: tuple[Observation, ...]) -> tuple[Observation, ...]:
        """Of new ones those that stand in the book already, or come twice."""
        have = {o.same for o in self.standing}
        count = Counter(o.same for o in new)
        return tuple(o for o in new if o.same in have or count[o.same] > 1)


def pieces(rows: tuple[Observation, ...]) -> int:
    """How many pieces they were measured on."""
    return len({o.piece for o in rows})
