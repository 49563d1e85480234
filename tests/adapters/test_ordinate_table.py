"""Tables of ordinates as files: every way a drawing writes them read the same, every wrong one answered in whole sentences, all at once."""

from __future__ import annotations

import pytest

from ribwright.adapters.csv_table import COLUMN, comments
from ribwright.adapters.ordinates import parse_ordinates
from ribwright.adapters.read_table import parse_table
from ribwright.errors import InputError
from ribwright.features.ordinate_table import OrdinateTable

IN = 25.4


def faults(text: str, chord: float | None = None) -> list[str]:
    with pytest.raises(InputError) as refused:
        parse_table(text, "t.csv", chord)
    return [f.sentence() for f in refused.value.faults]


def points(table: OrdinateTable, side: str) -> list[tuple[float, float]]:
    return [o.point for s in table.sides if s.name == side for o in s.ordinates]


UPPER = [(0.0, 0.0), (2.5 * IN, 1.0625 * IN), (10.0 * IN, 2.0 * IN)]
LOWER = [(0.0, 0.0), (2.5 * IN, -0.5 * IN), (10.0 * IN, -0.75 * IN)]


@pytest.mark.parametrize(
    "text",
    [
        "# units = in\nstation, upper, lower\n0, 0, 0\n2.5, 1.0625, -0.5\n10, 2, -0.75\n",
        "lower in;station in;upper in\n0;0;0\n-0.5;2.5;1.0625\n-.75;10.0;2.0\n",
        "upper [in]\tlower [in]\tx [in]\n0\t0\t0\n1 1/16\t-1/2\t2 1/2\n2\t-3/4\t10\n",
        "x mm upper mm lower [mm]\n0 0 0\n63.5 26.9875 -12.7\n254 50.8 -19.05\n",
        "# units = in\nx   upper   lower\n0   0   0\n2 1/2   1 1/16   -1/2\n10   2   -3/4\n",
        "# units = in\nx upper lower\n0 0 0\n2.5 1 1/16 -1/2\n10 2 -3/4\n",
        "station ft-in-8ths, upper in, lower mm, note\n0-0-0, 0, 0,\n0-2-4, 1.0625, -12.7, second\n0-10-0, 2, -19.05,\n",
        "# units = in\nx_upper, y_upper, x_lower, y_lower\n0, 0, 0, 0\n2.5, 1.0625, 2.5, -0.5\n10, 2, 10, -0.75\n",
        "# units = in\nstation, top, bottom\n# a remark\n\n0, 0, 0\n2.5, 1.0625, -0.5\n10, 2, -0.75\n",
        "# chord = 10 in\n% chord, upper %, lower %\n0, 0, 0\n25, 10.625, -5\n100, 20, -7.5\n",
        "pct_chord,x_upper_in,y_upper_in,x_lower_in,y_lower_in\n0,0,0,0,0\n25,2.5,1.0625,2.5,-0.5\n100,10,2,10,-0.75\n",
    ],
)
def test_the_same_section_is_read_from_every_way_of_writing_it(text: str) -> None:
    table = parse_table(text)
    assert table.stations
    assert points(table, "upper") == [pytest.approx(p) for p in UPPER]
    assert points(table, "lower") == [pytest.approx(p) for p in LOWER]


@pytest.mark.parametrize(
    ("text", "unit", "step"),
    [
        ("x in, y in\n0, 0\n1, 2.25\n2, 2.5\n", "in", 0.01 * IN),
        ("x mm, y mm\n0, 0\n1, 2.250\n2, 2.5\n", "mm", 0.001),
        ("x in, y in\n0, 0\n1, 2 1/16\n2, 2 1/8\n", "in", IN / 16),
        ("x in, y ft-in-8ths\n0, 0-0-0\n1, 0-1-2\n2, 0-1-3\n", "in", IN / 8),
        ("# units = cm\nx, y\n0, 0\n1, 2.2\n2, 3\n", "mm", 1.0),
    ],
)
def test_the_last_digit_typed_is_what_the_ordinates_are_known_to(text: str, unit: str, step: float) -> None:
    table = parse_table(text)
    assert table.unit == unit
    assert not table.stations
    assert table.sides[0].name == "contour"
    assert table.sides[0].step == pytest.approx(step)


def test_what_was_typed_is_kept_with_its_line() -> None:
    side = parse_table("# units = in\n\nx, y\n0, 0\n1 1/16, 2.250\n3, 1\n").sides[0]
    assert (side.ordinates[1].line, side.ordinates[1].typed) == (5, ("1 1/16", "2.250"))


