"""A part file from a table of ordinates."""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from ribwright.documents.import_screen import table_lines as screen_lines
from ribwright.documents.part_text import MISSING, Outlined, part_text, table_text
from ribwright.errors import Fault, InputError, UnitError, nearest
from ribwright.features.part import Edge, Loop
from ribwright.geometry.fair import fair
from ribwright.ports import Tables
from ribwright.stages import answers
from ribwright.stages.finding import ranked
from ribwright.stages.known_length import KINDS as KNOWN
from ribwright.stages.known_length import KnownLength, Scale, scale_findings, scale_of
from ribwright.stages.suspect_ordinates import not_judged, ordinate_findings, suspect_ordinates, with_taken
from ribwright.stages.table_answer import table_answer
from ribwright.stages.table_edges import KINDS, CurveOrder, TableEdge, Vertex, table_edges
from ribwright.stages.table_lines import table_lines
from ribwright.units import Unit, length_mm
from ribwright.work.imported import Imported

_LENGTH = re.compile(r"(?P<length>[^=]+)=\s*(?P<what>[a-z]+)(?:\s+at\s+(?P<at>.+))?\s*", re.IGNORECASE)
_TAKE = re.compile(r"(?P<number>[0-9]{1,3})\s*(?:=(?P<value>.+))?")
LENGTH_FORM = '"50 in=chord", "7.9 in=height" or "3.937 in=upper at 15 in"'
FINEST_MM, COARSEST_MM = 0.001, 5.0


def imported_table(files: Tables, path: Path, number: str, options: dict[str, Any]) -> Imported:
    """What a table gives. Options, as typed: `length` and `take` (several), `curve`, `within`, `deviation`, `skin`, `first`, `last`.

    InputError for a table or option that is wrong, and where the known length says that the unit is another one.
    """
    faults: list[Fault] = []
    lengths = _lengths(options.get("length", ()), faults)
    chord = next((k.known for k in lengths if k.what == "chord"), None)
    if faults:
        raise InputError(faults)
    table = files.ordinates(path, chord)
    unit: Unit = "mm" if table.unit == "mm" else "in"
    order = _order(options, unit, faults)
    takes = _takes(options.get("take", ()), unit, faults)
    typed = table_lines(table)
    found = suspect_ordinates(table, typed)
    _check_takes(takes, len(found), faults)
    if faults:
        raise InputError(faults)
    lines, found = with_taken(typed, found, table, takes)
    curves = tuple(fair(line.points, order.within) for line in lines)
    # percent are of the chord that was given: it proves nothing then
    scales = [scale_of(k, lines, curves) for k in lengths if not (table.percent and k.what == "chord")]
    _check_scales(scales, path, faults)
    if faults:
        raise InputError(faults)
    edges = table_edges(lines, curves, order, str(path))
    findings = ordinate_findings(found, lines, unit)
    findings += [f for s in scales for f in scale_findings(s, unit)] if scales else scale_findings(None, unit)
    drawn = tuple(d for e in edges for d in _drawn(e, number))
    known = Outlined(number, unit, Loop("web", drawn), (), (), (), "", {})
    text = part_text(known, _said(path, order, found, scales, unit))
    beside = {
        d.ordinates: table_text(d, unit, f"edge {d.name} of {number}, from {path.name}").encode()
        for d in drawn
        if d.ordinates
    }
    told = answers.tidy(
        {
            **table_answer(table, lines, curves, found, not_judged(typed), scales, edges, order),
            "missing": list(MISSING),
            "files": list(beside),
        }
    )
    ordered = ranked(findings)
    return Imported(text, ordered, beside, told, tuple(screen_lines(told, unit)), unit)


def _drawn(edge: TableEdge, number: str) -> list[Edge]:
    """The edge as drawn ones: a spline by a table beside the part file, lines and arcs each by itself."""
    points = tuple((float(x), float(y)) for x, y in edge.points)
    if edge.vertices:
        pairs = zip(edge.vertices[:-1], edge.vertices[1:], strict=True)
        return [_piece(f"{edge.name} {n}", a, b) for n, (a, b) in enumerate(pairs, 1)]
    if edge.kind == "spline":
        return [Edge(edge.name, "spline", points, ordinates=f"{number}-{edge.name}.csv")]
    return [Edge(edge.name, "line", (points[0], points[-1]))]


def _piece(name: str, a: Vertex, b: Vertex) -> Edge:
    """The line or arc from one vertex (x, y, bulge) to the next: an arc's middle lies right of the chord by bulge times half of it."""
    start, end = (a[0], a[1]), (b[0], b[1])
    if a[2] == 0.0:
        return Edge(name, "line", (start, end))
    half_x, half_y = (b[0] - a[0]) / 2, (b[1] - a[1]) / 2
    return Edge(name, "arc", (start, (a[0] + half_x + a[2] * half_y, a[1] + half_y - a[2] * half_x), end))


