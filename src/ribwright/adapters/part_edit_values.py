"""Values of a part file set, inserted, taken away: as splices on its text.

A list set anew with the length it had keeps the items that say the same, typed as they were.
"""

from __future__ import annotations

from typing import Any

from ribwright.adapters.part_edit_text import Splice, Text
from ribwright.adapters.part_keys import KEYS, table_kind
from ribwright.adapters.toml_spans import Node, Path, Section, Statement
from ribwright.adapters.toml_write import key_text


def overwritten(doc: Text, key: str, node: Node, value: Any) -> list[Splice]:
    """Splices that give an existing value another one."""
    if node.span is None:
        doc.refuse(key, "a table", "one of its keys, like " + f"{key}.{next(iter(node.named), 'name')}")
    old = doc.value(node)
    if _equal(old, value):
        return []
    if node.kind == "array" and isinstance(value, list) and len(value) == len(node.items):
        pairs = zip(node.items, value, strict=True)
        return [s for item, v in pairs for s in overwritten(doc, key, item, v)]
    stated = doc.spans.statements_of(node.path)
    block = bool(stated) and stated[0][1].node is node
    return [(*node.span, doc.written(key, value, block))]


def key_added(doc: Text, table: Node, name: str, text: str) -> list[Splice]:
    """Splices that give a table a key it has not, its value as text; at the key's place in the manual's order."""
    if table.kind == "inline":
        return _pair_added(table, name, f"{key_text(name)} = {text}")
    section, own, prefix = _home(doc, table)
    depth = len(table.path)
    names = [str(t.path[depth]) for t in own]
    at = _place(table.path, names, name)
    if at < 0:
        where, indent = section.header[1], _indent(doc, own[0].lines[0] if own else section.header[0])
        # in the preamble comments of the file come first
        where = own[0].lines[0] if own and not section.parts else section.end if not section.parts else where
    else:
        where, indent = own[at].lines[1], _indent(doc, own[at].lines[0])
    lead = "" if where == 0 or doc.text[:where].endswith(("\n", "\ufeff")) else "\n"
    return [(where, where, f"{lead}{indent}{prefix}{key_text(name)} = {text}\n")]


def item_inserted(doc: Text, array: Node, n: int, text: str) -> list[Splice]:
    """Splices that put an item before item n (from 1) of an array, or behind the last."""
    items = array.items
    assert array.span is not None
    if not items:
        at = array.span[0] + 1
        return [(at, at, text)]
    if n <= len(items):
        start = _start(items[n - 1])
        return [(start, start, text + "," + (_own_line(doc, start) or " "))]
    last = items[-1]
    end = _end(last)
    line = _own_line(doc, _start(last))
    if line is None or "\n" not in doc.text[end : array.span[1]]:
        return [(end, end, ", " + text)]
    stop = doc.text.index("\n", last.comma or end)
    stop -= doc.text[stop - 1] == "\r"
    if last.comma is not None:
        return [(stop, stop, f"{line}{text},")]
    return [(end, end, ","), (stop, stop, f"{line}{text}")] if stop > end else [(end, end, f",{line}{text}")]


def item_removed(doc: Text, holder: Node, node: Node) -> list[Splice]:
    """Splices that take an item out of an array or a pair out of an inline table, its comma with it."""
    items = holder.items
    i = next(k for k, item in enumerate(items) if item is node)
    start, end = _start(node), _end(node)
    after = (node.comma + 1) if node.comma is not None else end
    if len(items) == 1:
        assert holder.span is not None
        opening, closing = holder.span[0] + 1, holder.span[1] - 1
        bare = not doc.text[opening:start].strip() and not doc.text[after:closing].strip()
        return [(opening, closing, "")] if bare else [(start, after, "")]
    own = _own_line(doc, start) is not None
    if own and (node.comma is not None) and (stop := _rest_of_line(doc, after)) is not None:
        return [(doc.text.rfind("\n", 0, start) + 1, stop, "")]
    if i + 1 < len(items):
        return [(start, _start(items[i + 1]), "")]
    before = items[i - 1]
    assert before.comma is not None
    if own:
        # what is said behind the item before stays
        stop = _rest_of_line(doc, end)
        comma: list[Splice] = [] if stop is not None else [(before.comma, before.comma + 1, "")]
        return [*comma, (doc.text.rfind("\n", 0, start) + (1 if stop is not None else 0), stop or after, "")]
    return [(before.comma, end, "")]


def statements_removed(found: list[tuple[Section, Statement]]) -> list[Splice]:
    """Splices that take whole statements away."""
    return [(*statement.lines, "") for _, statement in found]


def _equal(old: Any, new: Any) -> bool:
    if isinstance(old, bool) or isinstance(new, bool):
        return old is new
    if isinstance(old, int | float) and isinstance(new, int | float):
        return old == new
    if isinstance(old, list) and isinstance(new, list):
        return len(old) == len(new) and all(_equal(a, b) for a, b in zip(old, new, strict=True))
    return type(old) is type(new) and bool(old == new)


def _home(doc: Text, table: Node) -> tuple[Section, list[Statement], str]:
    """(the section a table's own keys stand in, its statements there, what the keys are prefixed with)."""
    sections = doc.spans.sections
    for section in sections:
        if section.path == table.path and (section.parts or not table.path):
            return section, section.statements, ""
    found = doc.spans.statements_of(table.path)
    # a table made by dotted keys goes on by them
    section, last = found[-1]
    parts = last.parts[: len(table.path) - len(section.path)]
    prefix = doc.text[parts[0][0] : parts[-1][1]] + "."
    return section, [t for s, t in found if s is section], prefix


def _place(path: Path, names: list[str], name: str) -> int:
    """Index of the last of the names that comes before the new one in the manual; -1 when it comes first."""
    order = list(KEYS.get(table_kind(path) or "", {})) if table_kind(path) is not None else []
    if name not in order:
        return len(names) - 1
    earlier = [i for i, n in enumerate(names) if n in order and order.index(n) < order.index(name)]
    return earlier[-1] if earlier else -1 if all(n in order for n in names) else len(names) - 1


def _pair_added(table: Node, name: str, pair: str) -> list[Splice]:
    assert table.span is not None
    names = [str(item.path[len(table.path)]) for item in table.items]
    if not names:
        return [(*table.span, f"{{ {pair} }}")]
    at = _place(table.path, names, name)
    if at < 0:
        start = _start(table.items[0])
        return [(start, start, pair + ", ")]
    end = _end(table.items[at])
    return [(end, end, ", " + pair)]


def _start(node: Node) -> int:
    span = node.whole or node.span
    assert span is not None
    return span[0]


def _end(node: Node) -> int:
    span = node.whole or node.span
    assert span is not None
    return span[1]


def _own_line(doc: Text, at: int) -> str | None:
    """A line end and the blanks before a place that is the first thing on its line; None when it is not."""
    line = doc.text.rfind("\n", 0, at) + 1
    blanks = doc.text[line:at]
    return "\n" + blanks if line and not blanks.strip() else None


def _rest_of_line(doc: Text, at: int) -> int | None:
    """The start of the next line when only blanks and a comment follow; else None."""
    stop = doc.text.find("\n", at)
    rest = doc.text[at:stop].strip() if stop >= 0 else "]"
    return stop + 1 if not rest or rest.startswith("#") else None


def _indent(doc: Text, line: int) -> str:
    stop = line
    while stop < len(doc.text) and doc.text[stop] in " \t":
        stop += 1
    return doc.text[line:stop]
