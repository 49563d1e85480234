"""A file of readings: read as typed, refused in sentences with every fault at once."""

from __future__ import annotations

import os
import sys
from pathlib import Path

import pytest

from ribwright.adapters.read_measured import parse_measured, read_measured
from ribwright.errors import InputError

HEAD = "# units = in\n# part = Q7-2301-1\n"
ROWS = "kind, edge, along, value, uncertainty, gauge\n"


def faults(text: str) -> list[str]:
    with pytest.raises(InputError) as told:
        parse_measured(text, "m.csv")
    return [f.sentence() for f in told.value.faults]


def test_bare_lengths_are_in_the_files_unit_angles_in_degrees_and_a_typed_unit_counts() -> None:
    rows = parse_measured(
        HEAD + ROWS + "flange_angle, upper, 7.1, 88.6, 0.2 deg, G-02\ntemplate_gap, lower, 40 %, 0.012, 0.002\n"
        "web_bow, , , 0.5 mm\nflange_width, upper, start, 1/2\nflange_width, upper, end, 12.7 mm, , G-05\n"
    ).rows
    assert [(r.kind, r.place, r.along) for r in rows] == [
        ("flange_angle", "upper", ("mm", pytest.approx(7.1 * 25.4))),
        ("template_gap", "lower", ("fraction", 0.4)),
        ("web_bow", "", None),
        ("flange_width", "upper", ("fraction", 0.0)),
        ("flange_width", "upper", ("fraction", 1.0)),
    ]
    assert [r.value for r in rows] == pytest.approx([88.6, 0.012 * 25.4, 0.5, 12.7, 12.7])
    assert rows[0].uncertainty == 0.2
    assert rows[1].uncertainty == pytest.approx(0.002 * 25.4)
    assert [r.gauge for r in rows] == ["G-02", "", "", "", "G-05"]
    assert [r.line for r in rows] == [4, 5, 6, 7, 8]


@pytest.mark.parametrize("word", ["\x1b]0;pwn\x07", "\u202egnorw", "a\x08b", "\udcff"])
@pytest.mark.parametrize("key", ["serial", "by", "lot", "block"])
def test_no_code_that_a_terminal_obeys_comes_in_by_the_head(key: str, word: str) -> None:
    (told,) = faults(HEAD + f"# {key} = {word}\n" + ROWS + "flange_angle, upper, 7.1, 88.6\n")
    assert told.startswith(f"m.csv: {key}: found ")
    assert "control codes" in told
    assert told.isprintable()


def test_a_name_of_any_language_with_any_blank_is_a_name() -> None:
    for name in ("J\u00fcrgen", "W.\u00a0Heron", "\u0141ucja"):
        taken = parse_measured(HEAD + f"# by = {name}\n" + ROWS + "flange_angle, upper, 7.1, 88.6\n")
        assert taken.said.by == name


@pytest.mark.skipif(sys.platform == "win32", reason="no such files there")
def test_a_pipe_and_an_endless_file_are_refused_and_not_waited_for(tmp_path: Path) -> None:
    pipe = tmp_path / "m.csv"
    os.mkfifo(pipe)
    for path in (pipe, Path("/dev/zero")):
        with pytest.raises(InputError, match="regular file"):
            read_measured(path)


def test_a_table_parted_by_semicolons_or_tabs_in_any_order_of_columns_reads_the_same() -> None:
    plain = parse_measured(HEAD + "kind, edge, along, value\nflange_angle, upper, 7.1, 88.6\n").rows
    for sign in (";", "\t"):
        text = HEAD + f"value{sign}kind{sign}along{sign}edge\n88.6{sign}flange_angle{sign}7.1{sign}upper\n"
        assert parse_measured(text).rows == plain


