"""Every characteristic of the drawing with what was found of it: each measurement is counted once, and nothing asked is lost."""

from dataclasses import replace

import numpy as np
import pytest

from documents.inspected import found_at, inspection_of, said_of
from documents.sample import sample_plan
from documents.variants import bevelled
from ribwright.documents.characteristics import characteristics, result_lines, signed, uncertainty_words, unmeasured
from ribwright.documents.deviation_sheet import off_words
from ribwright.documents.measures import Measure, measures
from ribwright.documents.verdict_marks import NOT_MEASURED
from ribwright.stages.found import Found, Judged
from ribwright.stages.inspection import judged_all
from ribwright.stages.plan import Plan

PARTS = {
    "flap rib": lambda: sample_plan("Q7-2301-1", "P2"),
    "two rings": lambda: sample_plan("Q7-3205-1", "P3"),
    "bevel": bevelled,
    "notched": lambda: sample_plan("Q7-2101-1-notched"),
}


def judged(plan: Plan, *found: Found) -> tuple[Judged, ...]:
    return judged_all(plan.job.part, plan.job.shop, said_of(plan), found)


def place(plan: Plan, what: str) -> Measure:
    return next(m for m in measures(plan, "in") if m.what.startswith(what))


@pytest.mark.parametrize("case", PARTS)
def test_the_rows_are_those_of_the_inspection_sheet_with_its_running_numbers(case):
    plan = PARTS[case]()
    rows, asked = characteristics(plan, (), "in"), measures(plan, "in")
    assert [(r.number, r.balloon, r.what, r.nominal) for r in rows] == [
        (i, m.balloon, m.what, m.nominal) for i, m in enumerate(asked, 1)
    ]
    assert {r.verdict for r in rows} == {NOT_MEASURED}


@pytest.mark.parametrize("case", PARTS)
def test_every_measurement_speaks_for_a_row_and_none_speaks_for_two(case):
    plan = PARTS[case]()
    inspection = inspection_of(plan)
    rows = characteristics(plan, inspection.judged)
    held = [j for r in rows if r.quantity != "contour" for j in r.every]
    assert len(held) == len({id(j) for j in held})
    assert {id(j) for r in rows for j in r.every} == {id(j) for j in inspection.judged}


@pytest.mark.parametrize("case", PARTS)
def test_what_each_row_asks_for_finds_that_row_when_it_is_measured(case):
    plan = PARTS[case]()
    for m in measures(plan, "in"):
        if m.quantity and m.value is not None:
            rows = characteristics(plan, judged(plan, found_at(m, 0.0)), "in")
            assert [r.what for r in rows if r.every][-1:] == [m.what] or m.quantity == "contour"
            assert len(rows) == len(measures(plan, "in"))


@pytest.mark.parametrize("case", PARTS)
def test_every_row_has_its_nominal_in_numbers_as_in_words(case):
    plan = PARTS[case]()
    for m in measures(plan, "mm"):
        assert m.value is not None
        assert float(m.nominal.split()[0]) == pytest.approx(m.value, abs=0.006)


def test_a_place_within_a_millimetre_is_the_place_of_the_sheet_and_one_further_off_gets_a_row_of_its_own():
    plan = sample_plan("Q7-2301-1", "P2")
    angle = found_at(place(plan, "upper: bend angle\nnear middle"), 0.4)
    for off, besides in ((0.9, 0), (-0.9, 0), (1.1, 1), (40.0, 1)):
        moved = replace(angle, where={**angle.where, "along_mm": angle.where["along_mm"] + off})
        rows = characteristics(plan, judged(plan, moved), "in")
        extra = rows[len(measures(plan, "in")) :]
        assert len(extra) == besides
        assert [r.what.split("\n")[0] for r in extra] == ["upper: bend angle"] * besides


def test_start_of_an_edge_as_a_person_says_it_is_the_place_that_lies_clear_of_that_end():
    plan = sample_plan("Q7-2301-1", "P2")
    m = place(plan, "upper: bend angle\nstart")
    assert m.where["along_mm"] > 10.0
    at_end = replace(found_at(m, 0.4), where={"edge": "upper", "along_mm": 0.0})
    assert next(r.what for r in characteristics(plan, judged(plan, at_end), "in") if r.every) == m.what


def test_on_a_bevel_the_end_of_the_edge_is_another_place_as_its_angle_is_another():
    plan = bevelled()
    m = place(plan, "spar: bend angle\nstart")
    at_end = replace(found_at(m, 0.0), where={"edge": "spar", "along_mm": 0.0}, nominal=84.0)
    row = next(r for r in characteristics(plan, judged(plan, at_end), "in") if r.every)
    assert abs((m.value or 0.0) - 84.0) > 0.05
    assert row.what.startswith("spar: bend angle\nanother place")
    assert row.nominal == "84.00 deg"


