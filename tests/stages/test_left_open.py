"""A flange that the press leaves open comes off at its own angle, in the stack, the findings and on the sheets."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

from building import box, example_shop, job_of
from documents.sample import said, sample_identity
from ribwright.documents import block_sheet
from ribwright.documents.forecast_cell import forecast_cell
from ribwright.stages.as_pressed import LINEAR_DEG, UNDER_LOAD
from ribwright.stages.checks import section_model
from ribwright.stages.checks.context import Looked
from ribwright.stages.checks.left_open import FINISH
from ribwright.stages.checks.tolerance import MAY_OPEN_HELPS, helps
from ribwright.stages.finding import Finding
from ribwright.stages.judged import plan_tolerances
from ribwright.stages.plan import Plan, make_plan
from ribwright.stages.sections import Sections
from ribwright.stages.stack import LEFT_OPEN, PIECE, Contributor, Stack

PINS = "".join(
    f'[[hole]]\nname = "P{i}"\nkind = "tooling"\nat = [{x}, 30]\ndiameter = {d}\npin_fit = 0.1\n'
    for i, x, d in ((1, 30, 5), (2, 170, 6))
)
LIMITS = "[tolerance]\nflange_angle = 2\nflange_width = 1\ncontour = 1\nbend_radius = 0.5\n"


@cache
def plan_at(mpa: float, limits: str = LIMITS, width: float = 12.0, press: str = "P2") -> Plan:
    """A square of annealed sheet on a press that gives this much and no more."""
    shop = example_shop()
    found = shop.press(press)
    assert found is not None
    weak = replace(found, rated_pressure_mpa=mpa)
    return make_plan(job_of(box(width=width, extra=PINS + limits), shop), weak if press else None)


def rows(plan: Plan, edge: str = "south") -> dict[str, Stack]:
    return {r.quantity: r for r in plan_tolerances(plan) if r.where.get("edge") == edge}


def coded(plan: Plan, code: str) -> list[Finding]:
    return [f for f in plan.findings if f.code == code]


@cache
def closing() -> float:
    plan = plan_at(60.0)
    assert plan.setup is not None
    assert plan.setup.needed is not None
    return plan.setup.needed.high


def weak() -> float:
    """A pressure that bends the flanges and does not close them [MPa]."""
    plan = plan_at(60.0)
    assert plan.setup is not None
    assert plan.setup.needed is not None
    return 0.97 * plan.setup.needed.value


def test_the_mean_of_an_open_flanges_angle_is_the_released_angle_of_the_set_up() -> None:
    plan = plan_at(weak())
    assert plan.setup is not None
    reach = next(r for r in plan.setup.reached if r.flange.owner == "south")
    assert reach.closes is False
    row = rows(plan)["flange_angle"]
    assert row.nominal + row.shift == pytest.approx(reach.released.value)
    assert row.shift < -2.0
    assert (row.fixed, row.chance_corrected) == (LEFT_OPEN, None)  # no other block moves it
    assert row.chance_first < 0.2


def test_what_finishing_by_hand_leaves_of_its_width_and_radius_is_not_given_a_chance() -> None:
    for quantity in ("flange_width", "bend_radius", "contour"):
        row = rows(plan_at(weak()))[quantity]
        assert not row.whole
        assert row.chance_first is None
        assert "stays open" in row.left_out
        assert row.shift == 0.0
        assert UNDER_LOAD not in {c.name for c in row.contributors}


def test_a_finding_says_at_what_angle_it_comes_off_and_what_to_do() -> None:
    found = coded(plan_at(weak()), "flange-comes-off-open")
    assert {f.where["edge"] for f in found} == {"south", "east", "north", "west"}
    for f in found:
        assert f.value > f.limit == 2.0
        assert "stays open under" in f.say
        assert "not compared" in f.say
        assert f.try_ == FINISH
        assert "press" in f.try_
        assert "by hand" in f.try_


def test_nothing_is_said_of_its_angle_where_nobody_typed_a_tolerance_or_a_wide_one() -> None:
    assert not coded(plan_at(weak(), ""), "flange-comes-off-open")
    assert not coded(plan_at(weak(), "[tolerance]\nflange_angle = 89\n"), "flange-comes-off-open")


def test_an_open_flange_does_not_hide_what_a_corrected_block_can_mend() -> None:
    """Its own finding says it; the one on the characteristic goes to the worst of the others, and never says to correct the block for
    a flange that no block changes."""
    hole = '[[hole]]\nname = "L"\nkind = "lightening"\nat = [100, 50]\ndiameter = 40\ncut_diameter = 31\nbend_angle = 45\nbend_radius = 3\n'
    text = box(width=20.0, material="2024-T3", extra=PINS + hole + "[tolerance]\nflange_angle = 0.5\n")
    shop = example_shop()
    found = shop.press("P2")
    assert found is not None
    setup = make_plan(job_of(text, shop), replace(found, rated_pressure_mpa=100.0)).setup
    assert setup is not None
    need = {r.flange.owner: r.demand.need for r in setup.reached}
    between = (need["south"].high + need["L"].value) / 2
    assert need["south"].high < between < need["L"].value
    plan = make_plan(job_of(text, shop), replace(found, rated_pressure_mpa=between))
    assert [f.where for f in coded(plan, "flange-comes-off-open")] == [{"hole": "L"}]
    (f,) = (f for f in coded(plan, "tolerance-not-met-by-forecast") if f.where["tolerance"] == "flange_angle")
    assert f.where["edge"] in ("south", "east", "north", "west")
    assert "correct" in f.try_


def test_one_that_stays_open_inside_its_tolerance_is_not_helped_by_a_corrected_block() -> None:
    limits = "[tolerance]\nflange_angle = 20\n"
    plan = plan_at(weak(), limits)
    row = rows(plan)["flange_angle"]
    assert -20 < row.shift < 0
    assert not coded(plan, "flange-comes-off-open")
    for f in coded(plan, "tolerance-not-met-by-forecast"):
        assert "leaves this flange open" in f.say
        assert f.try_ == FINISH


def test_a_flange_that_surely_closes_is_judged_as_without_a_press() -> None:
    with_press, without = rows(plan_at(60.0)), {
        r.quantity: r
        for r in plan_tolerances(make_plan(job_of(box(width=12.0, extra=PINS + LIMITS), example_shop())))
        if r.where.get("edge") == "south"
    }  # fmt: skip
    for quantity, row in without.items():
        assert with_press[quantity].band == pytest.approx(row.band)
        assert with_press[quantity].chance_first == row.chance_first


def test_one_that_may_stay_open_has_its_band_or_says_that_it_is_not_in_it() -> None:
    seen = set()
    for share in (0.995, 0.97, 0.94, 0.9):
        plan = plan_at(share * closing())
        assert plan.setup is not None
        reach = next(r for r in plan.setup.reached if r.flange.owner == "south")
        row = rows(plan)["flange_angle"]
        if not reach.closes:
            continue
        side = reach.under_load.value - reach.under_load.low
        moved = [c for c in row.contributors if c.name == UNDER_LOAD]
        assert bool(moved) == (side <= LINEAR_DEG)
        assert bool(moved) == row.whole
        if not moved:
            assert f"by up to {side:.0f} deg" in row.left_out
        seen.add(bool(moved))
    assert seen


def test_an_undercut_for_more_than_the_press_gives_is_said() -> None:
    plan = plan_at(weak())
    assert plan.setup is not None
    for over, told in ((1.5, True), (1.005, False), (0.9, False)):
        job = replace(plan.job, sections=Sections(over * plan.setup.available))
        found = list(section_model.findings(Looked(job, plan.blank, plan.block, plan.setup)))
        assert [f.code for f in found] == (["undercut-past-press"] if told else [])
    alone = replace(plan.job, sections=Sections(1e3))
    assert not list(section_model.findings(Looked(alone, plan.blank, plan.block)))


def test_the_block_drawing_shows_an_open_flange_off_the_wall_and_says_so() -> None:
    texts = {share: said(block_sheet.document(plan, sample_identity(plan), "letter"))
             for share, plan in ((0.5, plan_at(weak())), (1.0, plan_at(60.0)))}  # fmt: skip
    assert "STAYS OPEN" in texts[0.5]
    assert "does not come down to the wall" in texts[0.5]
    assert "STAYS OPEN" not in texts[1.0]
    assert "loaded: " in texts[1.0]


def test_the_inspection_sheets_cell_gives_the_middle_of_an_open_flange() -> None:
    plan = plan_at(weak())
    row = rows(plan)["flange_angle"]
    cell = forecast_cell(plan_tolerances(plan), "flange_angle", "edge", "south", "mm")
    assert cell.startswith(f"{row.shift:+.1f} ± ")
    assert "OPEN" in cell


def test_advice_for_one_that_may_stay_open_is_more_pressure() -> None:
    row = rows(plan_at(60.0))["flange_angle"]
    assert helps(row) != MAY_OPEN_HELPS
    moved = Contributor(UNDER_LOAD, 2 * max(c.sd for c in row.contributors), PIECE, "")
    assert helps(replace(row, contributors=(*row.contributors, moved))) == MAY_OPEN_HELPS
    assert "More pressure" in MAY_OPEN_HELPS
