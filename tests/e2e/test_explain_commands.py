"""`ribwright explain` and `ribwright why` as a person types them."""

from __future__ import annotations

import itertools
import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

import ribwright
from building import EXAMPLES, quick
from ribwright.adapters.answer_json import read_answer
from ribwright.cli import main

RIB = str(EXAMPLES / "Q7-2102-1.part.toml")


def run(*words: str) -> Result:
    return CliRunner().invoke(main, quick(words), catch_exceptions=False)


@pytest.fixture(scope="module")
def kept_two(tmp_path_factory: pytest.TempPathFactory) -> tuple[str, str]:
    """Two kept answers of the repair rib: thickness typed over between them."""
    tmp_path = tmp_path_factory.mktemp("kept")
    for extra in ("shop.toml", "RX-0007.part.toml"):
        (tmp_path / extra).write_text((EXAMPLES / extra).read_text())
    part = tmp_path / "RX-0007.part.toml"
    out = []
    for name, thickness in (("old", "0.032"), ("new", "0.040")):
        part.write_text(
            (EXAMPLES / "RX-0007.part.toml").read_text().replace("thickness = 0.032", f"thickness = {thickness}")
        )
        assert run("packet", str(part), "--press", "P2", "--out", str(tmp_path / name)).exit_code in (0, 1)
        out.append((tmp_path / name / "answers.json").read_text())
    return out[0], out[1]


@pytest.fixture
def two(kept_two: tuple[str, str], tmp_path: Path) -> tuple[Path, Path]:
    """The two answers as files of this test's own."""
    old, new = tmp_path / "old.json", tmp_path / "new.json"
    old.write_text(kept_two[0])
    new.write_text(kept_two[1])
    return old, new


def test_a_number_is_opened_in_both_units_with_formula_inputs_source_and_keys() -> None:
    text = run("explain", RIB, "--press", "P2", "--number", "blank.edges[rear].setback_mm").output
    assert "0.115 in (2.921 mm)" in text
    for words in ("(R + t) tan(a/2)", "FAA-H-8083-31A", "sheet.thickness", "flange.spar.bend_radius", "changed by"):
        assert words in text, words
    assert max(len(line) for line in text.splitlines()) <= 100


@pytest.mark.parametrize(
    ("row", "opens"),
    [
        ("block.undercut[3]", "block.undercut[3].deg.value"),
        ("block.recesses[L1]", "block.recesses[0].undercut_deg.value"),
        ("setup.flanges[0]", "setup.flanges[0].needed_pressure_mpa.value"),
        ("margins[0]", "margins[0].margin"),
        ("tolerances[0]", "tolerances[0].forecast.value"),
    ],
)
def test_a_row_of_a_list_opens_the_number_it_is_about(row: str, opens: str) -> None:
    assert ribwright.explain(RIB, row, press="P2", model="closed-form")["explanation"]["path"] == opens


def test_json_python_and_screen_tell_the_same(tmp_path: Path) -> None:
    done = run("explain", RIB, "--number", "block.undercut[upper][1].deg", "--json")
    told = json.loads(done.output)["explanation"]
    assert told == ribwright.explain(RIB, "block.undercut[upper][1].deg")["explanation"]
    assert told["again"] == pytest.approx(told["value"], rel=1e-6)
    assert told["named"] == "block.undercut[upper][1].deg.value"


def test_without_a_number_all_that_open_are_listed() -> None:
    listed = {n["named"] for n in ribwright.explain(RIB, press="P2", model="closed-form")["numbers"]}
    assert {"setup.gauge_psi", "blank.edges[upper].flat_width_mm.max", "block.height_mm"} <= listed
    text = run("explain", RIB, "--press", "P2").output
    assert "setup.gauge_psi" in text
    # the hundreds of points of a curve are one line
    assert text.count("blank.outline_mm") == 1


