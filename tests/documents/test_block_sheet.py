"""The block drawing: its numbers are the plan's, rounded and not, and its picture is the block's."""

from dataclasses import replace

import numpy as np
import pytest

from documents.sample import outside, said, sample_identity, sample_plan, texts_of
from documents.variants import EVERY, bevelled, planned, with_ring
from ribwright.adapters.write_pdf import write_pdf
from ribwright.documents import block_sheet, cut_list
from ribwright.documents.block_cover_plate import drilled
from ribwright.documents.block_plan_view import block_box, plan_view
from ribwright.documents.block_section import WallSection
from ribwright.documents.block_undercut import WIDEST, signed, undercut_table
from ribwright.documents.entry_table import fine_length
from ribwright.documents.layout import stacked
from ribwright.documents.lean_words import lean_words
from ribwright.documents.page import Circle, Document, Page, Polyline, Text
from ribwright.documents.screen import _by_edge
from ribwright.stages.answers import round_to
from ribwright.stages.lift_off import push_words
from ribwright.stages.plan import Plan, make_plan
from ribwright.stages.undercut import HOW_CUT
from ribwright.units import plain, show_length


def drawing(plan: Plan, paper: str = "letter") -> Document:
    return block_sheet.document(plan, sample_identity(plan), paper)


def bold_texts(document: Document) -> list[str]:
    return [i.text for page in document.pages for i in page.items if isinstance(i, Text) and i.font == "bold"]


def section(undercut: float, angle: float = 90.0) -> WallSection:
    return WallSection(angle, undercut, 2.3, 2.0, 13.0, 0.6, 19.0, 3.0)


@pytest.mark.parametrize("paper", ["letter", "a4"])
@pytest.mark.parametrize("case", EVERY)
def test_every_page_renders_and_nothing_prints_past_it(case, paper):
    document = drawing(EVERY[case](), paper)
    assert document.name == "block-drawing"
    assert write_pdf(document) == write_pdf(document)
    assert [outside(page) for page in document.pages] == [[]] * len(document.pages)


def way(value: float) -> str:
    return "IN " if value > 0 else "OUT "


@pytest.mark.parametrize("case", EVERY)
def test_the_lean_to_saw_to_stands_in_bold_and_the_undercut_plain_beside_it(case):
    plan = EVERY[case]()
    bold, texts = bold_texts(drawing(plan)), texts_of(drawing(plan))
    for e in plan.block.edges:
        for deg, wall in zip(e.under.deg, e.under.wall, strict=True):
            tilt = round_to(float(wall) - 90.0, 0.5)
            assert (f"{way(tilt)}{abs(tilt):.1f} deg" if tilt else "square") in bold
            assert f"{float(wall):.2f} deg" in texts
            assert f"{float(deg):.2f} deg" in texts


@pytest.mark.parametrize("case", EVERY)
def test_each_foot_stands_there_with_its_way_rounded_and_unrounded(case):
    plan = EVERY[case]()
    text = said(drawing(plan))
    for mm in (float(v) for e in plan.block.edges for v in e.setback):
        rounded = round_to(mm / 25.4, 0.005)
        assert (f"{way(mm)}{abs(rounded):.3f} in" if rounded else "0.000 in") in text.replace(" in (", " in ") or (
            sample_identity(plan).first == "mm"
        )
        assert f"{abs(mm) / 25.4:.4f} in" in text


def test_a_block_whose_walls_lean_out_prints_no_undercut_large():
    plan = sample_plan("Q7-4410-1")
    bold = bold_texts(drawing(plan))
    assert {"OUT 8.0 deg", "OUT 0.105 in"} <= set(bold)
    assert not {"1.9 deg", "2.0 deg", "1.85 deg", "Undercut"} & set(bold)
    assert "all 10 flanged edges" in texts_of(drawing(plan))
    assert "Undercut by edge" in texts_of(drawing(plan))


