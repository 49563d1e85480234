"""Why this pressure, where the section model gave it: its number, the pad's share, what it was checked by. No formed part was compared."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

from building import box, job_of
from documents.sample import said
from ribwright.documents.layout import stacked
from ribwright.documents.page import Document, Page
from ribwright.documents.pressure_reason import formula, pressure_reason
from ribwright.stages.plan import Plan, make_plan
from ribwright.stages.setup import Setup
from stages.sectioned import SHOP, by_hand

EDGES = ("south", "east", "north", "west")
CURVED = "curved flange: one sharp curve and one hole were held against a continuum, no gentle curve"


@cache
def plan_by_model(owners: tuple[str, ...] = EDGES, kind: str = "container") -> Plan:
    """A box whose edges of these names the section model is said to have answered, closing at 0.7 MPa."""
    job = by_hand(job_of(box(), SHOP), {name: ([50.0], [4.0]) for name in owners})
    press = SHOP.press("P2")
    assert press is not None
    return make_plan(job, replace(press, kind=kind))


def reason(plan: Plan, setup: Setup | None = None) -> str:
    setup = setup or plan.setup
    assert setup is not None
    pieces = pressure_reason(plan, setup, "mm", 180.0)
    return said(Document("", "", (Page(216.0, 279.0, tuple(stacked(pieces).items)),)))


def test_the_model_s_closing_pressure_and_the_pad_s_share_make_the_pressure_needed() -> None:
    s = plan_by_model().setup
    assert s is not None
    for d in s.demands:
        words = formula(s, d)
        shown = [float(w) for w in words.split("=")[-2].replace("+", " ").split()]
        assert shown[0] == pytest.approx(0.7)
        assert sum(shown) == pytest.approx(d.need.value, abs=0.011)
        assert words.endswith(f"{d.need.value:.2f} MPa")
        assert f"the closed form said {d.quick:.2f} MPa there, {d.quick + s.share.mpa:.2f} MPa on the pad" in words
        assert "M/s" not in words


def test_under_a_fluid_the_model_s_closing_pressure_is_the_pressure_needed() -> None:
    plan = plan_by_model(kind="fluid")
    text = reason(plan)
    assert "= 0.70 MPa (fluid pressure: no pad term)" in text
    assert "Shore A" not in text
    assert "k is a fit" not in text


def test_a_pressure_of_the_model_is_not_put_down_to_the_fitted_formula() -> None:
    text = reason(plan_by_model())
    assert "stands within half a degree of the wall" in text
    assert "1.71" not in text
    assert "no formed part was compared" in text


def test_where_the_model_left_a_flange_to_the_formula_both_are_named() -> None:
    text = reason(plan_by_model(EDGES[:2]))
    assert "stands within half a degree of the wall" in text
    assert "1.71 and k are fits" in text


def test_a_flange_for_which_the_model_was_held_against_little_says_against_what() -> None:
    plan = plan_by_model()
    assert plan.setup is not None
    assert plan.setup.governed is not None
    setup = replace(plan.setup, governed=replace(plan.setup.governed, unverified=CURVED))
    text = reason(plan, setup)
    assert f"unverified: too little was checked for a flange like this ({CURVED})" in text
    assert "nothing" not in text
