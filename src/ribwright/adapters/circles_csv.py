"""Measured strain circles: a separated file of diameters after forming, with comment lines that say what they are.

    # circle = 5 mm             diameter as printed; must be there
    # gauge = 0.1 mm            how finely a diameter was read, either way; without it 0.1 mm
    # part, measured_by, date   printed back, not read
    circle, major [mm], minor [mm], thickness [mm]
    C12-R7, 5.31, 4.89, 0.62

A circle is called by its name, or by `x [mm], y [mm]` in the flat, in the part's coordinates. The unit of each length stands in the name
of its column. Nothing is guessed: a missing unit is refused, a column whose every reading is a unit's slip (25.4 times) is asked about.
All faults are told at once, each with its line.
"""

from __future__ import annotations

import re
from pathlib import Path

from ribwright.adapters.csv_table import COLUMN, MOST_TOLD, PARTED, Row, comments, number_in, table
from ribwright.adapters.toml_text import read_text
from ribwright.errors import Fault, InputError, UnitError, nearest
from ribwright.shop.circles import CircleRecord, Reading
from ribwright.units import MM_PER_IN, length_mm

KEYS = ("circle", "gauge", "part", "measured_by", "date")
LENGTHS = {"mm": 1.0, "in": MM_PER_IN}
NEEDED, PLACE, OPTIONAL = ("major", "minor"), ("x", "y"), ("thickness",)
COLUMNS = ("circle", *PLACE, *NEEDED, *OPTIONAL, "note")
USUAL_GAUGE = 0.1  # a rule read through a magnifier [mm]
LEAST, MOST = 1.0, 25.0  # diameter as printed [mm]
SMALLER, LARGER = 0.4, 2.5  # diameter after over before: more is no circle that a sheet would live through
THICKEST = 12.0  # of a sheet [mm]
MOST_ROWS = 5000
NAME = re.compile(r"C[1-9][0-9]*-R[1-9][0-9]*")
EXAMPLE = "circle, major [mm], minor [mm]"


def read_circles(path: Path) -> CircleRecord:
    """The record of a file. InputError with every fault."""
    return parse_circles(read_text(path, "a record of strain circles"), str(path))


def parse_circles(text: str, file: str = "the record") -> CircleRecord:
    """The same from the text itself."""
    faults: list[Fault] = []
    said = comments(text, KEYS, file, faults)
    rows = table(text, file, faults)
    diameter = _length(
        said, "circle", (LEAST, MOST), f'a line "# circle = 5 mm": {LEAST:g} to {MOST:g} mm', file, faults
    )
    gauge = USUAL_GAUGE
    if "gauge" in said:
        most = (diameter or MOST) / 4.0
        gauge = (
            _length(said, "gauge", (0.001, most), f"a length like 0.1 mm, at most {most:g} mm", file, faults) or gauge
        )
    columns = _columns(rows, file, faults)
    if rows[1:] and len(rows) > MOST_ROWS:
        faults.append(Fault(file, "the file", f"{len(rows) - 1} circles", f"{MOST_ROWS} at the most"))
    readings = _readings(rows[1 : MOST_ROWS + 1], columns, file, faults) if columns else []
    if columns and not rows[1:]:
        faults.append(Fault(file, "the file", "no circle", "one line a circle under the names of the columns"))
    if diameter is not None:
        _check(readings, diameter, file, faults)
    _repeated(readings, file, faults)
    if faults:
        raise InputError(faults)
    assert diameter is not None  # else there was a fault
    words = {k: said.get(k, "") for k in ("part", "measured_by", "date")}
    return CircleRecord(diameter, gauge, "gauge" in said, tuple(readings), file=file, **words)


def _length(
    said: dict[str, str], key: str, limits: tuple[float, float], allowed: str, file: str, faults: list[Fault]
) -> float | None:
    if key not in said:
        faults.append(Fault(file, key, "nothing", allowed))
        return None
    try:
        mm = length_mm(said[key])
    except UnitError:
        mm = -1.0
    if not limits[0] <= mm <= limits[1]:
        faults.append(Fault(file, key, repr(said[key]), allowed))
        return None
    return mm


def _columns(rows: list[Row], file: str, faults: list[Fault]) -> dict[str, tuple[int, float]]:
    """name -> (column, factor to mm); empty after a fault."""
    if not rows:
        if not any(f.allowed == PARTED for f in faults):
            faults.append(
                Fault(file, "the file", "no rows", f'a row of names like "{EXAMPLE}", then one line a circle')
            )
        return {}
    n, head = rows[0]
    before = len(faults)
    out: dict[str, tuple[int, float]] = {}
    for i, cell in enumerate(head):
        hit = COLUMN.fullmatch(cell)
        name = hit["name"].lower() if hit else cell
        if name not in COLUMNS:
            faults.append(
                Fault(file, f"line {n}", f"a column {cell!r}", "columns " + ", ".join(COLUMNS), nearest(name, COLUMNS))
            )
        elif name in out:
            faults.append(Fault(file, f"line {n}", f"two columns {name}", f"one column {name}"))
        elif name in ("circle", "note"):
            out[name] = (i, 1.0)
        elif hit is None or hit["unit"] not in LENGTHS:
            unit = hit["unit"] if hit else None
            found = "no unit" if unit is None else f"unit {unit!r}"
            faults.append(
                Fault(file, name, found, f'"mm" or "in", as in "{name} [mm]"', nearest(unit or "", tuple(LENGTHS)))
            )
        else:
            out[name] = (i, LENGTHS[hit["unit"]])
    named = [COLUMN.fullmatch(c) for c in head]
    there = {h["name"].lower() for h in named if h}
    faults += [Fault(file, f"line {n}", "no such column", f"a column {k} [mm]") for k in NEEDED if k not in there]
    if ("circle" in there) == bool(there & set(PLACE)) or len(there & set(PLACE)) == 1:
        found = ", ".join(sorted(there & {"circle", *PLACE})) or "neither"
        faults.append(
            Fault(file, f"line {n}", found, "a column circle, or both x [mm] and y [mm], to say which circle it is")
        )
    return out if len(faults) == before else {}


