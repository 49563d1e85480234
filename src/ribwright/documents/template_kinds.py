"""The kinds of template: what each is called, how its edge is cut, what its lines mean. One record a kind."""

from __future__ import annotations

from dataclasses import dataclass, replace

Legend = tuple[tuple[str, str], ...]

MARKS: Legend = (
    ("mark", "M1 to M4: measure from tip to tip"),
    ("square", "lay on the square of the same number"),
)


@dataclass(frozen=True)
class TemplateKind:
    """`name` as on the command line; `size_of` what the size on the cover is of; `cut_note` how the line is cut, on every
    tile; `outline` the look of the outline; `legend` (sample, meaning) of every line."""

    name: str
    title: str
    size_of: str
    cut_note: str
    outline: str
    legend: Legend
    grain: bool = False
    rests: str = ""
    """What of it rests on a calculation; "" where all of it is the drawing's."""

    def has(self, sample: str) -> bool:
        """Whether the legend explains a line of this look."""
        return any(row[0] == sample for row in self.legend)


def with_rows(kind: TemplateKind, *rows: tuple[str, str]) -> TemplateKind:
    """The kind with more rows in its legend, before those of the marks."""
    at = len(kind.legend) - len(MARKS)
    return replace(kind, legend=(*kind.legend[:at], *rows, *kind.legend[at:]))


BLANK = TemplateKind(
    "blank",
    "Blank template",
    "blank",
    "Cut to the outer edge of the line; keep scribe marks off the part.",
    "cut",
    (
        ("cut", "edge of the blank: cut"),
        ("tangent", "bend tangent line: do not cut or scribe"),
        ("hole", "hole, to the diameter beside it"),
        ("pin", "pin hole: longer cross"),
        *MARKS,
    ),
    grain=True,
    rests="The flat is computed",
)
CHECK = TemplateKind(
    "check",
    "Check template",
    "outside mold line",
    "Cut the template to the outer line: the outside mold line. It checks a part; no part is cut by it.",
    "cut",
    (
        ("cut", "outer line: outside mold line, heel face"),
        ("inside", "inner line: inside mold line, inner face"),
        ("free", "free edge seen square to the web"),
        ("end", "end of a flange"),
        ("tangent", "bend tangent line: here the web is flat"),
        ("hole", "finished opening"),
        ("pin", "pin hole: locate by it"),
        *MARKS,
    ),
    rests="Drawing's lines; free edges and openings that the drawing does not give are computed",
)
BLOCK = TemplateKind(
    "block",
    "Block template",
    "web face",
    "Saw on the full line, web face up. Do not saw on the foot line or the bend line. Round the edge last, by a gauge.",
    "face",
    (
        ("face", "web face before rounding: saw on it"),
        ("foot", "foot: under the block, do NOT cut"),
        ("tangent", "bend tangent line: do NOT cut"),
        ("hole", "recess: rim at the web face"),
        ("pin", "locating pin: drill for it"),
        *MARKS,
    ),
    rests="Undercut, foot and recesses are computed",
)
DRILL = TemplateKind(
    "drill",
    "Drill template",
    "blank",
    "Centre-punch only the holes that carry a name and a Ø. Numbered and lettered marks are for laying the paper.",
    "part",
    (
        ("part", "edge of the blank: do not cut by it"),
        ("tangent", "bend tangent line"),
        ("hole", "hole, name and Ø beside it; in it the pilot"),
        ("pin", "pin hole: longer cross"),
        ("datum", "datum: holes are measured from it"),
        *MARKS,
    ),
    rests="Edge of the blank and holes of hole flanges are computed",
)

BEVEL = TemplateKind(
    "bevel",
    "Bevel gauge cards",
    "cards",
    "Drill the hole at the corner, then cut along the full lines: the wedge and the cut-out are both the gauge.",
    "cut",
    (),
    rests="Angles of BLOCK cards are computed",
)

KINDS: tuple[TemplateKind, ...] = (BLANK, CHECK, BLOCK, DRILL, BEVEL)


def for_router(kind: TemplateKind) -> TemplateKind:
    """The kind as a template for routing: its edge is the guide's, the part's own edge is dotted."""
    own = {"cut": "edge of the blank: comes out here", "face": "larger of web face and foot: routed"}[kind.outline]
    rows = tuple(row for row in kind.legend if row[0] != kind.outline)
    legend: Legend = (("cut", "edge of the router template: cut"), ("part", own), *rows)
    return replace(
        kind,
        title=f"Router template, {kind.name}",
        size_of="router template",
        cut_note="Cut the template to the outer edge of the full line: the bushing rides on it.",
        outline="cut",
        legend=legend,
    )
