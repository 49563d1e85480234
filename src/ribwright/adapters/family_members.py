"""The members of a family as part files: the base part's text with the cells of a row set in it, comments and order kept.

A cell is what a person would type into the field of that key: `0.625`, `5/8 in`, `9.66, 0.69` for a place, a TOML list for places.
An empty cell leaves the base's value, `-` takes the key away. `web.scale`, `cutout[1].scale` and `hole[1].scale` multiply the places of
the outer loop, of one cutout, or of one hole by a number, about the origin of the part's coordinates; they come first, so that
another column may put one place elsewhere. Nothing else is scaled: sizes, widths, radii, and lengths along edges stay.

What stands for one part alone is not handed on: the number is the row's, the approval is emptied, and a base that makes a pair
must say in a column what the member's opposite is.
"""

from __future__ import annotations

import re
import tempfile
import tomllib
from dataclasses import dataclass
from itertools import count
from pathlib import Path
from typing import Any

from ribwright import units as u
from ribwright.adapters.family_faults import Told, gathered_faults
from ribwright.adapters.ordinates import read_ordinates
from ribwright.adapters.part_approval import unsigning
from ribwright.adapters.part_edit import edited
from ribwright.adapters.part_edit_text import Text
from ribwright.adapters.part_keys import KEYS, key_kind, table_kind
from ribwright.adapters.part_toml import parse_part, read_part
from ribwright.adapters.toml_text import read_text
from ribwright.adapters.toml_write import number_text
from ribwright.documents.solid_model import file_word
from ribwright.errors import Fault, InputError, nearest
from ribwright.features.family import FamilyTable, Member, MemberRow
from ribwright.features.part import Part

GONE = "-"
DECIMALS = 6
LEAST_SCALE, MOST_SCALE = 0.05, 20.0
LISTS = ("point", "points", "along-length", "along-angle", "names")
SCALES = ("web", "cutout", "hole")
OF_FAMILY = "family-table.csv"  # beside the members: the table of the family
_NAMED = re.compile(r"([A-Za-z_.]+)\[([^\[\]]+)\]")
Op = dict[str, Any]


@dataclass(frozen=True)
class _Base:
    """The base part: its file, text, tables as plain values, and as read."""

    path: Path
    text: str
    doc: Text
    part: Part

    @property
    def unit(self) -> u.Unit:
        """What a bare number in it is in."""
        return "mm" if self.doc.table["units"] == "mm" else "in"


def family_members(table: FamilyTable, path: Path) -> tuple[Member, ...]:
    """Every member, made from the part file at `path`. InputError with the base's faults, or with all of the table's, by row and column."""
    base = _base(path)
    paths, told = _paths(table, base)
    told += _whole_table(table, base)
    made: list[Member] = []
    names = _names_in_use(table, base, paths)
    for row in table.rows:
        member, wrong = _member(table, row, base, paths, names)
        told += wrong
        made += [member] if member else []
    if told:
        raise InputError(gathered_faults(table.file, told))
    return tuple(made)


def _base(path: Path) -> _Base:
    part = read_part(path)
    text = read_text(path, "a part file").removeprefix("\ufeff")
    return _Base(path, text, Text.read(text, str(path)), part)


def _whole_table(table: FamilyTable, base: _Base) -> list[Told]:
    """What no single cell is to blame for."""
    told = []
    names: dict[str, int] = {}
    for row in table.rows:
        if row.number == base.part.number:
            told.append(Told(row.line, "number", f"{row.number!r}, the number of the base part", "a number of its own"))
        word = file_word(row.number).lower()
        if word in names:
            found = f"{row.number!r}, whose file would have the name of that of line {names[word]}"
            told.append(Told(row.line, "number", found, "numbers whose letters and digits differ"))
        names.setdefault(word, row.line)
    if base.part.opposite:
        unsaid = [r.line for r in table.rows if "part.opposite" not in dict(r.cells)]
        allowed = f"the number of its opposite, or {GONE} for none: the base makes a pair with {base.part.opposite}"
        told += [Told(line, "part.opposite", "nothing", allowed) for line in unsaid]
    return told


