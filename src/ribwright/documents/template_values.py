"""What a template says: its lines, holes, words and tables, as plain values. Every kind of template is one of these."""

from __future__ import annotations

from dataclasses import dataclass, field

from ribwright.documents.layout import Column
from ribwright.documents.page import Pair
from ribwright.documents.template_kinds import BLANK, TemplateKind
from ribwright.geometry.path import Path
from ribwright.stages.circles import CircleGrid
from ribwright.units import Unit

# what stands behind a hole's name, by its kind
CALLED = {"tooling": " pin hole", "pin": " pin", "recess": " recess", "opening": " opening"}


def joined(*words: str) -> str:
    """The words that there are, one told from the next by a bar, for a revision may be a dash."""
    return " | ".join(w for w in words if w)


@dataclass(frozen=True)
class TemplateHole:
    """A hole, or what stands round a centre. kind as in the part file: "lightening", "tooling" (takes a pin) or "plain";
    or "pin", "recess" (of a block), "opening" (as formed). A slot is `slot` [mm] longer than its diameter, along
    `slot_angle` [deg]. `pilot`: diameter of the pilot hole, 0 = none drawn. `true_diameter`: the finished size where the
    line drawn is set over."""

    name: str
    x: float
    y: float
    diameter: float
    kind: str
    slot: float = 0.0
    slot_angle: float = 0.0
    pilot: float = 0.0
    true_diameter: float | None = None

    @property
    def takes_pin(self) -> bool:
        """Its centre cross reaches further out."""
        return self.kind in ("tooling", "pin")

    @property
    def called(self) -> str:
        """'P1 pin hole'."""
        return self.name + CALLED.get(self.kind, "")


@dataclass(frozen=True)
class EdgeLabel:
    """Words that stand along an edge: middle of the base line [mm] and its angle [deg]. `others`: where, and in what
    shorter form, they may stand instead, best first."""

    text: str
    x: float
    y: float
    angle: float = 0.0
    others: tuple[EdgeLabel, ...] = ()


@dataclass(frozen=True)
class TemplateLine:
    """A line beside the outline; `look` names it in `template_looks`."""

    path: Path
    look: str


@dataclass(frozen=True)
class TemplateTable:
    """A table printed after the cover, with a sentence or two under it."""

    title: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[str, ...], ...]
    under: tuple[str, ...] = ()


@dataclass(frozen=True)
class TemplateContent:
    """Everything on the sheet. Paths in mm in the part's coordinates. `grain_deg` None: the drawing does not care; it is
    printed on a blank only. `side_up` says which face is up, under the words `up`. `lay`: the steps that say how the
    template is laid. `reliefs`: holes whose edge the outline
    takes in, shown by their centre. `developed`: the method of the flat blank. `datum`: where holes are measured from, with its
    name. `circles`: the grid printed over the blank, None where none is asked. With `stops` every page is crossed out."""

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
    kind: TemplateKind = BLANK
    lines: tuple[TemplateLine, ...] = ()
    tables: tuple[TemplateTable, ...] = ()
    up: str = "THIS SIDE UP"
    lay: tuple[str, ...] = ("Lay on the sheet as the words THIS SIDE UP and the grain arrow say.",)
    datum: tuple[str, Pair] | None = None
    banner: str = ""
    reliefs: tuple[TemplateHole, ...] = ()
    circles: CircleGrid | None = None
    developed: str = ""

    @property
    def name_line(self) -> str:
        """'Q7-2102-1 rev B, left hand'."""
        hand = "" if self.hand in ("", "none") else f", {self.hand} hand"
        return f"{self.part} rev {self.revision}{hand}"

    @property
    def identity(self) -> str:
        """What stands at the foot of every page; the words that may be long come last."""
        return joined(self.kind.title, self.name_line, f"fingerprint {self.fingerprint}", self.title)

    @property
    def head_line(self) -> str:
        """'Q7-2102-1 rev B, left hand | Centre rib'."""
        return joined(self.name_line, self.title)

    @property
    def sheet_line(self) -> str:
        """'2024-T3 clad | 0.025 in | fingerprint 0123456789abcdef'."""
        return joined(self.material, self.thickness, f"fingerprint {self.fingerprint}")

    @property
    def named_holes(self) -> tuple[TemplateHole, ...]:
        """Everything that has a centre, a name and a size."""
        return (*self.holes, *self.reliefs)

    @property
    def stop_sentence(self) -> str:
        """The first stop, and how many more there are; "" when there is none."""
        more = len(self.stops) - 1
        return "" if not self.stops else self.stops[0] + (f" (and {more} more)" if more > 0 else "")

    @property
    def every_line(self) -> tuple[TemplateLine, ...]:
        """Every line of the template with its look: outline, cutouts, tangent lines, the others."""
        edges = (TemplateLine(path, self.kind.outline) for path in (self.outline, *self.cutouts))
        return (*edges, *(TemplateLine(path, "tangent") for path in self.tangents), *self.lines)
