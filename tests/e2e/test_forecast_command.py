"""`ribwright forecast` as a person types it: answers, statuses, sentences, bytes."""

from __future__ import annotations

import json
import re
import shutil
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

import ribwright
from building import EXAMPLES, box
from ribwright.cli import main
from ribwright.documents.section_picture import section_pages
from ribwright.mechanics.section import many
from ribwright.stages import forecast, forecast_curve
from ribwright.work import forecast_pictures

RIB = str(EXAMPLES / "Q7-2102-1.part.toml")
SHOP = str(EXAMPLES / "shop.toml")
PREDICTED = {"value", "low", "high", "model"}
HOLE = (
    '[[hole]]\nname = "L"\nkind = "lightening"\nat = [100, 50]\ndiameter = 40\n'
    "flat_height = 7\nbend_angle = 40\nbend_radius = 3\n"
)
KEYS = {
    "angle_loaded_deg", "angle_released_deg", "springback_deg", "formed_radius_mm", "edge_strain", "edge_thickness_mm", "wrinkle",
    "split_margin", "outcome",
}  # fmt: skip


def run(*words: str) -> Result:
    return CliRunner().invoke(main, list(words), catch_exceptions=False)


@pytest.fixture
def part(tmp_path: Path) -> str:
    """A small part, one straight flange, so that the section model is soon through."""
    path = tmp_path / "t.part.toml"
    path.write_text(box(flanges=(True, False, False, False), material="2024-T3"))
    shutil.copy(SHOP, tmp_path / "shop.toml")
    return str(path)


def without_time(answer: dict[str, Any]) -> dict[str, Any]:
    return answer | {"forecast": {k: v for k, v in answer["forecast"].items() if k != "elapsed_s"}}


def test_the_answer_carries_the_keys_scripts_rely_on(part: str) -> None:
    done = run("forecast", part, "--pressure", "7 MPa", "--undercut", "5", "--json")
    assert done.exit_code == 0
    f = json.loads(done.output)["forecast"]
    assert {"stations", "web_bow_mm", "elapsed_s", "outcome"} <= set(f)
    assert (f["web_bow_mm"], f["outcome"], f["pressure_mpa"]) == (None, "converged", 7.0)
    assert f["elapsed_s"] > 0
    (s,) = f["stations"]
    assert set(s) >= KEYS
    assert s["edge"] == "south"
    for key in (
        "angle_loaded_deg",
        "angle_released_deg",
        "springback_deg",
        "formed_radius_mm",
        "edge_strain",
        "edge_thickness_mm",
    ):
        assert set(s[key]) == PREDICTED
        assert s[key]["low"] <= s[key]["value"] <= s[key]["high"]
    assert s["closes"] is True
    assert "real formed part" in f["says"]


def test_asked_twice_the_answer_is_the_same_to_the_byte_but_for_the_time(part: str) -> None:
    a = without_time(json.loads(run("forecast", part, "--pressure", "7 MPa", "--undercut", "5", "--json").output))
    b = without_time(ribwright.forecast(part, pressure="7 MPa", undercut=5))
    assert json.dumps(a) == json.dumps(b)


def test_the_screen_is_a_table_with_the_quick_number_beside() -> None:
    text = run("forecast", RIB, "--press", "P2", "--model", "closed-form").output
    assert "Forecast by the quick formula at " in text
    assert "hole L1" in text
    assert "of drawing" in text
    assert "Nothing here was compared with a real formed part." in text
    assert "hammered over a block by hand" in text
    # the shop reads inches
    assert " in " in text
    assert max(len(line) for line in text.partition("place")[2].splitlines()[:16]) <= 100


def test_pressure_and_undercut_are_part_of_the_fingerprint(part: str) -> None:
    def named(*words: str) -> str:
        return json.loads(run("forecast", part, "--model", "closed-form", *words, "--json").output)["fingerprint"]

    base = named("--pressure", "7 MPa")
    assert named("--pressure", "1015.264 psi") != base
    assert named("--pressure", "70 bar") == base
    assert named("--pressure", "7 MPa", "--undercut", "3") != base


