"""The ways to the finished part by temper: each is judged as the check of a part formed so would, and nothing is assumed."""

from __future__ import annotations

from dataclasses import replace

import pytest

from building import RandomPart, box, example_shop, job_of
from ribwright.adapters.facts_toml import load_catalogue
from ribwright.shop.heat_treat import HeatTreat
from ribwright.shop.shop import Rules, Shop
from ribwright.stages.plan import Plan, make_plan
from ribwright.stages.route import FEASIBLE, NOT_FEASIBLE, NOT_KNOWN, find_route
from ribwright.stages.route_answer import route_answer
from ribwright.stages.route_findings import route_findings
from ribwright.stages.route_ways import courses, record_name

RULES = Rules(minimum_radius="AC 43.13-1B table 4-6", corner_relief="FAA-H-8083-31 relief hole")
ENTERED = HeatTreat(
    "2024", "QS-1", ((None, 10.0),), forming_window_s=1200.0, straighten_window_s=1200.0, clad_reheats=((None, 1.0),)
)


def shop(*limits: HeatTreat) -> Shop:
    return Shop("a shop", "mm", RULES, given=True, heat_treat={h.alloy: h for h in limits})


def plan_of(material: str, call: str = "", limits: tuple[HeatTreat, ...] = (ENTERED,), **how: object) -> Plan:
    text = box(material=material, **how).replace("thickness", f"{call}\nthickness", 1)  # type: ignore[arg-type]
    return make_plan(job_of(text, shop(*limits)))


def outcomes(plan: Plan) -> dict[str, str]:
    return {w.course.way: w.outcome for w in plan.route.ways}


def test_a_box_that_its_mill_temper_takes_is_formed_as_bought() -> None:
    route = plan_of("2024-T3", 'final = "T3"', radius=5.0).route
    assert (route.drawn, route.proposed, route.wanted) == ("as-bought", "as-bought", "T3")
    assert not list(route_findings(route))


def test_a_radius_too_small_for_the_mill_temper_is_proposed_annealed_and_says_that_the_final_temper_changes() -> None:
    plan = plan_of("2024-T3", 'final = "T3"', radius=1.2)
    route = plan.route
    assert outcomes(plan) == {"as-bought": NOT_FEASIBLE, "annealed": FEASIBLE, "as-quenched": NOT_KNOWN}
    assert route.proposed == "annealed"
    (found,) = route_findings(route)
    assert found.code == "route-not-feasible"
    assert "bend radius" in found.say.lower()
    assert "T42, not T3" in found.try_
    assert "drawing asks for T3" in route_answer(plan.job, route)["why"]


def test_from_mill_temper_the_quenched_way_adds_as_much_as_annealing_and_distorts_less() -> None:
    route = plan_of("2024-T3", 'final = "T42"', radius=5.0).route
    assert route.proposed == "as-quenched"
    way = route.way("as-quenched")
    assert way is not None
    assert (way.formed_in, way.held_by) == ("2024-W", "2024-T42")
    assert way.course.adds == ("prove-block", "solution-treat", "form-in-window", "age-naturally")


def test_a_shop_with_its_own_record_of_quenched_sheet_forms_in_it_without_a_trial() -> None:
    own = replace(load_catalogue().materials["2024-T42"], name="2024-W", temper="W", bend_row="2024-T42", origin="shop")
    text = box(material="2024-O", radius=5.0).replace("thickness", 'formed_in = "O"\nfinal = "T42"\nthickness', 1)
    route = make_plan(job_of(text, replace(shop(ENTERED), materials={"2024-W": own}))).route
    assert route.proposed == "as-quenched"
    way = route.way("as-quenched")
    assert way is not None
    assert (way.held_by, way.course.adds) == ("2024-W", ("solution-treat", "form-in-window", "age-naturally"))
    assert [f.code for f in route_findings(route)] == ["route-not-proposed"]


@pytest.mark.parametrize(
    ("limits", "missing"),
    [
        ((), ("quench delay", "forming window")),
        ((replace(ENTERED, forming_window_s=None),), ("forming window",)),
        ((replace(ENTERED, quench_delay=((0.5, 5.0),)),), ("quench delay",)),
    ],
)
def test_a_limit_that_the_shop_did_not_enter_keeps_the_quenched_way_from_being_proposed(
    limits: tuple[HeatTreat, ...], missing: tuple[str, ...]
) -> None:
    route = plan_of("2024-T3", 'final = "T42"', limits, radius=5.0).route
    way = route.way("as-quenched")
    assert way is not None
    assert len(way.missing) == len(missing)
    for words, said in zip(missing, way.missing, strict=True):
        assert words in said
        assert "ask the specification" in said
    assert route.proposed == "annealed"


@pytest.mark.parametrize(("allowed", "offered"), [(None, False), (0.0, False), (1.0, True)])
def test_clad_sheet_bought_heat_treated_counts_its_first_treatment_as_a_reheat(
    allowed: float | None, offered: bool
) -> None:
    rows = () if allowed is None else ((None, allowed),)
    route = plan_of("2024-T3 clad", 'final = "T3"', (replace(ENTERED, clad_reheats=rows),), radius=5.0).route
    way = route.way("annealed")
    assert way is not None
    assert way.course.reheats is not None
    assert way.course.reheats.count == 1
    assert way.offered is offered


