"""Edits of a part file: what stands where afterwards, and what is refused."""

import difflib
from typing import Any

import pytest

from adapters.messy_parts import EXAMPLES, MESSY
from adapters.part_samples import RIB
from ribwright.adapters.part_edit import edit, edited
from ribwright.adapters.part_toml import parse_part
from ribwright.errors import InputError


def change(text: str, *ops: dict[str, Any]) -> list[str]:
    """The lines taken away and added, each with its sign."""
    after = edited(text, list(ops))
    lines = difflib.unified_diff(text.splitlines(), after.splitlines(), n=0, lineterm="")
    return [line for line in lines if not line.startswith(("---", "+++", "@@"))]


def refused(text: str, **op: Any) -> str:
    """The sentence an edit is refused with."""
    with pytest.raises(InputError) as error:
        edited(text, [op])
    assert len(error.value.faults) == 1
    return str(error.value)


def set_to(path: str, typed: str) -> dict[str, Any]:
    return {"op": "set", "path": path, "typed": typed}


@pytest.mark.parametrize(
    ("typed", "written"),
    [
        ("0.0320", "0.0320"), (" 0.5 ", "0.5"), (".5", "0.5"), ("5.", "5.0"), ("-.25", "-0.25"), ("007", "7"), ("1e-3", "1e-3"),
        ("3/16 in", '"3/16 in"'), ("1 1/16 in", '"1 1/16 in"'), ("true", "true"), ("0,5", '"0,5"'), ("", '""'), ('3/32"', '"3/32\\""'),
        ("inf", '"inf"'), ("1e999", '"1e999"'), ("9" * 30, '"' + "9" * 30 + '"'),
    ],
)  # fmt: skip
def test_a_typed_number_keeps_its_digits_and_anything_else_is_a_text(typed: str, written: str) -> None:
    assert change(RIB, set_to("sheet.thickness", typed)) == ["-thickness = 0.0250", f"+thickness = {written}"]


def test_a_number_typed_for_a_text_is_a_text() -> None:
    assert change(RIB, set_to("part.number", "12")) == ['-number = "Q7-2199-1"', '+number = "12"']
    assert change(RIB, set_to("web.edge[3].balloon", "13")) == ['-balloon = "12"', '+balloon = "13"']


def test_a_bare_date_stays_bare() -> None:
    assert change(RIB, set_to("approval.date", "2031-04-01")) == ["-date = 2031-03-10", "+date = 2031-04-01"]
    assert change(RIB, set_to("approval.date", "soon")) == ["-date = 2031-03-10", '+date = "soon"']


@pytest.mark.parametrize(
    ("value", "written"),
    [
        (0.1 + 0.2, "0.3"), (1e-5, "0.00001"), (1e-9, "0.0"), (-1e-9, "0.0"), (12.0, "12.0"), (12, "12"), (123456.789, "123456.789"),
        ([1.5, 2], "[1.5, 2]"), ([["start", 84], [3.25, 90.5]], '[["start", 84], [3.25, 90.5]]'), ({"contour": 0.1}, "{ contour = 0.1 }"),
        ("a\tb\\\n\"c\"\x00", '"a\\tb\\\\\\n\\"c\\"\\u0000"'), (False, "false"),
    ],
)  # fmt: skip
def test_values_are_written_plainly(value: object, written: str) -> None:
    assert change(RIB, {"op": "set", "path": "sheet.thickness", "value": value})[1] == f"+thickness = {written}"


def test_a_comment_behind_a_value_stays() -> None:
    assert change(MESSY, set_to("sheet.thickness", "0.032"))[1] == "+thickness = 0.032 # as typed"


def test_of_a_point_set_anew_the_number_that_is_the_same_stays_as_typed() -> None:
    op = {"op": "set", "path": "web.start", "value": [1.5, 0]}
    assert change(MESSY, op) == ["-start = [ 0.0,0.00 ]", "+start = [ 1.5,0.00 ]"]


def test_a_long_list_is_written_an_item_a_line() -> None:
    points = [[float(i), 0.5] for i in range(20)]
    lines = change(RIB, {"op": "set", "path": "web.edge[4].spline", "value": points})
    assert lines[1:4] == ["+spline = [", "+  [0.0, 0.5],", "+  [1.0, 0.5],"]


def test_a_new_key_stands_where_the_manual_has_it() -> None:
    text = edited(RIB, [set_to("hole[1].line", "bend-tangent-line"), set_to("web.edge[2].balloon", "7")])
    assert 'diameter = 2.0\nline = "bend-tangent-line"\ncut_diameter = 1.5' in text
    assert 'flange = "spar"\nballoon = "7"\n[[web.edge]]' in text
    assert edited(RIB, [set_to("units", "mm")]) == RIB.replace('"in"', '"mm"', 1)