# ------------------------------------------------------------ columns


def _paths(table: FamilyTable, base: _Base) -> tuple[dict[str, str], list[Told]]:
    """The path by index of each column, and what is wrong with those that have none."""
    paths: dict[str, str] = {}
    told: list[Told] = []
    for name in table.columns:
        try:
            path = _NAMED.sub(lambda m: _by_index(m, base), name)
            _check_path(path, base)
        except InputError as wrong:
            told += [Told(None, name, f.found, f.allowed, f.nearest) for f in wrong.faults]
            continue
        clash = next((c for c, p in paths.items() if p == path), None)
        if clash is not None:
            told.append(Told(None, name, f"the key of column {clash!r} again", "each key once"))
        else:
            paths[name] = path
    return paths, told


def _by_index(hit: re.Match[str], base: _Base) -> str:
    """`hole[L1]` as `hole[3]`; what is a number already stays."""
    if hit[2].isdigit():
        return hit[0]
    node = base.doc.spans.index.get(hit[1])
    rows = base.doc.value(node) if node is not None else []
    names = (
        [str(row.get("name", "")) if isinstance(row, dict) else "" for row in rows] if isinstance(rows, list) else []
    )
    if hit[2] not in names:
        words = f"one of {', '.join(n for n in names if n)}" if any(names) else "a number: nothing there has a name"
        raise InputError([Fault("", hit[0], f"no {hit[1]} called {hit[2]!r}", words, nearest(hit[2], names))])
    return f"{hit[1]}[{names.index(hit[2]) + 1}]"


def _check_path(path: str, base: _Base) -> None:
    """InputError where the key is none of a part file, or its table is not in the base."""
    holder, _, key = path.rpartition(".")
    if key == "scale":
        kind = holder.partition("[")[0]
        if kind not in SCALES or (holder != "web" and "[" not in holder):
            allowed = "web.scale, cutout[1].scale or hole[1].scale"
            raise InputError([Fault("", path, "a scale of something else", allowed)])
        base.doc.existing(holder)
        return
    steps = base.doc.path_of(path)
    if any(isinstance(s, int) for s in steps):
        base.doc.existing(path[: path.rindex("]") + 1])
    table = table_kind(steps[:-1])
    if table is not None and steps[-1] not in KEYS[table]:
        known = list(KEYS[table])
        words = f"one of {', '.join(known)}"
        raise InputError([Fault("", path, "a key that is not known there", words, nearest(str(steps[-1]), known))])
    if key_kind(steps) in ("other", "table"):
        raise InputError(
            [Fault("", path, "no key of a part file", "a key that a fault would name, like sheet.thickness")]
        )


# ------------------------------------------------------------ one member


def _member(
    table: FamilyTable, row: MemberRow, base: _Base, paths: dict[str, str], names: set[str]
) -> tuple[Member | None, list[Told]]:
    """The member of a row, or what is wrong with it; `names` of tables in use, to which its own are added."""
    name = f"{file_word(row.number)}.part.toml"
    text, told = base.text, list[Told]()
    tables: dict[str, bytes] = {}
    cells = [(c, paths[c], v) for c, v in row.cells if c in paths]
    for column, path, cell in sorted(cells, key=lambda c: not c[1].endswith(".scale")):
        try:
            if path.endswith(".scale"):
                ops = _scaled(path, _scale(cell), row, base, tables, names)
            else:
                ops = [_op(path, cell, base)]
            text = edited(text, ops, name)
        except InputError as wrong:
            told += [Told(row.line, column, f.found, f.allowed, f.nearest) for f in wrong.faults]
    if told:
        return None, told
    own: list[Op] = [_set("part.number", row.number), *_unsigned(base, cells)]
    try:
        text = _headed(edited(text, [*own, *_own_tables(text, row, base, tables, names)], name), table, row, base)
    except InputError as wrong:
        return None, [_blamed(f, row, cells) for f in wrong.faults]
    part, faults = _read(text, name, tables)
    if part is None:
        return None, [_blamed(f, row, cells) for f in faults]
    return Member(row.number, name, text, part, row.cells, tables), []


