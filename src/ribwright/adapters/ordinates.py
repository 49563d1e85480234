"""Ordinate tables: columns x, y of a comma separated file.

The first row that is not a comment names the columns; `x` and `y` are read, others passed over. Without
such a row the table has exactly two columns, x and y. Lengths are in the part file's unit unless a comment
line says `# units = mm` (or in). Every fault comes with its line.
"""

from __future__ import annotations

import re
from pathlib import Path

from ribwright import units as u
from ribwright.adapters.reading import MOST_POINTS, Point
from ribwright.adapters.toml_text import read_text
from ribwright.errors import Fault, InputError, UnitError, nearest

Row = tuple[int, list[str]]


def read_ordinates(path: Path, default_unit: u.Unit | None) -> tuple[tuple[Point, ...], list[Fault]]:
    """(points [mm] in the order of the file, faults). Faults name the ordinate file and its line."""
    try:
        text = read_text(path, "an ordinate table")
    except InputError as error:
        return (), list(error.faults)
    return parse_ordinates(text, str(path), default_unit)


def parse_ordinates(text: str, file: str, default_unit: u.Unit | None) -> tuple[tuple[Point, ...], list[Fault]]:
    """The same from the text itself."""
    faults: list[Fault] = []
    unit = _unit(text, file, default_unit, faults)
    rows = _rows(text)
    columns = _columns(rows, file, faults)
    if columns is None:
        return (), faults
    body = rows if _is_number(rows[0][1][0]) else rows[1:]
    if not 1 <= len(body) <= MOST_POINTS:
        faults.append(Fault(file, "the file", f"{len(body)} rows", f"1 to {MOST_POINTS} rows of x, y"))
        return (), faults
    points = tuple(_point(row, columns, unit, file, faults) for row in body)
    return points, faults


def _unit(text: str, file: str, default: u.Unit | None, faults: list[Fault]) -> u.Unit | None:
    for n, line in enumerate(text.splitlines(), 1):
        word = _said_unit(line.strip())
        if word == "in" or word == "mm":
            return "in" if word == "in" else "mm"
        if word is not None:
            faults.append(
                Fault(file, f"line {n}, units", repr(word)[:100], '"in" or "mm"', nearest(word, ("in", "mm")))
            )
    return default


def _said_unit(line: str) -> str | None:
    """What a line `# units = mm` says, in quotes or not; None of any other line."""
    key, sign, value = line.partition("=")
    if not sign or key[:1] != "#" or key[1:].strip().lower() != "units":
        return None
    word = value.strip().removeprefix('"').removesuffix('"')
    return None if '"' in word else word


def _rows(text: str) -> list[Row]:
    """(line number, cells) of each line that is neither blank nor a comment."""
    lines = ((n, line.strip()) for n, line in enumerate(text.splitlines(), 1))
    return [(n, [c.strip() for c in re.split("[,;\t]", line)]) for n, line in lines if line and line[0] != "#"]


def _columns(rows: list[Row], file: str, faults: list[Fault]) -> tuple[int, int] | None:
    if not rows:
        faults.append(Fault(file, "the file", "no rows", "columns x, y"))
        return None
    n, head = rows[0]
    names = [c.lower().strip('"') for c in head]
    if _is_number(head[0]):
        if len(head) == 2:
            return 0, 1
        faults.append(Fault(file, f"line {n}", f"{len(head)} columns without names", "a first row that names x and y"))
    elif names.count("x") == 1 and names.count("y") == 1:
        return names.index("x"), names.index("y")
    else:
        faults.append(Fault(file, f"line {n}", f"columns {', '.join(head)}", "one column x and one column y"))
    return None


def _point(row: Row, columns: tuple[int, int], unit: u.Unit | None, file: str, faults: list[Fault]) -> Point:
    n, cells = row
    out = []
    for name, column in zip("xy", columns, strict=True):
        cell = cells[column] if column < len(cells) else ""
        try:
            out.append(u.length_mm(float(cell) if _is_number(cell) else cell, unit or "mm"))
        except UnitError:
            faults.append(Fault(file, f"line {n}, {name}", repr(cell) if cell else "nothing", "a number, finite"))
            out.append(0.0)
    return out[0], out[1]


def _is_number(cell: str) -> bool:
    try:
        float(cell)
    except ValueError:
        return False
    return True
