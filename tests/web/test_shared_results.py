"""What the page computed the command takes over, and the other way round."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from ribwright import wiring
from ribwright.cli import main
from ribwright.ports import JobAsk
from ribwright.work.jobs import Order, kind_of
from ribwright.work.jobs.keys import key_of
from served import SMALL, Here

WORDS = ["--pressure", "7 MPa", "--model", "closed-form", "--json"]
TAKEN = "computed before and kept in the data folder"


@pytest.fixture
def part(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    folder = tmp_path / "data" / "mine"
    folder.mkdir(parents=True)
    (folder / "shop.toml").write_text('units = "mm"\nname = "mine"\n')
    (folder / "S-1.part.toml").write_text(SMALL)
    monkeypatch.setenv("RIBWRIGHT_DATA", str(tmp_path / "data"))
    return folder / "S-1.part.toml"


def test_a_draft_and_its_file_have_one_key(part: Path) -> None:
    kind = kind_of("plan", {})
    drawn = key_of(wiring.job_files(SMALL, part.parent), kind, Order(Path(part.name)))
    assert key_of(wiring.DiskFiles(), kind, Order(part)) == drawn
    example = Path(__file__).parents[2] / "examples" / "dabchick" / "Q7-2102-1.part.toml"
    drawn = key_of(wiring.job_files(example.read_text(), example.parent), kind, Order(Path(example.name)))
    assert key_of(wiring.DiskFiles(), kind, Order(example)) == drawn


def test_a_forecast_of_the_command_is_taken_over_and_it_is_said(part: Path) -> None:
    first = CliRunner().invoke(main, ["forecast", str(part), *WORDS])
    assert TAKEN not in first.stderr
    again = CliRunner().invoke(main, ["forecast", str(part), *WORDS])
    assert TAKEN in again.stderr
    assert again.stdout_bytes == first.stdout_bytes
    assert again.exit_code == first.exit_code
    shown = CliRunner().invoke(main, ["forecast", str(part), *WORDS[:-1]])
    assert shown.stdout
    other = CliRunner().invoke(main, ["forecast", str(part), "--pressure", "8 MPa", *WORDS[2:]])
    assert TAKEN not in other.stderr


def test_a_forecast_of_the_page_is_taken_over_by_the_command(part: Path, tmp_path: Path) -> None:
    options = {"pressure": "7 MPa", "forecast_model": "closed-form"}
    end = Here().run(JobAsk(part.name, SMALL, str(part.parent), "forecast", options), lambda _: None)
    assert end.answer is not None
    wiring.results_of(tmp_path / "data").keep(end.key, end.answer, end.status, end.first, {})
    said = CliRunner().invoke(main, ["forecast", str(part), *WORDS])
    assert TAKEN in said.stderr
    assert json.loads(said.stdout) == json.loads(end.answer)


def test_a_part_that_changed_is_computed_again(part: Path) -> None:
    CliRunner().invoke(main, ["forecast", str(part), *WORDS])
    part.write_text(SMALL.replace("width = 15.0", "width = 16.0"))
    assert TAKEN not in CliRunner().invoke(main, ["forecast", str(part), *WORDS]).stderr


def test_wrong_input_is_told_as_ever_and_nothing_is_kept(part: Path, tmp_path: Path) -> None:
    part.write_text(SMALL.replace("2024-T3", "2024-T33"))
    done = CliRunner().invoke(main, ["forecast", str(part), *WORDS])
    assert done.exit_code == 2
    assert done.stderr.count("2024-T33") == 1
    assert not (tmp_path / "data" / ".results").exists()


def test_without_a_data_folder_nothing_is_made(part: Path, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("RIBWRIGHT_DATA", str(tmp_path / "none"))
    assert CliRunner().invoke(main, ["forecast", str(part), *WORDS]).exit_code in (0, 1)
    assert not (tmp_path / "none").exists()