def test_a_first_key_stands_below_its_header() -> None:
    assert '[[corner]]\nat = ["a", "b"]\n' in edited(
        "[[corner]]\n", [{"op": "set", "path": "corner[1].at", "value": ["a", "b"]}]
    )


def test_a_missing_table_is_made_under_a_header_where_the_manual_has_it() -> None:
    text = edited(
        'units = "in"\n\n[part]\nnumber = "1"\n\n[web]\nstart = [0, 0]\n', [set_to("sheet.thickness", "0.032")]
    )
    assert text == 'units = "in"\n\n[part]\nnumber = "1"\n\n[sheet]\nthickness = 0.032\n\n[web]\nstart = [0, 0]\n'


def test_a_features_own_tolerance_stands_on_a_line_of_it() -> None:
    assert change(RIB, set_to("web.edge[2].tolerance.contour", "0.02")) == ["+tolerance = { contour = 0.02 }"]
    assert (
        change(RIB, set_to("flange.skin.tolerance.contour", "0.02"))[1]
        == "+tolerance = { contour = 0.02, flange_angle = 0.5 }"
    )
    # dotted keys go on as dotted keys
    assert change(MESSY, set_to("web.edge[1].tolerance.flange_width", "0.02")) == ["+tolerance.flange_width = 0.02"]


def test_a_file_is_made_from_nothing() -> None:
    square = [[4.0, 0.0], [4.0, 3.0], [0.0, 3.0], [0.0, 0.0]]
    text = edited("", [
        set_to("units", "in"), set_to("sheet.thickness", "0.032"),
        set_to("part.number", "1"), set_to("part.revision", "A"),
        set_to("sheet.material", "2024-O"),
        {"op": "set", "path": "web.start", "value": [0.0, 0.0]}, set_to("web.line", "outside-mold-line"),
        *({"op": "add", "path": "web.edge", "table": {"name": f"e{i}", "to": to, "flange": "f"}} for i, to in enumerate(square)),
        {"op": "add", "path": "flange.f", "table": {"bend_radius": 0.09, "width": 0.5, "bend_angle": 90}},
    ])  # fmt: skip
    assert text.startswith(
        'units = "in"\n\n[part]\nnumber = "1"\nrevision = "A"\n\n[sheet]\nmaterial = "2024-O"\nthickness = 0.032\n\n[web]\n'
    )
    assert (
        '[web]\nline = "outside-mold-line"\nstart = [0.0, 0.0]\n[[web.edge]]\nname = "e0"\nto = [4.0, 0.0]\nflange = "f"\n[[web.edge]]'
        in text
    )
    assert text.endswith("\n\n[flange.f]\nwidth = 0.5\nbend_angle = 90\nbend_radius = 0.09\n")
    assert [e.name for e in parse_part(text).outer.edges] == ["e0", "e1", "e2", "e3"]


def test_a_new_hole_comes_behind_the_last_and_its_keys_in_the_manuals_order() -> None:
    table = {"diameter": 0.25, "at": [1.0, 2.0], "kind": "plain", "name": "D2"}
    text = edited(MESSY, [{"op": "add", "path": "hole", "table": table}])
    assert (
        'diameter = 0.250_0\n\n[[hole]]\nname = "D2"\nkind = "plain"\nat = [1.0, 2.0]\ndiameter = 0.25\n\n# ---- cutouts ----\n'
        in text
    )


def test_an_edge_comes_before_another_in_the_manner_of_its_neighbours() -> None:
    new = {"op": "add", "path": "web.edge", "table": {"name": "n", "to": [1, 2]}, "before": 2}
    assert change(MESSY, new) == ["+[[web.edge]]", '+name = "n"', "+to = [1, 2]"]
    inline = {"op": "add", "path": "cutout[1].edge", "table": {"to": [1, 2], "name": "n"}}
    assert change(MESSY, inline | {"before": 2}) == ['+  { name = "n", to = [1, 2] },']
    assert change(MESSY, inline) == [
        '-  { name = "access lower", to = [11.0, 1.0] } # and back', '+  { name = "access lower", to = [11.0, 1.0] }, # and back',
        '+  { name = "n", to = [1, 2] }',
    ]  # fmt: skip


def test_a_cutout_is_added_with_its_edges_an_edge_a_line() -> None:
    rows = [{"to": [2, 1], "name": "a"}, {"name": "b", "to": [1, 1], "through": [1.5, 2]}]
    text = edited(MESSY, [{"op": "add", "path": "cutout", "table": {"name": "c", "start": [1, 1], "edge": rows}}])
    assert (
        '[[cutout]]\nname = "c"\nstart = [1, 1]\nedge = [\n  { name = "a", to = [2, 1] },\n  { name = "b", through'
        in text
    )


