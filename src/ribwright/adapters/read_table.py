"""A table of ordinates as drawings have them: one line of points, or upper and lower over stations (docs/PART_FILE.md).

    # units = in            unit of every column that names none
    # chord = 50 in         what percent are of
    station in, upper, lower
    0, 0, 0
    2 1/2, 1.004, -0.881

Numbers are decimals, fractions, or feet-inches-eighths where the column says so. Nothing is guessed: a missing unit, a comma in a number,
stations out of order are faults, each with its line, all told at once.
"""

from __future__ import annotations

import itertools
import re
from dataclasses import dataclass
from math import isfinite
from pathlib import Path

from ribwright import units as u
from ribwright.adapters.csv_table import MOST_TOLD, Row, comments
from ribwright.adapters.reading import LONGEST_MM, MOST_POINTS
from ribwright.adapters.table_cells import cells
from ribwright.adapters.table_columns import EIGHTHS, PERCENT, UNITS, Column, columns
from ribwright.adapters.toml_text import read_text
from ribwright.errors import Fault, InputError, UnitError, nearest
from ribwright.features.ordinate_table import Ordinate, OrdinateTable, Side

KEYS = ("units", "chord", "part", "title", "drawing")
LEAST_POINTS = 3
APART_MM = 1e-3
CHORDS_AGREE = 1e-3
_NUMBER = re.compile(r"[-+]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)")
_FRACTION = re.compile(r"(?:[-+]?[0-9]+[ -])?[-+]?[0-9]+/(?P<den>[0-9]+)")
_EIGHTHS = re.compile(r"[-+]?[0-9]+-[0-9]+-[0-7]")


def read_table(path: Path, chord: float | None = None) -> OrdinateTable:
    """The table of a file; `chord` [mm] is what percent are of, when the person gives it. InputError with every fault."""
    return parse_table(read_text(path, "a table of ordinates"), str(path), chord)


def parse_table(text: str, file: str = "the table", chord: float | None = None) -> OrdinateTable:
    """The same from the text itself."""
    faults: list[Fault] = []
    said = comments(text, KEYS, file, faults)
    unit = _unit(said, file, faults)
    written = _chord(said, file, faults)
    given, chord = chord, written if chord is None else chord
    rows = cells(text, file, faults)
    if not rows:
        if not faults:
            faults.append(Fault(file, "the file", "no rows", "a line of names like x, y, then one line a point"))
        raise InputError(faults)
    names, body = _named(rows, file, faults)
    before = len(faults)
    found = columns(names, unit, f"line {rows[0][0]}", file, faults) if names else []
    if not found or len(faults) > before:  # without its columns no cell says anything
        raise InputError(faults)
    percent = any(c.unit == PERCENT for c in _used(found))
    if percent and given is not None and written is not None and abs(given / written - 1.0) > CHORDS_AGREE:
        allowed = f"one chord: the table says {written:.6g} mm"
        faults.append(Fault(file, "chord", f"{given:.6g} mm as you know it", allowed))
    if percent and chord is None:
        allowed = 'a line "# chord = 50 in", or --length "50 in=chord"'
        faults.append(Fault(file, "chord", "columns in percent and no chord", allowed))
    if len(body) > MOST_POINTS:
        faults.append(Fault(file, "the file", f"{len(body)} rows", f"{MOST_POINTS} at the most"))
        raise InputError(faults)
    sides = _sides(body, found, chord, file, faults)
    stations = {s.name for s in sides} == {"upper", "lower"} or any(c.axis == "y" and c.side for c in found)
    for side in sides:
        if all(isfinite(o.x + o.y) for o in side.ordinates):
            _check(side, stations, file, faults)
    if faults:
        raise InputError(faults)
    lengths = [c.unit for c in _used(found) if c.unit != PERCENT]
    metric = bool(lengths) and lengths[0] in ("mm", "cm", "m")
    return OrdinateTable(file, tuple(sides), stations, "mm" if metric else "in", chord, percent)


def _unit(said: dict[str, str], file: str, faults: list[Fault]) -> str:
    if "units" not in said:
        return ""
    word = said["units"].lower()
    unit = (UNITS.get(word, "?") or word) if word in UNITS else "?"
    if unit in ("?", PERCENT):
        faults.append(
            Fault(file, "units", repr(said["units"]), f"in, mm, cm, m, ft, {EIGHTHS}", nearest(word, tuple(UNITS)))
        )
        return "mm"
    return unit


def _chord(said: dict[str, str], file: str, faults: list[Fault]) -> float | None:
    if "chord" not in said:
        return None
    try:
        mm = u.length_mm(said["chord"])
    except UnitError as wrong:
        faults.append(Fault(file, "chord", wrong.found, wrong.allowed))
        return 1.0
    if not 0 < mm <= LONGEST_MM:
        faults.append(Fault(file, "chord", repr(said["chord"]), f"a length above 0 and at most {LONGEST_MM:g} mm"))
    return mm


