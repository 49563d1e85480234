"""A part file read for the screen: what could be read of it, and every fault with its line. Nothing in a text makes it raise.

The reading is that of the strict reader (`part_toml.drafted`); only what is shown of it is said here. Lengths in mm, angles
in degrees, None for what is not known. Loops and edges stand as typed, not turned.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from ribwright import units as u
from ribwright.adapters.part_keys import KEYS
from ribwright.adapters.part_loops import CLOSED_MM, DrawnEdge, DrawnLoop
from ribwright.adapters.part_toml import DETAILS, drafted, part_of
from ribwright.adapters.part_values import angle_deg, leaves, length_mm, place_along, rounded
from ribwright.adapters.reading import MOST_FAULTS, Point
from ribwright.adapters.toml_spans import Spans, scan
from ribwright.adapters.toml_text import parse_toml
from ribwright.errors import Fault, InputError, capped
from ribwright.features.part import Along, Corner, Flange, Hole, Part, Rivets

_LINE = re.compile(r"line ([0-9]+)\b")
Json = dict[str, Any]


@dataclass(frozen=True)
class Sketched:
    """`faults`: rows for the screen (file, key, found, allowed, nearest, say, line); `sketch`: what there is to draw;
    `part`: the part itself when nothing is wrong."""

    faults: list[Json]
    notes: list[str]
    sketch: Json
    part: Part | None


def sketched(text: str, file: str, base: Path | None) -> Sketched:
    """The sketch of a text. `file` names it in faults; ordinate files are sought beside `base`."""
    try:
        table = parse_toml(text, file, "a part file")
        spans = scan(text)
        draft, book = drafted(table, file, base)
    except InputError as error:
        return Sketched(faults_said(error.faults, text, file), [], nothing(), None)
    except RecursionError:
        # brackets in brackets, or a thousand splines that each take their direction from the next
        fault = Fault(file, "the file", "tables or edges that hang on each other too deeply", "a part file in TOML")
        return Sketched(faults_said([fault], text, file), [], nothing(), None)
    sketch = {
        "units": book.units,
        "values": leaves(spans, table, book.units),
        "loops": [_loop(loop) for loop in draft.loops],
        "flanges": [_flange(flange) for flange in draft.flanges.values()],
        "holes": [_hole(path, hole) for path, hole in draft.holes],
        "corners": [_corner(path, corner) for path, corner in draft.corners],
        "rivets": [_rivets(path, row) for path, row in draft.rivets],
        "others": _others(table, book.units),
        "thickness_mm": rounded(draft.sheet.thickness) if draft.sheet else None,
        "grain_deg": rounded(draft.sheet.grain) if draft.sheet and draft.sheet.grain is not None else None,
        "line": draft.line,
    }
    faults = faults_said(capped(book.faults, MOST_FAULTS), text, file, spans)
    # what the part itself adds to the notes comes with it
    part = None if book.faults else part_of(draft, book)
    return Sketched(faults, list(part.notes if part else draft.notes), sketch, part)


def nothing() -> Json:
    """The sketch of a text that says nothing."""
    lists = ("loops", "flanges", "holes", "corners", "rivets", "others")
    blank: Json = {"units": None, "values": {}, **{k: [] for k in lists}}
    return blank | {"thickness_mm": None, "grain_deg": None, "line": None}


def faults_said(
    faults: list[Fault] | tuple[Fault, ...], text: str, file: str, spans: Spans | None = None
) -> list[Json]:
    """Faults as rows for the screen. `line`: where the key stands in the text, or the nearest table above it; None when
    nobody knows, and for a fault of another file. `say`: the sentence, without the part file's own name."""
    return [_said(fault, text, file, spans) for fault in faults]


def _said(fault: Fault, text: str, file: str, spans: Spans | None) -> Json:
    name = Path(fault.file).name
    sentence = replace(fault, file="").sentence().removeprefix(": ")
    own = fault.file == file
    return {
        "file": name,
        "key": fault.key,
        "found": fault.found,
        "allowed": fault.allowed,
        "nearest": fault.nearest,
        "say": sentence if own else f"{name}: {sentence}",
        "line": _line(fault.key, text, spans) if own else None,
    }


def _line(key: str, text: str, spans: Spans | None) -> int | None:
    if spans is not None:
        return spans.line_of(key)
    if key == "the end of the file":
        return max(len(text.splitlines()), 1)
    hit = _LINE.match(key)
    return int(hit[1]) if hit else None


def _mm(point: Point | None) -> list[float | None] | None:
    return None if point is None else [rounded(c) for c in point]


