"""`blank --method inverse`: the answer, the file it cuts by, and the same answer every time."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

import ribwright
from building import EXAMPLES
from ribwright.cli import main

PART = str(EXAMPLES / "Q7-2301-1.part.toml")


def run(*words: str) -> Result:
    return CliRunner().invoke(main, list(words), catch_exceptions=False)


def test_the_answer_names_its_method_and_is_the_same_every_time(tmp_path: Path) -> None:
    first = run("blank", PART, "--method", "inverse", "--json", "--out", str(tmp_path / "b.dxf"))
    answer = json.loads(first.stdout)
    assert answer["blank"]["method"] == "inverse"
    assert answer["inputs"]["method"] == "inverse"
    assert (tmp_path / "b.dxf").stat().st_size > 0
    assert ribwright.blank(PART, method="inverse") == answer
    quick = json.loads(run("blank", PART, "--json").stdout)
    assert quick["fingerprint"] != answer["fingerprint"]
    assert quick["blank"].keys() == answer["blank"].keys()
    assert answer["blank"]["size_mm"] == pytest.approx(quick["blank"]["size_mm"], abs=0.2)
    for a, b in zip(quick["blank"]["edges"], answer["blank"]["edges"], strict=True):
        assert a["name"] == b["name"]
        if a["flat_width_mm"]:
            assert b["flat_width_mm"]["max"] == pytest.approx(a["flat_width_mm"]["max"], abs=0.1)


def test_other_commands_do_not_take_it() -> None:
    refused = run("packet", PART, "--method", "inverse")
    assert refused.exit_code == 2
    assert "one of handbook, strain-corrected" in refused.output
