"""A part file read for the screen: what could be read of it, each fault with its line, and no text that makes it raise."""

import json

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from adapters.messy_parts import EXAMPLES, MESSY, texts
from adapters.part_samples import RIB
from ribwright.adapters.part_sketch import sketched
from ribwright.adapters.part_toml import parse_part, read_part
from ribwright.adapters.toml_spans import scan
from ribwright.errors import InputError


def sketch(text: str):
    return sketched(text, "t.part.toml", None)


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda p: p.name)
def test_a_sound_part_is_the_strict_readers_part_and_its_shape_is_drawn(path) -> None:
    found = sketched(path.read_text(encoding="utf-8"), str(path), path.parent)
    part = read_part(path)
    assert found.part == part
    assert found.faults == []
    assert found.notes == list(part.notes)
    assert [loop["name"] for loop in found.sketch["loops"]] == [loop.name for loop in part.loops]
    for drawn in found.sketch["loops"]:
        pen = drawn["start_mm"]
        for edge in drawn["edges"]:
            points, read = [pen, *edge["points_mm"]], part.edge(edge["name"])
            assert np.array(points) == pytest.approx(
                np.array(read.points[::-1] if read.turned else read.points), abs=1e-6
            )
            pen = points[-1]
        assert drawn["closed"]
    json.dumps(found.sketch, allow_nan=False)


def test_faults_are_those_of_the_strict_reader_in_its_order() -> None:
    wrong = (
        RIB.replace("thickness", "thicknes")
        .replace('edge = "upper"', 'edge = "uper"')
        .replace("[8.0, 2.0]", "[80.0, 2.0]")
    )
    with pytest.raises(InputError) as strict:
        parse_part(wrong, "t.part.toml")
    assert [f"t.part.toml: {f['say']}" for f in sketch(wrong).faults] == [f.sentence() for f in strict.value.faults]


def test_what_is_right_is_drawn_beside_what_is_wrong() -> None:
    found = sketch(RIB.replace("width = 0.625", 'width = "wide"').replace("to = [20.0, 4.0]", "to = [20.0]"))
    edges = found.sketch["loops"][0]["edges"]
    assert edges[0]["points_mm"] == [[508.0, 0.0]]
    assert edges[1]["points_mm"] == [[None, None]]
    assert edges[2]["kind"] == "arc"
    skin = found.sketch["flanges"][0]
    assert (skin["width_mm"], skin["bend_radius_mm"]) == (None, 2.286)
    assert skin["bend_angle_deg"] == [["mm", 0.0, 84.0], ["fraction", 0.4, 88.0], ["fraction", 1.0, 97.0]]
    assert found.part is None


def test_an_open_outline_is_drawn_as_far_as_it_goes() -> None:
    found = sketch(RIB.replace("spline = [[-0.4, 2.0], [0.0, 0.0]]", "spline = [[-0.4, 2.0], [0.0, 0.5]]"))
    assert not found.sketch["loops"][0]["closed"]
    assert found.sketch["loops"][0]["edges"][3]["points_mm"] == [[-10.16, 50.8], [0.0, 12.7]]


def test_a_fault_has_the_line_its_key_stands_in() -> None:
    wrong = RIB.replace("thickness = 0.0250", "thickness = 0").replace("diameter = 2.0", "diameter = -2.0")
    rows, lines = sketch(wrong).faults, wrong.split("\n")
    by_key = {f["key"]: lines[f["line"] - 1] for f in rows}
    assert by_key == {"sheet.thickness": "thickness = 0", "hole[1].diameter": "diameter = -2.0"}


def test_a_missing_key_has_the_line_of_its_table_and_a_missing_table_none() -> None:
    wrong = RIB.replace("bend_radius = 0.09\n[[hole]]", "[[hole]]")
    row = sketch(wrong).faults[0]
    assert row["key"] == "hole[1].bend_radius"
    assert wrong.split("\n")[row["line"] - 1] == "[[hole]]"
    assert [f["line"] for f in sketch('units = "in"\n').faults] == [None] * 3


def test_a_text_that_is_no_toml_has_one_fault_with_its_line_and_nothing_to_draw() -> None:
    found = sketch('units = "in"\n[sheet\nthickness = 1\n')
    assert [(f["line"], f["key"]) for f in found.faults] == [(2, "line 2, column 7")]
    assert found.sketch["loops"] == []
    assert found.sketch["values"] == {}
    assert sketch("a = [1,\n2,\n").faults[0]["line"] == 2
    assert sketch("").faults[0]["found"] == "an empty file"