def test_a_table_goes_with_its_tables_and_its_comments_and_other_comments_stay() -> None:
    gone = change(MESSY, {"op": "remove", "path": "web.edge[1]"})
    assert gone[0] == "-# first edge"
    assert "-tolerance.contour = 0.02" in gone
    assert change(MESSY, {"op": "remove", "path": "hole[2]"})[-1] == "-diameter = 0.250_0"
    assert "-contour = [-0.010, 0.020]" in change(MESSY, {"op": "remove", "path": "web.edge[2]"})


def test_removing_a_flange_in_use_clears_nothing_else() -> None:
    text = edited(RIB, [{"op": "remove", "path": "flange.spar"}])
    assert 'flange = "spar"' in text
    with pytest.raises(InputError, match=r'web\.edge\[2\]\.flange: found "spar"'):
        parse_part(text)


def test_points_are_inserted_and_removed_in_the_manner_of_the_list() -> None:
    key = "web.edge[3].spline"
    assert change(MESSY, {"op": "insert", "path": f"{key}[1]", "value": [16, 4.5]}) == ["+  [16, 4.5],"]
    assert (
        change(MESSY, {"op": "insert", "path": f"{key}[3]", "value": [7, 4.9]})[1]
        == "+  [10.0, 5.0], [7, 4.9], [5.0, 4.8],"
    )
    assert change(MESSY, {"op": "insert", "path": f"{key}[5]", "value": [7, 4.9]}) == ["+  [7, 4.9],"]
    assert change(MESSY, {"op": "remove", "path": f"{key}[1]"}) == ["-  [15.0, 4.6], # one"]
    assert change(MESSY, {"op": "remove", "path": "bead[1].points[1]"}) == ["-  [1.0, 1.0], # first"]
    assert change(MESSY, {"op": "remove", "path": "blank.pilot_holes[1]"})[1] == "+pilot_holes = []  # to be drawn"
    assert change(MESSY, {"op": "remove", "path": f"{key}[2]"})[1] == "+  [5.0, 4.8],"


def test_a_renamed_edge_is_followed_by_corners_and_rivets() -> None:
    assert change(MESSY, {"op": "rename", "path": "web.edge[3]", "to": "top"}) == [
        '-name = "upper"', '+name = "top"', '-at = ["rear","upper"]', '+at = ["rear","top"]', '-edge = "upper"', '+edge = "top"',
    ]  # fmt: skip


def test_a_renamed_flange_is_followed_by_its_edges_however_its_table_is_written() -> None:
    text = edited(MESSY, [{"op": "rename", "path": "flange.skin # no comment", "to": "skin"}])
    assert "skin.width = 0.625\nskin.bend_angle" in text
    assert text.count('flange = "skin"') == 2
    assert "spine = { width" in edited(MESSY, [{"op": "rename", "path": "flange.spar", "to": "spine"}])
    assert '[flange."a b"]\n' in edited(RIB, [{"op": "rename", "path": "flange.spar", "to": "a b"}])


def test_a_name_that_is_taken_or_blank_is_refused() -> None:
    for to in ("rear", "", "  ", 5, None):
        assert "found" in refused(MESSY, op="rename", path="web.edge[3]", to=to)
    assert "each stand once" in refused(MESSY, op="rename", path="flange.spar", to="skin # no comment")


def test_a_split_line_is_two_lines_and_the_corner_at_its_end_follows() -> None:
    assert change(MESSY, {"op": "split", "path": "web.edge[2]", "at": [20.5, 1.0]}) == [
        "-  4.0   # y", "+  1.0   # y",
        "+", "+[[web.edge]]", '+name = "rear 2"', "+to = [", "+  20.0, # x", "+  4.0   # y", "+]", '+flange = "spar"',
        "+tolerance = { contour = [-0.01, 0.02] }", '-at = ["rear","upper"]', '+at = ["rear 2","upper"]',
    ]  # fmt: skip
    part = parse_part(edited(RIB, [{"op": "split", "path": "web.edge[2]", "at": [20.5, 1.0]}]))
    assert [e.name for e in part.outer.edges] == ["lower", "rear", "rear 2", "upper", "front"]
    assert part.edge("rear").points == ((508.0, 0.0), (508.0, 25.4))
    assert part.edge("rear 2").flange == "spar"


