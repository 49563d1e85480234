"""Tensile records: a separated file of strain and stress, with comment lines that say what they are.

    # kind = engineering          engineering or true; must be there
    # lot = L-0232                lot, direction, date, gauge_length: printed back, not read
    # modulus = 72400 MPa         instead of fitting it
    # elongation = 17 %           of the broken piece
    strain [%], stress [MPa]

Columns are parted by a comma, a semicolon or a tab, the same one throughout; the decimal sign is a point.
The unit of each column stands in its name, or in a comment `# strain = %`, `# stress = MPa`. Nothing is guessed: a missing unit
or kind is refused. Other columns are passed over. All faults are told at once, each with its line.
"""

from __future__ import annotations

import re
from itertools import pairwise
from pathlib import Path

from ribwright.adapters.csv_table import COLUMN, MOST_TOLD, PARTED, Row, comments, number_in, table
from ribwright.adapters.toml_text import read_text
from ribwright.errors import Fault, InputError, nearest
from ribwright.shop.tensile import KINDS, TensileRecord
from ribwright.units import PRESSURES

KEYS = ("kind", "strain", "stress", "modulus", "elongation", "lot", "direction", "date", "gauge_length")
STRAIN_UNITS = {"-": 1.0, "mm/mm": 1.0, "in/in": 1.0, "m/m": 1.0, "%": 0.01}
STRESS_UNITS = {k: PRESSURES[k] for k in ("MPa", "ksi", "psi", "N/mm2")} | {"GPa": 1000.0}
UNITS = {"strain": STRAIN_UNITS, "stress": STRESS_UNITS}
UNIT_WORDS = {"strain": '"-" or "%"', "stress": '"MPa", "ksi" or "psi"'}
LEAST_ROWS, MOST_ROWS = 20, 200_000
BACK = 0.0005  # strain may go back by so much (noise of the extensometer), not more (an unloading)
_QUANTITY = re.compile(r"(?P<number>[-+0-9.eE]+)\s*(?P<unit>\S.*)?")


def read_tensile(path: Path) -> TensileRecord:
    """The record of a file. InputError with every fault."""
    return parse_tensile(read_text(path, "a tensile record"), str(path))


def parse_tensile(text: str, file: str = "the record") -> TensileRecord:
    """The same from the text itself."""
    faults: list[Fault] = []
    said = comments(text, KEYS, file, faults)
    rows = table(text, file, faults)
    kind = said.get("kind", "")
    if kind not in KINDS:
        found = repr(kind) if kind else "nothing"
        faults.append(
            Fault(file, "kind", found, 'a line "# kind = engineering" or "# kind = true"', nearest(kind, KINDS))
        )
    columns = _columns(rows, said, file, faults)
    strain, stress = _numbers(rows[1:], columns, file, faults) if columns else ([], [])
    if columns and not faults:
        _check(strain, stress, kind, [n for n, _ in rows[1:]], file, faults)
    record = TensileRecord(
        kind,
        tuple(strain),
        tuple(stress),
        _quantity(said, "modulus", STRESS_UNITS, (1e4, 4e5), "a modulus like 72400 MPa or 10500 ksi", file, faults),
        _quantity(said, "elongation", {"%": 0.01}, (0.005, 1.0), "an elongation like 17 %", file, faults),
        lot=said.get("lot", ""),
        direction=said.get("direction", ""),
        date=said.get("date", ""),
        gauge_length=said.get("gauge_length", ""),
        file=file,
    )
    if faults:
        raise InputError(faults)
    return record


