"""Readings as a shop takes them: a separated file of kind, place, value, with the head of `measured_head`.

    kind, edge, along, value, uncertainty, gauge
    flange_angle, upper, 7.1, 88.6, ,
    template_gap, lower, 40 %, 0.012, 0.002,
    hole_x, P2, , 12.103, ,

`kind` is one of KINDS; `edge` an edge or a hole, empty for the web (web_bow, thickness); `along` as in a part file: a number from the
edge's start as typed, "40 %", "start", "end". A bare length is in the head's units, an angle in degrees; "1.5 mm" counts as it says. A
decimal comma is refused; a row without a value was not measured. All faults at once, each with its line.
"""

from __future__ import annotations

from math import isfinite

from ribwright.adapters.csv_table import Row, number_in, table
from ribwright.adapters.plain_words import ONE_LINE, one_line
from ribwright.errors import Fault, UnitError, nearest
from ribwright.features.inspected import ANGLE, KINDS, Said, Taken
from ribwright.features.part import Place
from ribwright.units import Unit, angle_deg, length_mm

NEEDED, OPTIONAL = ("kind", "value"), ("edge", "along", "uncertainty", "gauge", "note")
COLUMNS = (*NEEDED, *OPTIONAL)
MOST_ROWS, MOST_TOLD = 5000, 20
EXAMPLE = "kind, edge, along, value, uncertainty"
LONGEST_MM = 1e5
ALONG = 'a length from the edge\'s start, "40 %", "start" or "end"'


def parse_rows(text: str, said: Said | None, file: str, faults: list[Fault]) -> tuple[Taken, ...]:
    """The readings of a file whose head is `said`; `faults` gains everything wrong with them."""
    before = len(faults)
    rows = table(text, file, faults)
    if not rows:
        if len(faults) == before:
            faults.append(
                Fault(file, "the file", "no readings", f'a row of names "{EXAMPLE}", then one line a reading')
            )
        return ()
    columns = _columns(rows[0], file, faults)
    if not columns:
        return ()
    body = rows[1:]
    if not body:
        faults.append(Fault(file, "the file", "no readings", "one line a reading under the names of the columns"))
    if len(body) > MOST_ROWS:
        faults.append(
            Fault(
                file, "the file", f"{len(body)} readings", f"{MOST_ROWS} at the most; points have a file of their own"
            )
        )
        return ()
    told: list[Fault] = []
    body = [row for row in body if _filled(row, columns)]
    if rows[1:] and not body:
        faults.append(Fault(file, "the file", "a form without a value", "a value in the rows of what was measured"))
    taken = [t for row in body if (t := _row(row, columns, said, file, told)) is not None]
    faults += told[:MOST_TOLD]
    if len(told) > MOST_TOLD:
        faults.append(
            Fault(
                file, "the file", f"{len(told) - MOST_TOLD} more faults like these", "readings as the manual has them"
            )
        )
    return tuple(taken)


def _columns(head: Row, file: str, faults: list[Fault]) -> dict[str, int]:
    n, cells = head
    before, out = len(faults), dict[str, int]()
    for i, cell in enumerate(cells):
        name = cell.lower()
        if name not in COLUMNS:
            faults.append(
                Fault(file, f"line {n}", f"a column {cell!r}", "columns " + ", ".join(COLUMNS), nearest(name, COLUMNS))
            )
        elif name in out:
            faults.append(Fault(file, f"line {n}", f"two columns {name}", f"one column {name}"))
        else:
            out[name] = i
    faults += [Fault(file, f"line {n}", f"no column {c}", f"columns like {EXAMPLE}") for c in NEEDED if c not in out]
    return out if len(faults) == before else {}


def _filled(row: Row, columns: dict[str, int]) -> bool:
    """A row without a value was not measured, as in a form."""
    i = columns["value"]
    return i < len(row[1]) and bool(row[1][i])


def _row(row: Row, columns: dict[str, int], said: Said | None, file: str, faults: list[Fault]) -> Taken | None:
    n, cells = row

    def cell(name: str) -> str:
        i = columns.get(name)
        return cells[i] if i is not None and i < len(cells) else ""

    kind, before = cell("kind"), len(faults)
    if kind not in KINDS:
        faults.append(Fault(file, f"line {n}, kind", repr(kind), ", ".join(KINDS), nearest(kind, list(KINDS))))
        return None
    units: Unit = "in" if said is not None and said.units == "in" else "mm"
    value = _quantity(cell("value"), kind, units, f"line {n}, value", file, faults)
    spread = None
    if cell("uncertainty"):
        spread = _quantity(cell("uncertainty"), kind, units, f"line {n}, uncertainty", file, faults)
        if spread is not None and not spread > 0.0:
            faults.append(
                Fault(
                    file, f"line {n}, uncertainty", cell("uncertainty"), "over 0, or an empty cell for the gauge's own"
                )
            )
    faults += [
        Fault(file, f"line {n}, {name}", repr(cell(name)), f"a name {ONE_LINE}")
        for name in ("edge", "gauge")
        if not one_line(cell(name))
    ]
    along = _along(cell("along"), units, n, file, faults) if cell("along") else None
    if len(faults) > before or value is None:
        return None
    return Taken(n, kind, cell("edge"), along, value, spread, cell("gauge"))


def _quantity(typed: str, kind: str, units: Unit, key: str, file: str, faults: list[Fault]) -> float | None:
    """Degrees or mm; None with a fault for what is no finite number."""
    angle = KINDS[kind] == ANGLE
    allowed = (
        "degrees from flat, like 88.5" if angle else f'a length, like 0.52 in the file\'s units ({units}) or "13.2 mm"'
    )
    bare = number_in(typed)
    try:
        value = (
            angle_deg(typed if bare is None else bare) if angle else length_mm(typed if bare is None else bare, units)
        )
    except UnitError:
        value = float("nan")
    if not isfinite(value) or abs(value) > LONGEST_MM:
        faults.append(Fault(file, key, repr(typed) if typed else "nothing", allowed))
        return None
    return float(value)


def _along(typed: str, units: Unit, n: int, file: str, faults: list[Fault]) -> Place | None:
    word = typed.strip().lower()
    if word in ("start", "end"):
        return ("fraction", 0.0 if word == "start" else 1.0)
    number, percent, rest = word.partition("%")
    try:
        if percent and not rest:
            share = number_in(number)
            if share is None or not 0.0 <= share <= 100.0:
                raise ValueError(typed)
            return ("fraction", share / 100.0)
        bare = number_in(word)
        mm = length_mm(typed if bare is None else bare, units)
        if not (isfinite(mm) and 0.0 <= mm <= LONGEST_MM):
            raise ValueError(typed)
        return ("mm", float(mm))
    except (ValueError, UnitError):
        faults.append(Fault(file, f"line {n}, along", repr(typed), ALONG))
        return None
