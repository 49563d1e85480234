"""What a blank template says: the flat blank's lines and the words that go with them, as plain values."""

from __future__ import annotations

from dataclasses import dataclass, field

from ribwright.documents.page import Pair
from ribwright.geometry.path import Path
from ribwright.units import Unit


@dataclass(frozen=True)
class TemplateHole:
    """A hole as cut in the blank. kind as in the part file: "lightening", "tooling" (takes a pin) or "plain". A slot is
    `slot` [mm] longer than its diameter, along `slot_angle` [deg]."""

    name: str
    x: float
    y: float
    diameter: float
    kind: str
    slot: float = 0.0
    slot_angle: float = 0.0


@dataclass(frozen=True)
class EdgeLabel:
    """Words that stand along an edge: middle of the base line [mm] and its angle [deg]."""

    text: str
    x: float
    y: float
    angle: float = 0.0


@dataclass(frozen=True)
class TemplateContent:
    """Everything on the sheet. Paths in mm in the part's coordinates. `grain_deg` None: the drawing does not care.
    `side_up` says which face is up, under the words THIS SIDE UP. With `stops` every page is crossed out."""

    part: str
    revision: str
    hand: str
    title: str
    material: str
    thickness: str
    fingerprint: str
    outline: Path
    cutouts: tuple[Path, ...] = ()
    tangents: tuple[Path, ...] = ()
    holes: tuple[TemplateHole, ...] = ()
    pins: tuple[Pair, ...] = ()
    grain_deg: float | None = None
    side_up: str = ""
    edge_labels: tuple[EdgeLabel, ...] = ()
    units: Unit = "in"
    size: Pair | None = None
    stops: tuple[str, ...] = field(default=())

    @property
    def name_line(self) -> str:
        """'Q7-2102-1 rev B, left hand'."""
        hand = "" if self.hand in ("", "none") else f", {self.hand} hand"
        return f"{self.part} rev {self.revision}{hand}"

    @property
    def identity(self) -> str:
        """What stands at the foot of every page; the words that may be long come last."""
        return f"Blank template   {self.name_line}   fingerprint {self.fingerprint}   {self.title}".rstrip()

    @property
    def stop_sentence(self) -> str:
        """The first stop, and how many more there are; "" when there is none."""
        more = len(self.stops) - 1
        return "" if not self.stops else self.stops[0] + (f" (and {more} more)" if more > 0 else "")
