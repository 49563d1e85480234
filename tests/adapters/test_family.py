"""The table of a family and the part files made from it: what a cell does, what stays, and every fault by line and column."""

from __future__ import annotations

import tomllib
from pathlib import Path

import numpy as np
import pytest
from shapely import LineString, Point

from building import EXAMPLES, box
from ribwright.adapters.family_csv import parse_family
from ribwright.adapters.family_members import family_members
from ribwright.adapters.part_toml import parse_part, read_part
from ribwright.errors import Fault, InputError
from ribwright.features.family import Member
from ribwright.features.laid import lay

MM = 25.4
TABLE = EXAMPLES / "Q7-2102.family.csv"
HOLES = """
# the first of two
[[hole]]
name = "P1"
kind = "tooling"
at = [50, 50]  # on the line
diameter = 5
[[hole]]
name = "P2"
kind = "tooling"
at = [150, 50]
diameter = 6
"""
HEAD = "# part = base.part.toml\n"


def members(folder: Path, table: str, base: str = "") -> tuple[Member, ...]:
    """The members of a table whose base part lies beside it."""
    (folder / "base.part.toml").write_text(base or box(extra=HOLES), encoding="utf-8")
    return family_members(parse_family(HEAD + table, "x.family.csv"), folder / "base.part.toml")


def faults(folder: Path, table: str, base: str = "") -> list[Fault]:
    with pytest.raises(InputError) as wrong:
        members(folder, table, base)
    return list(wrong.value.faults)


@pytest.mark.parametrize("number", ["Q7-2103-1", "Q7-2104-1"])
def test_the_family_of_the_centre_rib_is_its_sisters_as_they_were_drawn(number: str) -> None:
    """Every point of the contour within the rounding of the drawn ordinates, 0.0005 in; the curve between them within 0.001 in; holes of
    the same size, each within the 0.005 in that its drawn place is rounded to."""
    table = parse_family(TABLE.read_text(), str(TABLE))
    made = next(m.part for m in family_members(table, EXAMPLES / table.base) if m.number == number)
    drawn = read_part(EXAMPLES / f"{number}.part.toml")
    for a, b in zip(lay(made)[0].edges, lay(drawn)[0].edges, strict=True):
        assert np.abs(np.array(a.edge.points) - np.array(b.edge.points)).max() < 0.0005 * MM
        line = LineString(b.curve.point(np.linspace(0.0, b.curve.length, 4000)))
        far = [line.distance(Point(p)) for p in a.curve.point(np.linspace(0.0, a.curve.length, 400))]
        assert max(far) < 0.001 * MM
    for a_hole, b_hole in zip(made.holes, drawn.holes, strict=True):
        assert (a_hole.name, a_hole.diameter, a_hole.given) == (b_hole.name, b_hole.diameter, b_hole.given)
        assert np.abs(np.array(a_hole.at) - np.array(b_hole.at)).max() < 0.005 * MM
    assert made.flanges.keys() == drawn.flanges.keys()
    assert [r.count for r in made.rivets] == [r.count for r in drawn.rivets if r.edge == "upper"]


def test_what_no_cell_names_stays_byte_for_byte(tmp_path: Path) -> None:
    base = box(extra=HOLES)
    (made,) = members(tmp_path, "number,sheet.thickness\nM-1,0.8\n", base)
    first, *rest = made.text.splitlines()
    assert first == "# M-1: made from base.part.toml by x.family.csv."
    changed = [(a, b) for a, b in zip(base.splitlines(), rest, strict=True) if a != b]
    assert changed == [('number = "T-1"', 'number = "M-1"'), ("thickness = 1.0", "thickness = 0.8")]


def test_a_cell_is_what_would_be_typed_into_the_field(tmp_path: Path) -> None:
    table = (
        "number;flange.f.width;hole[P2].at;hole[1].at;part.title;flange.f.bend_angle;sheet.grain;tolerance.contour\n"
        'M-1;5/8 in;140, 45;[55, 50.5];Rib, short;[[0, 84], ["end", 97]];30;0.3\n'
    )
    part = members(tmp_path, table)[0].part
    assert part.flanges["f"].width.values == (pytest.approx(15.875),)
    assert [h.at for h in part.holes] == [(55.0, 50.5), (140.0, 45.0)]
    assert part.title == "Rib, short"
    assert part.flanges["f"].bend_angle.values == (84, 97)
    assert (part.sheet.grain, part.tolerance["contour"]) == (30, (0.3, 0.3))


def test_an_empty_cell_leaves_the_base_and_a_dash_takes_the_key_away(tmp_path: Path) -> None:
    base = box(extra=HOLES).replace("thickness = 1.0", "thickness = 1.0\ngrain = 30")
    one, two = members(tmp_path, "number,sheet.grain\nM-1,\nM-2,-\n", base)
    assert one.part.sheet.grain == 30
    assert two.part.sheet.grain is None