def test_a_wrong_path_ends_in_a_sentence_with_the_nearest_right_one() -> None:
    done = run("explain", RIB, "--number", "block.hight_mm")
    assert done.exit_code == 2
    assert "did you mean 'block.height_mm'?" in done.output


def test_why_names_the_changed_key_and_what_moved(two: tuple[Path, Path]) -> None:
    old, new = map(str, two)
    done = run("why", old, new)
    assert done.exit_code == 0
    assert "sheet.thickness 0.8128 -> 1.016 mm (0.032 -> 0.04 in) (part file)" in done.output
    assert "setup.flanges[front].closing_pressure_mpa and 2 like it" in done.output
    assert "no changed input" not in done.output
    told = json.loads(run("why", old, new, "--json").output)
    assert told == ribwright.why(old, new)
    assert [c["key"] for c in told["why"]["causes"]] == ["sheet.thickness"]
    assert all(n["because"] == [0] for n in told["why"]["numbers"])


def test_why_of_one_answer_with_itself_says_that_nothing_changed(two: tuple[Path, Path]) -> None:
    assert "Nothing changed" in run("why", str(two[0]), str(two[0])).output


def test_why_of_an_answer_without_inputs_says_what_cannot_be_told(two: tuple[Path, Path]) -> None:
    answer = json.loads(two[0].read_text())
    del answer["inputs"]
    two[0].write_text(json.dumps(answer))
    done = run("why", *map(str, two))
    assert done.exit_code == 0
    assert "carries no inputs" in done.output
    assert "Changed with no changed input they are known to depend on" in done.output


@pytest.mark.parametrize(
    "text",
    [
        "", "{", "[]", "7", "{}", '{"part": 3}', '{"ribwright": "1", "part": {}, "fingerprint": "x", "findings": []}', "\x00",
        '{"ribwright": "1", "part": {"number": "1", "revision": "A", "hand": "none"}, "fingerprint": "x", "findings": {}}',
        '{"ribwright": "1", "part": {"number": "1", "revision": "A", "hand": "none"}, "fingerprint": "x", "findings": [], "blank": 1}',
        "[" * 100_000,
    ],
)  # fmt: skip
def test_what_is_no_answer_is_refused_with_a_sentence(text: str, two: tuple[Path, Path]) -> None:
    wrong = two[0].with_name("wrong.json")
    wrong.write_text(text)
    for words in ((str(wrong), str(two[1])), (str(two[1]), str(wrong))):
        done = run("why", *words)
        assert done.exit_code == 2, done.output
        assert "wrong.json" in done.output
        assert "allowed" in done.output
    assert run("why", str(two[0].with_name("missing.json")), str(two[1])).exit_code == 2


def test_a_tampered_answer_ends_in_a_sentence_or_an_answer(two: tuple[Path, Path]) -> None:
    """Each object of an answer in turn replaced by something it cannot be."""
    whole = json.loads(two[0].read_text())
    values = itertools.cycle((None, "x", 3, [], {}, [1], [[None]]))
    for body in ("blank", "block", "setup", "inputs"):
        for key, value in zip(whole[body], values, strict=False):
            bad = {**whole, body: {**whole[body], key: value}}
            two[0].write_text(json.dumps(bad))
            assert run("why", *map(str, two)).exit_code in (0, 2), (body, key, value)


def test_every_command_answers_with_inputs(two: tuple[Path, Path]) -> None:
    kept = read_answer(two[0])
    for words in (("check",), ("blank",), ("block",), ("setup", "--press", "P2")):
        answer = json.loads(run(words[0], RIB, *words[1:], "--json").output)
        assert set(answer["inputs"]) == set(kept["inputs"]), words


def test_the_list_shows_shares_and_chances_to_four_figures() -> None:
    from ribwright.documents.explain_text import brief

    assert brief(0.7092912, "chance", "in") == "0.7093 chance"
    assert brief(-0.0501578, "", "in") == "-0.05016"
    assert brief(12345, "", "in") == "12345"
    assert brief(25.4123, "mm", "mm") == "25.4123 mm (1.00048 in)"