@pytest.mark.parametrize(
    ("words", "says"),
    [
        ((), "--press ID"),
        (("--model", "shell", "--press", "P2"), "the shell model is not built yet"),
        (("--model", "setion", "--press", "P2"), "did you mean 'section'"),
        (("--pressure", "7"), "without a unit"),
        (("--pressure", "lots"), "a pressure like"),
        (("--pressure", "-7 MPa"), "0.001 to 1000 MPa"),
        (("--pressure", "2000 MPa"), "0.001 to 1000 MPa"),
        (("--press", "P2", "--undercut", "sharp"), "an angle in degrees"),
        (("--press", "P2", "--undercut", "90"), "-20 to 45 deg"),
        (("--press", "P2", "--pressure", "5000 psi"), "what press P2 gives within its ratings"),
        (("--press", "P9"), "P1, P2, P3"),
        (("--pressure", ""), "--pressure"),
    ],
)
def test_a_wrong_option_is_one_sentence(words: tuple[str, ...], says: str) -> None:
    done = run("forecast", RIB, *words)
    assert done.exit_code == 2
    assert says in done.output
    assert "Traceback" not in done.output


def test_every_fault_is_said_at_once() -> None:
    done = run("forecast", RIB, "--model", "shell", "--pressure", "7", "--undercut", "x")
    assert len(done.output.strip().splitlines()) == 3


def test_an_undercut_that_leaves_no_edge_on_the_block_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "t.part.toml"
    path.write_text(box(flanges=(True, False, False, False), radius=0.2, angle=30))
    done = run("forecast", str(path), "--pressure", "7 MPa", "--undercut", "40", "--model", "closed-form")
    assert done.exit_code == 2
    assert "edge is left with a radius" in done.output


def test_a_stop_of_the_part_is_told_by_the_status() -> None:
    done = run("forecast", RIB, "--press", "P1", "--model", "closed-form")
    assert done.exit_code == 1
    assert "STOP" in done.output


def test_ctrl_c_keeps_what_was_had(part: str, monkeypatch: pytest.MonkeyPatch) -> None:
    def interrupted(runs: Any, threads: int = 2, on_done: Any = None, on_stop: Any = None) -> None:
        runs[0]()
        raise KeyboardInterrupt

    monkeypatch.setattr(many, "run_all", interrupted)
    done = run("forecast", part, "--pressure", "7 MPa", "--json")
    assert done.exit_code == 3
    f = json.loads(done.stdout)["forecast"]
    assert f["outcome"] == "cancelled"
    assert f["stations"][0]["angle_released_deg"]["value"] > 60
    assert "cancelled" in done.stderr


def test_one_number_of_a_forecast_opens(part: str) -> None:
    number = "forecast.stations[south].springback_deg"
    done = run("explain", part, "--number", number, "--pressure", "7 MPa", "--undercut", "5")
    assert done.exit_code == 0
    assert "phi - out" in done.output
    assert "--undercut" in done.output
    refused = run("explain", part, "--number", "block.height_mm", "--pressure", "7 MPa")
    assert refused.exit_code == 2


