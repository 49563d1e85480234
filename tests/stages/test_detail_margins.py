"""Margins of flutes, beads and steps of joggles: the same numbers as their findings, and a row also where nothing is wrong."""

from __future__ import annotations

from functools import cache

import pytest

from answering import book_of
from building import EXAMPLES, example_shop
from ribwright.adapters.facts_toml import load_catalogue
from ribwright.adapters.part_toml import read_part
from ribwright.stages.job import take_in
from ribwright.stages.judged import plan_margins
from ribwright.stages.margins import Margin, governing
from ribwright.stages.plan import Plan, make_plan

OF_CODE = {
    "flute-on-rivet": "flute_to_rivet",
    "flute-on-detail": "flute_to_detail",
    "flute-near-detail": "flute_to_detail",
    "bead-stretch": "bead_stretch",
    "bead-not-filled": "bead_pressure",
    "bead-may-not-fill": "bead_pressure",
    "joggle-short": "joggle_runout",
    "joggle-not-set": "joggle_pressure",
    "joggle-may-not-set": "joggle_pressure",
}
PARTS = ("Q7-2102-1-flutes-on-rivets", "Q7-2110-1", "Q7-3310-1")


@cache
def planned(name: str, press: str) -> Plan:
    shop = example_shop()
    return make_plan(
        take_in(read_part(EXAMPLES / f"{name}.part.toml"), shop, load_catalogue(), name), shop.press(press)
    )


def details(plan: Plan) -> list[Margin]:
    return [m for m in plan_margins(plan) if m.quantity in set(OF_CODE.values())]


def numbers(x: object) -> tuple[float, ...]:
    return tuple(round(float(getattr(x, k)), 9) for k in ("value", "limit", "margin"))


@pytest.mark.parametrize("press", ["P1", "P2"])
@pytest.mark.parametrize("name", PARTS)
def test_findings_of_details_and_their_margins_say_the_same(name: str, press: str) -> None:
    plan = planned(name, press)
    rows = details(plan)
    found = [f for f in plan.findings if f.code in OF_CODE]
    said = {(OF_CODE[f.code], numbers(f)) for f in found}
    for row in rows:
        assert row.margin is not None
        if row.margin < 0:
            assert (row.quantity, numbers(row)) in said
    for f in found:
        here = [
            r
            for r in rows
            if r.quantity == OF_CODE[f.code] and all(f.where.get(k) == r.where[k] for k in r.where if k != "along_mm")
        ]
        assert f.margin is not None
        assert min(r.margin for r in here if r.margin is not None) <= f.margin + 1e-9


def test_a_flute_on_a_rivet_is_the_least_margin_of_its_edge() -> None:
    plan = planned("Q7-2102-1-flutes-on-rivets", "P2")
    stops = {str(f.where["edge"]): f.margin for f in plan.findings if f.code == "flute-on-rivet"}
    assert stops
    least = {m.place[1]: m for m in governing(plan_margins(plan)) if m.place[0] == "edge"}
    for edge in stops:
        worst = min(f.margin for f in plan.findings if f.code == "flute-on-rivet" and f.where["edge"] == edge)  # type: ignore[type-var]
        assert (least[edge].quantity, least[edge].margin) == ("flute_to_rivet", pytest.approx(worst))


def test_every_bead_and_every_step_has_a_row_where_nothing_is_wrong_too() -> None:
    beads = planned("Q7-3310-1", "P2")
    places = {m.place for m in governing(plan_margins(beads))}
    assert {("bead", str(i + 1)) for i in range(len(beads.job.part.beads))} <= places
    assert {m.quantity for m in details(planned("Q7-2110-1", "P2"))} >= {"joggle_runout", "joggle_pressure"}


@pytest.mark.parametrize(("name", "press"), [(PARTS[0], "P2"), (PARTS[1], "P1"), (PARTS[1], "P2"), (PARTS[2], "P2")])
def test_each_of_their_numbers_opens_and_comes_out_again(name: str, press: str) -> None:
    b = book_of(planned(name, press).job, press)
    mine = [i for i, m in enumerate(b.answer["margins"]) if m["quantity"] in set(OF_CODE.values())]
    assert mine
    for i in mine:
        for key in ("value", "limit", "margin"):
            opened = b.open(f"margins[{i}].{key}")
            assert opened.told.what
            if opened.told.again is not None:
                assert opened.told.again == pytest.approx(opened.value, rel=1e-6, abs=1e-9)
