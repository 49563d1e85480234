"""One characteristic of the released part with everything that moves it, and what follows for the drawing's tolerance.

A contributor is of one of three kinds, which says what is left of it once a first piece was measured and the block (or the
blank) corrected by what it measured:

    model    error of a formula or rule, the same on every piece        goes with the correction
    tooling  how exactly the block was made                              comes back once, as the same block is re-worked
    piece    differs from piece to piece                                 counts twice: the piece that was measured had its own

    sd of the first piece^2      = model^2 + tooling^2 + piece^2
    sd after the correction^2    = tooling^2 + 2 piece^2 + (U/2)^2       U of the gauge it was measured with
All taken as normal and independent. A new block, cut afresh instead of the first one re-worked, would count tooling twice.
What the part file forbids to correct (`undercut = "none"`), and a flange that the press leaves open of the block, is not corrected:
there is no second figure.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot
from typing import Any

from ribwright.mechanics import tolerance as law
from ribwright.shop.shop import MeasuringGauge
from ribwright.stages.finding import Predicted

MODEL, TOOLING, PIECE = "model", "tooling", "piece"
# why a corrected block does not move the mean
NO_UNDERCUT, LEFT_OPEN = "no-undercut", "left-open"
QUANTITIES = (
    "flange_angle", "flange_width", "contour", "bend_radius", "web_flatness", "hole_position", "hole_diameter",
)  # fmt: skip


@dataclass(frozen=True)
class Contributor:
    """What moves the characteristic: its standard deviation in the characteristic's unit, `kind`, where it comes from."""

    name: str
    sd: float
    kind: str
    source: str

    def times(self, factor: float, name: str = "") -> Contributor:
        """The same contributor seen through a lever."""
        return Contributor(name or self.name, abs(factor) * self.sd, self.kind, self.source)


@dataclass(frozen=True)
class Stack:
    """A characteristic at its worst place. `allowed` (minus, plus) of the drawing, None where nobody typed it in.

    shift    mean less nominal
    whole    False: `contributors` are only the part that is known, and `left_out` says what is not in it
    gauge    the shop's best one for it, with its expanded uncertainty `u` in `unit`; None: there is none
    """

    quantity: str
    where: dict[str, Any]
    nominal: float
    unit: str
    allowed: tuple[float, float] | None
    shift: float
    contributors: tuple[Contributor, ...]
    whole: bool
    left_out: str
    gauge: MeasuringGauge | None
    u: float | None
    decision: str
    model: str
    fixed: str = ""
    """NO_UNDERCUT: the part file asks for a block without undercut; LEFT_OPEN: the press leaves the flange open. The shift stays
    and is dressed by hand. "" where a corrected block moves the mean."""

    def sd(self, *kinds: str) -> float:
        """Standard deviation of the contributors of these kinds; of all of them when none is named."""
        return law.combined_sd(c.sd for c in self.contributors if not kinds or c.kind in kinds)

    @property
    def sd_corrected(self) -> float | None:
        """What is left after the correction; None without a gauge to correct by, and where nothing may be corrected."""
        if self.u is None or self.fixed:
            return None
        piece = self.sd(PIECE)
        return law.combined_sd((self.sd(TOOLING), piece, piece, self.u / law.COVERAGE))

    @property
    def half(self) -> float | None:
        """Half of the 90 % band of the first piece, of the known part where that is all; None where nothing is known."""
        return law.Z90 * self.sd() if self.contributors else None

    @property
    def band(self) -> tuple[float, float] | None:
        """90 % of first pieces lie in it (at least as widely spread where not `whole`)."""
        middle = self.nominal + self.shift
        return None if self.half is None else (middle - self.half, middle + self.half)

    @property
    def reserve(self) -> float | None:
        """Room of the tolerance over the band, on the nearer side; under 1 the band reaches past the tolerance."""
        if self.allowed is None or not self.contributors:
            return None
        return law.reserve(*self._limits(), self.shift, self.sd())

    @property
    def stands(self) -> str:
        """Does the tolerance stand against the forecast: "yes", "no" or "cannot-tell".

        What is known of a characteristic that is not forecast whole can only refute: more scatter only widens the band.
        """
        if self.reserve is None:
            return "cannot-tell"
        if self.reserve < 1.0:
            return "no"
        return "yes" if self.whole else "cannot-tell"

    @property
    def chance_first(self) -> float | None:
        """Chance that the first piece off the block lies inside the tolerance."""
        return self._chance(self.sd())

    @property
    def chance_corrected(self) -> float | None:
        """The same once the block (or the blank) was corrected by a measured first piece."""
        return self._chance(self.sd_corrected)

    @property
    def proved_first(self) -> float | None:
        """Chance that the gauge proves the first piece inside, by the shop's decision rule."""
        return self._proved(self.sd())

    @property
    def proved_corrected(self) -> float | None:
        """The same after the correction."""
        return self._proved(self.sd_corrected)

    def _limits(self) -> tuple[float, float]:
        assert self.allowed is not None
        return -self.allowed[0], self.allowed[1]

    def _chance(self, sd: float | None) -> float | None:
        if sd is None or self.allowed is None or not self.whole or not self.contributors:
            return None
        return law.chance_inside(*self._limits(), self.shift, sd)

    def _proved(self, sd: float | None) -> float | None:
        """The measured value, gauge error included, must keep the limits drawn in by U (guarded) or the limits."""
        if self.u is None or sd is None or self._chance(sd) is None:
            return None
        limits = law.guarded(*self._limits(), self.u if self.decision == "guarded" else 0.0)
        return law.chance_inside(*limits, self.shift, hypot(sd, self.u / law.COVERAGE))

    def as_json(self) -> dict[str, Any]:
        """The row under its JSON keys; lengths mm, angles deg, as `unit` says."""
        band, whole = self.band, self.whole and bool(self.contributors)
        limits = dict(zip(("minus", "plus"), self.allowed, strict=True)) if self.allowed else None
        return {
            "quantity": self.quantity,
            "where": self.where,
            "nominal": self.nominal,
            "unit": self.unit,
            "tolerance": limits,
            "forecast": Predicted(self.nominal + self.shift, *band, self.model).as_json() if band and whole else None,
            "known_part": dict(zip(("low", "high"), band, strict=True)) if band and not whole else None,
            "left_out": self.left_out,
            "contributors": [
                {"name": c.name, "sd": c.sd, "kind": c.kind, "source": c.source} for c in self.contributors
            ],
            "stands": self.stands,
            "ratio": self.reserve,
            "chance_inside": _pair(self.chance_first, self.chance_corrected),
            "chance_proved": _pair(self.proved_first, self.proved_corrected),
            "decision": self.decision,
            "gauge": self.gauge.id if self.gauge else None,
            "gauge_uncertainty": self.u,
        }


def _pair(first: float | None, corrected: float | None) -> dict[str, float | None] | None:
    return None if first is None else {"first_piece": first, "corrected": corrected}


def show_chance(chance: float) -> str:
    """'47 %'; the tails of an assumed distribution are not printed: 'under 1 %', 'over 99 %'."""
    whole = round(100 * chance)
    return "under 1 %" if whole < 1 else "over 99 %" if whole > 99 else f"{whole} %"
