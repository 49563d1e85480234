"""Laws of editing a part file: what an edit says is what the text says afterwards, and nothing else in the text changes."""

import copy
import difflib
import tomllib
from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from adapters.messy_parts import texts
from ribwright.adapters.part_edit import edited
from ribwright.adapters.part_keys import table_kind
from ribwright.adapters.toml_spans import Node, Path, scan, value_at
from ribwright.errors import InputError

TEXTS = texts()
LAWS = settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
any_text = st.sampled_from(range(len(TEXTS)))


def parsed_whole(text: str) -> Any:
    """What a text says."""
    return tomllib.loads(text.removeprefix("\ufeff"))


def parsed(text: str) -> Any:
    """The same, empty tables and lists left out: no header need stand for them."""
    return pruned(parsed_whole(text))


def pruned(value: Any) -> Any:
    if isinstance(value, dict):
        kept = {k: pruned(v) for k, v in value.items()}
        return {k: v for k, v in kept.items() if v not in ({}, [])}
    return [pruned(v) for v in value] if isinstance(value, list) else value


def applied(table: Any, op: dict[str, Any], path: Path) -> Any:
    """The same edit made on plain values."""
    table = copy.deepcopy(table)
    *way, last = path
    holder = table
    for i, part in enumerate(way):
        if isinstance(part, int):
            holder = holder[part - 1]
        else:
            holder = holder.setdefault(part, [] if isinstance(path[i + 1], int) else {})
    at = last - 1 if isinstance(last, int) else last
    if op["op"] == "set":
        holder[at] = op["value"]
    elif op["op"] == "remove":
        del holder[at]
    elif op["op"] == "insert":
        holder.insert(at, op["value"])
    elif table_kind(path) in ("part", "tolerance", "flange"):
        holder[last] = op["table"]
    else:
        rows = holder.setdefault(last, [])
        rows.insert(op.get("before", len(rows) + 1) - 1, op["table"])
    return pruned(table)


def nodes(text: str, *kinds: str) -> list[tuple[str, Node]]:
    return sorted((k, n) for k, n in scan(text).index.items() if n.kind in kinds)


def only_added(before: str, after: str) -> bool:
    """Whether every line of `before` still stands in `after`, in order."""
    a, b = before.splitlines(), after.splitlines()
    return all(
        tag in ("equal", "insert") for tag, *_ in difflib.SequenceMatcher(None, a, b, autojunk=False).get_opcodes()
    )


def line_ends_kept(before: str, after: str) -> bool:
    return after.count("\n") == after.count("\r\n") if "\r\n" in before else "\r" not in after


numbers = st.one_of(st.integers(-1000, 1000), st.floats(-1e4, 1e4).map(lambda x: round(x, 6) + 0.0))
strings = st.text(st.characters(exclude_categories=["Cs"]), max_size=12)
scalars = st.one_of(numbers, strings, st.booleans())
values = st.one_of(
    scalars, st.lists(scalars, max_size=3), st.lists(st.lists(numbers, min_size=2, max_size=2), max_size=4)
)


@LAWS
@given(any_text, st.data())
def test_a_value_that_is_set_is_read_back_and_no_other_line_changes(which: int, data: st.DataObject) -> None:
    text = TEXTS[which]
    key, node = data.draw(st.sampled_from(nodes(text, "leaf", "array", "inline")))
    value = data.draw(values)
    after = edited(text, [{"op": "set", "path": key, "value": value}])
    assert parsed(after) == applied(parsed_whole(text), {"op": "set", "value": value}, node.path)
    start, end = node.span or (0, 0)
    assert after.startswith(text[:start])
    assert after.endswith(text[end:])
    assert line_ends_kept(text, after)


@LAWS
@given(any_text, st.data())
def test_a_value_set_and_set_back_as_it_was_typed_leaves_the_same_bytes(which: int, data: st.DataObject) -> None:
    text = TEXTS[which]
    leaves = [(k, n) for k, n in nodes(text, "leaf") if text[n.span[0]] not in "\"'"]
    key, node = data.draw(st.sampled_from(leaves))
    there = edited(text, [{"op": "set", "path": key, "value": data.draw(scalars)}])
    typed = text[slice(*node.span)]
    back = edited(there, [{"op": "set", "path": key, "typed": typed}])
    # a number's sign and its digit groups are typed forms too
    if typed.lstrip("-").replace(".", "").isdigit():
        assert back == text
    else:
        assert edited(back, [{"op": "set", "path": key, "value": 1}]) == edited(
            text, [{"op": "set", "path": key, "value": 1}]
        )


@LAWS
@given(any_text, st.data())
def test_a_list_set_anew_keeps_what_says_the_same_as_it_was_typed(which: int, data: st.DataObject) -> None:
    text = TEXTS[which]
    key, node = data.draw(st.sampled_from(nodes(text, "array")))
    same = value_at(parsed_whole(text), node.path)
    assert edited(text, [{"op": "set", "path": key, "value": same}]) == text


@LAWS
@given(any_text, st.data())
def test_what_is_removed_is_gone_and_nothing_else(which: int, data: st.DataObject) -> None:
    text = TEXTS[which]
    key, node = data.draw(st.sampled_from(nodes(text, "leaf", "array", "inline", "table", "tables")))
    after = edited(text, [{"op": "remove", "path": key}])
    assert parsed(after) == applied(parsed_whole(text), {"op": "remove"}, node.path)
    assert line_ends_kept(text, after)
    if node.span is None:
        assert only_added(after, text)