def test_a_fault_of_an_ordinate_table_names_that_file_and_has_no_line_of_this(tmp_path) -> None:
    (tmp_path / "upper.csv").write_text("x, y\n1, 2\n3, oops\n", encoding="utf-8")
    text = RIB.replace("spline = [[-0.4, 2.0], [0.0, 0.0]]", 'ordinates = "upper.csv"')
    row = sketched(text, "t.part.toml", tmp_path).faults[0]
    assert (row["file"], row["line"]) == ("upper.csv", None)
    assert row["say"].startswith("upper.csv: line 3, y: found 'oops'")


def test_every_value_has_its_typed_form_and_what_it_comes_to() -> None:
    values = sketch(RIB).sketch["values"]
    assert values["sheet.thickness"] == {"typed": "0.0250", "mm": 0.635}
    assert values["flange.spar.width"] == {"typed": "5/8 in", "mm": 15.875}
    assert values["flange.skin.bend_angle[2][1]"] == {"typed": "40 %", "fraction": 0.4}
    assert values["flange.skin.bend_angle[2][2]"] == {"typed": "88", "deg": 88.0}
    assert values["web.edge[4].spline[1][1]"] == {"typed": "-0.4", "mm": -10.16}
    assert values["web.edge[3].balloon"] == {"typed": "12", "text": "12"}
    assert values["approval.date"] == {"typed": "2031-03-10", "text": "2031-03-10"}
    assert values["flange.skin.tolerance.flange_angle"] == {"typed": "0.5", "deg": 0.5}
    assert sketch(MESSY).sketch["values"]["rivets[1].count"] == {"typed": "1_0", "count": 10}


def test_the_lengths_of_values_are_those_the_strict_reader_reads() -> None:
    for path in EXAMPLES:
        found = sketched(path.read_text(encoding="utf-8"), str(path), path.parent)
        values, part = found.sketch["values"], found.part
        for i, hole in enumerate(part.holes, 1):
            assert values[f"hole[{i}].diameter"]["mm"] == pytest.approx(hole.diameter, abs=1e-6)
            assert values[f"hole[{i}].at[2]"]["mm"] == pytest.approx(hole.at[1], abs=1e-6)
        for key, flange in part.flanges.items():
            assert values[f"flange.{key}.bend_radius"]["mm"] == pytest.approx(flange.bend_radius, abs=1e-6)


def test_tables_that_are_not_built_yet_are_drawn_from_what_they_say() -> None:
    extra = '[[bead]]\npoints = [[1, 1], [2, "x"]]\nsection = "round"\nwidth = 0.5\n[[notch]]\nedge = "lower"\nat = "40 %"\nwidth = 1\n'
    bead, notch = sorted(sketch(RIB + extra).sketch["others"], key=lambda row: row["kind"])
    assert bead["points_mm"] == [[25.4, 25.4], [50.8, None]]
    assert (notch["at"], notch["width_mm"], notch["depth_mm"]) == (["fraction", 0.4], 25.4, None)


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.sampled_from(range(len(texts()))), st.data())
def test_no_text_makes_it_raise(which: int, data: st.DataObject) -> None:
    text = texts()[which]
    leaves = sorted((n.span for n in scan(text).index.values() if n.span), reverse=True)
    junk = (
        "nan",
        "-1",
        "1e300",
        "0",
        '""',
        '"x"',
        "[]",
        "[[]]",
        "{}",
        "true",
        "[0, 0]",
        "[[1, 2], [1, 2]]",
        "1979-05-27",
        '"end"',
        '"skin"',
    )
    start, end = data.draw(st.sampled_from(leaves))
    text = text[:start] + data.draw(st.sampled_from(junk)) + text[end:]
    if data.draw(st.booleans()):
        at = data.draw(st.integers(0, len(text)))
        text = text[:at] + data.draw(st.sampled_from(('"', "]", "\n[x]\n", "=", "\x00", "\u2028"))) + text[at:]
    found = sketch(text)
    json.dumps([found.sketch, found.faults, found.notes], allow_nan=False)
    assert (found.part is None) == bool(found.faults)
