"""What every sheet of a packet carries, so that sheets that belong together say so."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, cast

from ribwright.documents.facing import facing
from ribwright.stages.plan import Plan
from ribwright.version import __version__


@dataclass(frozen=True)
class Identity:
    """Number, revision, hand, title, fingerprint; `first` the unit the shop reads first; `stops` the sentences of the
    findings that stop the job: every sheet is crossed out with the first of them. `released`: approval is filled in."""

    number: str
    revision: str
    hand: str
    title: str
    fingerprint: str
    first: Literal["in", "mm"]
    shop: str
    material: str
    thickness: str
    grain: str
    side_up: str
    stops: tuple[str, ...]
    released: bool = True
    version: str = __version__

    @property
    def line(self) -> str:
        """'Q7-2102-1 rev B, 3f2a...' as one line of print."""
        hand = "" if self.hand == "none" else f", {self.hand} hand"
        return f"{self.number} rev {self.revision}{hand} - {self.fingerprint}"


def identity_of(plan: Plan, fingerprint: str) -> Identity:
    """The identity of a plan. Sheet thickness is printed as it was typed."""
    part = plan.job.part
    grain = part.sheet.grain
    formed = "" if part.sheet.formed_in in ("", "as bought") else f", formed in {part.sheet.formed_in}"
    final = f", final {part.sheet.final}" if part.sheet.final else ""
    typed = part.typed.get("sheet.thickness", "")
    return Identity(
        part.number,
        part.revision,
        part.hand,
        part.title,
        fingerprint,
        cast(Literal["in", "mm"], plan.job.shop.units or part.units),
        plan.job.shop.name,
        f"{part.sheet.material}{formed}{final}",
        typed or f"{part.sheet.thickness:g} mm",
        "any" if grain is None else f"{grain:g} deg from +x",
        part.side_up or facing(part).pressed,
        tuple(f.say for f in plan.findings if f.severity == "stop"),
        part.approval.complete,
    )
