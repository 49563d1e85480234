"""A separated file as lines of cells: comment lines that say what it is, a line of column names, then rows.

Columns are parted by a comma, a semicolon or a tab, the same one throughout; the decimal sign is a point. `# key = value` lines belong to
the file; other comments are passed over, a key that looks like a known one is not. Every fault is collected with its line.
"""

from __future__ import annotations

import csv
import re

from ribwright.errors import Fault, nearest

MOST_TOLD = 20
SEPARATORS = {",": "a comma", ";": "a semicolon", "\t": "a tab"}
PARTED = "columns parted by one of " + ", ".join(SEPARATORS.values())
# every repeat is possessive: a cell of a thousand blanks is read once, not once for each of them
_UNIT = r"(?:[^\s\])]++(?:\s++[^\s\])]++)*+)?+"
COLUMN = re.compile(rf"(?P<name>[a-z]++)\s*+(?:[\[(]\s*+(?P<unit>{_UNIT})\s*+[\])])?", re.IGNORECASE)
_KEY = re.compile(r"[A-Za-z_ ]+")
Row = tuple[int, list[str]]


def comments(text: str, keys: tuple[str, ...], file: str, faults: list[Fault]) -> dict[str, str]:
    """`# key = value` lines by key."""
    said: dict[str, str] = {}
    for n, line in enumerate(text.splitlines(), 1):
        left, sign, right = line.strip().partition("=")
        word = left[1:].strip()
        if not sign or left[:1] != "#" or not _KEY.fullmatch(word):
            continue
        key, value = word.lower().replace(" ", "_"), right.strip().strip('"')
        if key not in keys:
            if hint := nearest(key, keys):
                faults.append(Fault(file, f"line {n}", f"an unknown key {key!r}", ", ".join(keys), hint))
        elif key in said:
            faults.append(Fault(file, f"line {n}, {key}", repr(value), f"{key} said once; it is {said[key]!r} above"))
        else:
            said[key] = value
    return said


def table(text: str, file: str, faults: list[Fault]) -> list[Row]:
    """(line number, cells) of every line, the names of the columns first, split at the one separator that that line uses.

    A line with more cells than that is a fault: a comma within its numbers would shift every column unseen.
    """
    # a tab at the end is a cell and stays
    every = ((n, line.strip(" \r")) for n, line in enumerate(text.splitlines(), 1))
    lines = [(n, line) for n, line in every if line.strip() and not line.lstrip().startswith("#")]
    if not lines:
        return []
    n, head = lines[0]
    used = [sign for sign in SEPARATORS if sign in head]
    if len(used) != 1:
        found = " and ".join(SEPARATORS[sign] for sign in used) or "no separator"
        faults.append(Fault(file, f"line {n}", f"{found} in {head!r}", PARTED))
        return []
    rows = [(n, _cells(line, used[0])) for n, line in lines]
    most = len(rows[0][1])
    wide = [(n, cells) for n, cells in rows if any(cells[most:])]
    allowed = f"{most} cells, as the line of the names has; a number has a point and no comma in it"
    faults += [Fault(file, f"line {n}", f"{len(c)} cells, {', '.join(c)!r}", allowed) for n, c in wide[:MOST_TOLD]]
    if len(wide) > MOST_TOLD:
        found = f"{len(wide) - MOST_TOLD} more lines with too many cells"
        faults.append(Fault(file, "the file", found, f"{most} cells a line"))
    return rows


def number_in(cell: str) -> float | None:
    """A finite number in the digits 0 to 9 with a point as its decimal sign; else None."""
    if not cell.isascii() or "_" in cell:  # which `float` takes as well: 8_8.4 is a slip of the keys
        return None
    try:
        number = float(cell)
    except ValueError:
        return None
    return number if abs(number) < 1e300 else None


def _cells(line: str, separator: str) -> list[str]:
    """The cells of a line; within double quotes the separator parts nothing."""
    try:
        cells = next(csv.reader([line], delimiter=separator, skipinitialspace=True))
    except (csv.Error, StopIteration):
        cells = [line]
    return [c.strip() for c in cells]