def test_a_split_arc_is_two_arcs_of_the_same_circle() -> None:
    from ribwright.geometry.curve import Arc

    whole = parse_part(RIB).edge("upper").points
    part = parse_part(edited(RIB, [{"op": "split", "path": "web.edge[3]", "at": [6.0, 5.5]}]))
    circle = Arc.through(*whole)
    for name in ("upper", "upper 2"):
        half = Arc.through(*part.edge(name).points)
        # the points are written with six decimals of an inch
        assert half.centre == pytest.approx(circle.centre, rel=1e-5)
        assert half.radius == pytest.approx(circle.radius, rel=1e-5)
    assert part.edge("upper").points[-1] == part.edge("upper 2").points[0]


def test_a_split_spline_passes_the_same_points_without_a_corner_and_nearly_the_same_way() -> None:
    import numpy as np

    from ribwright.geometry.curve import curve_from_points

    text = next(p for p in EXAMPLES if "2105-1" in p.name).read_text(encoding="utf-8")
    done = edit(text, [{"op": "split", "path": "web.edge[1]", "at": [10.0, -2.2]}])
    before, after = parse_part(text), parse_part(done.text)
    curves = [
        curve_from_points(e.kind, e.points, e.start_dir, e.end_dir)
        for e in (before.edge("lower"), after.edge("lower"), after.edge("lower 2"))
    ]
    whole, first, second = curves
    ends = first.tangent(np.array([first.length]))[0], second.tangent(np.array([0.0]))[0]
    assert ends[0] == pytest.approx(ends[1], abs=1e-9)
    there = whole.point(np.linspace(0, whole.length, 3000))
    for half in (first, second):
        points = half.point(np.linspace(0, half.length, 200))
        assert np.min(np.hypot(*(points[:, None] - there[None]).transpose(2, 0, 1)), axis=1).max() < 1.0
    assert any("rivets[1] stays" in n for n in done.notes)


def test_a_spline_split_at_one_of_its_points_keeps_that_point_as_typed() -> None:
    text = RIB.replace("[[-0.4, 2.0], [0.0, 0.0]]", "[[-0.3, 3.00], [-0.4, 2.0], [0.0, 0.0]]")
    halves = edited(text, [{"op": "split", "path": "web.edge[4]", "at": [-0.3, 3.0]}])
    assert "spline = [[-0.3, 3.00]]\n" in halves
    assert "spline = [[-0.4, 2.0], [0.0, 0.0]]\ntangent" in halves


def test_between_two_edges_that_meet_twice_only_the_corner_at_the_end_follows_a_split() -> None:
    both = "".join(
        f'[[corner]]\nat = ["access {a}", "access {b}"]\nrelief = "none"\n'
        for a, b in (("upper", "lower"), ("lower", "upper"))
    )
    text = edited(RIB + both, [{"op": "split", "path": "cutout[1].edge[1]", "at": [14.0, 3.0]}])
    assert 'at = ["access upper 2", "access lower"]' in text
    assert 'at = ["access lower", "access upper"]' in text


def test_what_cannot_be_split_is_refused() -> None:
    text = next(p for p in EXAMPLES if "2104" in p.name).read_text(encoding="utf-8")
    assert "ordinate table" in refused(text, op="split", path="web.edge[1]", at=[1, 2])
    assert "own end" in refused(RIB, op="split", path="web.edge[1]", at=[-5, 0])
    assert "no edge" in refused(RIB, op="split", path="hole[1]", at=[1, 2])
    assert "a point" in refused(RIB, op="split", path="web.edge[1]", at=[1])
    assert "not known" in refused(RIB.replace('units = "in"', ""), op="split", path="web.edge[1]", at=[1, 0])


def test_what_cannot_be_done_is_refused_with_the_nearest_right_word() -> None:
    assert "did you mean 'skin'" in refused(RIB, op="remove", path="flange.skim")
    assert "1 to 4" in refused(RIB, op="remove", path="web.edge[5]")
    assert "1 to 3" in refused(RIB, op="insert", path="web.edge[4].spline[4]", value=[1, 2])
    assert "there already" in refused(RIB, op="add", path="flange.skin", table={})
    assert "a table" in refused(RIB, op="set", path="sheet", typed="1")
    assert "did you mean 'hole'" in refused(RIB, op="add", path="hol", table={})
    assert "nan" in refused(RIB, op="set", path="sheet.thickness", value=float("nan"))
    assert "one of set" in refused(RIB, op="drill", path="hole[1]")
    assert "TOML" in refused("a = [", op="remove", path="a")


def test_all_edits_are_done_or_none() -> None:
    with pytest.raises(InputError):
        edited(RIB, [set_to("sheet.thickness", "1"), {"op": "remove", "path": "hole[9]"}])


def test_lines_end_as_they_did() -> None:
    text = RIB.replace("\n", "\r\n")
    after = edited(text, [{"op": "add", "path": "hole", "table": {"name": "x"}}, set_to("hole[4].kind", "plain")])
    assert after.count("\n") == after.count("\r\n")