def test_lengths_along_an_edge_say_from_which_end_they_are_taken():
    plan = sample_plan("Q7-2105-1")
    plan = replace(plan, fluting=replace(plan.fluting, runs=()))  # a flute on the lower edge counts from the front
    edges = [e.name for e in plan.job.part.outer.edges]
    before = edges[edges.index("upper") - 1]
    assert before == "rear"
    text = said(drawing(plan))
    assert "from the REAR end" in text
    assert "from the FRONT end" not in text


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
        assert f"{plain(float(along), 2)} mm" in texts


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
    assert "Q7-2101-1 rev B" in text
    assert "LEFT HAND" in text
    assert plan.block.material is not None
    assert f"PAD NOT ABOVE {plan.block.material.pressure_limit_mpa / 0.006894757293168361:.0f} psi" in text
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
def test_the_undercut_of_a_square_bend_is_drawn_larger_but_the_wall_never_folds_under(undercut):
    s = section(undercut)
    assert s.exaggeration >= 2
    assert s.drawn_wall <= 165.0


@pytest.mark.parametrize("undercut", [0.3, 1.85, 2.5, 9.0, 25.0])
@pytest.mark.parametrize("angle", [30.0, 80.0, 84.0, 97.0, 120.0, 150.0])
def test_the_wall_of_any_other_bend_is_drawn_true(undercut, angle):
    assert section(undercut, angle).drawn_wall == pytest.approx(angle + undercut)


@pytest.mark.parametrize("undercut", [0.3, 2.3, 5.9, 6.1, 9.0])
@pytest.mark.parametrize("angle", [70.0, 84.0, 89.0, 90.0, 97.0])
def test_a_wall_is_drawn_leaning_the_way_it_leans(undercut, angle):
    s = section(undercut, angle)
    assert (s.drawn_wall > 90.0) == (angle + undercut > 90.0)


def test_without_undercut_the_section_is_drawn_true():
    assert section(0.0).exaggeration == 1
    assert section(0.0).drawn_wall == 90.0


def test_the_clearance_written_is_the_height_less_the_loaded_flanges_drop():
    # square bend, no undercut: the flange's end lies R + leg below the web face
    assert section(0.0).clearance == pytest.approx(19.0 - 2.0 - 13.0)


# ---------------------------------------------------------------- what the bench needs


def fixed(mode: str) -> Plan:
    """The bevelled nose rib with an undercut that does not follow the angle."""
    return planned(replace(bevelled().job.part, block_undercut=mode))


@pytest.mark.parametrize("mode", ["constant-per-edge", "none"])
def test_a_fixed_undercut_says_at_each_station_what_it_leaves_and_what_the_part_comes_out_as(mode):
    plan = fixed(mode)
    texts = texts_of(drawing(plan))
    assert any(HOW_CUT[mode][1:40] in t for t in texts)
    for e in plan.block.edges:
        for i in range(len(e.along)):
            assert signed(float(e.remaining[i])) in texts
            assert f"{e.out.angle[i]:.1f}" in texts
            assert f"{e.out.low[i]:.1f} to {e.out.high[i]:.1f}" in texts


def test_the_section_of_a_wall_without_undercut_is_released_open_and_says_what_the_drawing_asks():
    plan = fixed("none")
    worst = min(plan.block.edges, key=lambda e: float(np.min(e.remaining)))
    text = said(drawing(plan))
    assert f"released: {worst.out.angle[int(np.argmin(worst.remaining))]:.1f} deg" in text
    assert "drawing asks" in text
    assert "drawing asks" not in said(drawing(bevelled()))
    recess = plan.block.recesses[0]
    assert f"comes out {recess.released[0]:.1f}" in text


def test_the_released_section_keeps_the_arc():
    s = replace(section(0.0), left=-3.0)
    assert (s.released_radius + s.thickness / 2) * s.released == pytest.approx((s.part_radius + 0.3) * 90.0)
    assert section(4.0).released_radius == pytest.approx(2.3)


