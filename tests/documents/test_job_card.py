"""The job card: one page, whatever the part; the numbers on it are the plan's."""

from dataclasses import replace

import numpy as np
import pytest

from documents.sample import outside, said, sample_identity, sample_plan, texts_of
from ribwright.adapters.write_pdf import write_pdf
from ribwright.documents import job_card
from ribwright.documents.page import Document
from ribwright.documents.readings import face, reading
from ribwright.features.part import Approval
from ribwright.stages.finding import Finding
from ribwright.stages.plan import Plan
from ribwright.units import show_length

CASES = [
    ("Q7-2102-1", "P2"),
    ("Q7-2102-1", ""),
    ("Q7-2101-1", "P1"),
    ("Q7-2101-1", "P3"),
    ("RX-0007", "P1"),
    ("RX-0007", ""),
]


def card(plan: Plan, paper: str = "letter") -> Document:
    return job_card.document(plan, sample_identity(plan), paper)


def with_findings(plan: Plan, *findings: Finding) -> Plan:
    return replace(plan, findings=findings)


@pytest.mark.parametrize("paper", ["letter", "a4"])
@pytest.mark.parametrize("case", CASES)
def test_the_card_is_one_page_and_nothing_prints_past_it(case, paper):
    document = card(sample_plan(*case), paper)
    assert document.name == "job-card"
    assert len(document.pages) == 1
    assert outside(document.pages[0]) == []


def test_the_card_renders_to_the_same_bytes_every_time():
    plan = sample_plan()
    assert write_pdf(card(plan)) == write_pdf(card(plan))


def test_the_card_says_blank_block_and_pins():
    plan = sample_plan()
    text = said(card(plan))
    x, y = plan.blank.size
    assert f"{x / 25.4:.3f} x {y / 25.4:.3f} in" in text
    assert f"{x:.2f} x {y:.2f} mm" in text
    assert show_length(plan.block.height, "in").split(" (")[0] in text
    assert show_length(plan.block.edge_radius[0], "in") in text
    for pin in plan.block.pins:
        assert show_length(pin.diameter, "in") in text


@pytest.mark.parametrize("case", [*CASES[:3], ("Q7-4410-1", "P2"), ("Q7-2105-1", "P2")])
def test_the_wall_to_saw_is_bold_from_square_and_the_undercut_stands_plain(case):
    plan = sample_plan(*case)
    fonts = {t.text: t.font for t in card(plan).pages[0].items if hasattr(t, "font")}
    for e in plan.block.edges:
        assert fonts[job_card.saw_words(e.under.wall)] == "bold"
    under = plan.block.edges[0].under
    assert fonts[f"{float(under.deg[0]):.2f}" if np.ptp(under.deg) < 0.01 else "undercut"] in ("regular", "bold")
    assert f"{float(min(under.low)):.1f} to {float(max(under.high)):.1f}" in fonts


def test_a_wall_leans_in_or_out_from_square_to_half_a_degree():
    assert job_card.saw_words([98.4]) == "IN 8.5"
    assert job_card.saw_words([82.0]) == "OUT 8.0"
    assert job_card.saw_words([90.2, 89.9]) == "square"
    assert job_card.saw_words([92.1, 106.0]) == "IN 2.0 to IN 16.0"
    text = said(card(sample_plan("Q7-4410-1", "P2")))
    assert "OUT 8.0" in text
    assert "cut to, deg" not in text


def test_the_gauge_readings_are_the_plans_and_large():
    plan = sample_plan()
    assert plan.setup is not None
    sizes = {t.text: t.size_pt for t in card(plan).pages[0].items if hasattr(t, "size_pt")}
    gauge = face(plan.setup)
    assert gauge is not None
    for mpa in (gauge.pump, gauge.close, gauge.limit):
        assert mpa is not None
        assert sizes[reading(mpa, "psi")[0]] >= 16


@pytest.mark.parametrize("reads", ["psi", "bar", "MPa", "ksi", "kPa"])
@pytest.mark.parametrize("mpa", [34.4738, 34.47379, 5.3848, 0.99999, 12.765])
def test_a_reading_is_never_rounded_up(mpa, reads):
    from ribwright.units import pressure_mpa

    for shown in reading(mpa, reads):
        assert mpa - 0.011 - 0.007 * (reads == "psi") - 0.011 * (reads == "bar") <= pressure_mpa(shown) <= mpa + 1e-5


def test_a_reading_typed_as_5000_psi_stays_5000_psi():
    from ribwright.units import pressure_mpa

    assert reading(pressure_mpa("5000 psi"), "psi")[0] == "5000 psi"


def test_without_a_press_the_card_has_no_reading_to_pump_to():
    text = said(card(sample_plan("Q7-2102-1", "")))
    assert "PUMP TO" not in text
    assert "none named" in text
    assert "No press named" in text


def test_without_a_gauge_the_card_says_do_not_press():
    plan = sample_plan()
    assert plan.setup is not None
    bare = replace(plan, setup=replace(plan.setup, press=replace(plan.setup.press, gauge=None)))
    text = said(card(bare))
    assert "Do not press." in text
    assert "PUMP TO" not in text


def test_stops_come_before_warnings_and_the_rest_is_counted():
    findings = [Finding("a", "stop", "The block is crushed.")]
    findings += [
        Finding(f"b{k:02}", "warn", f"Warning number {k} is a sentence of some length about an edge.")
        for k in range(40)
    ]
    texts = texts_of(card(with_findings(sample_plan(), *findings)))
    assert texts.index("STOP") < texts.index("WARN")
    told = sum("Warning number" in t for t in texts)
    assert 1 <= told < 40
    assert any(f"and {40 - told} more: see the findings sheet" in t for t in texts)


