"""The pictures of the forecast's sheet as jobs: asked after a forecast they press one place, not the whole part again."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from building import box
from ribwright.errors import InputError
from ribwright.ports import JobAsk, JobEnd
from ribwright.wiring import DraftTexts
from ribwright.work import forecasting
from ribwright.work.jobs import forecasts
from ribwright.work.jobs.doing import done

HOLE = '[[hole]]\nname = "L1"\nkind = "lightening"\nat = [40, 30]\ndiameter = 24\nflange_height = 5\nbend_radius = 2.5\nbend_angle = 45\n'
TEXT = box(w=80, h=60, width=9, radius=2.5, flanges=(True, False, False, False), extra=HOLE)
FLUID = {"pressure": "7 MPa"}


def asked(folder: Path, kind: str, options: dict[str, str]) -> tuple[JobEnd, Any, list[tuple[str, Any]]]:
    """How a job ended, its answer, and what it told on the way."""
    told: list[tuple[str, Any]] = []

    def tell(words: str, count: int | None = None, of: int | None = None, early: dict[str, Any] | None = None) -> None:
        told.append((words, early))

    ask = JobAsk("t.part.toml", TEXT, str(folder), kind, options)
    end = done(ask, DraftTexts().files(TEXT, folder), tell)
    assert end.answer is not None
    return end, json.loads(end.answer), told


@pytest.fixture
def runs(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Every forecast that is really computed while a test runs."""
    made, count = forecasting.made, []

    def counted(*args: Any, **more: Any) -> Any:
        count.append("made")
        return made(*args, **more)

    forecasts._kept.clear()
    monkeypatch.setattr(forecasting, "made", counted)
    return count


def test_a_section_after_its_forecast_presses_that_place_alone(tmp_path: Path, runs: list[str]) -> None:
    _, answer, told = asked(tmp_path, "forecast", FLUID)
    assert any(early for _, early in told), "the quick formula answers first"
    _, seen, _ = asked(tmp_path, "section-view", {**FLUID, "hole": "L1"})
    assert runs == ["made"]
    (row,) = (s for s in answer["forecast"]["stations"] if s.get("hole") == "L1")
    assert seen["view"]["frames"][-1]["angle_deg"] == pytest.approx(row["angle_released_deg"]["value"], abs=1e-4)


def test_a_number_of_a_forecast_that_is_there_opens_without_pressing_again(tmp_path: Path, runs: list[str]) -> None:
    _, answer, _ = asked(tmp_path, "forecast", FLUID)
    number = "forecast.stations[L1].angle_released_deg.value"
    _, opened, _ = asked(tmp_path, "explain", {**FLUID, "number": number})
    assert runs == ["made"]
    (row,) = (s for s in answer["forecast"]["stations"] if s.get("hole") == "L1")
    assert opened["explanation"]["value"] == pytest.approx(row["angle_released_deg"]["value"])


def test_another_pressure_is_another_forecast(tmp_path: Path, runs: list[str]) -> None:
    _, low, _ = asked(tmp_path, "section-view", {"pressure": "1 MPa", "edge": "south"})
    _, high, _ = asked(tmp_path, "section-view", {**FLUID, "edge": "south"})
    assert runs == ["made", "made"]
    assert low["view"]["pressures"]["acts_mpa"] == pytest.approx(1.0)
    assert high["view"]["pressures"]["acts_mpa"] == pytest.approx(7.0)


def test_a_stopped_forecast_is_given_with_what_it_had_and_not_kept(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def stopped(*_: Any, **__: Any) -> Any:
        raise KeyboardInterrupt

    forecasts._kept.clear()
    monkeypatch.setattr(forecasting, "walked", stopped)
    end, answer, _ = asked(tmp_path, "forecast", FLUID)
    assert (end.outcome, answer["forecast"]["outcome"]) == ("cancelled", "cancelled")
    assert all(s["closed_form_released_deg"] is not None for s in answer["forecast"]["stations"])
    assert not forecasts._kept
    with pytest.raises(KeyboardInterrupt):
        asked(tmp_path, "section-view", {**FLUID, "edge": "south"})


def test_a_place_that_is_not_there_is_told_with_those_that_are(tmp_path: Path, runs: list[str]) -> None:
    with pytest.raises(InputError, match="L1"):
        asked(tmp_path, "section-view", {**FLUID, "hole": "L2"})


def test_the_strain_view_comes_with_the_answer_of_the_command(tmp_path: Path) -> None:
    _, answer, _ = asked(tmp_path, "strain-view", {})
    assert len(answer["view"]["major"]) == answer["strain"]["triangles"]
    # the places of the view are those of the answer, and so are their greatest strains
    rows = {("hole" if "hole" in r else "edge", r.get("hole", r.get("edge"))): r for r in answer["strain"]["places"]}
    assert set(rows) == {("edge", "south"), ("hole", "L1")}
    columns = [answer["view"][x] for x in ("major", "place", "counted", "held")]
    for k, place in enumerate(answer["view"]["places"]):
        mine = [m for m, p, counted, held in zip(*columns, strict=True) if p == k and counted and not held]
        if (place["kind"], place["name"]) in rows:
            assert max(mine) == pytest.approx(rows[place["kind"], place["name"]]["major"]["max"], abs=1e-4)
        else:
            assert not mine


def test_the_contour_needs_no_press(tmp_path: Path) -> None:
    _, answer, _ = asked(tmp_path, "contour-view", {})
    assert [e["name"] for e in answer["view"]["edges"]] == ["south", "east", "north", "west"]
    assert [h["name"] for h in answer["view"]["holes"]] == ["L1"]