def _readings(rows: list[Row], columns: dict[str, tuple[int, float]], file: str, faults: list[Fault]) -> list[Reading]:
    """A reading for every row that can be read."""
    out, bad = [], list[Fault]()
    for n, cells in rows:
        before, got = len(bad), dict[str, float | None]()
        name = ""
        for key, (at, factor) in columns.items():
            cell = cells[at] if at < len(cells) else ""
            if key == "circle":
                name = cell.upper()
                if not NAME.fullmatch(name):
                    bad.append(
                        Fault(
                            file,
                            f"line {n}, circle",
                            repr(cell) if cell else "nothing",
                            "a name as printed, like C12-R7",
                        )
                    )
            elif key != "note":
                number = number_in(cell)
                empty = key in OPTIONAL and not cell
                size = key not in PLACE
                if not empty and (number is None or (size and number <= 0.0)):
                    what = "a number over 0, with a point" if size else "a number, finite, with a point"
                    more = ", or nothing" if key in OPTIONAL else ""
                    bad.append(
                        Fault(
                            file,
                            f"line {n}, {key}",
                            repr(cell) if cell else "nothing",
                            f"{what} as its decimal sign{more}",
                        )
                    )
                got[key] = None if number is None else number * factor
        if len(bad) == before:
            major, minor = got["major"], got["minor"]
            assert major is not None
            assert minor is not None
            out.append(Reading(name, got.get("x"), got.get("y"), major, minor, got.get("thickness"), n))
    faults += bad[:MOST_TOLD]
    if len(bad) > MOST_TOLD:
        faults.append(
            Fault(file, "the file", f"{len(bad) - MOST_TOLD} more cells that cannot be read", "numbers and names")
        )
    return out


def _check(readings: list[Reading], diameter: float, file: str, faults: list[Fault]) -> None:
    """Slips of unit by column, then what no circle can be, line by line."""
    slipped = set()
    for key in NEEDED:
        shares = [getattr(r, key) / diameter for r in readings]
        if shares and all(_slip(s) for s in shares):
            slipped.add(key)
            said = f"{shares[0]:.3g} times the circle's {diameter:g} mm, near to 25.4 or its inverse, in every line"
            faults.append(Fault(file, key, said, "the unit that was measured in: is it mm or in?"))
    told = []
    for r in readings:
        for key in (k for k in NEEDED if k not in slipped):
            share = getattr(r, key) / diameter
            if not SMALLER <= share <= LARGER:
                more = ": is the unit right (25.4 times off)?" if _slip(share) else ""
                allowed = f"{SMALLER:g} to {LARGER:g} times the circle's {diameter:g} mm{more}"
                told.append(Fault(file, f"line {r.line}, {key}", f"{getattr(r, key):.4g} mm", allowed))
        if r.minor > r.major and not slipped:
            told.append(
                Fault(
                    file, f"line {r.line}, minor", f"{r.minor:.4g} mm", f"at most the major diameter, {r.major:.4g} mm"
                )
            )
        if r.thickness is not None and r.thickness > THICKEST:
            told.append(
                Fault(
                    file,
                    f"line {r.line}, thickness",
                    f"{r.thickness:.4g} mm",
                    f"at most {THICKEST:g} mm: is the unit right?",
                )
            )
    faults += told[:MOST_TOLD]
    if len(told) > MOST_TOLD:
        faults.append(
            Fault(
                file,
                "the file",
                f"{len(told) - MOST_TOLD} more readings that no circle can have",
                "diameters of circles",
            )
        )


def _slip(share: float) -> bool:
    """A diameter over the one before forming that is 25.4 times, or as much less, than what a circle can be."""
    return any(SMALLER <= share * k <= LARGER for k in (MM_PER_IN, 1.0 / MM_PER_IN))


def _repeated(readings: list[Reading], file: str, faults: list[Fault]) -> None:
    first: dict[tuple[str, float | None, float | None], int] = {}
    for r in readings:
        key = (r.name, r.x, r.y)
        if key in first:
            faults.append(
                Fault(file, f"line {r.line}", f"{r.called} again", f"a circle once; it stands in line {first[key]}")
            )
        first.setdefault(key, r.line)