@pytest.mark.parametrize(
    ("row", "words"),
    [
        ("flange_angel, upper, 7.1, 88.6", ("line 4, kind", "flange_angle")),
        ("flange_angle, upper, 7.1, nan", ("line 4, value", "'nan'", "degrees from flat")),
        ("flange_angle, upper, 7.1, inf", ("line 4, value", "'inf'")),
        ("flange_angle, upper, 7.1, 8_8.4", ("line 4, value", "'8_8.4'")),
        ("flange_angle, upper, 7.1, \u0668\u0668", ("line 4, value", "degrees from flat")),
        ("flange_angle, upper, 7_1, 88", ("line 4, along", "'7_1'")),
        ("flange_angle, upper, 7_1 %, 88", ("line 4, along", "'7_1 %'")),
        ("flange_angle, upper, 7.1, 88, 0_1", ("line 4, uncertainty", "'0_1'")),
        ("flange_angle, upper\x1b[2J, 7.1, 88", ("line 4, edge", "control codes")),
        ("flange_angle, upper, 7.1, 88, , G-\u202e02", ("line 4, gauge", "invisible marks")),
        ("flange_angle, upper, 7.1,", ("a form without a value",)),
        ("flange_width, upper, 7.1, 0.5 lb", ("line 4, value", "'0.5 lb'")),
        ("flange_width, upper, 7.1, 5e7", ("line 4, value",)),
        ("flange_angle, upper, 140 %, 88", ("line 4, along", "'140 %'")),
        ("flange_angle, upper, -1, 88", ("line 4, along", "'-1'")),
        ("flange_angle, upper, middle, 88", ("line 4, along", "'middle'", '"start" or "end"')),
        ("flange_angle, upper, 7.1, 88, -0.1", ("line 4, uncertainty", "over 0")),
        ("flange_angle, upper, 7.1, 88, 0.1, G-02, more", ("line 4", "7 cells")),
    ],
)
def test_a_wrong_cell_is_told_with_its_line_and_what_is_allowed(row: str, words: tuple[str, ...]) -> None:
    told = " ".join(faults(HEAD + ROWS + row + "\n"))
    for word in words:
        assert word in told


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", ("units", "part", "no readings")),
        (HEAD, ("no readings",)),
        (HEAD + ROWS, ("no readings", "one line a reading")),
        ("# part = Q\n" + ROWS + "web_bow, , , 1 mm\n", ('"# units = in" or "# units = mm"',)),
        ("# units = in\n" + ROWS + "web_bow, , , 1 mm\n", ("# part = NUMBER",)),
        ("# units = furlongs\n# part = Q\n" + ROWS, ("'furlongs'",)),
        (HEAD + "kind, value, vlaue\n", ("vlaue", "did you mean 'value'")),
        (HEAD + "kind, edge\nweb_bow, x\n", ("no column value",)),
        (HEAD + "# date = 12/03/2031\n" + ROWS + "web_bow, , , 1 mm\n", ("date", "2031-03-12")),
        (HEAD + "# pressure = 700\n" + ROWS + "web_bow, , , 1 mm\n", ("pressure", "700 psi")),
        (HEAD + "# packet = FF\n" + ROWS + "web_bow, , , 1 mm\n", ("packet", "16 digits")),
        (HEAD + "# template = glued\n" + ROWS + "web_bow, , , 1 mm\n", ("template", "pins, hand")),
        (HEAD + "# seral = 001\n" + ROWS + "web_bow, , , 1 mm\n", ("seral", "serial")),
    ],
)
def test_a_wrong_file_is_told_in_sentences(text: str, words: tuple[str, ...]) -> None:
    told = " ".join(faults(text))
    for word in words:
        assert word in told


def test_a_form_counts_where_it_was_filled_in() -> None:
    head = "# units = in\n# part = Q7-2301-1\n# serial =\n# gauge =\n# date =\n"
    done = parse_measured(head + ROWS + "flange_angle, upper, 7.1, , ,\nflange_angle, lower, 7.1, 88.6\nweb_bow, , ,\n")
    assert [r.place for r in done.rows] == ["lower"]
    assert (done.said.serial, done.said.gauges, done.said.date) == ("", (), "")


def test_all_faults_are_told_at_once() -> None:
    told = faults("# date = yesterday\n" + ROWS + "flange_angel, , , x\nflange_angle, upper, 7.1, x\n")
    assert len(told) >= 5


def test_thousands_of_wrong_rows_are_told_in_few_sentences() -> None:
    told = faults(HEAD + ROWS + "flange_angle, upper, 7.1, x\n" * 4000)
    assert 20 <= len(told) <= 25


def test_a_picture_alone_says_how_it_is_given(tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"image = photo\.png"):
        read_measured(tmp_path / "photo.png")


@pytest.mark.parametrize(
    "typed", ["8_8.4", "\u0668\u0668.4", "\uff18\uff18", "88,4", "0x58", "1e", ".", "--88", "88.4.0", "= 88"]
)
def test_only_plain_numbers_are_numbers(typed: str) -> None:
    assert "line 4" in " ".join(faults(HEAD + ROWS + f'flange_angle, upper, 7.1, "{typed}"\n'))


@pytest.mark.parametrize("typed", ["88", "88.4", "+88.4", "88.", ".5", "8.84e1", "88.4 deg"])
def test_numbers_as_people_type_them(typed: str) -> None:
    (row,) = parse_measured(HEAD + ROWS + f"flange_angle, upper, 7.1, {typed}\n").rows
    assert row.value == float(typed.split()[0])


def test_terminal_codes_in_the_head_are_refused_and_never_printed() -> None:
    told = " ".join(faults(HEAD + "# serial = \x1b]0;own\x07\n# by = W. \u202eHeron\n" + ROWS + "web_bow, , , 1 mm\n"))
    assert "control codes" in told
    assert "\x1b" not in told
    assert "\u202e" not in told


@pytest.mark.parametrize("path", ["/dev/zero", "/dev/null", "."])
def test_what_is_no_plain_file_is_refused_at_once(path: str) -> None:
    if not Path(path).exists():
        pytest.skip("no such device here")
    with pytest.raises(InputError):
        read_measured(Path(path))


def test_a_first_line_without_end_is_not_read_for_a_head(tmp_path: Path) -> None:
    long = tmp_path / "m.csv"
    long.write_bytes(b"x" * 60_000_000)
    with pytest.raises(InputError, match="MB"):
        read_measured(long)
