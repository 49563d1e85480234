"""The inspection sheet: what to measure, nominal beside tolerance, and no judgement without one."""

from dataclasses import replace

import numpy as np
import pytest

from documents.sample import outside, said, sample_identity, sample_plan, texts_of
from documents.variants import BEVEL, EVERY, bevelled, planned, without_tolerances
from ribwright.adapters.write_pdf import write_pdf
from ribwright.documents import inspection_sheet
from ribwright.documents.block_sheet import laid_edge
from ribwright.documents.measures import CANNOT, measures, tolerance_words
from ribwright.documents.page import Document
from ribwright.stages.measured_places import stations_of
from ribwright.stages.plan import Plan


def sheet(plan: Plan, paper: str = "letter") -> Document:
    return inspection_sheet.document(plan, sample_identity(plan), paper)


@pytest.mark.parametrize("paper", ["letter", "a4"])
@pytest.mark.parametrize("case", EVERY)
def test_every_page_renders_and_nothing_prints_past_it(case, paper):
    document = sheet(EVERY[case](), paper)
    assert document.name == "inspection-sheet"
    assert write_pdf(document) == write_pdf(document)
    assert [outside(page) for page in document.pages] == [[]] * len(document.pages)


def test_every_flanged_edge_is_measured_for_angle_width_and_radius():
    plan = sample_plan()
    asked = [m.what for m in measures(plan, "in")]
    for e in plan.block.edges:
        for what in ("bend angle", "flange width", "bend radius"):
            assert [w.split("\n")[1].split(",")[0] for w in asked if w.startswith(f"{e.edge}: {what}")] == [
                "start",
                "middle",
                "end",
            ]


def test_a_bevel_is_measured_at_its_own_station_too():
    plan = bevelled()
    spar = laid_edge(plan, "spar")
    stations = {x: name for name, x in stations_of(plan, spar)}
    assert stations[BEVEL.stations[1][1]] == "bevel"
    assert "90.00 deg" in texts_of(sheet(plan))


def test_stations_stay_clear_of_free_ends():
    plan = sample_plan()
    for e in plan.block.edges:
        edge = laid_edge(plan, e.edge)
        assert edge.flange is not None
        clear = 1.5 * max(edge.flange.width.values)
        places = [x for _, x in stations_of(plan, edge)]
        assert min(places) > 0.6 * clear
        assert max(places) < edge.curve.length - 0.6 * clear


def test_holes_are_measured_for_place_and_size_and_the_web_for_flatness():
    text = said(sheet(sample_plan()))
    for words in (
        "P1: its centre, x from the drawing's origin",
        "P2: its centre, x from P1",
        "P1: diameter",
        "L1: rim diameter",
        "L1: flange height",
        "flatness",
        "contour",
    ):
        assert words in text


def test_tolerances_are_those_typed_in():
    plan = sample_plan()
    texts = texts_of(sheet(plan))
    assert "± 1 deg" in texts
    assert "± 0.030 in" in texts
    assert "± 0.76 mm" in texts


def test_a_missing_tolerance_cannot_be_judged_and_no_default_is_made_up():
    plan = without_tolerances()
    document = sheet(plan)
    assert all(tolerance_words(plan.job.part, m, "in") == CANNOT for m in measures(plan, "in"))
    assert "No tolerance given on the drawing data:" in said(document)
    assert "[tolerance]" not in said(document)
    assert not any("±" in t for t in texts_of(document))


def test_only_what_misses_a_tolerance_cannot_be_judged():
    plan = sample_plan("Q7-2101-1")  # contour, angle and width are typed in
    lost = {
        m.tolerance
        for m in measures(plan, "in")
        if tolerance_words(plan.job.part, m, "in") == CANNOT and not m.own_only
    }
    assert lost == {"bend_radius", "web_flatness", "hole_position", "hole_diameter"}


def test_a_features_own_tolerance_goes_before_the_general_one():
    part = sample_plan("Q7-2101-1").job.part
    own = {**part.tolerance, "flange.spar.flange_angle": (0.5, 1.5), "edge.nose.flange_angle": (0.25, 0.25)}
    plan = planned(replace(part, tolerance=own))
    said_of = {
        m.what.split(":")[0]: tolerance_words(plan.job.part, m, "in")
        for m in measures(plan, "in")
        if m.tolerance == "flange_angle"
    }
    assert said_of["spar"] == "- 0.5 / + 1.5 deg"
    assert said_of["nose"] == "± 0.25 deg"
    assert said_of["upper"] == "± 1 deg"


def test_the_height_of_a_hole_flange_is_not_judged_by_the_width_of_the_others():
    part = sample_plan("Q7-2101-1").job.part
    height = next(m for m in measures(sample_plan("Q7-2101-1"), "in") if "flange height" in m.what)
    assert tolerance_words(part, height, "in") == CANNOT
    own = replace(part, tolerance={**part.tolerance, "hole.L1.flange_width": (0.254, 0.254)})
    assert tolerance_words(own, height, "in") == "± 0.010 in\n± 0.25 mm"


