"""The names over the columns of an ordinate table, in any order: what each holds and in which unit.

    x, y                         a line of points               station, upper, lower       two sides over one station
    x_upper_in, y_upper_in ...   two sides, each with its x     percent chord, upper, lower  stations in percent of the chord

A unit stands in the name ("station in", "upper [mm]", "y_lower_in", "x ft-in-8ths", "% chord") or, for all lengths, in a comment line
"# units = in". A column called note, remark, point, row or no is passed over.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from ribwright.errors import Fault, nearest

PERCENT, EIGHTHS = "%", "ft-in-8ths"
UNITS = {
    **dict.fromkeys(("in", "inch", "inches", '"'), "in"),
    **dict.fromkeys(("mm", "cm", "ft", "m"), ""),
    **dict.fromkeys(("%", "percent", "pct", "per cent"), PERCENT),
    EIGHTHS: EIGHTHS,
}
SIDES = {"upper": "upper", "top": "upper", "lower": "lower", "bottom": "lower"}
AXES = {
    **dict.fromkeys(("x", "station", "stations", "sta"), "x"),
    **dict.fromkeys(("y", "ordinate", "ordinates", "height"), "y"),
}
PASSED = ("note", "notes", "remark", "remarks", "point", "row", "no")
WORDS = (*SIDES, *AXES, *(u for u in UNITS if u not in ('"', "%")), "chord", *PASSED)
NAMES = "columns like x, y; station, upper, lower; or x_upper, y_upper, x_lower, y_lower"
_PIECES = re.compile(r'ft-in-8ths|%|"|[a-z0-9.]+')


@dataclass(frozen=True)
class Column:
    """`axis` "x" or "y" of `side` ("" for both, or for a table of one line); `unit` as of UNITS."""

    at: int
    side: str
    axis: str
    unit: str


def columns(names: list[str], default_unit: str, key: str, file: str, faults: list[Fault]) -> list[Column]:
    """The columns that hold lengths; `key` says which line of the file it is. Every name that says nothing is a fault."""
    out = []
    for at, name in enumerate(names):
        column = _column(at, name, default_unit, key, file, faults)
        if column is not None:
            out.append(column)
    seen: dict[tuple[str, str], Column] = {}
    kept = []
    for c in out:
        twice = seen.get((c.side, c.axis))
        if twice is None:
            seen[c.side, c.axis] = c
            kept.append(c)
        elif PERCENT in (c.unit, twice.unit) and c.unit != twice.unit:
            # stations in percent beside stations as lengths: the lengths are what was drawn
            kept.append(c) if c.unit != PERCENT else None
            kept.remove(twice) if twice.unit == PERCENT else None
            seen[c.side, c.axis] = c if c.unit != PERCENT else twice
        else:
            faults.append(Fault(file, key, f"two columns {names[twice.at]!r} and {names[c.at]!r}", "each once"))
    return _whole(kept, key, file, faults)


def _column(at: int, name: str, default_unit: str, key: str, file: str, faults: list[Fault]) -> Column | None:
    pieces = _PIECES.findall(name.lower().replace("_", " "))
    if any(p in PASSED for p in pieces):
        return None
    sides = [SIDES[p] for p in pieces if p in SIDES]
    axes = [AXES[p] for p in pieces if p in AXES]
    units = [UNITS[p] or p for p in pieces if p in UNITS]
    strange = [p for p in pieces if p not in WORDS and p not in UNITS]
    share = PERCENT in units
    if share and not axes and not sides:
        axes = ["x"]
    if strange or not (sides or axes) or len(sides) > 1 or len(axes) > 1 or len(set(units)) > 1:
        hint = next((h for p in strange if (h := nearest(p, WORDS))), "")
        faults.append(Fault(file, key, f"a column {name!r}", NAMES + ", with a unit", hint))
        return None
    unit = units[0] if units else default_unit
    if not unit:
        allowed = f'its unit, as in "{name} in" or "{name} mm", or a line "# units = in" for all'
        faults.append(Fault(file, key, f"a column {name!r} without a unit", allowed))
        return None
    return Column(at, sides[0] if sides else "", axes[0] if axes else "y", unit)


def _whole(found: list[Column], key: str, file: str, faults: list[Fault]) -> list[Column]:
    """The columns, when every y has its x and there is something to draw."""
    have = {(c.side, c.axis) for c in found}
    sides = {side for side, axis in have if axis == "y"}
    if faults:
        return found
    if not sides or (len(sides) > 1 and "" in sides):
        faults.append(Fault(file, key, "no ordinates" if not sides else "a column y beside upper and lower", NAMES))
    for side in sorted(sides):
        if (side, "x") not in have and ("", "x") not in have:
            faults.append(Fault(file, key, f"no x for {side or 'y'}", "a column x, station, or percent of chord"))
    stray = [side for side, axis in have if axis == "x" and side and side not in sides]
    faults += [Fault(file, key, f"an x of {side} without its y", NAMES) for side in stray]
    return found
