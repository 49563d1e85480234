"""The part file: what may stand in it, and what each mistake is answered with."""

import math
from dataclasses import replace

import pytest

from adapters.part_samples import RIB, SQUARE, SQUARE_CLOCKWISE, changed, sentences
from ribwright.adapters.part_toml import parse_part, read_part
from ribwright.features.part import Along

# -- what a right file says ---------------------------------------------------------------------------


def test_every_table_of_the_file_arrives_in_the_part():
    part = parse_part(RIB)
    assert (part.number, part.revision, part.hand, part.units, part.line) == (
        "Q7-2199-1",
        "A",
        "none",
        "in",
        "outside-mold-line",
    )
    assert part.approval.complete
    assert part.approval.date == "2031-03-10"
    assert part.sheet.thickness == pytest.approx(0.635, abs=1e-12)
    assert [e.kind for e in part.outer.edges] == ["line", "line", "arc", "spline"]
    assert [e.flange for e in part.outer.edges] == ["skin", "spar", "skin", None]
    assert part.flanges["spar"].width == Along.constant(15.875)
    assert part.flanges["skin"].bend_angle.stations == (("mm", 0, 84), ("fraction", 0.4, 88), ("fraction", 1, 97))
    assert part.flanges["skin"].turn == "down"
    assert part.holes[0].given == ("cut_diameter", pytest.approx(38.1))
    assert part.holes[1].pin_fit == pytest.approx(0.0762)
    assert part.holes[2].slot_angle == 90
    assert part.rivets[0].count == 15
    assert part.tolerance["flange_width"] == pytest.approx((0.254, 0.508))
    assert part.tolerance["flange.skin.flange_angle"] == (0.5, 0.5)
    assert (part.trim, part.block_undercut) == (pytest.approx(1.27), "constant-per-edge")


def test_what_was_typed_is_kept():
    typed = parse_part(RIB).typed
    assert typed["sheet.thickness"] == "0.0250 in"
    assert typed["flange.spar.width"] == "5/8 in"
    assert typed["flange.skin.bend_angle"] == '[[0, 84], ["40 %", 88], ["end", 97]] deg'
    assert typed["web.edge[2].to"] == "[20.0, 4.0] in"


def test_inches_and_millimetres_give_the_same_part():
    inches = parse_part(SQUARE.format(u="in", a=1.0, w=0.5, r=0.09, t=0.025, d=0.19))
    metric = parse_part(SQUARE.format(u="mm", a=25.4, w=12.7, r=2.286, t=0.635, d=4.826))
    for one, two in zip(inches.outer.edges, metric.outer.edges, strict=True):
        for p, q in zip(one.points, two.points, strict=True):
            assert p == pytest.approx(q, abs=1e-9)
    one, two = inches.flanges["rim"], metric.flanges["rim"]
    assert one.width.values == pytest.approx(two.width.values, abs=1e-9)
    assert one.bend_radius == pytest.approx(two.bend_radius, abs=1e-9)
    assert inches.sheet.thickness == pytest.approx(metric.sheet.thickness, abs=1e-9)
    assert inches.holes[0].diameter == pytest.approx(metric.holes[0].diameter, abs=1e-9)


def test_a_loop_typed_clockwise_is_turned_and_said_so():
    turned = parse_part(SQUARE_CLOCKWISE)
    assert turned.outer.turned
    assert [e.name for e in turned.outer.edges] == ["d", "c", "b", "a"]
    assert turned.outer.edges[0].points == ((0.0, 0.0), (1.0, 0.0))
    assert all(e.turned for e in turned.outer.edges)
    assert any("counter-clockwise" in note for note in turned.notes)


def test_a_corner_is_named_in_the_direction_of_travel_however_it_was_typed():
    assert parse_part(RIB).corners[0].at == ("lower", "rear")
    corner = '[[corner]]\nat = ["a", "b"]\nrelief = "none"\n'
    assert parse_part(SQUARE_CLOCKWISE + corner).corners[0].at == ("b", "a")


def test_a_cutout_runs_clockwise():
    assert [not loop.turned for loop in parse_part(RIB).cutouts] == [True]
    other_way = changed(
        (
            'edge = [{ name = "access upper", through = [14.0, 3.0], to = [16.0, 1.0] }, '
            '{ name = "access lower", to = [12.0, 1.0] }]',
            'edge = [{ name = "access lower", to = [16.0, 1.0] }, '
            '{ name = "access upper", through = [14.0, 3.0], to = [12.0, 1.0] }]',
        )
    )
    cutout = parse_part(other_way).cutouts[0]
    assert cutout.turned
    assert [e.name for e in cutout.edges] == ["access upper", "access lower"]


