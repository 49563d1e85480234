"""The route sheet: steps in the order of the work, each caution before its step, boxes to sign, limits as entered or not entered."""

from __future__ import annotations

from dataclasses import replace

import pytest

from building import box, job_of
from documents.sample import outside, said, sample_identity, sample_plan, texts_of
from ribwright.documents import route_sheet
from ribwright.documents.page import Document
from ribwright.documents.route_screen import route_lines
from ribwright.documents.route_steps import steps_of
from ribwright.documents.sheets import SHEET_NAMES, packet_sheets
from ribwright.shop.heat_treat import HeatTreat
from ribwright.shop.shop import Rules, Shop
from ribwright.stages.plan import Plan, make_plan
from ribwright.stages.route_answer import route_answer

LIMITS = HeatTreat("2024", "QS-1", ((None, 7.0),), forming_window_s=1200.0, straighten_window_s=900.0)
RULES = Rules(minimum_radius="AC 43.13-1B table 4-6")


def sheet(plan: Plan, paper: str = "letter") -> Document:
    return route_sheet.document(plan, sample_identity(plan), paper)


def plan_of(material: str, call: str, *limits: HeatTreat, radius: float = 5.0) -> Plan:
    text = box(material=material, radius=radius).replace("thickness", f"{call}\nthickness", 1)
    return make_plan(job_of(text, Shop("s", "in", RULES, given=True, heat_treat={h.alloy: h for h in limits})))


def order(words: str, *parts: str) -> list[int]:
    places = [words.find(p) for p in parts]
    assert -1 not in places, [p for p, at in zip(parts, places, strict=True) if at < 0]
    return places


def test_the_annealed_way_is_told_in_order_with_each_caution_before_its_step() -> None:
    told = said(sheet(sample_plan("Q7-4410-1")))
    places = order(
        told, "Lot of 2024-O clad", "Blank cut, deburred", "Form by the set-up card", "No wet part", "Quench delay, from the door",
        "Solution treat and quench", "Straightening window: 20 min", "Straighten: web flat", "Straighten before ageing",
        "Age at room temperature to T42: 96 h", "Tests that QADW-HT-2", "Inspect by the inspection sheet",
    )  # fmt: skip
    assert places == sorted(places)
    assert "10 s" in told
    assert "counts 0 re-heats, 1 allowed" in told


def test_the_quenched_way_proves_the_block_first_and_forms_inside_the_window_that_was_entered() -> None:
    plan = plan_of("2024-O", 'formed_in = "W"\nfinal = "T42"', LIMITS)
    told = said(sheet(plan))
    places = order(
        told, "Lot of 2024-O", "Prove the block with scrap", "Solution treat and quench the flat blanks", "Cold storage, at most",
        "Forming window since the quench: 20 min", "Form by the set-up card", "Age at room temperature",
    )  # fmt: skip
    assert places == sorted(places)
    assert "Cold storage, at most: not entered: ask the specification" in told


def test_every_step_has_boxes_to_sign_and_the_clock_has_times() -> None:
    plan = plan_of("2024-O", 'formed_in = "O"\nfinal = "T42"', LIMITS)
    answer = route_answer(plan.job, plan.route)
    for way in answer["ways"]:
        steps = steps_of(plan.job, way, answer["clock"])
        assert all({"done by", "inspector"} & set(s.boxes) for s in steps)
        quenched = [s for s in steps if "quench" in s.say and s.say.startswith("Solution")]
        assert len(quenched) == ("solution-treat" in way["adds"])
        assert all("quenched at" in s.boxes for s in quenched)
        if way["name"] == "as-quenched":
            assert any("min since quench" in s.boxes for s in steps)


def test_a_limit_that_was_not_entered_is_said_and_no_number_stands_in_for_it() -> None:
    told = said(sheet(plan_of("2024-O", 'formed_in = "O"\nfinal = "T42"')))
    assert 'shop.toml has no [heat_treat."2024"]' in told
    assert "Straightening window: not entered: ask the specification" in told
    assert "Not offered: forming window as quenched not entered: ask the specification" in told


def test_ageing_alone_has_no_quench_and_straightens_before() -> None:
    told = said(sheet(sample_plan("Q7-2301-1")))
    steps = told[: told.index("The ways beside each other")]
    assert "quench" not in steps.lower().replace("quenched", "")
    assert steps.index("Straighten by hand") < steps.index("Straighten before ageing") < steps.index("Age to T6")


def test_where_the_drawings_way_stops_the_proposed_steps_may_not_be_worked_to_yet() -> None:
    plan = sample_plan("Q7-3205-1-rev-B", "P3")
    told = said(sheet(plan))
    assert "Proposed, not the drawing's way" in told
    assert "Not to be worked to before whoever owns the drawing has changed it" in told
    assert "2024-O bought annealed; or 2024-T3 annealed" in told
    assert "T3: strength 63 ksi" in told
    assert "T42: strength 62 ksi" in told


def test_an_alloy_without_heat_treatment_has_no_route_and_says_so() -> None:
    plan = plan_of("5052-H32", "")
    told = said(sheet(plan))
    assert "not heat treatable: there is no route by heat treatment" in told
    assert "Limits" not in told
    assert any("not heat treatable" in line for line in route_lines(route_answer(plan.job, plan.route), "in"))


@pytest.mark.parametrize("paper", ["letter", "a4"])
@pytest.mark.parametrize("name", ["Q7-4410-1", "Q7-2301-1", "Q7-2102-1"])
def test_nothing_is_printed_past_the_page_and_the_procedure_is_said_to_rule(name: str, paper: str) -> None:
    made = sheet(sample_plan(name), paper)
    assert [outside(page) for page in made.pages] == [[]] * len(made.pages)
    told = said(made)
    assert "The shop's heat-treat procedure and the governing specification rule" in told
    assert "airworthy" not in " ".join(texts_of(made)).lower()


def test_the_packet_has_the_route_sheet_by_its_name() -> None:
    plan = sample_plan()
    made = [d.name for d in packet_sheets(plan, sample_identity(plan), "letter")]
    assert "route-sheet" in made
    assert set(made) <= set(SHEET_NAMES)


def test_the_screen_says_what_is_proposed_first_and_every_way_with_its_room() -> None:
    plan = plan_of("2024-T3", 'final = "T3"', replace(LIMITS, clad_reheats=()), radius=1.2)
    lines = route_lines(route_answer(plan.job, plan.route), "in")
    assert lines[0] == "Route proposed: annealed"
    assert "A proposal: the part file changes only when whoever owns the drawing changes it." in lines[2]
    assert any(
        line.startswith("Formed as bought, 2024-T3, delivered T3: DOES NOT HOLD  (the drawing's)") for line in lines
    )
    assert any("bend radius" in line and "DOES NOT HOLD" in line for line in lines)
