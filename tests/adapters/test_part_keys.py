"""The list of keys that edits and screen go by, held against the strict reader and the manual."""

import re
from pathlib import Path

import pytest

from ribwright.adapters.part_keys import KEYS, key_kind, table_kind
from ribwright.adapters.part_toml import parse_part
from ribwright.adapters.toml_text import parse_toml
from ribwright.errors import InputError

MANUAL = Path(__file__).parent.parent.parent / "docs" / "PART_FILE.md"
HEADERS = {
    "": "", "part": "[part]", "approval": "[approval]", "sheet": "[sheet]", "web": "[web]", "edge": "[[web.edge]]", "flange": "[flange.f]",
    "corner": "[[corner]]", "cutout": "[[cutout]]", "hole": "[[hole]]", "rivets": "[[rivets]]", "notch": "[[notch]]", "flute": "[[flute]]",
    "joggle": "[[joggle]]", "bead": "[[bead]]", "tolerance": "[tolerance]", "blank": "[blank]", "block": "[block]",
}  # fmt: skip


@pytest.mark.parametrize("kind", sorted(KEYS))
def test_the_keys_of_a_table_are_those_the_strict_reader_knows(kind: str) -> None:
    more = 'kind = "lightening"\n' if kind == "hole" else ""
    with pytest.raises(InputError) as error:
        parse_part(f"{HEADERS[kind]}\n{more}no_such_key = 1\n")
    row = next(f for f in error.value.faults if f.key.endswith("no_such_key"))
    known = set(row.allowed.removeprefix("one of ").split(", ")) | (set() if kind != "hole" else {"kind"})
    assert known == set(KEYS[kind])


def test_the_order_is_the_manuals() -> None:
    text = MANUAL.read_text(encoding="utf-8")
    whole = parse_toml(re.search(r"```toml\n(# Q7-2150-1.*?)```", text, re.S)[1], "manual", "a part file")
    rows = [
        ("", whole),
        ("part", whole["part"]),
        ("sheet", whole["sheet"]),
        ("web", whole["web"]),
        ("tolerance", whole["tolerance"]),
    ]
    rows += (
        [("edge", e) for e in whole["web"]["edge"]]
        + [("hole", h) for h in whole["hole"]]
        + [("corner", c) for c in whole["corner"]]
    )
    rows += (
        [("flange", f) for f in whole["flange"].values()]
        + [("cutout", c) for c in whole["cutout"]]
        + [("rivets", whole["rivets"][0])]
    )
    for kind, table in rows:
        order = list(KEYS[kind])
        places = [order.index(k) for k in table]
        assert places == sorted(places), kind


def test_a_path_says_which_table_and_which_kind_of_value_it_is() -> None:
    assert table_kind(("cutout", 1, "edge", 2)) == "edge"
    assert table_kind(("flange", "hole")) == "flange"
    assert table_kind(("hole", 1, "tolerance")) == "tolerance"
    assert table_kind(("part", "number")) is None
    assert key_kind(("web", "edge", 2, "to", 1)) == "point"
    assert key_kind(("flange", "skin", "width", 1, 2)) == "along-length"
    assert key_kind(("nothing", "known")) == "other"