def _said(path: Path, order: CurveOrder, found: Any, scales: list[Scale], unit: Unit) -> tuple[str, ...]:
    kept = [o for o in found if o.taken is None]
    taken = [o for o in found if o.taken is not None]
    words = {
        "typed": "through the ordinates as typed",
        "faired": "the faired curve",
        "arcs": "the faired curve as lines and arcs",
    }
    out = [f"Contour from {path.name}: {words[order.kind]}" + (", less the skin" if order.skin else "") + "."]
    out += [f"Suspect, kept as typed: line {o.line}, {o.axis} {o.side} {o.typed}." for o in kept]
    out += [f"Taken in place of what was typed: line {o.line}, {o.axis} {o.side}, typed {o.typed}." for o in taken]
    if not scales:
        out.append("Scale and unit are not proved by a known length.")
    return tuple(out)


def _lengths(typed: Sequence[str], faults: list[Fault]) -> list[KnownLength]:
    out = []
    for text in typed:
        hit = _LENGTH.fullmatch(text.strip())
        if hit is None:
            faults.append(Fault("command line", "--length", repr(text), LENGTH_FORM))
            continue
        what, side = hit["what"].lower(), hit["at"] is not None
        if what not in KNOWN or side != (what not in ("chord", "height")):
            faults.append(
                Fault(
                    "command line",
                    "--length",
                    repr(text),
                    LENGTH_FORM,
                    nearest(what, KNOWN) if what not in KNOWN else "",
                )
            )
            continue
        try:
            known = length_mm(hit["length"].strip())
            at = length_mm(hit["at"].strip()) if hit["at"] else None
        except UnitError as wrong:
            faults.append(Fault("command line", "--length", wrong.found, wrong.allowed))
            continue
        if known == 0.0 or (known < 0.0 and at is None):
            faults.append(Fault("command line", "--length", repr(text), "a length above 0"))
            continue
        out.append(KnownLength(what, known, at))
    return out


def _order(options: dict[str, Any], unit: Unit, faults: list[Fault]) -> CurveOrder:
    skin = _length(options, "skin", unit, 0.0, faults, 0.0, 50.0)
    kind = options.get("curve") or ("faired" if skin else "typed")
    if kind not in KINDS:
        faults.append(Fault("command line", "--curve", repr(kind), "one of " + ", ".join(KINDS), nearest(kind, KINDS)))
    if kind == "typed" and skin:
        faults.append(
            Fault(
                "command line", "--curve", "typed with --skin", "faired or arcs: the skin is taken off the faired curve"
            )
        )
    return CurveOrder(
        kind,
        _length(options, "within", unit, CurveOrder.within, faults, FINEST_MM, COARSEST_MM) or CurveOrder.within,
        _length(options, "deviation", unit, CurveOrder.deviation, faults, FINEST_MM, COARSEST_MM)
        or CurveOrder.deviation,
        skin or 0.0,
        _length(options, "first", unit, None, faults, key="from"),
        _length(options, "last", unit, None, faults, key="to"),
    )


def _length(
    options: dict[str, Any],
    name: str,
    unit: Unit,
    default: float | None,
    faults: list[Fault],
    over: float | None = None,
    most: float | None = None,
    key: str = "",
) -> float | None:
    text = str(options.get(name) or "")
    if not text:
        return default
    try:
        mm = length_mm(text, unit)
    except UnitError as wrong:
        faults.append(Fault("command line", f"--{key or name}", wrong.found, wrong.allowed))
        return default
    if (over is not None and (mm < over or mm <= 0.0)) or (most is not None and mm > most):
        allowed = f"above 0 and at most {most:g} mm" if not over else f"from {over:g} to {most:g} mm"
        faults.append(Fault("command line", f"--{key or name}", repr(text), allowed))
        return default
    return mm


def _takes(typed: Sequence[str], unit: Unit, faults: list[Fault]) -> dict[int, float | None]:
    out: dict[int, float | None] = {}
    for text in typed:
        hit = _TAKE.fullmatch(text.strip())
        if hit is None or int(hit["number"]) in out:
            faults.append(
                Fault("command line", "--take", repr(text), "each number of the list once, like 1 or 1=3.937")
            )
            continue
        try:
            out[int(hit["number"])] = None if hit["value"] is None else length_mm(hit["value"].strip(), unit)
        except UnitError as wrong:
            faults.append(Fault("command line", "--take", wrong.found, wrong.allowed))
    return out


def _check_takes(takes: dict[int, float | None], count: int, faults: list[Fault]) -> None:
    for n in takes:
        if not 1 <= n <= count:
            allowed = f"a number from 1 to {count}" if count else "no --take: no ordinate is suspect"
            faults.append(Fault("command line", "--take", str(n), allowed))


def _check_scales(scales: list[Scale], path: Path, faults: list[Fault]) -> None:
    for s in scales:
        if s.measured is None:
            at = "" if s.length.at is None else f" at x = {s.length.at:g} mm"
            faults.append(
                Fault(str(path), "--length", f"no {s.length.what}{at}", "a place that the table's line passes once")
            )
        elif s.slip:
            found = f"{s.length.words} {s.measured:.6g} mm in the table and {s.length.known:.6g} mm as you know it, {s.ratio:.4g} times"
            faults.append(
                Fault(str(path), "units", found, "the unit that the ordinates are in: 25.4 is inches for millimetres")
            )