def test_a_scale_takes_the_places_of_its_loop_and_nothing_else(tmp_path: Path) -> None:
    base = parse_part(box(extra=HOLES))
    part = members(tmp_path, "number,web.scale,hole[P2].scale\nM-1,0.9,90 %\n")[0].part
    for a, b in zip(base.outer.edges, part.outer.edges, strict=True):
        assert np.array(b.points) == pytest.approx(0.9 * np.array(a.points))
    assert [h.at for h in part.holes] == [(50.0, 50.0), (135.0, 45.0)]
    assert [h.diameter for h in part.holes] == [5, 6]
    assert part.flanges == base.flanges


@pytest.mark.parametrize(
    "order", ["web.scale,web.edge[1].to,web.edge[2].to", "web.edge[1].to,web.edge[2].to,web.scale"]
)
def test_a_place_that_has_a_column_stands_where_that_says_whatever_the_scale(tmp_path: Path, order: str) -> None:
    cells = {"web.scale": "0.9", "web.edge[1].to": "170 5", "web.edge[2].to": "170 90"}
    table = f"number,{order}\nM-1,{','.join(cells[c] for c in order.split(','))}\n"
    part = members(tmp_path, table)[0].part
    assert part.edge("south").points == ((0.0, 0.0), (170.0, 5.0))


def test_ordinates_go_along_in_a_table_of_the_members_own(tmp_path: Path) -> None:
    (tmp_path / "top.csv").write_text(
        "# units = in\nx,y\n100,4\n50,4.2\n0,4\n".replace("100,4", "7,4").replace("50", "3")
    )
    base = box(units="mm", w=7 * MM, h=4 * MM).replace(f"to = [0.0, {4 * MM}]", 'ordinates = "top.csv"')
    one, two = members(tmp_path, "number,web.scale,part.title\nM-1,0.5,\nM-2,,plain\n", base)
    assert list(one.tables) == ["M-1-north.csv"]
    assert two.tables == {"M-2-north.csv": (tmp_path / "top.csv").read_bytes()}
    assert tomllib.loads(one.text)["web"]["edge"][2]["ordinates"] == "M-1-north.csv"
    assert one.part.edge("north").points[1:] == (pytest.approx((1.5 * MM, 2.1 * MM)), pytest.approx((0.0, 2 * MM)))


def ordinates(folder: Path, names: tuple[str, str]) -> str:
    """A box whose upper and lower edge are read from tables, 2 mm proud in the middle, under these names."""
    (folder / "up.csv").write_text("x,y\n200,100\n100,102\n0,100\n", encoding="utf-8")
    (folder / "low.csv").write_text("x,y\n0,0\n100,-2\n200,0\n", encoding="utf-8")
    base = box()
    for was, name, to, file in (("north", names[0], "[0.0, 100.0]", "up"), ("south", names[1], "[200.0, 0.0]", "low")):
        assert f'name = "{was}"\nto = {to}' in base
        base = base.replace(f'name = "{was}"\nto = {to}', f'name = "{name}"\nordinates = "{file}.csv"')
    return base


@pytest.mark.parametrize("scaled", ["web.scale", "part.title"])
@pytest.mark.parametrize("names", [("a b", "a-b"), ("U", "u"), ("a-b", "a-b-2")])
def test_edges_whose_names_are_one_word_for_a_file_have_a_table_each(
    tmp_path: Path, scaled: str, names: tuple[str, str]
) -> None:
    (made,) = members(tmp_path, f"number,{scaled}\nM-1,0.5\n", ordinates(tmp_path, names))
    assert len({t.lower() for t in made.tables}) == 2
    share = 0.5 if scaled == "web.scale" else 1.0
    assert made.part.edge(names[0]).points[1] == pytest.approx((100 * share, 102 * share))
    assert made.part.edge(names[1]).points[1] == pytest.approx((100 * share, -2 * share))


def test_no_table_of_a_member_has_the_name_of_another_members_or_of_the_family(tmp_path: Path) -> None:
    """M-1 with an edge "up", M with an edge "1-up", and a member called "family" with an edge "table"."""
    table = "number,web.scale\nM,0.5\nM-1,0.6\nfamily,0.7\n"
    for names in (("1-up", "up"), ("table", "low")):
        made = members(tmp_path, table, ordinates(tmp_path, names))
        tables = [t.lower() for m in made for t in m.tables]
        assert len(set(tables)) == 6
        assert "family-table.csv" not in tables
        for m, scale in zip(made, (0.5, 0.6, 0.7), strict=True):
            assert m.part.edge(names[0]).points[1] == pytest.approx((100 * scale, 102 * scale))