def test_a_part_that_is_stopped_is_not_sent_to_the_press():
    text = said(card(with_findings(sample_plan(), Finding("a", "stop", "The block is crushed."))))
    assert "Stop: do not cut, do not press." in text
    assert "Press by the set-up card" not in text


@pytest.mark.parametrize("paper", ["letter", "a4"])
@pytest.mark.parametrize("times", [1, 8, 80])
def test_long_words_stay_on_the_one_page(paper, times):
    plan = sample_plan()
    long = "An uncommonly long sentence about this rib. " * times
    part = replace(
        plan.job.part, number="N-" * times + "1", title=long, side_up=long, approval=Approval(long, long, long)
    )
    assert plan.setup is not None
    press = replace(plan.setup.press, name=long, source=long)
    big = replace(
        plan,
        job=replace(plan.job, part=part),
        setup=replace(plan.setup, press=press, never_past_by=long),
        findings=(Finding("a", "stop", long), *plan.findings),
    )
    document = card(big, paper)
    assert len(document.pages) == 1
    assert outside(document.pages[0]) == []


def test_many_different_undercuts_stay_on_the_one_page():
    plan = sample_plan()
    edges = tuple(
        replace(e, edge=f"edge number {k}", angle=e.angle - k) for k in range(40) for e in plan.block.edges[:1]
    )
    document = card(replace(plan, block=replace(plan.block, edges=edges)))
    assert len(document.pages) == 1
    assert "more: see the block drawing" in said(document)


def test_an_empty_approval_is_asked_for_and_left_to_fill_in():
    plan = sample_plan("RX-0007", "P1")
    text = said(card(plan))
    assert "Approval: data, by, date empty" in text
    assert "Approved data" in text


def test_a_given_approval_stands_on_the_card_as_typed():
    plan = sample_plan()
    texts = texts_of(card(plan))
    approval = plan.job.part.approval
    assert {approval.data, approval.by, approval.date} <= set(texts)


def test_a_missing_tolerance_is_an_open_question():
    plan = sample_plan()
    bare = replace(plan, job=replace(plan.job, part=replace(plan.job.part, tolerance={})))
    assert "Drawing's tolerance block not typed in" in job_card.open_questions(bare)
    assert "Drawing's tolerance block not typed in" not in job_card.open_questions(plan)


def test_the_picture_names_every_edge_and_hole():
    plan = sample_plan()
    texts = texts_of(card(plan))
    for edge in plan.job.part.outer.edges:
        assert edge.name in texts
    for hole in plan.job.part.holes:
        assert hole.name in texts
    assert "GRAIN" in texts


def test_one_finding_at_many_places_is_told_once_with_its_places():
    found = [
        Finding("a", "warn", f"Edge {k} shrinks.", where={"edge": k}, margin=m)
        for k, m in (("nose", -3.0), ("upper", -1.0))
    ]
    text = said(
        card(with_findings(sample_plan(), *found, Finding("b", "warn", "Hole L1 is near.", where={"hole": "L1"})))
    )
    assert "Edge nose shrinks. Also: upper." in text
    assert "Edge upper shrinks." not in text
    assert "Hole L1 is near." in text


def test_edges_too_many_to_name_with_one_undercut_are_counted():
    assert "all 12 edges" in texts_of(card(sample_plan("Q7-3205-1", "P3")))


def test_the_picture_shows_the_balloons_of_edges_holes_and_corners():
    plan = sample_plan("Q7-2103-1", "P2")
    part = plan.job.part
    wanted = {f.balloon for f in (*part.outer.edges, *part.holes, *part.corners)} - {""}
    assert wanted == {"1", "2", "5", "6", "7", "8"}
    assert wanted <= {t for t in texts_of(card(plan)) if len(t) == 1}


def test_names_of_edges_are_written_out_where_there_is_room():
    texts = texts_of(card(sample_plan("Q7-4410-1", "P2")))
    assert {"outer corner left", "outer corner right"} <= set(texts)


def test_findings_of_one_code_about_different_quantities_are_told_apart():
    found = [
        Finding("a", "warn", "Hole L1 diameter.", where={"hole": "L1", "tolerance": "hole_diameter"}),
        Finding("a", "warn", "Edge lower angle.", where={"edge": "lower", "tolerance": "flange_angle"}),
        Finding("b", "warn", "Hole L1 stays open.", where={"hole": "L1"}),
        Finding("b", "warn", "Edge front stays open.", where={"edge": "front"}),
    ]
    text = said(card(with_findings(sample_plan(), *found)))
    assert "Also:" not in text
    assert all(f.say in text for f in found)


def test_notes_are_sent_to_the_findings_sheet():
    text = said(card(sample_plan()))
    assert "notes: see the findings sheet" in text
    assert "see answers.json" not in text


@pytest.mark.parametrize(("case", "treated"), [(("Q7-2301-1", "P2"), True), (("RX-0007", "P1"), None)])
def test_hand_work_and_correction_are_steps_and_straightening_follows_heat_treatment_only(case, treated):
    plan = sample_plan(*case)
    text = said(card(plan))
    assert "Correct the block by the first piece, then the lot." in text
    assert "Flute or hand-correct; check." in text
    call = plan.job.part.sheet
    assert ("straighten" in text) == bool(call.final and call.final != plan.job.bought.temper)
    assert treated is None or ("straighten" in text) == treated
    for box in ("tool no.", "order", "quantity", "heat-treat lot"):
        assert box in texts_of(card(plan))