def test_clad_sheet_bought_annealed_counts_nothing_and_needs_no_entry() -> None:
    route = plan_of(
        "2024-O clad", 'formed_in = "O"\nfinal = "T42"', (replace(ENTERED, clad_reheats=()),), radius=5.0
    ).route
    way = route.way("annealed")
    assert way is not None
    assert way.course.reheats is not None
    assert (way.course.reheats.count, way.offered) == (0, True)


def test_an_alloy_that_is_not_heat_treatable_has_one_way_and_says_so() -> None:
    plan = plan_of("5052-H32", radius=5.0)
    assert plan.route.treatable is False
    assert [w.course.way for w in plan.route.ways] == ["as-bought"]
    assert "FAA" in route_answer(plan.job, plan.route)["heat_treatable_by"]


def test_a_metal_whose_answer_to_heat_treatment_nobody_entered_is_told_as_not_known() -> None:
    assert plan_of("304 annealed", radius=5.0).route.treatable is None


def test_ageing_alone_makes_t6_of_6061_formed_in_t4() -> None:
    way = plan_of("6061-T4", 'final = "T6"', radius=5.0).route.way("as-bought")
    assert way is not None
    assert (way.course.delivers, way.course.adds, way.reaches) == ("T6", ("age",), True)


def test_7075_has_no_natural_temper_so_its_ways_end_in_t62() -> None:
    job = plan_of("7075-O", 'formed_in = "O"\nfinal = "T62"', radius=5.0).job
    assert {c.way: c.delivers for c in courses(job)} == {"as-bought": "O", "annealed": "T62", "as-quenched": "T62"}


def test_a_drawing_whose_way_ends_in_another_temper_is_told() -> None:
    (found,) = route_findings(plan_of("2024-T3", 'final = "T42"', radius=5.0).route)
    assert found.code == "route-not-feasible"
    assert "delivers T3, the drawing asks for T42" in found.say


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize(("bought", "way"), [("2024-T3", "annealed"), ("2024-O", "as-bought")])
def test_a_way_is_judged_as_the_check_of_a_part_bought_in_its_temper_would(seed: int, bought: str, way: str) -> None:
    """Law: stops of bend radius and edge strain of a part whose file calls for 2024-O are those of the way through O."""
    text = RandomPart(seed).text()
    name = text.partition('material = "')[2].partition('"')[0]
    job = job_of(text.replace(name, bought), example_shop())
    plan = make_plan(job)
    found = next(w for w in find_route(job, plan.blank, plan.block).ways if w.course.way == way)
    soft = make_plan(job_of(text.replace(name, "2024-O"), example_shop()))
    stops = {f.code for f in soft.findings if f.severity == "stop"} & {
        "bend-radius", "stretch-limit", "shrink-limit", "hole-edge-limit",
    }  # fmt: skip
    assert (found.outcome == NOT_FEASIBLE) == bool(stops)


def test_every_way_names_records_of_the_catalogue_and_every_design_value_belongs_to_one() -> None:
    catalogue = load_catalogue()
    for alloy, answer in catalogue.heat_treat.responses.items():
        for temper in (answer.aged, *([answer.natural] if answer.natural else [])):
            assert temper in {*catalogue.tempers, *(m.temper for m in catalogue.materials.values())}, (alloy, temper)
    assert {d.material for d in catalogue.heat_treat.design} <= set(catalogue.materials)
    assert {d.material for d in catalogue.heat_treat.design if d.yielding.value >= d.strength.value} == set()


@pytest.mark.parametrize(
    ("material", "inch", "strength", "yielding"),
    [
        ("2024-T3 clad", 0.025, 59, 39),
        ("2024-T42 clad", 0.080, 60, 36),
        ("6061-T6", 0.040, 42, 35),
        ("2014-T6", 0.032, 64, 57),
    ],
)  # MIL-HDBK-5J tables 3.2.3.0(e1), (e3), 3.6.2.0(b1), 3.2.1.0(b1): ksi
def test_design_values_are_those_printed_for_the_thickness(
    material: str, inch: float, strength: float, yielding: float
) -> None:
    found = load_catalogue().heat_treat.design_value(material, inch * 25.4)
    assert found is not None
    assert (found.strength.value / 6.894757293168361, found.yielding.value / 6.894757293168361) == pytest.approx(
        (strength, yielding)
    )


def test_a_thickness_that_no_table_covers_has_no_design_value() -> None:
    assert load_catalogue().heat_treat.design_value("2024-T361", 0.025 * 25.4) is None


def test_cladding_stays_with_the_alloy_in_every_temper() -> None:
    job = plan_of("2024-T3 clad", radius=5.0).job
    assert record_name(job, "O") == "2024-O clad"
    assert record_name(job, "T3") == "2024-T3 clad"


def test_the_part_is_not_touched_by_asking() -> None:
    plan = plan_of("2024-T3", 'final = "T3"', radius=1.2)
    before = plan.job.part
    assert plan.route.proposed == "annealed"
    assert plan.job.part is before
    assert plan.job.formed_name == "2024-T3"