def _read(text: str, name: str, tables: dict[str, bytes]) -> tuple[Part | None, tuple[Fault, ...]]:
    """The part of a text with its tables beside it, or its faults."""
    with tempfile.TemporaryDirectory() as folder:
        for table, content in tables.items():
            (Path(folder) / table).write_bytes(content)
        try:
            return parse_part(text, name, Path(folder)), ()
        except InputError as wrong:
            return None, wrong.faults


def _blamed(fault: Fault, row: MemberRow, cells: list[tuple[str, str, str]]) -> Told:
    """The fault at the column whose key it names, the nearest one; else at the key itself."""

    def meets(path: str) -> bool:
        key = path.removesuffix(".scale")
        return any(b == a or b.startswith((f"{a}.", f"{a}[")) for a, b in ((key, fault.key), (fault.key, key)))

    hits = sorted((path for _, path, _ in cells if meets(path)), key=len, reverse=True)
    column = next((c for c, path, _ in cells if hits and path == hits[0]), "")
    if not column:
        return Told(row.line, fault.key, fault.found, fault.allowed, fault.nearest, column=False)
    said = fault.found if column == fault.key else f"{fault.key}: {fault.found}"
    return Told(row.line, column, said, fault.allowed, fault.nearest)


def _op(path: str, cell: str, base: _Base) -> Op:
    """The edit that sets a key to a cell."""
    if cell == GONE:
        return {"op": "remove", "path": path}
    kind = key_kind(base.doc.path_of(path))
    if cell.startswith("["):
        try:
            return {"op": "set", "path": path, "value": tomllib.loads(f"v = {cell}")["v"]}
        except (tomllib.TOMLDecodeError, RecursionError):
            raise InputError([Fault("", path, repr(cell)[:80], "a list like [[4.0, 2.0], [6.0, 2.5]]")]) from None
    if kind == "point":
        parts = [p for p in re.split(r"[,;\s]+", cell) if p]
        numbers = [_number(p) for p in parts]
        if len(parts) != 2 or None in numbers:
            raise InputError([Fault("", path, repr(cell)[:80], "a place like 9.66, 0.69")])
        return {"op": "set", "path": path, "value": numbers}
    return {"op": "set", "path": path, "typed": cell}


def _number(text: str) -> float | None:
    try:
        return float(text)
    except ValueError:
        return None


def _unsigned(base: _Base, cells: list[tuple[str, str, str]]) -> list[Op]:
    """What was approved is the base part: a member is approved by its own columns or not at all."""
    said = {path for _, path, _ in cells}
    return [op for op in unsigning(base.doc) if op["path"] not in said]


def _headed(text: str, table: FamilyTable, row: MemberRow, base: _Base) -> str:
    """With a line that says what it was made from."""
    end = "\r\n" if "\r\n" in text else "\n"
    return f"# {row.number}: made from {base.path.name} by {Path(table.file).name}.{end}{text}"


# ------------------------------------------------------------ scale


def _scale(cell: str) -> float:
    """A number, or percent: `0.92`, `92 %`."""
    number = _number(cell.removesuffix("%").strip())
    scale = None if number is None else number / 100 if cell.endswith("%") else number
    if scale is None or not LEAST_SCALE <= scale <= MOST_SCALE:
        allowed = f"a number from {LEAST_SCALE:g} to {MOST_SCALE:g}, like 0.92 or 92 %"
        raise InputError([Fault("", "scale", repr(cell)[:80], allowed)])
    return scale


