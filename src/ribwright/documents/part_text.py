"""The text of a part file whose outline is known and whose rest a person fills in.

Every import writes by this. What an outline cannot say (number, sheet, a flange's width, angle and radius) stands in its place as a
comment with its key, so that the reader of part files names each one that is still missing. A solid says more: thickness, flanges,
corners.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, field

from ribwright.features.part import Along, Corner, Edge, Flange, Hole, Loop, Point
from ribwright.units import MM_PER_IN, Unit

# of the file's unit: 1e-9 in is 2.5e-8 mm
DECIMALS = 9
# of what a solid measures: 1e-6 in, mm and deg
FORMED_DECIMALS = 6
PER_ROW = 4
HERE = "fill in"
# keys that no table of ordinates says
MISSING = ("part.revision", "sheet.material", "sheet.thickness")


@dataclass(frozen=True)
class Outlined:
    """What is known of the part, "" for what is not: number, outline, cutouts, holes, names of flanges, `line`; `tangents` of splines by
    the name of the edge. Of a solid also the `formed` flanges by name, thickness [mm], corners. `says`: what all of it was read from.
    `material`, `revision`: "" where a person fills them in."""

    number: str
    units: Unit
    outer: Loop
    cutouts: tuple[Loop, ...]
    holes: tuple[Hole, ...]
    flanges: tuple[str, ...]
    line: str
    tangents: dict[str, str]
    formed: Mapping[str, Flange] = field(default_factory=dict)
    thickness: float | None = None
    corners: tuple[Corner, ...] = ()
    says: str = "a flat outline"
    material: str = ""
    revision: str = ""


def part_text(known: Outlined, remarks: tuple[str, ...]) -> str:
    """TOML text. `remarks`: lines put at its head, what it was made from."""
    out = [f"# {_printable(line)}" for line in remarks]
    out += [
        f"# What {known.says} does not say is marked {HERE!r}; `ribwright check` names each that is still missing.",
        "",
    ]
    out += [f'units = "{known.units}"', ""]
    out += [
        "[part]",
        f"number   = {_quoted(known.number)}" + ("" if known.number else f"   # {HERE}"),
        f"revision = {_quoted(known.revision)}" + ("" if known.revision else f"   # {HERE}"),
        'title    = ""',
        'hand     = "none"',
        "",
    ]
    out += ["[approval]", 'data = ""', 'by   = ""', 'date = ""', ""]
    out += ["[sheet]", *_sheet(known), "# formed_in, final, grain: where the drawing says them", ""]
    for name in known.flanges:
        out += _formed(known.formed[name], known) if name in known.formed else _flange(name)
    out += ["[web]", _line(known)]
    out += _loop(known.outer, known, "[[web.edge]]")
    for cutout in known.cutouts:
        out += ["[[cutout]]", f"name  = {_quoted(cutout.name)}"]
        out += _loop(cutout, known, "[[cutout.edge]]")
    for corner in known.corners:
        out += _corner(corner, known)
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


def _sheet(known: Outlined) -> list[str]:
    material = (
        f"material  = {_quoted(known.material)}"
        if known.material
        else f"# material  =   # {HERE}, as the drawing calls it"
    )
    if known.thickness is None:
        return [material, f"# thickness =   # {HERE}"]
    return [material, f"thickness = {_measured(known.thickness, known)}"]


def _formed(flange: Flange, known: Outlined) -> list[str]:
    """A flange that a solid has."""
    return [
        f"[flange.{_key(flange.name)}]",
        f"width       = {_values(flange.width, known, length=True)}",
        f"bend_angle  = {_values(flange.bend_angle, known, length=False)}",
        f"bend_radius = {_measured(flange.bend_radius, known)}",
        f'turn        = "{flange.turn}"',
        "",
    ]


def _values(along: Along, known: Outlined, length: bool) -> str:
    """One value, or [place, value] of each station."""

    def value(v: float) -> str:
        return _measured(v, known) if length else _rounded(v)

    if len(along.stations) == 1:
        return value(along.values[0])
    words = {0.0: '"start"', 1.0: '"end"'}
    rows = [
        f"[{words[x] if measure == 'fraction' else _measured(x, known)}, {value(v)}]"
        for measure, x, v in along.stations
    ]
    return f"[{', '.join(rows)}]"


def _corner(corner: Corner, known: Outlined) -> list[str]:
    out = ["[[corner]]", f"at       = [{', '.join(_quoted(n) for n in corner.at)}]", f'relief   = "{corner.relief}"']
    if corner.diameter is not None:
        out.append(f"diameter = {_measured(corner.diameter, known)}")
    if corner.set_back:
        out.append(f"set_back = {_measured(corner.set_back, known)}")
    if corner.gap:
        out.append(f"gap      = {_measured(corner.gap, known)}")
    return [*out, ""]


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
        out += [f"slot       = {_number(hole.slot, known)}", f"slot_angle = {_rounded(hole.slot_angle)}"]
    if hole.kind == "lightening" and hole.bend_radius:
        assert hole.given is not None
        out += [f'line     = "{hole.line}"', f"{hole.given[0]} = {_measured(hole.given[1], known)}"]
        out += [f"bend_angle  = {_rounded(hole.bend_angle)}", f"bend_radius = {_measured(hole.bend_radius, known)}"]
        out.append(f'turn     = "{hole.turn}"')
    elif hole.kind == "lightening":
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
    if known.thickness is not None:
        return _measured(mm, known)
    return _plain(mm / MM_PER_IN if known.units == "in" else mm)


def _measured(mm: float, known: Outlined) -> str:
    """A length measured on a solid, in the file's unit."""
    return _rounded(mm / MM_PER_IN if known.units == "in" else mm)


def _rounded(value: float) -> str:
    return _plain(round(value, FORMED_DECIMALS))


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
