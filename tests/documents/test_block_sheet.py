"""The block drawing: its numbers are the plan's, rounded and not, and its picture is the block's."""

from dataclasses import replace

import numpy as np
import pytest

from documents.sample import outside, said, sample_identity, sample_plan, texts_of
from documents.variants import EVERY, bevelled, planned, with_ring
from ribwright.adapters.write_pdf import write_pdf
from ribwright.documents import block_sheet
from ribwright.documents.block_plan_view import block_box, plan_view
from ribwright.documents.block_section import WallSection
from ribwright.documents.page import Circle, Document, Polyline
from ribwright.stages.answers import round_to
from ribwright.stages.plan import Plan


def drawing(plan: Plan, paper: str = "letter") -> Document:
    return block_sheet.document(plan, sample_identity(plan), paper)


def section(undercut: float, angle: float = 90.0) -> WallSection:
    return WallSection(angle, undercut, 2.3, 2.0, 13.0, 0.6, 19.0, 3.0)


@pytest.mark.parametrize("paper", ["letter", "a4"])
@pytest.mark.parametrize("case", EVERY)
def test_every_page_renders_and_nothing_prints_past_it(case, paper):
    document = drawing(EVERY[case](), paper)
    assert document.name == "block-drawing"
    assert write_pdf(document) == write_pdf(document)
    assert [outside(page) for page in document.pages] == [[]] * len(document.pages)


@pytest.mark.parametrize("case", EVERY)
def test_each_undercut_and_setback_stands_there_rounded_and_unrounded(case):
    plan = EVERY[case]()
    texts = texts_of(drawing(plan))
    for e in plan.block.edges:
        for deg, setback in zip(e.under.deg, e.setback, strict=True):
            assert f"{round_to(float(deg), 0.5):.1f} deg" in texts
            assert f"{float(deg):.2f} deg" in texts
            assert f"{round_to(float(setback) / 25.4, 0.005) + 0.0:.3f} in" in texts
            assert f"{float(setback) / 25.4:.4f} in" in texts


def test_band_radius_and_height_are_the_plans():
    plan = sample_plan()
    text, u = said(drawing(plan)), plan.block.edges[0].under
    assert f"{u.low[0]:.1f} to {u.high[0]:.1f}" in text
    assert f"{plan.block.edge_radius[0] / 25.4:.4f} in ({plan.block.edge_radius[0]:.3f} mm)" in text
    assert f"{plan.block.height / 25.4:.3f} in" in text


def test_an_edge_of_one_angle_takes_one_row_and_a_bevel_one_for_each_station():
    whole_edges = texts_of(drawing(sample_plan())).count("whole edge")
    assert whole_edges == len(sample_plan().block.edges)
    plan = bevelled()
    spar = next(e for e in plan.block.edges if e.edge == "spar")
    texts = texts_of(drawing(plan))
    assert texts.count("whole edge") == len(plan.block.edges) - 1
    for along in spar.along:
        assert f"{along:.2f} mm" in texts


def test_pins_and_recesses_stand_with_place_and_size():
    plan = sample_plan()
    texts = texts_of(drawing(plan))
    for p in plan.block.pins:
        assert f"{p.at[0] / 25.4:.3f} in" in texts
        assert f"{p.diameter / 25.4:.4f} in" in texts
    for r in plan.block.recesses:
        assert f"{r.diameter / 25.4:.3f} in" in texts
        assert f"{r.depth / 25.4:.3f} in" in texts


def test_the_label_says_part_side_limit_pins_and_fingerprint():
    plan = sample_plan("Q7-2101-1")
    identity, text = sample_identity(plan), said(drawing(plan))
    assert "FORM BLOCK Q7-2101-1 rev B" in text
    assert "LEFT HAND" in text
    assert plan.block.material is not None
    assert f"PAD PRESSURE NOT ABOVE {plan.block.material.pressure_limit_mpa / 0.006894757293168361:.0f} psi" in text
    assert text.count(identity.fingerprint) == len(drawing(plan).pages) + 1


def test_a_hole_flange_turned_against_the_others_is_a_ring_of_its_own():
    text = said(drawing(with_ring()))
    assert "Loose upper ring" in text
    assert "An item of its own" in text
    assert "Loose upper ring" not in said(drawing(sample_plan("Q7-2101-1")))


def test_flanges_that_turn_towards_the_viewer_are_said_to_mirror_the_block():
    part = sample_plan("Q7-2101-1").job.part
    up = {k: replace(f, turn="up") for k, f in part.flanges.items()}
    assert "MIRROR IMAGE" in said(drawing(planned(replace(part, flanges=up))))
    assert "MIRROR IMAGE" not in said(drawing(sample_plan("Q7-2101-1")))


def test_no_undercut_is_made_up_for_a_temper_whose_flow_curve_is_not_known():
    plan = sample_plan()
    assert plan.job.formed is not None
    job = replace(plan.job, formed=replace(plan.job.formed, hardening=None))
    assert plan.setup is not None
    from ribwright.stages.plan import make_plan

    text = said(drawing(make_plan(job, plan.setup.press)))
    assert "not known" in text
    assert "0.00 deg unrounded" not in text


@pytest.mark.parametrize("case", EVERY)
def test_the_view_is_drawn_to_the_scale_that_it_says(case):
    plan = EVERY[case]()
    view = plan_view(plan, 190.0, 120.0, "in")
    smaller = float(view.scale.removeprefix("1:"))
    ring = next(
        i for i in view.piece.items if isinstance(i, Polyline) and i.closed and i.stroke and i.stroke.width == 0.5
    )
    on_paper = np.ptp(np.array(ring.points), axis=0)
    assert on_paper * smaller == pytest.approx(np.ptp(plan.block.outlines[0], axis=0))
    x0, _, x1, _ = block_box(plan.block)
    assert (x1 - x0) / smaller <= 190.0
    circles = [i for i in view.piece.items if isinstance(i, Circle)]
    assert len(circles) >= len(plan.block.pins) + 2 * len(plan.block.recesses)


@pytest.mark.parametrize("undercut", [0.3, 1.0, 2.5, 5.0, 9.0, 14.0, 25.0])
@pytest.mark.parametrize("angle", [30.0, 84.0, 90.0, 120.0, 150.0])
def test_an_undercut_is_drawn_larger_but_the_wall_never_folds_under(undercut, angle):
    s = section(undercut, angle)
    assert s.exaggeration >= 1
    assert s.drawn_wall <= max(165.0, angle + undercut)
    if angle + 2 * undercut <= 165.0:
        assert s.exaggeration >= 2


def test_without_undercut_the_section_is_drawn_true():
    assert section(0.0).exaggeration == 1
    assert section(0.0).drawn_wall == 90.0


def test_the_clearance_written_is_the_height_less_the_loaded_flanges_drop():
    # square bend, no undercut: the flange's end lies R + leg below the web face
    assert section(0.0).clearance == pytest.approx(19.0 - 2.0 - 13.0)