def test_of_several_the_worst_speaks():
    plan = sample_plan("Q7-2301-1", "P2")
    m = place(plan, "upper: bend angle\nnear middle")
    found = [found_at(m, off) for off in (0.2, -1.5, 1.2, 0.95)]
    row = next(r for r in characteristics(plan, judged(plan, *found)) if r.every)
    assert row.verdict == "outside"
    assert row.judged is not None
    assert row.judged.found.off == pytest.approx(-1.5)
    assert [j.verdict for j in row.every] == ["outside", "outside", "cannot-tell", "inside"]


def test_the_contour_of_an_edge_with_its_own_tolerance_is_not_judged_by_the_webs_row():
    plan = sample_plan("Q7-2301-1", "P2")
    part = plan.job.part
    own = replace(
        plan, job=replace(plan.job, part=replace(part, tolerance={**part.tolerance, "edge.upper.contour": (0.1, 0.1)}))
    )
    off = Found("contour", {"edge": "upper", "along_mm": 50.0}, 0.4, 0.0, "mm", 0.02, "feeler")
    for p, expect in ((plan, ["upper", "web"]), (own, ["upper"])):
        rows = [r for r in characteristics(p, judged(p, off), "in") if r.every]
        assert sorted(r.what.split(":")[0] for r in rows) == expect
        assert {r.verdict for r in rows} == ({"outside"} if p is own else {"inside"})


def test_the_length_of_a_slot_is_not_taken_for_its_width():
    plan = sample_plan("Q7-2102-1")
    slots = [m for m in measures(plan, "in") if "slot" in m.what]
    for m in slots:
        assert m.quantity == ""
    assert all(m.quantity for m in measures(plan, "in") if m not in slots and not m.owner.startswith("bead"))


def test_gauge_and_its_due_date_stand_with_the_row():
    plan = sample_plan("Q7-2301-1", "P2")
    row = next(
        r for r in characteristics(plan, judged(plan, found_at(place(plan, "upper: bend angle"), 0.1))) if r.every
    )
    assert [(g.id, g.due) for g in row.gauges] == [("G-02", "2031-03-20")]


def test_sheet_thickness_which_no_sheet_asks_for_is_kept():
    plan = sample_plan("Q7-2301-1", "P2")
    thin = [
        Found("thickness", {"edge": "upper", "along_mm": x}, 0.6, 0.635, "mm", 0.01, "micrometer") for x in (10.0, 90.0)
    ]
    row = characteristics(plan, judged(plan, *thin), "in")[-1]
    assert row.what == "upper: sheet thickness\n2 other places, the worst at 0.394 in (10.00 mm)"
    assert (row.tolerance, row.verdict) == ("not given", "cannot-tell")


def test_results_have_both_units_and_deviations_a_sign():
    f = Found("contour", {"edge": "upper", "along_mm": 1.0}, 0.3, 0.0, "mm", 0.02, "feeler")
    assert result_lines(f, "in") == "+0.0118 in\n+0.30 mm"
    assert result_lines(replace(f, value=-0.3), "mm") == "-0.30 mm\n-0.0118 in"
    assert result_lines(replace(f, value=0.0), "mm") == "0.00 mm\n0.0000 in"
    assert uncertainty_words(f, "in") == "± 0.0008 in"
    assert uncertainty_words(replace(f, u=None), "in") == "not known"


@pytest.mark.parametrize("u", [0.002, 0.01, 0.0254, 0.0508, 0.1])
def test_no_result_is_rounded_coarser_than_half_its_uncertainty(u):
    rng = np.random.default_rng(3)
    for mm in rng.uniform(-0.4, 0.4, 50):
        for unit, k in (("in", 25.4), ("mm", 1.0)):
            shown = float(signed(float(mm), unit, u).split(" ")[0])
            step = max(u / 2, 1e-3 if unit == "mm" else 1e-4 * 25.4)
            assert abs(shown * k - mm) <= step / 2 + 1e-9


def test_a_diameter_three_halves_of_a_thousandth_off_is_not_told_as_two():
    f = Found("hole_diameter", {"hole": "P1"}, 0.1890 * 25.4, 0.1875 * 25.4, "mm", 0.0254, "calliper")
    assert off_words(f, "in") == "+0.0015 in"


def test_what_stands_against_an_acceptance_is_all_that_has_a_tolerance_and_no_result():
    plan = sample_plan("Q7-2301-1", "P2")
    every = characteristics(plan, (), "in")
    lost = unmeasured(plan, (), "in")
    assert set(lost) == {r.name for r in every if r.tolerance != "not given"}
    left = unmeasured(plan, inspection_of(plan).judged, "in")
    assert left == ()
    m = place(plan, "upper: bend angle\nstart")
    assert set(lost) - set(unmeasured(plan, judged(plan, found_at(m, 0.0)), "in")) == {m.what.replace("\n", ", ")}