def test_the_band_of_the_answer_is_the_one_on_the_page_the_chart_and_the_screen(
    part: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    drawn: list[tuple[Any, ...]] = []

    def pages(*given: Any, **more: Any) -> Any:
        drawn.append(given)
        return section_pages(*given, **more)

    monkeypatch.setattr(forecast_pictures, "section_pages", pages)
    out = tmp_path / "section.svg"
    asked = ("forecast", part, "--pressure", "7 MPa", "--undercut", "5")
    (s,) = json.loads(run(*asked, "--out", str(out), "--json").stdout)["forecast"]["stations"]
    ((_, pressed, _, marks),) = drawn
    answer = [s["angle_released_deg"][k] for k in ("low", "value", "high")]
    p, *chart = marks.released.rows()
    assert p[-1] == 7.0
    assert len(p) > 2
    assert [float(row[-1]) for row in chart] == pytest.approx(answer, abs=1e-8)
    assert pressed.points[-1].released.angle == pytest.approx(answer[1], abs=1e-8)
    words = f"{answer[0]:.1f} to {answer[2]:.1f}"
    loaded = f"{s['angle_loaded_deg']['low']:.1f} to {s['angle_loaded_deg']['high']:.1f}"
    page = out.read_text()
    assert page.count(f"90 %: {words}") == 2  # beside the released section, and at the chart's line
    assert page.count(f"90 %: {loaded}") == 1
    assert words in run(*asked).output


def test_the_answer_stands_before_the_findings_and_a_stop_before_the_answer() -> None:
    open_ = run("forecast", RIB, "--press", "P2", "--model", "closed-form").output
    assert open_.index("Forecast by") < open_.index("WARN")
    assert open_.index("WARN") < open_.index("note  ")
    stopped = run("forecast", RIB, "--press", "P1", "--model", "closed-form").output
    assert stopped.index("STOP") < stopped.index("Forecast by") < stopped.index("note  ")
    assert "No findings" not in stopped


PAGES = [pytest.param(f"section.{x}", marks=pytest.mark.slow) for x in ("png", "pdf")]


@pytest.mark.parametrize("name", ["section.svg", *PAGES])
def test_the_section_is_drawn_of_the_place_that_comes_out_worst(name: str, part: str, tmp_path: Path) -> None:
    out = tmp_path / name
    done = run("forecast", part, "--pressure", "7 MPa", "--undercut", "5", "--out", str(out), "--json")
    assert done.exit_code == 0
    begins = {"svg": b"<", "png": b"\x89PNG", "pdf": b"%PDF"}
    assert out.read_bytes().startswith(begins[name[-3:]])
    if name.endswith("svg"):
        s = json.loads(done.stdout)["forecast"]["stations"][0]
        assert f"{s['angle_released_deg']['value']:.1f} deg" in out.read_text()
        assert "south at" in out.read_text()


def test_the_picture_of_a_flange_that_stays_open_names_no_pressure_that_closes_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for stage in (forecast, forecast_curve):  # the bands are not looked at here
        monkeypatch.setattr(stage, "spread_of", lambda *_: ())
    path, out = tmp_path / "t.part.toml", tmp_path / "section.svg"
    path.write_text(box(flanges=(False, False, False, False), extra=HOLE))
    # over the 4.6 MPa of the estimate made for straight flanges, under the 10 MPa that the hole asks for
    done = run("forecast", str(path), "--pressure", "7 MPa", "--out", str(out), "--json")
    (s,) = json.loads(done.stdout)["forecast"]["stations"]
    assert s["closes"] is False
    assert "full pressure: open" in out.read_text()
    assert "closes" not in out.read_text()


def test_the_picture_of_a_curved_flange_says_the_angle_of_the_answer_and_that_of_a_stopped_job_is_void(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The released web of a ring is dished: the answer measures against the web beside the bend, and so must the picture."""
    for stage in (forecast, forecast_curve):  # the bands are not looked at here
        monkeypatch.setattr(stage, "spread_of", lambda *_: ())
    path, out = tmp_path / "t.part.toml", tmp_path / "section.svg"
    for material, stopped in (("2024-O", False), ("7075-T6", True)):  # R 3 t is too sharp for the hard one
        path.write_text(box(flanges=(False, False, False, False), material=material, extra=HOLE))
        done = run("forecast", str(path), "--pressure", "25 MPa", "--undercut", "2", "--out", str(out), "--json")
        assert done.exit_code == (1 if stopped else 0)
        (s,) = json.loads(done.stdout)["forecast"]["stations"]
        said = re.findall(r">([0-9.]+) deg<", out.read_text())
        assert f"{s['angle_released_deg']['value']:.1f}" in said
        assert ("STOP" in out.read_text()) == stopped


def test_a_picture_that_cannot_be_drawn_is_refused_and_nothing_is_written(part: str, tmp_path: Path) -> None:
    quick = run("forecast", part, "--pressure", "3 MPa", "--model", "closed-form", "--out", str(tmp_path / "a.svg"))
    assert quick.exit_code == 2
    assert "nothing to draw" in quick.output
    assert run("forecast", part, "--pressure", "3 MPa", "--out", str(tmp_path / "a.dxf")).exit_code == 2
    assert not list(tmp_path.glob("a.*"))
