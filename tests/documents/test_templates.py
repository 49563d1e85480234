"""Every kind of template: true to scale, its words whole and readable, its lines and tables those of the plan."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from itertools import combinations

import numpy as np
import pypdfium2
import pytest
import shapely

from building import box, job_of
from documents.sample import FINGERPRINT, outside, said, sample_identity, sample_plan, texts_of
from documents.test_blank_template import room, texts
from documents.variants import EVERY, bevelled, with_ring
from ribwright.adapters.write_pdf import write_pdf
from ribwright.documents.bevel_card import card
from ribwright.documents.bevel_cards import _picture
from ribwright.documents.entry_table import in_cell
from ribwright.documents.lean_words import sawn_lean
from ribwright.documents.page import Circle, Clip, Document, Line, Polyline
from ribwright.documents.register_marks import Register
from ribwright.documents.sheets import TEMPLATES
from ribwright.documents.template_kinds import KINDS
from ribwright.documents.template_spread import template_spread
from ribwright.documents.template_values import TemplateContent
from ribwright.documents.templates import CONTENTS, content_of, template_document
from ribwright.documents.tiling import papers
from ribwright.stages.bevels import Bevel, Place
from ribwright.stages.plan import Plan, make_plan
from ribwright.stages.router import Router
from ribwright.units import show_length

TINY = box(w=25.0, h=18.0, width=6.0, radius=1.5, t=0.5)
ARCS = [("c1", [150, 170], [100, 120]), ("c2", [150, 70], [200, 120])]
RING = box(w=300.0, h=240.0, extra="") + '[[cutout]]\nname = "c"\nstart = [200, 120]\nedge = [{}]\n'.format(
    ", ".join(f'{{name = "{n}", through = {p}, to = {q}, flange = "f"}}' for n, p, q in ARCS)
)
TURNED_UP = box(extra='turn = "up"\n')
FAMILY = {
    **EVERY,
    "tiny": lambda: make_plan(job_of(TINY)),
    "ring bulkhead": lambda: make_plan(job_of(RING)),
    "turned up": lambda: make_plan(job_of(TURNED_UP)),
    "open bevel": lambda: make_plan(job_of(box(angle="[[0, 80], ['end', 98]]"))),
    "no flange": lambda: make_plan(job_of(box(flanges=(False,) * 4))),
}
ROUTER = Router(12.7, 6.35, "0.5 in, 0.25 in")


@cache
def plan_named(name: str) -> Plan:
    return FAMILY[name]()


@cache
def content(name: str, kind: str) -> TemplateContent:
    plan = plan_named(name)
    return content_of(plan, sample_identity(plan), kind)


@cache
def document(name: str, kind: str, paper: str = "letter") -> Document:
    plan = plan_named(name)
    return template_document(plan, sample_identity(plan), paper, kind)


def test_the_kinds_on_the_command_line_are_the_kinds_there_are() -> None:
    assert tuple(k.name for k in KINDS) == TEMPLATES == (*CONTENTS, "bevel")


@pytest.mark.parametrize("kind", TEMPLATES)
@pytest.mark.parametrize("name", FAMILY)
def test_every_page_carries_identity_and_number_and_nothing_runs_off_it(name: str, kind: str) -> None:
    made, plan = document(name, kind), plan_named(name)
    for i, page in enumerate(made.pages):
        words = " ".join(t.text for t in texts(page.items))
        assert f"page {i + 1} of {len(made.pages)}" in words
        if name != "long words":  # there the foot is cut to its room
            assert FINGERPRINT in words
            assert plan.job.part.number in words
        around = replace(page, items=tuple(item for item in page.items if not isinstance(item, Clip)))
        assert outside(around) == []


@pytest.mark.parametrize("kind", TEMPLATES)
@pytest.mark.parametrize("paper", papers())
@pytest.mark.parametrize("name", ["centre rib", "nose rib", "repair rib, no press", "bevel", "ring bulkhead", "tiny"])
def test_no_print_lies_on_other_print_and_none_is_small(name: str, paper: str, kind: str) -> None:
    plan = plan_named(name)
    unstopped = replace(sample_identity(plan), stops=())  # the sentence of a stop lies over everything on purpose
    for page in template_document(plan, unstopped, paper, kind).pages:
        window = next((i for i in page.items if isinstance(i, Clip)), None)
        shown = texts(page.items)
        if window is not None:
            box_ = shapely.box(window.x, window.y, window.x + window.w, window.y + window.h)
            inside = [t for t in texts((window,)) if shapely.intersects(box_, room(t))]
            shown = [*texts(tuple(i for i in page.items if not isinstance(i, Clip))), *inside]
        assert min(t.size_pt for t in shown) >= 8
        for a, b in combinations(shown, 2):
            assert not shapely.intersects(room(a), room(b)), f"{page.name}: {a.text!r} on {b.text!r}"


@pytest.mark.parametrize("kind", CONTENTS)
@pytest.mark.parametrize("paper", papers())
@pytest.mark.parametrize(
    "name", ["centre rib", "nose rib", "repair rib, no press", "bevel", "ring bulkhead", "tiny", "open bevel"]
)
def test_every_word_of_the_drawing_is_whole_on_some_tile(name: str, paper: str, kind: str) -> None:
    spread, grid, _ = template_spread(content(name, kind), paper)
    w, h = grid.window
    tiles = [shapely.box(t.x, t.y, t.x + w, t.y + h) for t in grid.tiles]
    for text in texts(spread.items):
        assert any(shapely.contains(tile, room(text)) for tile in tiles), text.text


@pytest.mark.parametrize("kind", CONTENTS)
def test_words_keep_off_the_lines_where_there_is_room(kind: str) -> None:
    for name in ("centre rib", "repair rib, no press"):
        made = content(name, kind)
        spread, _, _ = template_spread(made, "roll")
        lines = shapely.union_all(
            [
                shapely.LineString([*p, p[0]] if x.path.closed else p)
                for x in made.every_line
                for p in [x.path.chords(0.05)]
            ]
        )
        for text in texts(spread.items):
            assert not shapely.intersects(room(text), lines), text.text


@pytest.mark.parametrize("kind", [k for k in TEMPLATES if k != "blank"])
@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_both_bars_measure_100_mm_at_300_dots_an_inch(kind: str, paper: str) -> None:
    made = document("repair rib, no press", kind, paper)
    pdf = pypdfium2.PdfDocument(write_pdf(made))
    k = next(i for i, page in enumerate(made.pages) if any(t.text == "100 mm" for t in texts(page.items)))
    page = made.pages[k]
    grey = pdf[k].render(scale=300 / 72, grayscale=True).to_numpy()
    dark = 1 - grey.reshape(grey.shape[:2]).astype(float) / 255
    for angle, axis in ((0.0, 0), (90.0, 1)):
        figures = [t for t in texts(page.items) if t.text in ("0", "100 mm") and t.angle_deg == angle]
        last = next(t for t in figures if t.text == "100 mm")
        # the inches have a zero of their own on the other side of the bar
        zero = next(t for t in figures if t.text == "0" and (t.y == last.y if axis == 0 else t.x == last.x))
        assert measured(dark, page.height, zero.x, zero.y, last.x, last.y, axis) == pytest.approx(100.0, abs=0.1)


def measured(dark: np.ndarray, tall: float, x0: float, y0: float, x1: float, y1: float, axis: int) -> float:
    """Distance [mm] of the ticks of 0 and 100 mm, each found in the ink within 3 mm of its figure, square to the bar."""
    px = 300 / 25.4
    found = []
    for x, y in ((x0, y0), (x1, y1)):
        # the tick stands under its figure (bar along x) or to its right (bar along y)
        if axis == 0:
            row = dark[int((tall - y + 1.6) * px)]
            at, profile = x, row
        else:
            at, profile = tall - y, dark[:, int((x + 1.6) * px)]
        k = np.arange(profile.size)
        near = np.abs((k + 0.5) / px - at) < 2.0
        found.append(float(np.average((k[near] + 0.5) / px, weights=profile[near])))
    return abs(found[1] - found[0])


def test_the_printed_mold_line_measures_what_the_drawing_says() -> None:
    plan = make_plan(job_of(box(w=220.0, h=120.0)))
    page = template_document(plan, sample_identity(plan), "roll", "check").pages[-1]
    window = next(i for i in page.items if isinstance(i, Clip))
    pdf = pypdfium2.PdfDocument(write_pdf(Document("d", "d", (page,))))
    grey = pdf[0].render(scale=300 / 72, grayscale=True).to_numpy()
    dark = 1 - grey.reshape(grey.shape[:2]).astype(float) / 255
    px = 300 / 25.4

    def edge(profile: np.ndarray, at: float) -> float:
        k = np.arange(profile.size)
        near = np.abs((k + 0.5) / px - at) < 0.4  # the inside mold line stands 1 mm further in
        return float(np.average((k[near] + 0.5) / px, weights=profile[near]))

    row = dark[int((page.height - window.dy - 30) * px)]
    column = dark[:, int((window.dx + 55) * px)]
    assert edge(row, window.dx + 220) - edge(row, window.dx) == pytest.approx(220.0, abs=0.1)
    top, bottom = page.height - window.dy - 120, page.height - window.dy
    assert edge(column, bottom) - edge(column, top) == pytest.approx(120.0, abs=0.1)


# ---- check


def test_the_check_template_says_which_line_is_which_and_how_far_each_flange_stands_off() -> None:
    words = said(document("bevel", "check"))
    for part in (
        "outside mold line",
        "inside mold line",
        "free edge",
        "springback does not enter",
        "6.0 deg open",
        "7.0 deg closed",
    ):
        assert part in words
    lines = {line.look for line in content("bevel", "check").lines}
    assert lines == {"inside", "free", "end", "sign"}
    assert "free" not in {line.look for line in content("centre rib", "check").lines}


def test_a_drawing_without_tolerances_is_told_that_the_template_cannot_judge() -> None:
    assert "The drawing gives no tolerance on contour" in said(document("no tolerances", "check"))
    assert "tolerance on contour: +0.030 in" in said(document("nose rib", "check"))


def test_openings_of_the_check_template_are_the_formed_ones_and_pins_the_drawings() -> None:
    plan, made = sample_plan(), content("centre rib", "check")
    rims = {h.hole.name: h.rim_diameter for h in plan.blank.holes if h.rim_diameter}
    assert {h.name: h.diameter for h in made.holes if h.kind == "opening"} == rims
    assert {h.name for h in made.holes if h.takes_pin} == {"P1", "P2", "P3"}


# ---- which way up


def test_flanges_turned_up_lay_check_and_block_template_face_down_and_the_blank_names_its_face() -> None:
    for kind in ("check", "block"):
        assert content("turned up", kind).up == "PRINT DOWN"
        assert "mirrored" in said(document("turned up", kind))
        assert content("nose rib", kind).up == "PRINT UP"
        assert "mirrored" not in said(document("nose rib", kind))
    assert "inner face up" in content("turned up", "blank").side_up
    assert "heel face up" in content("nose rib", "blank").side_up


# ---- block


def test_the_block_template_has_web_face_and_foot_of_the_block() -> None:
    for name in ("repair rib, no press", "bevel", "ring bulkhead", "open bevel"):
        plan, made = plan_named(name), content(name, "block")
        faces = [made.outline, *made.cutouts]
        feet = [line.path for line in made.lines if line.look == "foot"]
        for ring, path in zip((*plan.block.outlines, *plan.block.feet), (*faces, *feet[: len(faces)]), strict=True):
            assert shapely.Polygon(path.chords(0.002)).hausdorff_distance(shapely.Polygon(ring)) < 0.02


def test_pins_of_the_block_template_have_the_pins_size_and_rings_are_sent_elsewhere() -> None:
    plan, made = with_ring(), content("ring", "block")
    assert {h.name: h.diameter for h in made.holes if h.kind == "pin"} == {p.name: p.diameter for p in plan.block.pins}
    assert not [h for h in made.holes if h.kind == "recess"]
    assert "Not on this block: L1" in said(document("ring", "block"))
    assert [h.name for h in content("nose rib", "block").holes if h.kind == "recess"] == ["L1"]


def test_each_wall_tells_its_lean_and_an_unknown_temper_says_so() -> None:
    words = said(document("bevel", "block"))
    assert "IN 8.5 deg" in words
    assert "OUT " in words
    assert "deg under" not in words
    assert "do NOT cut" in words
    assert "tilt the saw's table as the saw table of the block drawing says" in words
    plan = make_plan(job_of(box().replace("thickness =", 'formed_in = "W"\nthickness =')))
    made = template_document(plan, sample_identity(plan), "letter", "block")
    assert "not known for this temper" in said(made)
    assert "tilt the saw's table" not in said(made)


# ---- drill


def test_the_drill_template_lists_every_hole_with_its_place_and_when_it_is_drilled() -> None:
    plan, words = sample_plan(), said(document("centre rib", "drill"))
    for hole in plan.blank.holes:
        assert hole.hole.name in words
    for part in (
        "10.500 in (266.70 mm)",
        "from memory",
        "carries the pin",
        "turned by forming",
        "After forming: rivet rows",
    ):
        assert part in words
    drawn = {(h.x, h.y, h.diameter) for h in content("centre rib", "drill").holes}
    reliefs = [j for loop in plan.blank.joins for j in loop if j.relief != "none"]
    assert drawn == {(*h.hole.at, h.cut_diameter) for h in plan.blank.holes} | {
        (*j.centre, j.diameter) for j in reliefs
    }


@pytest.mark.parametrize("name", ["centre rib", "repair rib, no press", "box"])
def test_every_relief_hole_is_drilled_from_the_drill_template_and_marked_on_the_blank_template(name: str) -> None:
    plan = make_plan(job_of(box())) if name == "box" else plan_named(name)
    joins = [j for loop in plan.blank.joins for j in loop if j.relief != "none" and j.diameter > 0]
    assert joins
    drill, blank = (content_of(plan, sample_identity(plan), kind) for kind in ("drill", "blank"))
    rows = {row[0]: row for row in drill.tables[0].rows}
    assert drill.datum is not None
    for j in joins:
        row = rows[f"relief {j.before}/{j.after}"]
        assert row[1] == in_cell(show_length(j.diameter, drill.units))
        at = [show_length(v - o, drill.units) for v, o in zip(j.centre, drill.datum[1], strict=True)]
        assert row[4] == "\n".join(at)
        assert "before the outline is cut" in row[5]
        crossed = [i for i in template_spread(blank, "roll")[0].items if isinstance(i, Line)]
        arm = j.diameter / 2 + 2.0
        assert any(
            (i.x0, i.x1, i.y0) == pytest.approx((j.centre[0] - arm, j.centre[0] + arm, j.centre[1])) for i in crossed
        )
    made = said(template_document(plan, sample_identity(plan), "letter", "blank"))
    assert "relief hole, to the Ø: drill before cutting" in made
    assert all(f"Ø {show_length(j.diameter, blank.units)}" in made for j in joins)
    assert made.split(" ").count("relief") >= len(joins)


def test_a_part_without_relief_holes_speaks_of_none() -> None:
    assert "relief" not in said(document("no flange", "blank"))


@pytest.mark.parametrize("kind", CONTENTS)
@pytest.mark.parametrize("paper", ["letter", "a4"])
@pytest.mark.parametrize("name", ["centre rib", "nose rib", "repair rib, no press", "ring bulkhead"])
def test_every_tile_that_shows_a_holes_centre_carries_its_name(name: str, paper: str, kind: str) -> None:
    made = content(name, kind)
    spread, grid, _ = template_spread(made, paper)
    words = texts(spread.items)
    for t in grid.tiles:
        window = shapely.box(t.x, t.y, t.x + grid.window[0], t.y + grid.window[1])
        inside = {w.text for w in words if shapely.contains(window, room(w))}
        for h in made.named_holes:
            if shapely.contains_xy(shapely.buffer(window, -1.0), h.x, h.y):
                assert any(w == h.called or w.startswith((h.called + " ", h.name)) for w in inside), (t.name, h.name)


@pytest.mark.parametrize("name", ["centre rib", "nose rib", "repair rib, no press", "ring bulkhead"])
def test_a_register_mark_stands_off_holes_and_lines_where_it_can(name: str) -> None:
    for paper in ("letter", "a4"):
        made = content(name, "drill")
        spread, grid, _ = template_spread(made, paper)
        assert spread.registers is not None
        corners = {(m.x, m.y) for m in grid.registers()}
        for m in spread.registers:
            near = min([np.hypot(m.x - h.x, m.y - h.y) for h in made.holes], default=99.0)
            on = min(shapely.Point(m.x, m.y).distance(shapely.LineString(x.path.chords(0.05))) for x in made.every_line)
            assert (near >= 14.9 and on > 3.5 * 0.5**0.5) or (m.x, m.y) in corners


def test_a_register_mark_at_the_repair_ribs_hole_has_moved_away() -> None:
    made = content("repair rib, no press", "drill")
    spread, grid, _ = template_spread(made, "letter")

    def nearest(marks: tuple[Register, ...]) -> float:
        return float(min(np.hypot(m.x - h.x, m.y - h.y) for m in marks for h in made.holes))

    assert nearest(grid.registers()) < 5.0  # where the tiles' corner lies
    assert nearest(spread.registers or ()) >= 14.9


def test_only_holes_carry_a_circle_and_a_cross_on_a_drill_template() -> None:
    made = content("repair rib, no press", "drill")
    words = said(document("repair rib, no press", "drill"))
    assert "Centre-punch only the holes that carry a name and a Ø" in words
    assert "each cross" not in words
    spread, grid, marks = template_spread(made, "letter")
    assert [name for name, _ in marks.named] == ["M1", "M2", "M3", "M4"]
    centres = {(round(h.x, 6), round(h.y, 6)) for h in made.holes} | {(round(x, 6), round(y, 6)) for x, y in made.pins}
    for page in document("repair rib, no press", "drill").pages[-len(grid.tiles) :]:
        assert not [i for i in page.items if isinstance(i, Circle)]  # outside the drawing: the marks
    circles = {(round(i.cx, 6), round(i.cy, 6)) for i in spread.items if isinstance(i, Circle)}
    assert circles <= centres
    short = [i for i in spread.items if isinstance(i, Line) and i.y0 == i.y1 and abs(i.x1 - i.x0) < 60]
    assert {(round((i.x0 + i.x1) / 2, 6), round(i.y0, 6)) for i in short} <= centres


def test_a_large_hole_in_thin_sheet_and_a_fresh_edge_carry_their_cautions() -> None:
    assert "CAUTION, holes over 1/2 in" in said(document("repair rib, no press", "drill"))
    plain = make_plan(job_of(box()))
    assert all(h.cut_diameter <= 12.7 for h in plain.blank.holes)
    assert "CAUTION" not in said(template_document(plain, sample_identity(plain), "letter", "drill"))
    assert "fresh-cut edges" in said(document("centre rib", "blank"))


def test_places_are_measured_from_the_first_pin_hole_too() -> None:
    made = content("centre rib", "drill")
    assert made.datum is not None
    assert made.datum == ("P1", sample_plan().job.part.holes[3].at)
    rows = {row[0]: row for row in made.tables[0].rows}
    assert rows["P1"][4] == "0.000 in (0.00 mm)\n0.000 in (0.00 mm)"
    assert rows["P2"][4].splitlines()[0] == "27.500 in (698.50 mm)"


# ---- bevel cards


def test_each_card_tells_its_angle_its_place_its_sense_and_its_proof() -> None:
    words = said(document("bevel", "bevel"))
    for part in ("84.0 deg", "6.0 deg open", "97.0 deg", "7.0 deg closed", "square", "PART, RELEASED", "BLOCK, WALL"):
        assert part in words
    for part in (
        "Proof: 100 mm along the fine line",
        "square to the edge",
        "Angle along spar",
        "OPEN: leans away",
        "CLOSED: leans in under the web",
        "IN: foot SMALLER",
    ):
        assert part in words
    # 100 tan 6 deg
    assert "0.414 in (10.51 mm)" in words


def test_a_closed_flange_turned_up_leans_over_the_web_and_is_drawn_so() -> None:
    plan = make_plan(job_of(box(angle="97", extra='turn = "up"\n')))
    words = said(template_document(plan, sample_identity(plan), "letter", "bevel"))
    assert "CLOSED: leans in over the web" in words
    assert "under the web" not in words.replace("under the web where it is turned down", "")
    heights = {}
    for turn in ("up", "down"):
        c = replace(card(1, "part", Bevel(97.0, (Place("a", None),), 3.0)), turns=(turn,))
        flange = next(i for i in _picture(c) if isinstance(i, Polyline) and not i.closed)
        heights[turn] = flange.points[2][1] - flange.points[1][1]
        assert flange.points[2][0] < flange.points[1][0]  # closed: back in towards the web
    assert heights["up"] > 10 > -10 > heights["down"]


def test_words_of_the_heads_are_told_apart() -> None:
    plan = plan_named("repair rib, no press")
    for kind in TEMPLATES:
        words = said(document("repair rib, no press", kind))
        assert f"{sample_identity(plan).thickness} | fingerprint" in words
        assert f"NOT RELEASED - {plan.job.part.title}" in words


@pytest.mark.parametrize(
    ("deg", "words"), [(8.36, "IN 8.5 deg"), (-8.1, "OUT 8.0 deg"), (0.2, "square"), (-0.2, "square")]
)
def test_a_wall_leans_in_out_or_stands_square_to_half_a_degree(deg: float, words: str) -> None:
    assert sawn_lean(90.0 + deg) == words


def test_a_part_that_stops_crosses_out_every_page_of_every_kind() -> None:
    for kind in TEMPLATES:
        for page in document("nose rib", kind).pages:
            assert any(t.text.startswith("STOP") for t in texts(page.items))


# ---- router


@pytest.mark.parametrize("kind", ["blank", "block"])
def test_a_router_template_names_its_bushing_and_cutter_on_every_page(kind: str) -> None:
    plan = sample_plan("RX-0007", "")
    made = template_document(plan, sample_identity(plan), "letter", kind, ROUTER)
    for page in made.pages:
        words = " ".join(t.text for t in texts(page.items))
        assert "ROUTER TEMPLATE: only for bushing 0.500 in (12.70 mm) with cutter 0.250 in (6.35 mm)" in words
    assert "Corners that do not come out as drawn" in " ".join(texts_of(made))


def test_the_bevelled_parts_block_is_routed_at_its_larger_outline() -> None:
    plan = bevelled()
    made = content_of(plan, sample_identity(plan), "block", ROUTER)
    assert {line.look for line in made.lines} == {"foot", "part", "sign", "tick"}
    assert made.kind.title == "Router template, block"


# ---- where an edge's values count from


@pytest.mark.parametrize("kind", ["block", "check"])
def test_an_edge_with_values_along_it_shows_where_it_starts_and_no_other_edge_does(kind: str) -> None:
    plan, made = plan_named("bevel"), content("bevel", kind)
    dots = [x.path for x in made.lines if x.look == "sign" and x.path.closed]
    laid = {e.edge.name: e for loop in plan.blank.laid for e in loop.edges}
    spar = laid["spar"]
    assert len(dots) == 1
    start = spar.curve.point(spar.along(np.zeros(1)))[0]
    middle = np.mean([v[:2] for v in dots[0].vertices], axis=0)
    assert np.hypot(*(middle - start)) < 3.0 + 0.1 + float(np.max(np.abs(spar.tangent_inset(np.array([0.0])))))
    shaft = next(x.path.vertices for x in made.lines if x.look == "sign" and not x.path.closed)
    far = spar.curve.point(spar.along(np.array([20.0])))[0]
    assert np.dot(np.subtract(shaft[1][:2], shaft[0][:2]), far - start) > 0  # the way the values count
    assert "where 'along the edge' starts" in said(document("bevel", kind))
    assert "starts" not in said(document("repair rib, no press", kind)).partition("How to use it")[0]
    assert not [x for x in content("repair rib, no press", kind).lines if x.look == "sign"]


def test_the_block_template_ticks_each_limit_of_the_saw_zones_with_the_tilt_between_them() -> None:
    plan, made = plan_named("bevel"), content("bevel", "block")
    spar = next(e for loop in plan.blank.laid for e in loop.edges if e.edge.name == "spar")
    stretches = sorted((s.start, s.end, z.tilt) for z in plan.making.zones for s in z.stretches if s.edge == "spar")
    ticks = [x.path.vertices for x in made.lines if x.look == "tick"]
    assert len(ticks) == len(stretches) - 1 >= 1
    for vertices, (start, _, _) in zip(ticks, stretches[1:], strict=True):
        at = spar.curve.point(spar.along(np.array([start])))[0]
        assert shapely.LineString([v[:2] for v in vertices]).distance(shapely.Point(at)) < 3.0
    leans = [label.text for label in made.edge_labels if label.text.startswith(("IN ", "OUT ", "square"))]
    assert leans == [sawn_lean(90.0 + tilt) for _, _, tilt in stretches]
    printed = [t.text for t in texts(template_spread(made, "letter")[0].items)]
    assert all(printed.count(words) >= leans.count(words) for words in leans)