@LAWS
@given(any_text, st.data())
def test_a_new_key_stands_on_a_line_of_its_own_and_goes_with_it(which: int, data: st.DataObject) -> None:
    text = TEXTS[which]
    key, node = data.draw(st.sampled_from([x for x in nodes(text, "table", "inline") if x[1].path != ("flange",)]))
    name = data.draw(st.sampled_from(("balloon", "tolerance", "turn", "a new key", "flange", "diameter")))
    if name in node.named or ("." in key and " " in name) or table_kind((*node.path, name)) == "tolerance":
        return
    value = data.draw(values)
    after = edited(text, [{"op": "set", "path": f"{key}.{name}", "value": value}])
    assert parsed(after) == applied(parsed_whole(text), {"op": "set", "value": value}, (*node.path, name))
    assert line_ends_kept(text, after)
    if node.kind == "table":
        assert only_added(text, after)
    back = edited(after, [{"op": "remove", "path": f"{key}.{name}"}])
    assert parsed(back) == parsed(text)
    if text.endswith("\n"):
        assert back == text


@LAWS
@given(any_text, st.data())
def test_an_item_inserted_and_removed_leaves_the_same_values(which: int, data: st.DataObject) -> None:
    text = TEXTS[which]
    key, node = data.draw(st.sampled_from(nodes(text, "array")))
    n = data.draw(st.integers(1, len(node.items) + 1))
    value = data.draw(values)
    op = {"op": "insert", "path": f"{key}[{n}]", "value": value}
    after = edited(text, [op])
    assert parsed(after) == applied(parsed_whole(text), op, (*node.path, n))
    assert line_ends_kept(text, after)
    back = edited(after, [{"op": "remove", "path": f"{key}[{n}]"}])
    assert parsed(back) == parsed(text)
    if n <= len(node.items):
        assert back == text


KINDS = ("hole", "corner", "cutout", "rivets", "web.edge", "flange.new one", "notch", "bead", "cutout[1].edge")


@LAWS
@given(any_text, st.data())
def test_a_table_added_and_removed_leaves_the_same_bytes(which: int, data: st.DataObject) -> None:
    text = TEXTS[which]
    kind = data.draw(st.sampled_from(KINDS))
    table = data.draw(
        st.dictionaries(st.sampled_from(("name", "at", "edge", "width", "kind", "to", "x y")), values, min_size=1)
    )
    spans, whole = scan(text), parsed_whole(text)
    if kind.startswith("cutout[") and "cutout" not in whole:
        return
    path: Path = ("flange", "new one") if kind.startswith("flange") else _steps(kind)
    rows = spans.index[kind].items if kind in spans.index else []
    op: dict[str, Any] = {"op": "add", "path": kind, "table": table}
    if kind.startswith("flange"):
        place = kind
    else:
        n = data.draw(st.integers(1, len(rows) + 1))
        op, place = op | {"before": n}, f"{kind}[{n}]"
    after = edited(text, [op])
    assert parsed(after) == applied(whole, op, path)
    assert line_ends_kept(text, after)
    assert only_added(text, after) or kind.startswith("cutout[")
    back = edited(after, [{"op": "remove", "path": place}])
    assert parsed(back) == parsed(text)
    if text.endswith("\n") and not (kind in spans.index and spans.index[kind].kind == "array"):
        assert back == text


def _steps(kind: str) -> Path:
    return ("cutout", 1, "edge") if kind == "cutout[1].edge" else tuple(kind.split("."))


@LAWS
@given(any_text, st.data())
def test_an_edge_renamed_and_named_back_leaves_the_same_values(which: int, data: st.DataObject) -> None:
    text = TEXTS[which]
    edges = [(k, n) for k, n in nodes(text, "table", "inline") if table_kind(n.path) == "edge" and "name" in n.named]
    key, node = data.draw(st.sampled_from(edges))
    old = value_at(parsed_whole(text), node.named["name"].path)
    there = edited(text, [{"op": "rename", "path": key, "to": 'a "new" name'}])
    assert old not in named_edges(there)
    assert parsed(edited(there, [{"op": "rename", "path": key, "to": old}])) == parsed(text)


def named_edges(text: str) -> set[str]:
    """Every value that names an edge or refers to one."""
    whole = parsed_whole(text)
    return {
        str(value_at(whole, n.path))
        for _, n in nodes(text, "leaf")
        if n.path[-1] == "edge" or "at" in n.path or (n.path[-1] == "name" and table_kind(n.path[:-1]) == "edge")
    }


JUNK = st.recursive(
    st.one_of(scalars, st.none(), st.floats()),
    lambda x: st.lists(x, max_size=3) | st.dictionaries(strings, x, max_size=3),
)
STEPS = ("web", "edge", "[2]", ".", "[0]", "[99999999]", "flange", "skin", "hole", "[1]", "at", "units")
NAMES = ("web", "edge[2]", "flange", "skin", "hole[1]", "at[1]", "tolerance", "contour")
PATHS = st.one_of(
    strings,
    st.lists(st.sampled_from(STEPS), max_size=5).map("".join),
    st.lists(st.sampled_from(NAMES), max_size=4).map(".".join),
)
OPS = st.sampled_from(("set", "remove", "add", "insert", "rename", "split", "drop"))
MORE = st.dictionaries(st.sampled_from(("typed", "value", "table", "to", "at", "before")), JUNK)


@settings(LAWS, max_examples=200)
@given(any_text, OPS, PATHS, MORE)
def test_an_edit_of_any_kind_is_done_or_refused_in_a_sentence(
    which: int, op: str, path: str, more: dict[str, Any]
) -> None:
    text = TEXTS[which]
    try:
        after = edited(text, [{"op": op, "path": path, **more}])
    except InputError as error:
        refused = [f for f in error.faults if f.found and f.allowed and "\n" not in f.sentence()]
        assert len(refused) == len(error.faults) > 0  # noqa: PT017
    else:
        tomllib.loads(after.removeprefix("\ufeff"))
        after.encode()