@pytest.mark.parametrize("case", EVERY)
def test_every_stretch_of_every_zone_stands_with_its_tilt(case):
    plan = EVERY[case]()
    texts = texts_of(drawing(plan))
    for z in plan.making.zones:
        assert lean_words(z.tilt) in texts
        for s in (s for s in z.stretches if not s.whole):
            first = sample_identity(plan).first
            ends = [show_length(v, first).partition(" (")[0] for v in (s.start, s.end)]
            assert " - ".join(ends) in texts


def test_the_way_to_lean_is_drawn_and_the_other_way_is_crossed_out_where_no_wall_has_it():
    assert "NOT THIS BLOCK" in texts_of(drawing(sample_plan()))
    both = texts_of(drawing(bevelled()))
    assert "NOT THIS BLOCK" not in both
    assert {"IN: foot SMALLER", "OUT: foot LARGER"} <= set(both)
    assert (lean_words(8.36), lean_words(-3.0), lean_words(0.01)) == ("IN 8.4 deg", "OUT 3.0 deg", "square")


def test_no_zone_is_printed_for_a_temper_whose_flow_curve_is_not_known():
    plan = sample_plan()
    assert plan.job.formed is not None
    job = replace(plan.job, formed=replace(plan.job.formed, hardening=None))
    assert "Saw table" not in said(drawing(make_plan(job)))


def test_the_cover_plate_stands_with_its_inset_and_every_hole_or_its_reason():
    plan = sample_plan()
    text = said(drawing(plan))
    assert "0.125 in" in text
    for o in (*plan.making.plate.openings, *plan.making.plate.pin_holes):
        assert fine_length(o.diameter, "in").partition(" (")[0] in text
    none = replace(plan, making=replace(plan.making, plate=replace(plan.making.plate, why_none="the web is eaten")))
    assert "the web is eaten" in said(drawing(none))


@pytest.mark.parametrize("case", EVERY)
def test_whether_the_block_serves_both_hands_is_said_with_every_reason(case):
    plan = EVERY[case]()
    text = said(drawing(plan))
    assert "This block for the opposite hand too? NO" in text
    for why in plan.making.reversible.why:
        assert why in text


def label_of(plan: Plan) -> Page:
    return drawing(plan).pages[-1]


def test_the_label_says_lean_hand_vent_and_where_it_goes_and_stands_alone():
    plan = sample_plan()
    text = " ".join(i.text for i in label_of(plan).items if isinstance(i, Text))
    vented = [r for r in plan.block.recesses if r.vent_diameter > 0]
    for words in (
        "Tool no.",
        "Cut out along the dashed line: 4.000 in",
        "WEB FACE UP",
        "WALL IN 8.5 deg",
        "HAND: none on the drawing",
        "Opposite hand: NO, see drawing",
        f"Vent Ø 0.125 in through each recess floor ({len(vented)})",
        "in a pocket tied to the block; stamp the tool number and UP on the block itself",
        "NO GO",
    ):
        assert words in text
    assert "NOT HANDED" not in text
    assert "Where the numbers come from" not in text


@pytest.mark.parametrize("case", EVERY)
def test_the_label_is_no_larger_than_four_by_five_inches(case):
    frames = [i for i in label_of(EVERY[case]()).items if isinstance(i, Polyline) and i.stroke and i.stroke.dash]
    (frame,) = frames
    wide, high = np.ptp(np.array(frame.points), axis=0)
    assert wide <= 4 * 25.4 + 1e-6
    assert high <= 5 * 25.4 + 1e-6


