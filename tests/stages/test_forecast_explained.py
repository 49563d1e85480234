"""Every number of a forecast opens, names the keys that move it, and what is closed is evaluated again."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

from building import box, example_shop
from forecasts import forecast_book
from ribwright.adapters.facts_toml import load_catalogue
from ribwright.stages import forecast_spread
from ribwright.stages.explain import NOT_WRITTEN, Book
from ribwright.stages.explain.explanation import ORIGINS
from ribwright.stages.explain.paths import at, named, numbers, resolved
from ribwright.stages.forecast_ask import Ask
from ribwright.stages.why import why

SHOP = example_shop()
HOLE = (
    '[[hole]]\nname = "G"\nkind = "lightening"\nat = [100, 50]\ndiameter = 40\ncut_diameter = 30\nbend_angle = 45\n'
    'bend_radius = 3\nturn = "down"\n'
)
ONE = (True, False, False, False)
TOLERANCE = "[tolerance]\nflange_angle = 0.3\n"
CASES = {
    "section on a press": lambda: forecast_book(
        box(flanges=ONE, material="2024-T3", extra=HOLE + TOLERANCE), SHOP, "P2", Ask(undercut=4.0), bands=True
    ),
    "section under a fluid": lambda: forecast_book(box(flanges=ONE, extra=TOLERANCE), SHOP, "", Ask(pressure=1.0, undercut=0.0)),
    "quick on a press": lambda: forecast_book(box(angle=[[0, 84], ["end", 96]], extra=HOLE), SHOP, "P2", Ask("closed-form")),
    "quick under a fluid": lambda: forecast_book(
        box(flanges=ONE, material="2024-T3", extra=HOLE.replace("30", "12", 1) + TOLERANCE), None, "", Ask("closed-form", 0.5)
    ),
    "unknown temper": lambda: forecast_book(
        box(flanges=ONE, material="2024-T3").replace("thickness", 'formed_in = "T9"\nthickness'), None, "", Ask(pressure=7.0)
    ),
}  # fmt: skip
EACH = pytest.mark.parametrize("which", list(CASES))


@cache
def book(which: str) -> Book:
    return CASES[which]()


def mine(which: str) -> list[str]:
    """Paths of the numbers that a forecast adds."""
    answer = book(which).answer
    codes = [f"findings[{i}]." for i, f in enumerate(answer["findings"]) if f["code"].startswith("forecast")]
    return [p for p in numbers(answer) if p.startswith(("forecast.", "inputs.forecast", *codes))]


@EACH
def test_every_number_of_a_forecast_opens_with_what_it_comes_from(which: str) -> None:
    paths = mine(which)
    assert len(paths) > 5
    for path in paths:
        e = book(which).open(path)
        assert e.told.what, path
        assert NOT_WRITTEN not in e.told.what, path
        assert e.told.origin in ORIGINS, path
        assert e.told.formula or e.told.origin in ("typed", "fact", "constant"), path
        assert e.told.inputs, path
        assert e.changes or e.told.origin == "constant", path
        assert e.told.source or e.told.origin in ("typed", "constant") or path.startswith("findings"), path


@EACH
def test_what_is_closed_is_evaluated_again(which: str) -> None:
    told = {p: book(which).open(p) for p in mine(which)}
    closed = {p: e for p, e in told.items() if e.told.again is not None}
    assert len(closed) > 2 or which == "unknown temper"
    for path, e in closed.items():
        assert e.told.again == pytest.approx(e.value, rel=1e-6, abs=5e-9), path


@EACH
def test_an_input_of_a_forecasts_number_opens_to_the_same_value(which: str) -> None:
    answer = book(which).answer
    for path in mine(which):
        for i in book(which).open(path).told.inputs:
            if i.path and not isinstance(i.value, str):
                assert at(answer, resolved(answer, i.path)) == pytest.approx(i.value, rel=1e-9, abs=1e-9), (
                    path,
                    i.path,
                )


def test_a_place_opens_by_its_released_angle_and_by_name() -> None:
    b = book("section on a press")
    assert b.open("forecast.stations[south]").path == "forecast.stations[0].angle_released_deg.value"
    assert b.open("forecast.stations[G].closed_form_released_deg").path.endswith("closed_form_released_deg.value")
    for path in mine("section on a press"):
        assert resolved(b.answer, named(b.answer, path)) == path


def test_what_moved_a_forecast_is_put_down_to_the_option_that_was_changed() -> None:
    text = box(flanges=ONE, material="2024-T3")
    before, after = (forecast_book(text, None, "", Ask("closed-form", 7.0, u)).answer for u in (2.0, 3.0))
    assert before["fingerprint"] != after["fingerprint"]
    told = why(before, after)
    assert [c.key for c in told.causes] == ["--undercut"]
    moved = {m.path: m.because for m in told.moved}
    assert any(p.endswith("angle_released_deg.value") for p in moved)
    assert all(because == (0,) for because in moved.values())


@pytest.mark.parametrize("key", ["flange.f.flutes", "shrink_limit"])
def test_what_moved_a_forecast_is_put_down_to_what_relieves_an_edge_that_shrinks(
    key: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(forecast_spread, "variants", lambda *_: ())
    text = box(flanges=(False, False, True, False), material="2024-T3")
    text = text.replace('name = "north"', 'name = "north"\nthrough = [100.0, 104.0]')
    if key == "shrink_limit":
        record = load_catalogue().materials["2024-T3"]
        tight = replace(record, facts={**record.facts, key: replace(record.facts[key], value=0.005)})
        one, other = (text, SHOP), (text, replace(SHOP, materials={**SHOP.materials, record.name: tight}))
    else:
        one, other = (text, SHOP), (text + 'flutes = "plan"\n', SHOP)
    before, after = (forecast_book(t, s, "", Ask("section", 12.0, 5.0)).answer for t, s in (one, other))
    told = why(before, after)
    assert any(m.path.endswith("angle_released_deg.value") for m in told.moved)
    assert [m.path for m in told.moved if not m.because] == []


def test_a_finding_of_a_forecast_is_called_by_its_value() -> None:
    codes = {f["code"] for w in CASES for f in book(w).answer["findings"] if f["code"].startswith("forecast")}
    assert {"forecast-left-open", "forecast-angle-outside", "forecast-unknown"} <= codes