def _columns(
    rows: list[Row], said: dict[str, str], file: str, faults: list[Fault]
) -> dict[str, tuple[int, float]] | None:
    """name -> (column, factor) of strain and stress; None after a fault."""
    if not rows:
        if any(f.allowed == PARTED for f in faults):
            return None
        faults.append(
            Fault(file, "the file", "no rows", "a row that names the columns strain and stress, then numbers")
        )
        return None
    n, head = rows[0]
    heads = [COLUMN.fullmatch(cell) for cell in head]
    out: dict[str, tuple[int, float]] = {}
    for name, units in UNITS.items():
        found = [i for i, hit in enumerate(heads) if hit and hit["name"].lower() == name]
        if len(found) != 1:
            faults.append(
                Fault(file, f"line {n}", f"columns {', '.join(head)}", f"one column named {name}, with its unit")
            )
            continue
        hit = heads[found[0]]
        typed = {u for u in (hit["unit"] if hit else None, said.get(name)) if u is not None}
        if not typed:
            faults.append(Fault(file, name, "no unit", f'{UNIT_WORDS[name]}, as in "{name} [{next(iter(units))}]"'))
        elif len(typed) > 1:
            faults.append(Fault(file, name, " and ".join(sorted(map(repr, typed))), "one unit"))
        elif (unit := typed.pop()) not in units:
            faults.append(Fault(file, name, f"unit {unit!r}", UNIT_WORDS[name], nearest(unit, tuple(units))))
        else:
            out[name] = (found[0], units[unit])
    return out if len(out) == len(UNITS) else None


def _numbers(
    rows: list[Row], columns: dict[str, tuple[int, float]], file: str, faults: list[Fault]
) -> tuple[list[float], list[float]]:
    out: dict[str, list[float]] = {name: [] for name in columns}
    bad = 0
    for n, cells in rows[:MOST_ROWS]:
        for name, (at, factor) in columns.items():
            cell = cells[at] if at < len(cells) else ""
            number = number_in(cell)
            if number is None:
                bad += 1
                if bad <= MOST_TOLD:
                    faults.append(
                        Fault(
                            file,
                            f"line {n}, {name}",
                            repr(cell) if cell else "nothing",
                            "a number, finite, with a point as its decimal sign",
                        )
                    )
            out[name].append((number or 0.0) * factor)
    if bad > MOST_TOLD:
        faults.append(Fault(file, "the file", f"{bad - MOST_TOLD} more cells that are no numbers", "numbers"))
    if not LEAST_ROWS <= len(rows) <= MOST_ROWS:
        faults.append(Fault(file, "the file", f"{len(rows)} rows", f"{LEAST_ROWS} to {MOST_ROWS} rows of numbers"))
    return out["strain"], out["stress"]


def _check(
    strain: list[float], stress: list[float], kind: str, lines: list[int], file: str, faults: list[Fault]
) -> None:
    """Slips of unit and loops, told before anything is fitted."""
    most = max(strain)
    if not 0.005 <= most <= 1.0:
        found = f"{most:g} at the most (as a ratio)"
        faults.append(Fault(file, "strain", found, "0.005 to 1, a pull past the yield: is the unit right?"))
    top = max(stress)
    if not 20.0 <= top <= 4000.0:
        faults.append(Fault(file, "stress", f"{top:g} MPa at the most", "20 to 4000 MPa: is the unit right?"))
    if min(stress) < -0.02 * top:
        faults.append(Fault(file, "stress", f"{min(stress):g} MPa", "a pull in tension, no compression"))
    for (n, a), (_, b) in pairwise(zip(lines, strain, strict=True)):
        if b < a - BACK:
            faults.append(Fault(file, f"line {n}, strain", f"it goes back from {a:g} to {b:g}", "the loading alone"))
            return


def _quantity(
    said: dict[str, str],
    key: str,
    units: dict[str, float],
    limits: tuple[float, float],
    words: str,
    file: str,
    faults: list[Fault],
) -> float | None:
    if key not in said:
        return None
    hit = _QUANTITY.fullmatch(said[key])
    number = number_in(hit["number"]) if hit else None
    factor = units.get((hit["unit"] or "").strip()) if hit else None
    if number is None or factor is None or not limits[0] <= number * factor <= limits[1]:
        faults.append(Fault(file, key, repr(said[key]), words))
        return None
    return number * factor