def test_a_side_may_have_no_ordinate_at_a_station() -> None:
    table = parse_table("# units = in\nstation, upper, lower\n0,0,0\n1,1,\n2,1.5,-1\n3,1.6,-1.1\n")
    assert [len(s.ordinates) for s in table.sides] == [4, 3]


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("", "no rows"),
        ("x, y\n0, 0\n1, 1\n2, 1\n", "a column 'x' without a unit"),
        ("x in, hight in\n0, 0\n1, 1\n2, 1\n", "did you mean 'height'?"),
        ("x in, y in, y mm\n0, 0, 0\n1, 1, 1\n2, 1, 2\n", "two columns 'y in' and 'y mm'"),
        ("x in\n0\n1\n2\n", "no ordinates"),
        ("station in, lower in, y in\n0,0,0\n1,1,1\n2,1,1\n", "a column y beside upper and lower"),
        ("upper in, lower in\n0,0\n1,1\n2,1\n", "no x for upper"),
        ("x in; y in\n0;0\n1,5;1\n2;1\n", "a decimal point and no commas"),
        ("x in, y in\n0, 0\n1-2-3, 1\n2, 1\n", "feet-inches-eighths where the column is named"),
        ("x ft-in-8ths, y in\n0-0-0, 0\n0-12-0, 1\n0-1-9, 1\n", "inches from 0 to 11"),
        ("x in, y in\n0, 0\n1, one\n2, 1\n", "line 3, y: found 'one'"),
        ("x in, y in\n0, 0\n1, nan\n2, 1\n", "line 3, y"),
        ("x in, y in\n0, 0\n1, 1\n", "2 points; allowed: 3 or more"),
        ("x in, y in\n0, 0\n1, 1\n1, 1\n2, 3\n", "the point of line 3 again"),
        (
            "# units = in\nstation, upper, lower\n0,0,0\n10,1,-1\n5,2,-2\n20,2,-2\n",
            "line 5, upper: found x = 5 after 10",
        ),
        ("# units = yard\nx, y\n0,0\n1,1\n2,1\n", "units: found 'yard'"),
        ("# unit = in\nx, y\n0,0\n1,1\n2,1\n", "did you mean 'units'?"),
        ("% chord, upper in, lower in\n0,0,0\n50,1,-1\n100,0,0\n", "columns in percent and no chord"),
        ("# units = in\nx upper lower\n0 0 0\n1 1/2 2 1/2\n2 1 1\n", "to be read in two ways"),
        ("1, 2, 3\n4, 5, 6\n", "3 columns without names"),
        ("x in, y in\n0, 0\n5000000, 1\n2, 1\n", "a length under 100000 mm"),
        ("x in, y in\n0, 0\n1,\n2, 1\n3, 4\n", "no y of the point"),
    ],
)
def test_what_is_wrong_is_refused_with_its_line(text: str, sentence: str) -> None:
    found = faults(text)
    assert any(sentence in f for f in found), found


def test_every_fault_is_told_at_once() -> None:
    found = faults("# units = in\nx, y\n0, 0\n1, a\nb, 2\n3, 1,5\n")
    assert len(found) == 3
    assert [f.split(":")[1].strip() for f in found] == ["line 6", "line 4, y", "line 5, x"]


def test_percent_of_a_chord_that_the_table_says_otherwise_are_refused() -> None:
    text = "# chord = 50 in\n% chord, upper %, lower %\n0,0,0\n50,5,-3\n100,0,0\n"
    assert points(parse_table(text, chord=50.01 * IN), "upper")[1] == pytest.approx((25.005 * IN, 2.5005 * IN))
    assert any("one chord: the table says 1270 mm" in f for f in faults(text, 46 * IN))


def test_blanks_without_end_are_read_once_and_the_same_words_are_understood() -> None:
    # each of these took minutes: patterns that went back over what they had read
    blanks = " " * 200_000
    assert parse_ordinates(f'#{blanks}units{blanks}={blanks}x"y\nx,y\n1,2\n', "t", "mm")[0] == ((1.0, 2.0),)
    for line in ("# units = in", '#UNITS="in"', '#\tUnits =\t"in', '# units = in"'):
        assert parse_ordinates(f"{line}\nx,y\n1,2\n", "t", "mm") == (((25.4, 50.8),), []), line
    assert parse_ordinates('# units = "ft"\nx,y\n1,2\n', "t", "mm")[1][0].found == "'ft'"
    assert comments(f'#{blanks}a{blanks}b\n#{blanks}\n# Sheet size = "x"\n', ("sheet_size",), "t", []) == {
        "sheet_size": "x"
    }
    assert COLUMN.fullmatch(f"stress [{blanks}") is None
    for cell, said in (("stress [ MPa ]", "MPa"), ("Stress(N / mm)", "N / mm"), ("s[]", ""), ("s", None)):
        hit = COLUMN.fullmatch(cell)
        assert hit is not None
        assert hit["unit"] == said