def test_a_spline_takes_its_neighbours_direction_where_it_says_so():
    front = parse_part(changed(("[[-0.4, 2.0], [0.0, 0.0]]", '[[-0.4, 2.0], [0.0, 0.0]]\ntangent = "end"'))).edge(
        "front"
    )
    assert front.start_dir is None
    assert front.end_dir == pytest.approx((1.0, 0.0))
    both = parse_part(changed(("[[-0.4, 2.0], [0.0, 0.0]]", '[[-0.4, 2.0], [0.0, 0.0]]\ntangent = "both"'))).edge(
        "front"
    )
    # the upper arc: chord 20, rise 1, so R = (100 + 1) / 2 and it ends at atan(2 * 1 / 10) * 2 below level
    fall = 2 * math.atan(0.1)
    assert both.start_dir == pytest.approx((-math.cos(fall), -math.sin(fall)))


def test_a_turned_spline_keeps_its_shape():
    ring = """
units = "mm"
[part]
number = "Q7-1"
revision = "A"
[sheet]
material = "2024-O"
thickness = 0.8
grain = "any"
[web]
start = [0, 0]
[[web.edge]]
name = "curved"
spline = [[40, 30], [80, 0]]
tangent = "end"
[[web.edge]]
name = "base"
to = [0, 0]
"""
    edge = parse_part(ring).edge("curved")
    assert edge.turned
    # typed: ends in direction (-1, 0); travelled backwards it starts in direction (1, 0)
    assert edge.start_dir == pytest.approx((1.0, 0.0))
    assert edge.end_dir is None
    assert edge.points == ((80.0, 0.0), (40.0, 30.0), (0.0, 0.0))


def test_an_edge_may_come_from_a_table_beside_the_part_file(tmp_path):
    (tmp_path / "loft").mkdir()
    (tmp_path / "loft" / "front.csv").write_text("# units = mm\r\nx, y\r\n-10.16, 50.8\r\n0, 0\r\n")
    drawn = "spline = [[-0.4, 2.0], [0.0, 0.0]]"
    for path in ("'loft\\front.csv'", '"loft/front.csv"'):
        file = tmp_path / "rib.part.toml"
        file.write_text(changed((drawn, f"ordinates = {path}")), newline="\r\n")
        from_table, typed = read_part(file).edge("front"), parse_part(RIB).edge("front")
        for p, q in zip(from_table.points, typed.points, strict=True):
            assert p == pytest.approx(q, abs=1e-9)


def test_a_table_may_begin_with_the_end_of_the_edge_before_it(tmp_path):
    file = tmp_path / "rib.part.toml"
    (tmp_path / "front.csv").write_text("0, 4.0\n-0.4, 2.0\n0, 0\n")
    file.write_text(changed(("spline = [[-0.4, 2.0], [0.0, 0.0]]", 'ordinates = "front.csv"')))
    part = read_part(file)
    assert len(part.edge("front").points) == 3
    assert any("taken once" in note for note in part.notes)


def test_a_part_without_flanges_need_not_say_which_line_it_draws():
    assert parse_part(SQUARE_CLOCKWISE).line == "outside-mold-line"
    assert any("web.line: found nothing" in s for s in sentences(changed(('line = "outside-mold-line"\n', ""))))


def test_tables_that_are_not_built_yet_are_read_strictly_and_kept_by_name():
    more = """
[[joggle]]
edge = "upper"
from = "10 %"
to = "end"
depth = 0.032
length = 0.2
[[flute]]
edge = "upper"
at = 2.0
width = 0.5
depth = 0.1
[[notch]]
edge = "rear"
at = "50 %"
width = 1
depth = 0.5
corner_radius = 0.1
[[bead]]
points = [[9, 2], [11, 2]]
section = "round"
width = 0.5
depth = 0.1
"""
    more = RIB.replace('flutes = "plan"', 'flutes = "drawn"') + more
    part = parse_part(more)
    assert (part.joggles[0].edge, part.notches[0].edge, part.beads[0].section) == ("upper", "rear", "round")
    assert [(f.edge, f.width) for f in part.flutes] == [("upper", pytest.approx(12.7))]
    assert any("joggle[1].depht" in s and "'depth'" in s for s in sentences(more.replace("depth", "depht", 1)))


def test_comments_and_typed_form_do_not_change_the_part():
    assert parse_part(changed(("thickness = 0.0250", 'thickness = "0.635 mm" # a comment'))) == replace(
        parse_part(RIB), sheet=replace(parse_part(RIB).sheet, thickness=0.635)
    )