def _loop(loop: DrawnLoop) -> Json:
    start = loop.edges[0].edge.points[0] if loop.edges else (math.nan, math.nan)
    end = loop.edges[-1].edge.points[-1] if loop.edges else (math.nan, math.nan)
    return {
        "name": loop.name,
        "path": loop.path,
        "start_mm": _mm(start),
        "closed": math.hypot(end[0] - start[0], end[1] - start[1]) <= CLOSED_MM,
        "sound": loop.sound,
        "edges": [_edge(drawn) for drawn in loop.edges],
    }


def _edge(drawn: DrawnEdge) -> Json:
    edge = drawn.edge
    return {
        "path": drawn.path,
        "name": edge.name,
        "kind": edge.kind,
        "ordinates": edge.ordinates or None,
        "points_mm": [_mm(p) for p in edge.points[1:]],
        "tangent": drawn.tangent or None,
        "start_dir": _mm(edge.start_dir),
        "end_dir": _mm(edge.end_dir),
        "flange": edge.flange,
    }


def _along(along: Along) -> Any:
    """A number, or [[measure, at, value], ...]."""
    rows = along.stations
    if len(rows) == 1:
        return rounded(rows[0][2])
    return [[measure, rounded(at), rounded(value)] for measure, at, value in rows]


def _flange(flange: Flange) -> Json:
    return {
        "path": f"flange.{flange.name}",
        "name": flange.name,
        "width_mm": _along(flange.width),
        "bend_angle_deg": _along(flange.bend_angle),
        "bend_radius_mm": rounded(flange.bend_radius),
        "turn": flange.turn,
        "flutes": flange.flutes,
    }


def _hole(path: str, hole: Hole) -> Json:
    given = dict([hole.given]) if hole.given else {}
    sizes = ("cut_diameter", "rim_diameter", "flange_height", "flat_height")
    return {
        "path": path,
        "name": hole.name,
        "kind": hole.kind,
        "at_mm": _mm(hole.at),
        "diameter_mm": rounded(hole.diameter),
        "line": hole.line,
        **{f"{k}_mm": rounded(given.get(k)) for k in sizes},
        "bend_angle_deg": rounded(hole.bend_angle),
        "bend_radius_mm": rounded(hole.bend_radius),
        "turn": hole.turn,
        "pin_fit_mm": rounded(hole.pin_fit),
        "slot_mm": rounded(hole.slot),
        "slot_angle_deg": rounded(hole.slot_angle),
    }


def _corner(path: str, corner: Corner) -> Json:
    return {
        "path": path,
        "at": list(corner.at),
        "relief": corner.relief,
        "diameter_mm": rounded(corner.diameter),
        "set_back_mm": rounded(corner.set_back),
        "gap_mm": rounded(corner.gap),
    }


def _rivets(path: str, row: Rivets) -> Json:
    return {
        "path": path,
        "edge": row.edge,
        "on": row.on,
        "line_mm": rounded(row.line),
        "first_mm": rounded(row.first),
        "pitch_mm": rounded(row.pitch),
        "count": row.count,
        "diameter_mm": rounded(row.diameter),
        "edge_distance_mm": rounded(row.edge_distance),
    }


def _others(table: Json, units: u.Unit | None) -> list[Json]:
    """Notches, flutes, joggles, beads: lengths as KEY_mm, places as [measure, number]."""
    found: list[Json] = []
    for kind in DETAILS:
        rows = table.get(kind)
        for n, row in enumerate(rows if isinstance(rows, list) else [], 1):
            if isinstance(row, dict):
                found.append({"kind": kind, "path": f"{kind}[{n}]", **_other(kind, row, units)})
    return found


def _other(kind: str, row: Json, units: u.Unit | None) -> Json:
    said: Json = {}
    for key, what in KEYS[kind].items():
        value = row.get(key)
        if what == "length":
            said[f"{key}_mm"] = length_mm(value, units)
        elif what == "angle":
            said[f"{key}_deg"] = angle_deg(value)
        elif what == "place" and key in row:
            said[key] = list(place_along(value, units))
        elif what == "points":
            said[f"{key}_mm"] = [_point(p, units) for p in value] if isinstance(value, list) else []
        elif what == "text":
            said[key] = value if isinstance(value, str) else None
    return said


def _point(value: Any, units: u.Unit | None) -> list[float | None]:
    pair = value if isinstance(value, list) and len(value) == 2 else [None, None]
    return [length_mm(c, units) for c in pair]
