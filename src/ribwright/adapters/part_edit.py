"""Edits of a part file by key, lossless: what an edit does not touch stays byte for byte (comments, order, digits).

An edit is a table {op, path, ...}; paths are those of faults, counted from 1 (`web.edge[2].to`):

    set     path, and typed: what was typed into the field, or value: any JSON. Missing keys and tables are made
    remove  path: a key, an item, a table
    add     path: "hole", "web.edge", "flange.NAME" ..., table, before (may be left out): the number it comes before
    insert  path: an item's place, "web.edge[4].spline[2]", value
    rename  path: an edge, flange, hole or cutout, to; what refers to it follows
    split   path: an edge, at: [x, y] in the file's unit

All edits are done or none. The text must be TOML; what the strict reader thinks of it does not matter here.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from ribwright.adapters import part_edit_change as change
from ribwright.adapters.part_edit_names import renamed
from ribwright.adapters.part_edit_split import split
from ribwright.adapters.part_edit_text import PATH_WORDS, Text
from ribwright.errors import Fault, InputError, nearest

MOST_OPS = 1000
Op = dict[str, Any]


@dataclass(frozen=True)
class Edited:
    """The text after the edits, and what a person should know of what they left as it was."""

    text: str
    notes: tuple[str, ...] = ()


def edited(text: str, ops: list[Op], file: str = "the part") -> str:
    """The text after the edits, in their order. InputError when one cannot be done; then none is."""
    return edit(text, ops, file).text


def edit(text: str, ops: list[Op], file: str = "the part") -> Edited:
    """The same, with notes."""
    if not isinstance(ops, list) or len(ops) > MOST_OPS:
        found = f"{len(ops)} edits" if isinstance(ops, list) else "no list"
        raise InputError([Fault(file, "ops", found, f"a list of at most {MOST_OPS} edits")])
    doc, notes = Text.read(text, file), []
    for i, op in enumerate(ops, 1):
        name = op.get("op") if isinstance(op, dict) else None
        if not isinstance(name, str) or name not in _OPS:
            doc.refuse(f"ops[{i}].op", f"{name!r}"[:80], f"one of {', '.join(_OPS)}", nearest(str(name), tuple(_OPS)))
        key = op.get("path")
        if not isinstance(key, str) or not key or len(key) > 500:
            doc.refuse(f"ops[{i}].path", f"{key!r}"[:80], PATH_WORDS)
        doc, said = _OPS[name](doc, key, op)
        notes += said
    return Edited(doc.text, tuple(notes))


Done = tuple[Text, list[str]]


def _set(doc: Text, key: str, op: Op) -> Done:
    if ("typed" in op) == ("value" in op):
        found = "both typed and value" if "typed" in op else "neither typed nor value"
        doc.refuse(key, found, "one of typed, value")
    if "typed" in op:
        return change.set_typed(doc, key, op["typed"]), []
    return change.set_value(doc, key, op["value"]), []


def _remove(doc: Text, key: str, op: Op) -> Done:
    return change.remove(doc, key), []


def _add(doc: Text, key: str, op: Op) -> Done:
    return change.add(doc, key, op.get("table"), op.get("before")), []


def _insert(doc: Text, key: str, op: Op) -> Done:
    if "value" not in op:
        doc.refuse(key, "no value", "a value to insert")
    return change.insert(doc, key, op["value"]), []


def _rename(doc: Text, key: str, op: Op) -> Done:
    return renamed(doc, key, op.get("to")), []


def _split(doc: Text, key: str, op: Op) -> Done:
    return split(doc, key, op.get("at"))


_OPS: dict[str, Callable[[Text, str, Op], Done]] = {
    "set": _set,
    "remove": _remove,
    "add": _add,
    "insert": _insert,
    "rename": _rename,
    "split": _split,
}
