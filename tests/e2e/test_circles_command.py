"""`ribwright strain --circles`: a file of measured circles in, answer and screen out, wrong files refused."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

import ribwright
from building import EXAMPLES
from ribwright.cli import main

PART = EXAMPLES / "RX-0007.part.toml"
HEAD = "# circle = 5 mm\n# gauge = 0.1 mm\n# measured_by = A. Person\n"
RIGHT = (
    HEAD
    + "circle, major [mm], minor [mm], thickness [mm]\nC20-R25, 5.05, 4.95, 0.80\nC10-R15, 5.0, 5.0,\nC15-R26, 6.0, 4.9,\n"
)


def run(folder: Path, text: str, *words: str) -> tuple[int, str]:
    file = folder / "m.csv"
    file.write_text(text, encoding="utf-8")
    done = CliRunner().invoke(main, ["strain", str(PART), "--circles", str(file), *words])
    return done.exit_code, done.output


@cache
def answer(text: str = RIGHT) -> dict[str, Any]:
    import tempfile

    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "m.csv"
        file.write_text(text, encoding="utf-8")
        return ribwright.strain(PART, circles=file)


def test_the_answer_says_each_circle_and_their_sum() -> None:
    c = answer()["circles"]
    assert (c["diameter_mm"], c["gauge_mm"], c["gauge_typed"], c["measured_by"]) == (5.0, 0.1, True, "A. Person")
    assert [r["outcome"] for r in c["rows"]] == ["agrees", "agrees", "over-a-bend"]
    assert (c["summary"]["circles"], c["summary"]["compared"], c["summary"]["agree"]) == (3, 2, 2)
    off = [r["major"]["measured"] - r["major"]["forecast"] for r in c["rows"][:2]]
    assert [r["major"]["off"] for r in c["rows"][:2]] == pytest.approx(off)
    assert c["summary"]["major"]["mean"] == pytest.approx(sum(off) / 2)
    assert c["rows"][0]["thickness_mm"]["measured"] == 0.8
    assert all(f["code"] != "circles-apart" for f in answer()["findings"])


def test_a_circle_that_is_apart_is_a_finding_at_its_place() -> None:
    text = RIGHT.replace("C10-R15, 5.0, 5.0", "C10-R15, 5.8, 5.0")
    found = next(f for f in answer(text)["findings"] if f["code"] == "circles-apart")
    row = answer(text)["circles"]["rows"][1]
    assert row["outcome"] == "apart"
    assert found["where"]["at_mm"] == row["at_mm"]
    assert found["value"] == pytest.approx(row["major"]["off"])
    assert found["limit"] == pytest.approx(row["major"]["reading"] + row["faces"])
    assert found["margin"] < 0


def test_the_screen_says_it(tmp_path: Path) -> None:
    status, said = run(tmp_path, RIGHT)
    assert status in (0, 1)
    assert "2 of 2 compared agree" in said
    assert "over a bend" in said
    assert "C20-R25" in said
    status, said = run(tmp_path, RIGHT.replace("5.0, 5.0", "5.8, 5.0"), "--json")
    assert json.loads(said)["circles"]["summary"]["agree"] == 1


@pytest.mark.parametrize(
    ("old", "new", "sentence"),
    [
        ("C10-R15", "C99-R99", "is it this part, and this diameter?"),
        ("0.80", "0.032", "is the unit right?"),
        ("# circle = 5 mm\n", "", "circle: found nothing"),
        ("major [mm]", "major", "no unit"),
    ],
)
def test_a_wrong_file_is_refused(old: str, new: str, sentence: str, tmp_path: Path) -> None:
    status, said = run(tmp_path, RIGHT.replace(old, new))
    assert status == 2
    assert sentence in said


def test_a_file_that_is_not_there_is_a_sentence() -> None:
    done = CliRunner().invoke(main, ["strain", str(PART), "--circles", "nowhere.csv"])
    assert done.exit_code == 2
    assert "nowhere.csv" in done.output