def test_a_part_that_slides_off_is_pushed_to_the_edge_that_its_motion_points_to():
    plan = sample_plan("Q7-2105-1")
    x, y, z = plan.block.lift.direction
    assert abs(x) < 0.01 < y  # towards +y, where the upper edge lies
    assert 1 / 16 < y / z < 3 / 16
    says = "push toward edge UPPER, about 1/8 in for each inch up"
    assert says in said(drawing(plan))
    assert says in " ".join(i.text for i in label_of(plan).items if isinstance(i, Text))
    assert any(says in f.say for f in plan.findings)
    assert push_words("upper", (0.0, 0.0995, 0.995), "mm") == "push toward edge UPPER, about 1.0 mm for each 10 mm up"
    assert push_words("upper", (0.0, 1.0, 0.0), "in") == "push toward edge UPPER, along the table"


def test_the_label_stays_on_its_page_whatever_names_people_give():
    part = sample_plan("Q7-2101-1").job.part
    holes = tuple(replace(h, name=f"{h.name} {'long ' * 60}") for h in part.holes)
    sheet = replace(part.sheet, material="2024-O clad", final="T42")
    document = drawing(
        planned(replace(part, title="rib " * 400, revision="B as the note says " * 40, holes=holes, sheet=sheet))
    )
    assert [outside(page) for page in document.pages] == [[]] * len(document.pages)


def test_pins_that_stand_out_of_the_cover_plate_are_said_with_their_height():
    plan = sample_plan()
    tallest = max(p.above for p in plan.making.stock.pins)
    says = f"Cover plate at least {show_length(tallest, 'in')} thick, or shorten the pins"
    assert says in said(drawing(plan))
    assert says in said(cut_list.document(plan, sample_identity(plan), "letter"))


@pytest.mark.parametrize("mm", [0.3, 5.48, 7.0675, 25.4 / 64, 25.4 * 7 / 32, 60.1])
def test_a_hole_of_the_cover_plate_is_the_next_sixty_fourth_that_is_not_smaller(mm):
    words = drilled(mm, "in")
    inches = float(words.partition("= ")[2].partition(" in")[0])
    assert mm / 25.4 - 6e-4 <= inches < mm / 25.4 + 1 / 64 + 6e-4
    assert drilled(5.48, "in").startswith("7/32 in")


def test_the_proof_says_what_is_accepted_and_the_gauge_nearest_to_the_radius():
    text = said(drawing(sample_plan()))
    assert "± 0.5 deg" in text
    assert "± 0.010 in (0.25 mm) of the computed" in text
    assert "gauge 5/64 in" in text
    assert "IN 8.36 deg" in text


def test_a_whole_edge_has_the_band_of_its_widest_place_on_paper_and_on_the_screen():
    """As where an edge curves: one wall, and another band at each place."""
    plan = sample_plan()
    e = plan.block.edges[0]
    n = len(e.along)
    wide = np.linspace(0.5, 3.0, n)
    deg = np.full(n, 4.0)
    under = replace(e.under, deg=deg, low=deg - 0.5, high=deg + wide, wall=np.full(n, 94.0), radius=np.full(n, 2.0))
    varied = replace(e, under=under, angle=np.full(n, 90.0))
    plan = replace(plan, block=replace(plan.block, edges=(varied, *plan.block.edges[1:])))
    text = said(Document("", "", (Page(216.0, 2000.0, tuple(stacked(undercut_table(plan, "mm", 190.0)).items)),)))
    assert "3.5 to 7.0" in text
    assert WIDEST in text
    even = replace(varied, under=replace(under, high=deg + 1.0))
    plain_plan = replace(plan, block=replace(plan.block, edges=(even,)))
    assert WIDEST not in said(
        Document("", "", (Page(216.0, 2000.0, tuple(stacked(undercut_table(plain_plan, "mm", 190.0)).items)),))
    )
    rows = [
        {
            "edge": "a",
            "deg": {"value": 4.0, "low": 3.5, "high": float(4.0 + w)},
            "closed_form_deg": None,
            "unverified": "",
        }
        for w in wide
    ]
    assert _by_edge(rows) == ["undercut a: 4.0 deg (90 %, anywhere along it: 3.5 to 7.0)"]
    assert _by_edge(rows[:1]) == ["undercut a: 4.0 deg (90 %: 3.5 to 4.5)"]
