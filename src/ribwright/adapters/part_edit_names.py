"""A feature of a part file named anew, and what refers to it with it: corners, rivets and tables on an edge, edges of a flange."""

from __future__ import annotations

from typing import Any

from ribwright.adapters.part_edit_change import set_value
from ribwright.adapters.part_edit_text import Splice, Text
from ribwright.adapters.part_keys import table_kind
from ribwright.adapters.toml_spans import Node, Path, named
from ribwright.adapters.toml_write import key_text, string_text

ON_EDGES = ("rivets", "notch", "flute", "joggle")
NAMED = ("edge", "hole", "cutout", "flange")


def renamed(doc: Text, key: str, to: Any) -> Text:
    """The text with the edge, flange, hole or cutout at `key` called `to`. Refused when the name is blank or taken.

    A name that two edges share is referred to by nobody knows which: what refers to it then stays.
    """
    node = doc.existing(key)
    kind = table_kind(node.path)
    if kind not in NAMED or (kind != "flange" and not isinstance(node.path[-1], int)):
        doc.refuse(key, "something without a name of its own", "an edge, a flange, a hole or a cutout")
    if not isinstance(to, str) or not to.strip() or len(to) > 200:
        doc.refuse(key, f"{to!r}"[:80], "a name, not blank")
    doc.written(key, to)
    if kind == "flange":
        return _flange(doc, key, node, to)
    name = doc.value(node.named["name"]) if "name" in node.named else None
    if name == to:
        return doc
    names = names_of(doc, kind)
    if to in names:
        doc.refuse(key, f'"{to}", the name of another', f"{kind} names that each stand once")
    if kind == "edge" and isinstance(name, str) and names.count(name) == 1:
        doc = doc.spliced([(*n.span, string_text(to)) for n in references(doc, name) if n.span])
    return set_value(doc, f"{named(node.path)}.name", to)


def names_of(doc: Text, kind: str) -> list[str]:
    """The names of all edges, holes or cutouts."""
    found = [n for n in doc.spans.index.values() if n.path[-1] == "name" and table_kind(n.path[:-1]) == kind]
    return [v for v in map(doc.value, found) if isinstance(v, str)]


def references(doc: Text, edge: str) -> list[Node]:
    """The values that refer to an edge by its name."""
    return [n for n in doc.spans.index.values() if _refers(n.path) and n.kind == "leaf" and doc.value(n) == edge]


def _refers(path: Path) -> bool:
    if len(path) == 3:
        return path[0] in ON_EDGES and path[2] == "edge"
    return len(path) == 4 and path[0] == "corner" and path[2] == "at"


def _flange(doc: Text, key: str, node: Node, to: str) -> Text:
    old = str(node.path[1])
    if old == to:
        return doc
    if f"flange.{to}" in doc.spans.index:
        doc.refuse(key, f'"{to}", the name of another', "flange names that each stand once")
    splices: list[Splice] = []
    for section in doc.spans.sections_of(node.path):
        splices.append((*section.parts[1], key_text(to)))
    stated = [(t.path, t.parts) for _, t in doc.spans.statements_of(node.path)]
    pairs = [(n.path, n.parts) for n in doc.spans.index.values() if n.parts and n.path[:2] == node.path]
    for path, parts in stated + pairs:
        # the name stands among a key's parts unless a header above says it
        at = 1 - (len(path) - len(parts))
        if at >= 0:
            splices.append((*parts[at], key_text(to)))
    for leaf in doc.spans.index.values():
        if leaf.path[-1] == "flange" and table_kind(leaf.path[:-1]) == "edge" and doc.value(leaf) == old and leaf.span:
            splices.append((*leaf.span, string_text(to)))
    return doc.spliced(splices)
