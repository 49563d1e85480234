"""Where keys and values stand in a TOML text: held against what the standard library reads of it."""

import tomllib
from typing import Any

import pytest

from adapters.messy_parts import MESSY, texts
from ribwright.adapters.toml_spans import named, scan, value_at


def _leaves(value: Any, path: tuple = ()) -> dict[str, Any]:
    if isinstance(value, dict):
        return {k: v for name, inner in value.items() for k, v in _leaves(inner, (*path, name)).items()}
    if isinstance(value, list):
        return {k: v for n, inner in enumerate(value, 1) for k, v in _leaves(inner, (*path, n)).items()}
    return {named(path): value}


def agrees(text: str) -> None:
    """The scan finds every leaf of the text, and the text of each span says its value."""
    table, spans = tomllib.loads(text.removeprefix("\ufeff")), scan(text)
    leaves = _leaves(table)
    found = {k: n for k, n in spans.index.items() if n.kind == "leaf"}
    assert set(found) == set(leaves)
    for key, node in found.items():
        assert tomllib.loads("k = " + text[slice(*node.span)])["k"] == leaves[key], key
        assert value_at(table, node.path) == leaves[key]


@pytest.mark.parametrize("text", texts())
def test_every_value_is_found_with_its_own_text(text: str) -> None:
    agrees(text)


@pytest.mark.parametrize(
    "text",
    [
        "", "\n", "# only a comment", "a = 1", "a=1#c", "\ufeffa = 1\n", "a.b.c = 1\na.d = 2\n[a.e]\nf = 3\n",
        'a = """x\n# no [header]\n[b]\n"""\nc = 1\n', "a = '''\n[x]''''\nb = 2\n", 'a = """"quoted""""\nb = 1\n',
        "a = [[[1], []], [2,],\n#c\n]\n", "a = {b = {c = [1,\n2]}, d.e = 3}\n", '"a b"."c.d" = 1\n["a b"."e"]\nf = 1\n',
        "a = 1979-05-27 07:32:00\nb = [1979-05-27, 07:32:00]\n", "[[a]]\n[[a.b]]\nc = 1\n[[a.b]]\n[a.b.d]\ne=2\n[[a]]\nc=3\n",
        "[ a . 'b' ]\nc = 1\n", "a = -inf\nb = 0x1F\nc = 1e-3\n", "a = {}\nb = []\nc = [ {}, { } ]\n", "[a.b]\nc=1\n[a]\nd=2\n",
    ],
)  # fmt: skip
def test_every_manner_of_writing_is_found(text: str) -> None:
    agrees(text)


def test_a_section_takes_the_comment_lines_above_it_and_no_others() -> None:
    spans = scan(MESSY)
    first = next(s for s in spans.sections if s.path == ("web", "edge", 1))
    assert MESSY[first.begin :].startswith("# first edge\n[[web.edge]]\n")
    third = next(s for s in spans.sections if s.path == ("web", "edge", 3))
    assert MESSY[third.begin :].startswith("[[web.edge]]\n")
    # those right below the statement before it belong to that
    above = next(s for s in spans.sections if s.path == ("web", "edge", 2, "tolerance"))
    assert MESSY[: above.end].endswith("# above the third\n# edge\n")


def test_the_words_a_file_begins_with_belong_to_no_section() -> None:
    spans = scan("# who drew this\n[part]\nnumber = 1\n")
    assert spans.sections[1].begin == len("# who drew this\n")


def test_a_key_has_the_line_it_stands_in() -> None:
    spans, lines = scan(MESSY), MESSY.split("\n")
    for key, words in {
        "units": "units", "web.edge[3].spline[4]": "[0.0, 4.0]", "hole[2].diameter": "diameter = 0.250_0",
        "cutout[1].edge[2].to": "access lower", "web.edge[2].tolerance.contour": "contour = [-0.010",
        "flange.skin # no comment.bend_angle": "bend_angle = [[", "flange.spar.width": "spar = {", "corner[2]": "[[corner]]",
    }.items():  # fmt: skip
        line = spans.line_of(key)
        assert line is not None
        assert words in lines[line - 1], key


def test_a_missing_key_has_the_line_of_its_table_and_an_unknown_one_none() -> None:
    spans = scan(MESSY)
    assert spans.line_of("hole[2].bend_angle") == spans.line_of("hole[2]")
    assert spans.line_of("block.undercut") is None
