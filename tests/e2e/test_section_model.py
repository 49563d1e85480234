"""The section model from the command line: when it answers, what it says beside the closed form, how it is ended."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

import ribwright
from building import EXAMPLES, box
from ribwright.cli import main
from ribwright.stages import crew, solve_sections


def run(*words: str) -> Result:
    return CliRunner().invoke(main, list(words), catch_exceptions=False)


@pytest.fixture
def part(tmp_path: Path) -> str:
    """One unlike section, so that the model is soon through."""
    (tmp_path / "shop.toml").write_text((EXAMPLES / "shop.toml").read_text())
    (tmp_path / "square.part.toml").write_text(box(w=120.0, h=120.0))
    return str(tmp_path / "square.part.toml")


def answer(*words: str) -> dict[str, Any]:
    told: dict[str, Any] = json.loads(run(*words, "--json").output)
    return told


def test_where_a_press_is_named_the_section_model_answers_and_the_sheets_of_a_job_agree(
    part: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    # of the band the model's own part is enough here
    monkeypatch.setattr(solve_sections, "variants", lambda *_: ())
    told = answer("setup", part, "--press", "P2")
    assert told["inputs"]["model"] == "section"
    f = told["setup"]["flanges"][0]
    assert "section model" in f["needed_pressure_mpa"]["model"]
    assert f["closed_form_closing_mpa"] != f["closing_pressure_mpa"]
    block = ribwright.block(part, press="P2")
    assert block["fingerprint"] == told["fingerprint"]
    assert block["block"]["undercut_pressure_mpa"] == pytest.approx(told["setup"]["pump_to_pressure_mpa"])
    row = block["block"]["undercut"][0]
    assert row["deg"]["value"] != row["closed_form_deg"]
    assert row["deg"]["low"] < row["deg"]["value"] < row["deg"]["high"]


def test_the_command_line_comes_before_the_shop_and_the_shop_before_the_rule(part: str) -> None:
    shop = Path(part).with_name("shop.toml")
    plain = answer("setup", part, "--press", "P2", "--model", "closed-form")
    assert plain["inputs"]["model"] == "closed-form"
    assert plain["setup"]["flanges"][0]["closed_form_closing_mpa"] is None
    shop.write_text(shop.read_text().replace("[rules]\n", '[rules]\nundercut = "closed-form"\n'))
    assert answer("block", part, "--press", "P2")["inputs"]["model"] == "closed-form"
    shop.write_text(shop.read_text().replace('undercut = "closed-form"', 'undercut = "closed"'))
    wrong = run("block", part, "--press", "P2")
    assert wrong.exit_code == 2
    assert "did you mean 'closed-form'" in wrong.output


def test_without_a_press_the_closed_form_answers_and_the_section_model_is_refused(part: str) -> None:
    assert answer("block", part)["inputs"]["model"] == "closed-form"
    refused = run("block", part, "--model", "section")
    assert refused.exit_code == 2
    assert "pressure" in refused.output


def test_ctrl_c_ends_the_runs_and_writes_nothing(part: str, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    def pressed(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(crew, "run_all", pressed)
    done = run("block", part, "--press", "P2", "--out", str(tmp_path / "b.dxf"))
    assert done.exit_code == 3
    assert "nothing was written" in done.output
    assert not (tmp_path / "b.dxf").exists()