def _named(rows: list[Row], file: str, faults: list[Fault]) -> tuple[list[str], list[Row]]:
    """(names of the columns, rows of numbers); two columns of numbers without names are x and y."""
    n, head = rows[0]
    if not all(_NUMBER.fullmatch(c) or _FRACTION.fullmatch(c) for c in head if c):
        return head, rows[1:]
    if len(head) == 2:
        return ["x", "y"], rows
    faults.append(Fault(file, f"line {n}", f"{len(head)} columns without names", "a first line that names them"))
    return [], rows


@dataclass(frozen=True)
class _Cell:
    mm: float
    step: float
    typed: str


def _used(found: list[Column]) -> list[Column]:
    """Those that a point is made of: an x of both sides is not, where each side has its own."""
    by = {(c.side, c.axis): c for c in found}
    sides = [side for side, axis in by if axis == "y"]
    return [c for side in sides for c in (by.get((side, "x")) or by.get(("", "x")), by[side, "y"]) if c is not None]


def _sides(body: list[Row], found: list[Column], chord: float | None, file: str, faults: list[Fault]) -> list[Side]:
    by = {(c.side, c.axis): c for c in found}
    bad: list[Fault] = []
    out = []
    for name in [s for s in ("upper", "lower", "") if (s, "y") in by]:
        across, up = by.get((name, "x")) or by["", "x"], by[name, "y"]
        ordinates, steps = [], []
        for n, row in body:
            x, y = (_cell(row, c, chord, n, file, bad) for c in (across, up))
            if x is None and y is None:
                continue
            if y is None and across.side != up.side and x is not None:
                continue  # a station at which this side has no ordinate
            if x is None or y is None:
                what = "x" if x is None else "y"
                bad.append(Fault(file, f"line {n}", f"no {what} of {name or 'the point'}", "both of them or neither"))
                continue
            steps.append(y.step)
            ordinates.append(Ordinate(x.mm, y.mm, n, (x.typed, y.typed)))
        out.append(Side(name or "contour", tuple(ordinates), min(steps, default=0.0)))
    bad = list(dict.fromkeys(bad))
    faults += bad[:MOST_TOLD]
    if len(bad) > MOST_TOLD:
        faults.append(Fault(file, "the file", f"{len(bad) - MOST_TOLD} more cells that cannot be read", "numbers"))
    return out


def _cell(row: list[str], column: Column, chord: float | None, line: int, file: str, bad: list[Fault]) -> _Cell | None:
    text = row[column.at] if column.at < len(row) else ""
    if not text:
        return None
    key = f"line {line}, {(column.side + ' ' + column.axis).strip()}"
    try:
        if column.unit == EIGHTHS:
            if not _EIGHTHS.fullmatch(text):
                raise UnitError(repr(text), "feet, inches and eighths like 12-3-5")
            return _Cell(u.length_mm(f"{text.removeprefix('+')} {EIGHTHS}"), u.MM_PER_IN / 8, text)
        if _EIGHTHS.fullmatch(text):
            raise UnitError(
                repr(text), f'a number in {column.unit}; feet-inches-eighths where the column is named "... {EIGHTHS}"'
            )
        unit = column.unit
        number = u.length_mm(
            text
            if re.search(r"[a-z\"']", text.lower()) and unit != PERCENT
            else f"{text} {'mm' if unit == PERCENT else unit}"
        )
    except UnitError as wrong:
        bad.append(Fault(file, key, wrong.found, wrong.allowed))
        return _Cell(float("nan"), 0.0, text)
    share = (chord or 1.0) / 100 if unit == PERCENT else 1.0
    mm = number * share
    if abs(mm) > LONGEST_MM:
        bad.append(Fault(file, key, repr(text), f"a length under {LONGEST_MM:g} mm"))
    return _Cell(mm, _step(text) * (share if unit == PERCENT else u.LENGTHS[unit]), text)


def _step(text: str) -> float:
    """What one more in the last digit of a number, or in the count of a fraction's parts, is worth in its own unit."""
    if hit := _FRACTION.match(text):
        return 1.0 / int(hit["den"])
    whole, _, decimals = text.partition(".")
    digits = re.match(r"[0-9]*", decimals)
    return 10.0 ** -len(digits[0] if digits else "") if whole or decimals else 1.0


def _check(side: Side, stations: bool, file: str, faults: list[Fault]) -> None:
    rows = side.ordinates
    if len(rows) < LEAST_POINTS:
        faults.append(Fault(file, side.name, f"{len(rows)} points", f"{LEAST_POINTS} or more"))
        return
    bad = []
    rising = sum(b.x > a.x for a, b in itertools.pairwise(rows)) * 2 >= len(rows) - 1
    for a, b in itertools.pairwise(rows):
        if abs(a.x - b.x) < APART_MM and abs(a.y - b.y) < APART_MM:
            bad.append(Fault(file, f"line {b.line}, {side.name}", f"the point of line {a.line} again", "points apart"))
        elif stations and (b.x - a.x) * (1 if rising else -1) <= 0:
            found = f"x = {b.typed[0]} after {a.typed[0]} of line {a.line}"
            bad.append(Fault(file, f"line {b.line}, {side.name}", found, "stations that all grow or all fall"))
    faults += bad[:MOST_TOLD]
