"""Whole tables of a part file added and taken away: sections in the manual's order and in the manner of their neighbours.

A table that is taken away goes with its comment lines (those directly above its header, those among its keys) and one blank line.
Other comments stay.
"""

from __future__ import annotations

from typing import Any

from ribwright.adapters.part_edit_text import Splice, Text, order_at, steps_of
from ribwright.adapters.part_keys import ARRAYS, KEYS, ordered, table_kind
from ribwright.adapters.toml_spans import Path, Section
from ribwright.adapters.toml_write import block_text, key_text


def section_added(doc: Text, path: Path, table: dict[str, Any], before: int | None = None) -> list[Splice]:
    """Splices that add a table under a header of its own. `path` of an array of tables without a number; `before`: the item,
    from 1, that it comes before; None is behind the last."""
    array = steps_of(path)[-1] in ARRAYS and steps_of(path)[0] != "flange"
    text = section_text(doc, path, table, array)
    headed = doc.spans.sections_of(path)
    if before is not None and headed:
        first = doc.spans.sections_of((*path, before))[0]
        return [(first.begin, first.begin, text + ("\n" if _spaced(doc, first) else ""))]
    if headed and not array:
        # a table that so far is only implied by those below it
        return [(headed[0].begin, headed[0].begin, text + ("\n" if _spaced(doc, headed[0]) else ""))]
    last, spaced = _behind(doc, path)
    lead = "" if not doc.text[: last.end].strip("\ufeff") or doc.text[: last.end].endswith("\n") else "\n"
    return [(last.end, last.end, lead + ("\n" if spaced and doc.text[: last.end].strip() else "") + text)]


def section_text(doc: Text, path: Path, table: dict[str, Any], array: bool) -> str:
    """The lines of a new table; the edges of a web as tables of their own, those of a cutout an edge a line."""
    header = ".".join(key_text(name) for name in steps_of(path))
    kind = table_kind(path)
    lines = [f"[[{header}]]" if array else f"[{header}]"]
    below = ""
    for name in ordered(kind, list(table)):
        value = table[name]
        if kind == "web" and name == "edge" and isinstance(value, list) and all(isinstance(v, dict) for v in value):
            below = "".join(section_text(doc, (*path, name), row, True) for row in value)
            continue
        try:
            text = block_text(value, order_at((*path, name)))
        except ValueError as error:
            allowed = "a number, a text, true or false, a list or a table of them"
            doc.refuse(".".join((*steps_of(path), name)), str(error), allowed)
        lines.append(f"{key_text(name)} = {text}")
    return "\n".join(lines) + "\n" + below


def sections_removed(doc: Text, found: list[Section]) -> list[Splice]:
    """Splices that take sections away, each with one blank line."""
    return [_removed(doc, section) for section in found]


def _removed(doc: Text, section: Section) -> Splice:
    start, end = section.begin, section.end
    if start and _room(doc, end) and (line := _blank_before(doc, start)) is not None:
        return line, end, ""
    if not doc.text[:start].strip("\ufeff"):
        stop = doc.text.find("\n", end) + 1
        return start, stop if stop and not doc.text[end:stop].strip() else end, ""
    return start, end, ""


def _blank_before(doc: Text, at: int) -> int | None:
    """The start of the line before, when it is blank."""
    line = doc.text.rfind("\n", 0, at - 1) + 1
    return line if doc.text[:at].endswith("\n") and not doc.text[line:at].strip() else None


def _spaced(doc: Text, section: Section) -> bool:
    """Whether a section stands apart from the one before it."""
    return section.begin == 0 or _blank_before(doc, section.begin) is not None


def _behind(doc: Text, path: Path) -> tuple[Section, bool]:
    """(the section that a new one comes behind, whether with a blank line between)."""
    own = doc.spans.sections_of(path)
    if own:
        alike = [s for s in own if len(s.path) <= len(path) + 1]
        return own[-1], any(_spaced(doc, s) for s in alike) and _room(doc, own[-1].end)
    if len(path) > 1 and (parents := doc.spans.sections_of(path[:-1])):
        tight = steps_of(path)[-1] == "edge"
        return parents[-1], not tight and _spaced(doc, parents[-1]) and _room(doc, parents[-1].end)
    kinds = list(KEYS[""])
    rank = kinds.index(str(path[0])) if path[0] in kinds else len(kinds)
    last = doc.spans.sections[0]
    for section in doc.spans.sections[1:]:
        kind = section.path[0]
        if kind in kinds and kinds.index(str(kind)) <= rank:
            last = section
    return last, _room(doc, last.end)


def _room(doc: Text, at: int) -> bool:
    """Whether a blank line or nothing follows."""
    return not doc.text[at:].split("\n", 1)[0].strip()