def _scaled(
    path: str, scale: float, row: MemberRow, base: _Base, tables: dict[str, bytes], names: set[str]
) -> list[Op]:
    """Edits that multiply every place of a loop, or of a hole."""
    holder = path.removesuffix(".scale")
    there = base.doc.value(base.doc.existing(holder))
    if holder.startswith("hole"):
        return [_set(f"{holder}.at", _times(there["at"], scale, base))]
    ops = [_set(f"{holder}.start", _times(there["start"], scale, base))]
    for i, edge in enumerate(there["edge"], 1):
        key = f"{holder}.edge[{i}]"
        ops += [_set(f"{key}.{k}", _times(edge[k], scale, base)) for k in ("through", "to") if k in edge]
        if "spline" in edge:
            ops.append(_set(f"{key}.spline", [_times(p, scale, base) for p in edge["spline"]]))
        if "ordinates" in edge:
            name = _table_name(row, edge["name"], names)
            tables[name] = _table(edge["ordinates"], scale, row, base)
            ops.append(_set(f"{key}.ordinates", name))
    return ops


def _set(path: str, value: Any) -> Op:
    return {"op": "set", "path": path, "value": value}


def _times(point: list[Any], scale: float, base: _Base) -> list[float]:
    """A place in the file's unit, multiplied."""
    return [round(_in_unit(u.length_mm(c, base.unit), base.unit) * scale, DECIMALS) + 0.0 for c in point]


def _in_unit(mm: float, unit: u.Unit) -> float:
    return mm / u.MM_PER_IN if unit == "in" else mm


def _own_tables(text: str, row: MemberRow, base: _Base, tables: dict[str, bytes], names: set[str]) -> list[Op]:
    """Tables of ordinates that are not scaled, the base's or those a cell names, go along as they are, under the member's own name."""
    doc, ops = Text.read(text, ""), []
    loops = [("web", doc.table["web"])] + [(f"cutout[{i}]", c) for i, c in enumerate(doc.table.get("cutout", []), 1)]
    for holder, loop in loops:
        for i, edge in enumerate(loop["edge"], 1):
            if "ordinates" in edge and edge["ordinates"] not in tables:
                name = _table_name(row, edge["name"], names)
                tables[name] = read_text(_beside(edge["ordinates"], base), "an ordinate table").encode()
                ops.append(_set(f"{holder}.edge[{i}].ordinates", name))
    return ops


def _names_in_use(table: FamilyTable, base: _Base, paths: dict[str, str]) -> set[str]:
    """Names that no table of a member may have, in small letters: one of the base, of a cell, or of the family."""
    doc = base.doc.table
    loops = [doc["web"], *doc.get("cutout", [])]
    drawn = {str(edge["ordinates"]) for loop in loops for edge in loop["edge"] if "ordinates" in edge}
    typed = {v for row in table.rows for c, v in row.cells if paths.get(c, "").endswith(".ordinates")}
    return {name.lower() for name in {OF_FAMILY} | drawn | typed}


def _table_name(row: MemberRow, edge: str, names: set[str]) -> str:
    """NUMBER-EDGE.csv, numbered where another table of the family has that name: "a b" and "a-b" are one word for a file."""
    word = f"{file_word(row.number)}-{file_word(edge)}"
    tries = (f"{word}{f'-{n}' if n > 1 else ''}.csv" for n in count(1))
    name = next(n for n in tries if n.lower() not in names)
    names.add(name.lower())
    return name


def _beside(name: str, base: _Base) -> Path:
    return base.path.parent / name.replace("\\", "/")


def _table(name: str, scale: float, row: MemberRow, base: _Base) -> bytes:
    """The ordinates of a table, multiplied, in the part's unit."""
    points, faults = read_ordinates(_beside(name, base), base.unit)
    if faults:
        raise InputError(faults)
    lines = [f"# {row.number}: {name} times {scale:g}", f"# units = {base.unit}", "x,y"]
    lines += [",".join(number_text(_in_unit(c, base.unit) * scale) for c in p) for p in points]
    return ("\n".join(lines) + "\n").encode()
