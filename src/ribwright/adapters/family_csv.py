"""The table of a family, `NAME.family.csv` (docs/PART_FILE.md): which part it is made from, a row a member, a column a key that differs."""

from __future__ import annotations

from pathlib import Path

from ribwright.adapters.csv_table import Row, comments, table
from ribwright.adapters.toml_text import read_text
from ribwright.errors import Fault, InputError, capped
from ribwright.features.family import FamilyTable, MemberRow

KEYS = ("part",)
MOST_ROWS, MOST_COLUMNS, MOST_TOLD = 200, 100, 40


def read_family(path: Path) -> FamilyTable:
    """The table of a file. InputError with every fault, each with its line and column."""
    return parse_family(read_text(Path(path), "the table of a family"), str(path))


def parse_family(text: str, file: str) -> FamilyTable:
    """The same from the text itself."""
    faults: list[Fault] = []
    said = comments(text, KEYS, file, faults)
    if not said.get("part"):
        faults.append(
            Fault(file, "part", "nothing", "a line like # part = Q7-2102-1.part.toml: the part it is made from")
        )
    rows = table(text, file, faults)
    if not rows and not faults:
        faults.append(
            Fault(file, "the file", "no rows", "a line of column names, the first of them number, and a row a member")
        )
    columns = _columns(rows[0], file, faults) if rows else ()
    members = tuple(_member(row, columns) for row in rows[1:])
    if rows:
        _check_rows(rows, members, file, faults)
    if faults:
        raise InputError(capped(faults, MOST_TOLD))
    return FamilyTable(file, said["part"], columns, members)


def _columns(head: Row, file: str, faults: list[Fault]) -> tuple[str, ...]:
    """The names of the columns behind the first."""
    line, names = head
    if names[0].lower() != "number":
        faults.append(
            Fault(file, f"line {line}, column 1", repr(names[0])[:80], "number: the part number of each member")
        )
    if len(names) > MOST_COLUMNS:
        faults.append(Fault(file, f"line {line}", f"{len(names)} columns", f"at most {MOST_COLUMNS}"))
    for i, name in enumerate(names[1:], 2):
        key = f"line {line}, column {i}"
        if not name:
            faults.append(Fault(file, key, "no name", "a key of the part file, like sheet.thickness or hole[1].at"))
        elif name in names[: i - 1]:
            faults.append(Fault(file, key, f"{name!r} again", "each column once"))
        elif name == "part.number":
            faults.append(Fault(file, key, "'part.number'", "the column number, which says it"))
    return tuple(names[1:])


def _member(row: Row, columns: tuple[str, ...]) -> MemberRow:
    line, cells = row
    filled = tuple((c, v) for c, v in zip(columns, cells[1:], strict=False) if v)
    return MemberRow(cells[0], line, filled)


def _check_rows(rows: list[Row], members: tuple[MemberRow, ...], file: str, faults: list[Fault]) -> None:
    if not 1 <= len(members) <= MOST_ROWS:
        faults.append(Fault(file, "the file", f"{len(members)} members", f"1 to {MOST_ROWS} rows"))
    first: dict[str, int] = {}
    for m in members:
        if not m.number:
            faults.append(Fault(file, f"line {m.line}, column number", "nothing", "the member's part number"))
        elif not m.number[0].isalnum():
            # a spreadsheet would work out "=A1" in the table of the family, a shell take "-x.part.toml" for an option
            found = f"{m.number!r}"[:80]
            faults.append(
                Fault(file, f"line {m.line}, column number", found, "a number that begins with a letter or digit")
            )
        elif m.number.lower() in first:
            found = f"{m.number!r}, which line {first[m.number.lower()]} has"
            faults.append(Fault(file, f"line {m.line}, column number", found, "each number once"))
        else:
            first[m.number.lower()] = m.line
