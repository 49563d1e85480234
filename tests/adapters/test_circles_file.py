"""Measured circles as files: what a right one says, and every wrong one answered in whole sentences, all at once."""

from __future__ import annotations

import pytest

from ribwright.adapters.circles_csv import USUAL_GAUGE, parse_circles
from ribwright.errors import InputError
from ribwright.shop.circles import Reading

RIGHT = """# circle = 5 mm
# gauge = 0.05 mm
# part = Q7-2101-1
# measured_by = A. Person
circle, major [mm], minor [mm], thickness [mm], note
C12-R7, 5.31, 4.89, 0.62, at the nose
c13-r7, 5.20, 4.90, ,
"""


def faults(text: str) -> list[str]:
    with pytest.raises(InputError) as refused:
        parse_circles(text, "m.csv")
    return [f.sentence() for f in refused.value.faults]


def test_a_right_file_says_what_stands_in_it() -> None:
    r = parse_circles(RIGHT)
    assert (r.diameter, r.gauge, r.gauge_typed, r.part, r.measured_by) == (5.0, 0.05, True, "Q7-2101-1", "A. Person")
    assert r.readings == (
        Reading("C12-R7", None, None, 5.31, 4.89, 0.62, 6),
        Reading("C13-R7", None, None, 5.20, 4.90, None, 7),
    )


@pytest.mark.parametrize("sign", [",", ";", "\t"])
def test_units_and_places_come_out_in_mm(sign: str) -> None:
    head = sign.join(("x [in]", "y [mm]", "major [in]", "minor [mm]"))
    r = parse_circles(f"# circle = 0.2 in\n{head}\n" + sign.join(("1.5", "-20", "0.21", "4.9")) + "\n")
    assert r.diameter == pytest.approx(5.08)
    assert (r.gauge, r.gauge_typed) == (USUAL_GAUGE, False)
    one = r.readings[0]
    assert (one.x, one.y, one.major, one.minor) == pytest.approx((38.1, -20.0, 5.334, 4.9))
    assert one.called == "(38.1, -20) mm"


@pytest.mark.parametrize(
    ("old", "new", "sentence"),
    [
        ("# circle = 5 mm\n", "", "circle: found nothing"),
        ("# circle = 5 mm", "# circle = 5", "'5'; allowed: a line \"# circle = 5 mm\""),
        ("# circle = 5 mm", "# circle = 5 in", "1 to 25 mm"),
        ("# gauge = 0.05 mm", "# gauge = 2 mm", "at most 1.25 mm"),
        ("# gauge = 0.05 mm", "# gage = 0.05 mm", "did you mean 'gauge'?"),
        ("major [mm]", "major", "major: found no unit"),
        ("major [mm]", "major [cm]", "unit 'cm'"),
        ("major [mm]", "mayor [mm]", "did you mean 'major'?"),
        ("minor [mm]", "major [mm]", "two columns major"),
        ("circle, major", "x [mm], major", "both x [mm] and y [mm]"),
        ("circle, major", "note, major", "found two columns note"),
        ("C12-R7", "C12R7", "a name as printed, like C12-R7"),
        ("C12-R7", "C0-R7", "a name as printed"),
        ("5.31", "5,31", "6 cells"),
        ("5.31", "-5.31", "a number over 0"),
        ("5.31", "nan", "line 6, major: found 'nan'"),
        ("5.31", "", "line 6, major: found nothing"),
        ("5.31", "4.5", "line 6, minor: found 4.89 mm; allowed: at most the major diameter, 4.5 mm"),
        ("5.31", "53.1", "0.4 to 2.5 times the circle's 5 mm"),
        ("5.31", "134.9", "is the unit right (25.4 times off)?"),
        ("0.62", "620", "at most 12 mm: is the unit right?"),
        ("c13-r7", "C12-R7", "line 7: found C12-R7 again; allowed: a circle once; it stands in line 6"),
    ],
)
def test_each_fault_is_one_sentence(old: str, new: str, sentence: str) -> None:
    assert old in RIGHT
    assert any(sentence in s for s in faults(RIGHT.replace(old, new, 1))), faults(RIGHT.replace(old, new, 1))


def test_a_column_in_the_wrong_unit_is_asked_about_once() -> None:
    """Inches typed under [mm], and mm under [in]."""
    text = "# circle = 5 mm\ncircle, major [mm], minor [mm]\n" + "".join(f"C{k}-R1, 0.21, 0.19\n" for k in range(1, 9))
    said = faults(text)
    assert len(said) == 2
    assert all("is it mm or in?" in s for s in said)
    said = faults(text.replace("[mm]", "[in]").replace("0.21", "5.3").replace("0.19", "4.9"))
    assert len(said) == 2
    assert all("near to 25.4" in s for s in said)


def test_all_faults_are_told_at_once() -> None:
    text = (
        RIGHT.replace("# circle = 5 mm\n", "").replace("5.31", "much").replace("4.90", "-1").replace("C12-R7", "here")
    )
    said = faults(text)
    assert len(said) == 4
    assert len({s.split(": found")[0] for s in said}) == 4


@pytest.mark.parametrize(
    "text", ["", "# circle = 5 mm\n", "# circle = 5 mm\ncircle, major [mm], minor [mm]\n", "\x00", "circle\n"]
)
def test_an_empty_or_broken_file_is_a_sentence_too(text: str) -> None:
    assert faults(text)


def test_a_thousand_bad_lines_are_counted_not_listed() -> None:
    text = "# circle = 5 mm\ncircle, major [mm], minor [mm]\n" + "no, no, no\n" * 1000
    said = faults(text)
    assert len(said) == 21
    assert "2980 more cells" in said[-1]