def test_balloon_numbers_are_those_of_the_drawing():
    balloons = {m.balloon for m in measures(sample_plan(), "in")}
    assert balloons == {"", "3", "7"}


def test_flat_widths_and_extents_are_to_be_checked_before_forming():
    plan = sample_plan()
    texts = texts_of(sheet(plan))
    assert f"{plan.blank.size[0] / 25.4:.3f} in" in texts
    strip, i = plan.blank.strip_of("rear")
    middle = strip.strip.flat_width[strip.at.edge == i]
    assert f"{float(middle[len(middle) // 2]) / 25.4:.3f} in" in texts


def test_gauges_stand_with_uncertainty_and_due_date():
    text = said(sheet(sample_plan()))
    for g in sample_plan().job.shop.gauges:
        assert g.id in text
        assert g.uncertainty in text


@pytest.mark.parametrize("case", EVERY)
def test_the_sheet_gives_no_verdict_of_its_own(case):
    body = said(sheet(EVERY[case]())).replace("Not an airworthiness approval", "")
    for word in ("pass", "fail", "airworth", "conform", "accepted"):
        assert word not in body.lower()


def test_balloons_of_edges_and_corners_are_on_the_rows_they_number():
    rows = {m.what.split(",")[0].split(" (")[0]: m.balloon for m in measures(sample_plan("Q7-2103-1", "P2"), "in")}
    assert rows["upper: contour"] == "2"
    assert rows["relief at rear/upper: diameter"] == "8"


def test_an_even_flange_over_a_smooth_join_is_measured_there_once():
    plan = sample_plan("Q7-3205-1", "P3")
    places = []
    for e in plan.block.edges:
        edge = laid_edge(plan, e.edge)
        places += [
            edge.curve.point(np.array([edge.curve.length - x if edge.edge.turned else x]))[0]
            for _, x in stations_of(plan, edge)
        ]
    gaps = [np.hypot(*(a - b)) for i, a in enumerate(places) for b in places[:i]]
    assert len(places) == 24  # middle and end of each of the twelve edges of two closed rings
    assert min(gaps) > 10.0


def test_relief_holes_are_checked_on_the_blank_before_forming():
    plan = sample_plan("Q7-2103-1", "P2")
    said_ = said(sheet(plan))
    for j in plan.blank.joins[0]:
        assert f"relief at {j.before}/{j.after}: diameter as cut" in said_.replace("  ", " ")


def test_a_pin_hole_is_not_accepted_under_its_pin():
    plan = sample_plan("Q7-2102-1", "P2")
    pin = plan.block.pins[0]
    part = plan.job.part
    hole = next(h for h in part.holes if h.name == pin.name)
    fit = hole.diameter - pin.diameter
    wide = planned(replace(part, tolerance={**part.tolerance, "hole_diameter": (0.5, 0.5)}))
    row = next(m for m in measures(wide, "mm") if m.what == f"tooling hole {pin.name}: diameter")
    assert tolerance_words(wide.job.part, row, "mm").startswith(f"- {fit:.2f} / + 0.50 mm")
    assert "not under its pin" in said(sheet(wide))
    found = [f for f in wide.findings if f.code == "pin-hole-tolerance"]
    assert len(found) == 1
    assert pin.name in found[0].where["hole"]
    tight = planned(replace(part, tolerance={**part.tolerance, "hole_diameter": (fit / 2, 0.5)}))
    assert "pin-hole-tolerance" not in {f.code for f in tight.findings}


def test_what_this_plan_computed_is_marked_and_does_not_take_the_drawings_general_tolerance():
    plan = sample_plan("Q7-2102-1", "P2")
    part = plan.job.part
    rows = {m.what: m for m in measures(plan, "in")}
    rim = next(m for w, m in rows.items() if "rim diameter" in w)
    hole = next(h for h in part.holes if h.kind == "lightening")
    assert hole.given is not None
    assert ("(computed)" in rim.nominal) == (hole.given[0] != "rim_diameter")
    if hole.given[0] != "rim_diameter":
        assert tolerance_words(part, rim, "in") == CANNOT
        own = replace(part, tolerance={**part.tolerance, f"hole.{hole.name}.hole_diameter": (0.254, 0.254)})
        assert tolerance_words(own, rim, "in").startswith("± 0.010 in")
    typed = next(m for w, m in rows.items() if w.endswith("P1: diameter"))
    assert "(computed)" not in typed.nominal


def test_a_missing_tolerance_is_told_in_words_not_in_keys_of_a_file():
    text = said(sheet(sample_plan("Q7-2101-1")))
    assert "L1 flange width" in text
    assert "hole.L1" not in text
