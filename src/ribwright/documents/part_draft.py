"""The text of a part file as an import leaves it: contour and units filled in, everything that no table says left open and named."""

from __future__ import annotations

import json
from dataclasses import dataclass
from math import hypot

from ribwright.units import MM_PER_IN

Pair = tuple[float, float]
Vertex = tuple[float, float, float]
MISSING = {
    "part.revision": "of the drawing",
    "sheet.material": "a name of the catalogue or of the shop file",
    "sheet.thickness": "of the sheet",
}
OPEN = (
    "sheet.formed_in and sheet.final: tempers, when it is not formed as bought",
    "sheet.grain: degrees from +x; without it any",
    "web.line: what the contour is where it has flanges: outside-mold-line, inside-mold-line or bend-tangent-line",
    'a table [flange.NAME] with width, bend_angle, bend_radius, turn, and flange = "NAME" at each edge that has it',
    "corners, holes, cutouts, rivets, tolerances; [approval] by a person",
)


@dataclass(frozen=True)
class DraftEdge:
    """`points` [mm] from end to end: two of a straight edge, all of a spline, or `vertices` (x, y, bulge) of lines and arcs. `table`:
    name of the file beside the part file that holds the points."""

    name: str
    points: tuple[Pair, ...]
    vertices: tuple[Vertex, ...] = ()
    table: str = ""


@dataclass(frozen=True)
class PartDraft:
    """`number` of the part, `unit` "in" or "mm", `said`: lines for the head of the file, `edges` head to tail."""

    number: str
    unit: str
    said: tuple[str, ...]
    edges: tuple[DraftEdge, ...]


def part_text(draft: PartDraft) -> str:
    """The whole file. It is refused by its reader until the keys of MISSING are filled in, and names them in its head."""
    scale = MM_PER_IN if draft.unit == "in" else 1.0
    x, y = _place(draft.edges[0].points[0], scale)
    lines = [f"# {_comment(line)}" for line in draft.said]
    lines += ["#", "# To be filled in, nothing is planned without them:"]
    lines += [f"#   {key}: {what}" for key, what in MISSING.items()]
    lines += ["# Not said by a table of ordinates, to be added where the drawing has them:"]
    lines += [f"#   {what}" for what in OPEN]
    lines += [
        f'units = "{draft.unit}"',
        "",
        "[part]",
        f"number = {json.dumps(draft.number)}",
        'revision = ""    # to be filled in',
    ]
    lines += ["", "[approval]", 'data = ""', 'by = ""', 'date = ""']
    lines += ["", "[sheet]", 'material = ""    # to be filled in', 'thickness = ""   # to be filled in']
    lines += ["", "[web]", f"start = [{x}, {y}]"]
    for edge in draft.edges:
        lines += _edge(edge, scale)
    return "\n".join(lines) + "\n"


def table_text(edge: DraftEdge, unit: str, said: str) -> str:
    """The points of an edge as the file that its `table` names."""
    scale = MM_PER_IN if unit == "in" else 1.0
    rows = [", ".join(_place(p, scale)) for p in edge.points]
    return "\n".join([f"# {_comment(said)}", f"# units = {unit}", "x, y", *rows]) + "\n"


def _edge(edge: DraftEdge, scale: float) -> list[str]:
    name = json.dumps(edge.name)
    if edge.table:
        return ["", "[[web.edge]]", f"name = {name}", f"ordinates = {json.dumps(edge.table)}"]
    if not edge.vertices:
        if len(edge.points) > 2:
            rows = [f"  [{', '.join(_place(p, scale))}]," for p in edge.points[1:]]
            return ["", "[[web.edge]]", f"name = {name}", "spline = [", *rows, "]"]
        return ["", "[[web.edge]]", f"name = {name}", f"to = [{', '.join(_place(edge.points[-1], scale))}]"]
    out = []
    for n, (a, b) in enumerate(zip(edge.vertices[:-1], edge.vertices[1:], strict=True), 1):
        out += ["", "[[web.edge]]", f'name = "{edge.name} {n}"']
        if a[2] != 0.0:
            out.append(f"through = [{', '.join(_place(_middle(a, b), scale))}]")
        out.append(f"to = [{', '.join(_place((b[0], b[1]), scale))}]")
    return out


def _middle(a: Vertex, b: Vertex) -> Pair:
    """Middle of the arc from a to b: right of the chord by bulge times half of it, for one that turns left."""
    chord = hypot(b[0] - a[0], b[1] - a[1])
    half, rise = chord / 2, a[2] * chord / 2
    ux, uy = (b[0] - a[0]) / chord, (b[1] - a[1]) / chord
    return a[0] + ux * half + uy * rise, a[1] + uy * half - ux * rise


def _place(p: Pair, scale: float) -> tuple[str, str]:
    """x and y in the file's unit, to a tenth of a micrometre or better."""
    return _number(p[0] / scale), _number(p[1] / scale)


def _number(value: float) -> str:
    text = f"{value:.7f}".rstrip("0")
    text = text + "0" if text.endswith(".") else text
    return "0.0" if text == "-0.0" else text


def _comment(text: str) -> str:
    """One printable line."""
    return "".join(c if c.isprintable() else " " for c in text)
