"""Keys of a part file set, taken away, added and inserted: one function an edit, from a text to the next."""

from __future__ import annotations

from typing import Any

from ribwright.adapters.part_edit_tables import section_added, sections_removed
from ribwright.adapters.part_edit_text import Text, order_at, steps_of
from ribwright.adapters.part_edit_values import item_inserted, item_removed, key_added, overwritten, statements_removed
from ribwright.adapters.part_keys import ARRAYS, KEYS, table_kind
from ribwright.adapters.toml_spans import Node, Path, named
from ribwright.adapters.toml_write import key_text, value_text
from ribwright.errors import nearest

TABLES = ", ".join("flange.NAME" if k == "flange" else k for k, v in KEYS[""].items() if v == "table") + ", web.edge"


def set_typed(doc: Text, key: str, typed: Any) -> Text:
    """A key set to what was typed into its field; made when it is not there, with the tables on the way to it."""
    base, rest = doc.located(key)
    text = doc.typed(key, typed)
    if rest:
        return _made(doc, key, base, rest, text)
    if base.span is None:
        doc.refuse(key, "a table", "one of its keys")
    return doc.spliced([(*base.span, text)])


def set_value(doc: Text, key: str, value: Any) -> Text:
    """The same to a value of any kind."""
    base, rest = doc.located(key)
    text = doc.written(key, value, not rest or base.kind != "inline")
    if not rest:
        return doc.spliced(overwritten(doc, key, base, value))
    if isinstance(value, dict) and table_kind((*base.path, *rest)) is not None:
        return _added(doc, key, (*base.path, *rest), value, None)
    return _made(doc, key, base, rest, text)


def remove(doc: Text, key: str) -> Text:
    """A key, an item or a table taken away."""
    node = doc.existing(key)
    holder = _holder(doc, node)
    if holder is not None:
        return doc.spliced(item_removed(doc, holder, node))
    gone = doc.spans.sections_of(node.path)
    stated = [(s, t) for s, t in doc.spans.statements_of(node.path) if not any(s is g for g in gone)]
    return doc.spliced(sections_removed(doc, gone) + statements_removed(stated))


def add(doc: Text, key: str, table: Any, before: Any = None) -> Text:
    """A table added: behind the last of its kind, or before item `before`."""
    if not isinstance(table, dict):
        doc.refuse(key, "no table", 'keys and values in "table"')
    base, rest = doc.located(key)
    path = (*base.path, *rest)
    if table_kind(path) is None or not path or isinstance(path[-1], int) or path == ("flange",):
        doc.refuse(key, "no table of a part file", f"one of {TABLES}", nearest(key, tuple(KEYS[""])))
    if len(rest) > 1 and rest[0] != "flange":
        doc.missing(key, base, rest)
    doc.written(key, table)
    return _added(doc, key, path, table, before)


def insert(doc: Text, key: str, value: Any) -> Text:
    """A value put into a list, before the item whose number the key ends with."""
    head, _, number = key.removesuffix("]").rpartition("[")
    if not key.endswith("]") or not number.isdecimal() or not head:
        doc.refuse(key, "no place in a list", "a path that ends with a number, like web.edge[4].spline[2]")
    array = doc.existing(head)
    if array.kind != "array":
        doc.refuse(head, "no list of values", "a list of values; tables are added")
    n, count = int(number), len(array.items)
    if not 1 <= n <= count + 1:
        doc.refuse(key, f"number {n}", f"1 to {count + 1}")
    return doc.spliced(item_inserted(doc, array, n, doc.written(head, value)))


def _made(doc: Text, key: str, base: Node, rest: Path, text: str) -> Text:
    """A key that is not there yet set to a text of TOML."""
    names = [p for p in rest if isinstance(p, str)]
    if len(names) < len(rest) or base.kind not in ("table", "inline"):
        doc.missing(key, base, rest)
    path = (*base.path, *rest)
    own = path[:2] if path[0] == "flange" else path[:1]
    if path == own and path != ("units",) and table_kind(path) is not None:
        doc.refuse(key, "a value", f"a table [{'.'.join(steps_of(path))}]")
    if base.kind == "table" and len(base.path) < len(own) < len(path):
        # the file's own tables and each flange stand under a header
        if table_kind(own) is None or (own[-1] in ARRAYS and own[0] != "flange"):
            doc.missing(key, base, rest)
        doc = doc.spliced(section_added(doc, own, {}))
    elif not _has_home(doc, base):
        doc = doc.spliced(section_added(doc, base.path, {}))
    base, rest = doc.located(key)
    for name in reversed(rest[1:]):
        text = f"{{ {key_text(str(name))} = {text} }}"
    return doc.spliced(key_added(doc, base, str(rest[0]), text))


def _has_home(doc: Text, table: Node) -> bool:
    """Whether a table's keys have a place to stand: inline, under a header or by dotted keys."""
    if table.kind == "inline" or not table.path:
        return True
    headed = any(s.path == table.path and s.parts for s in doc.spans.sections)
    return headed or bool(doc.spans.statements_of(table.path) and not doc.spans.sections_of(table.path))


def _holder(doc: Text, node: Node) -> Node | None:
    """The array or inline table whose text a node's own stands in; None for what has lines of its own."""
    for n in range(len(node.path) - 1, 0, -1):
        above = doc.spans.index[named(node.path[:n])]
        if above.kind in ("array", "inline"):
            return above if any(item is node for item in above.items) else None
    return None


def _added(doc: Text, key: str, path: Path, table: dict[str, Any], before: Any) -> Text:
    if path[-1] in ARRAYS and path[0] != "flange":
        return _row_added(doc, key, path, table, before)
    node = doc.spans.index.get(named(path))
    if node is not None and (node.kind not in ("table", "inline") or _has_home(doc, node)):
        doc.refuse(key, "a table that is there already", "set on its keys")
    if len(path) > (2 if path[0] == "flange" else 1):
        # a feature's own tolerances stand on a line of it
        base, rest = doc.located(key)
        return _made(doc, key, base, rest, doc.written(key, table))
    above = doc.spans.index.get("flange") if path[0] == "flange" else None
    if above is not None and above.kind == "inline":
        return doc.spliced(key_added(doc, above, str(path[-1]), doc.written(key, table)))
    return doc.spliced(section_added(doc, path, table))


def _row_added(doc: Text, key: str, path: Path, table: dict[str, Any], before: Any) -> Text:
    """A table added to an array of tables, however that is written."""
    node = doc.spans.index.get(named(path))
    count = 0 if node is None else len(node.items)
    if before is not None and (isinstance(before, bool) or not isinstance(before, int) or not 1 <= before <= count + 1):
        doc.refuse(key, f"before = {before!r}"[:80], f"a number from 1 to {count + 1}")
    before = None if before == count + 1 else before
    if node is not None and node.kind == "array":
        text = value_text(table, order_at(path))
        return doc.spliced(item_inserted(doc, node, before or count + 1, text))
    if node is not None and node.kind != "tables":
        doc.refuse(key, "something that is no array of tables", f"[[{'.'.join(steps_of(path))}]] tables")
    above = doc.spans.index.get(named(path[:-1])) if len(path) > 1 else doc.spans.root
    if above is None:
        doc.refuse(key, "nothing to add it to", f"a [{'.'.join(steps_of(path[:-1]))}] table first")
    if above.kind == "inline":
        return doc.spliced(key_added(doc, above, str(path[-1]), value_text([table], order_at(path))))
    return doc.spliced(section_added(doc, path, table, before))
