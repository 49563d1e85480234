"""The text of a part file whose outline is known and whose rest a person fills in.

Every import writes by this. What an outline cannot say (number, sheet, a flange's width, angle and radius) stands in its place as a
comment with its key, so that the reader of part files names each one that is still missing.
"""

from __future__ import annotations

import json
from dataclasses import dataclass

from ribwright.features.part import Edge, Hole, Loop, Point
from ribwright.units import MM_PER_IN, Unit

# of the file's unit: 1e-9 in is 2.5e-8 mm
DECIMALS = 9
PER_ROW = 4
HERE = "fill in"
# keys that no table of ordinates says
MISSING = ("part.revision", "sheet.material", "sheet.thickness")


@dataclass(frozen=True)
class Outlined:
    """What is known of the part, "" for what is not: number, outline, cutouts, holes, names of flanges, `line`; `tangents` of splines by
    the name of the edge."""

    number: str
    units: Unit
    outer: Loop
    cutouts: tuple[Loop, ...]
    holes: tuple[Hole, ...]
    flanges: tuple[str, ...]
    line: str
    tangents: dict[str, str]


def part_text(known: Outlined, remarks: tuple[str, ...]) -> str:
    """TOML text. `remarks`: lines put at its head, what it was made from."""
    out = [f"# {_printable(line)}" for line in remarks]
    out += [
        f"# What a flat outline does not say is marked {HERE!r}; `ribwright check` names each that is still missing.",
        "",
    ]
    out += [f'units = "{known.units}"', ""]
    out += [
        "[part]",
        f"number   = {_quoted(known.number)}" + ("" if known.number else f"   # {HERE}"),
        f'revision = ""   # {HERE}',
        'title    = ""',
        'hand     = "none"',
        "",
    ]
    out += ["[approval]", 'data = ""', 'by   = ""', 'date = ""', ""]
    out += ["[sheet]", f"# material  =   # {HERE}, as the drawing calls it", f"# thickness =   # {HERE}"]
    out += ["# formed_in, final, grain: where the drawing says them", ""]
    for name in known.flanges:
        out += _flange(name)
    out += ["[web]", _line(known)]
    out += _loop(known.outer, known, "[[web.edge]]")
    for cutout in known.cutouts:
        out += ["[[cutout]]", f"name  = {_quoted(cutout.name)}"]
        out += _loop(cutout, known, "[[cutout.edge]]")
    for hole in known.holes:
        out += _hole(hole, known)
    return "\n".join(out).rstrip("\n") + "\n"


def _line(known: Outlined) -> str:
    if known.line:
        return f'line  = "{known.line}"'
    return (
        f'# line =   # {HERE}: "outside-mold-line" or "inside-mold-line", which of them the flanged edges are drawn at'
    )


def table_text(edge: Edge, units: Unit, said: str) -> str:
    """The points of an edge as the file that its `ordinates` names."""
    scale = MM_PER_IN if units == "in" else 1.0
    rows = [f"{_plain(x / scale)}, {_plain(y / scale)}" for x, y in edge.points]
    return "\n".join([f"# {_printable(said)}", f"# units = {units}", "x, y", *rows]) + "\n"


def _flange(name: str) -> list[str]:
    return [
        f"[flange.{_key(name)}]",
        f"# width       =   # {HERE}: outside mold line to free edge, as formed",
        f"# bend_angle  =   # {HERE}: 90 is square",
        f"# bend_radius =   # {HERE}: inside",
        '# turn        = "down"   # or "up"; left out: down',
        "",
    ]


def _loop(loop: Loop, known: Outlined, table: str) -> list[str]:
    out = [f"start = {_point(loop.edges[0].points[0], known)}", ""]
    for edge in loop.edges:
        out += [table, f"name    = {_quoted(edge.name)}", *_edge(edge, known)]
        if edge.flange:
            out.append(f"flange  = {_quoted(edge.flange)}")
        out.append("")
    return out


def _edge(edge: Edge, known: Outlined) -> list[str]:
    if edge.ordinates:
        return [f"ordinates = {_quoted(edge.ordinates)}"]
    if edge.kind == "line":
        return [f"to      = {_point(edge.points[1], known)}"]
    if edge.kind == "arc":
        return [f"through = {_point(edge.points[1], known)}", f"to      = {_point(edge.points[2], known)}"]
    points = [_point(p, known) for p in edge.points[1:]]
    rows = [", ".join(points[i : i + PER_ROW]) for i in range(0, len(points), PER_ROW)]
    tangent = known.tangents.get(edge.name, "")
    return ["spline  = [", *(f"  {row}," for row in rows), "]", *([f'tangent = "{tangent}"'] if tangent else [])]


def _hole(hole: Hole, known: Outlined) -> list[str]:
    out = ["[[hole]]", f"name     = {_quoted(hole.name)}", f'kind     = "{hole.kind}"']
    out += [f"at       = {_point(hole.at, known)}", f"diameter = {_number(hole.diameter, known)}"]
    if hole.pin_fit is not None:
        out.append(f"pin_fit  = {_number(hole.pin_fit, known)}")
    if hole.kind == "tooling" and hole.slot:
        out += [f"slot       = {_number(hole.slot, known)}", f"slot_angle = {_plain(hole.slot_angle)}"]
    if hole.kind == "lightening":
        out.append(f'line     = "{hole.line}"')
        if hole.given is not None:
            out.append(f"{hole.given[0]} = {_number(hole.given[1], known)}")
        else:
            out.append(f"# cut_diameter =   # {HERE}; or rim_diameter, flange_height, flat_height")
        out += [f"# bend_angle  =   # {HERE}", f"# bend_radius =   # {HERE}"]
    return [*out, ""]


def _point(p: Point, known: Outlined) -> str:
    return f"[{_number(p[0], known)}, {_number(p[1], known)}]"


def _number(mm: float, known: Outlined) -> str:
    return _plain(mm / MM_PER_IN if known.units == "in" else mm)


def _plain(value: float) -> str:
    """A decimal number without an exponent, of at most DECIMALS decimals, at least one."""
    text = f"{value:.{DECIMALS}f}".rstrip("0")
    text = f"{text}0" if text.endswith(".") else text
    return text.removeprefix("-") if float(text) == 0 else text


def _printable(text: str) -> str:
    """One line that can stand in a comment."""
    return "".join(c if c.isprintable() else " " for c in text)


def _key(name: str) -> str:
    return name if all(c.isalnum() or c in "-_" for c in name) and name.isascii() else _quoted(name)


def _quoted(text: str) -> str:
    # a JSON string is a TOML basic string, but for DEL, which no one types
    return json.dumps(text, ensure_ascii=False)