@pytest.mark.parametrize("number", ["=cmd", "@SUM(1)", "-x", "+1", "../x"])
def test_a_number_that_a_spreadsheet_or_a_shell_would_take_for_an_order_is_refused(tmp_path: Path, number: str) -> None:
    (fault,) = faults(tmp_path, f"number,web.scale\nM-1,1.1\n{number},1.1\n")
    assert (fault.key, fault.found) == ("line 4, column number", repr(number))


def test_no_approval_is_handed_on(tmp_path: Path) -> None:
    base = box(extra='[approval]\ndata = "Drawing T rev A"\nby = "M. Avocet"\ndate = "2031-02-18"\n')
    one, two = members(
        tmp_path, "number,approval.data,approval.by,approval.date\nM-1,,,\nM-2,Drawing M-2,J. Wren,2031-03-01\n", base
    )
    assert not one.part.approval.complete
    assert one.part.approval.data == ""
    assert two.part.approval.complete


def test_a_base_that_makes_a_pair_hands_its_opposite_to_nobody(tmp_path: Path) -> None:
    base = box().replace('hand = "none"', 'hand = "left"\nopposite = "T-2"')
    (fault,) = faults(tmp_path, "number,sheet.thickness\nM-1,0.8\n", base)
    assert fault.key == "line 3, column part.opposite"
    one, two = members(tmp_path, "number,part.opposite\nM-1,M-2\nM-3,-\n", base)
    assert (one.part.opposite, two.part.opposite) == ("M-2", "")


def test_all_faults_are_told_at_once_each_with_its_line_and_column(tmp_path: Path) -> None:
    table = (
        "number,sheet.thicknes,hole[P22].at,web.scale,flange.f.width,hole[1].at\n"
        "M-1,0.8,1 2,0.9,wide,50 50\n"
        "M-2,0.8,1 2,nine,15,50\n"
        "T-1,0.8,1 2,,15,500 50\n"
    )
    told = {(f.key, f.nearest) for f in faults(tmp_path, table)}
    assert told == {
        ("column sheet.thicknes", "thickness"),
        ("column hole[P22].at", "P2"),
        ("line 3, column flange.f.width", ""),
        ("line 4, column web.scale", ""),
        ("line 4, column hole[1].at", ""),
        ("line 5, column number", ""),
        ("line 5, column hole[1].at", ""),
    }


def test_a_fault_that_no_column_is_to_blame_for_stands_at_its_key(tmp_path: Path) -> None:
    """The web shrinks past a pin that nobody moved."""
    (fault,) = faults(tmp_path, "number,web.scale\nM-1,0.7\n")
    assert fault.key == "line 3, hole[2].at"
    assert "outside the web" in fault.found


def test_a_fault_of_many_rows_is_one(tmp_path: Path) -> None:
    (fault,) = faults(tmp_path, "number,flange.f.turn\nM-1,sideways\nM-2,sideways\nM-3,sideways\n")
    assert fault.key == "lines 3, 4, 5, column flange.f.turn"


def test_the_faults_of_the_base_part_are_its_own(tmp_path: Path) -> None:
    (fault,) = faults(tmp_path, "number,part.title\nM-1,x\n", box().replace("bend_radius", "bend_radus"))[:1]
    assert fault.file.endswith("base.part.toml")


@pytest.mark.parametrize(
    ("text", "key"),
    [
        ("number,part.title\nM-1,x\n", "part"),
        (HEAD, "the file"),
        (HEAD + "name,part.title\nM-1,x\n", "line 2, column 1"),
        (HEAD + "number,part.title\n", "the file"),
        (HEAD + "number,part.title,part.title\nM-1,x,y\n", "line 2, column 3"),
        (HEAD + "number,part.number\nM-1,x\n", "line 2, column 2"),
        (HEAD + "number,part.title\nM-1,x\n,y\n", "line 4, column number"),
        (HEAD + "number,part.title\nM-1,x\nm-1,y\n", "line 4, column number"),
        (HEAD + "number,part.title\nM-1,x,y\n", "line 3"),
    ],
)
def test_a_table_that_is_none_of_a_family_is_refused_at_its_place(text: str, key: str) -> None:
    with pytest.raises(InputError) as wrong:
        parse_family(text, "x.family.csv")
    assert key in [f.key for f in wrong.value.faults]


@pytest.mark.parametrize(
    "column", ["hole.scale", "flange.f.scale", "scale", "web.edge[1].scale", "sheet", "hole[9].scale", "hole[9].at"]
)
def test_a_column_that_is_no_key_of_the_base_is_refused(tmp_path: Path, column: str) -> None:
    (fault,) = faults(tmp_path, f"number,{column}\nM-1,0.9\n")
    assert fault.key == f"column {column}"


def test_two_columns_for_one_key_are_refused(tmp_path: Path) -> None:
    (fault,) = faults(tmp_path, "number,hole[P1].at,hole[1].at\nM-1,50 50,50 50\n")
    assert fault.key == "column hole[1].at"
