"""The deviation sheet: what was found drawn at its place, to scale, with its verdict by mark; readable in black on white."""

from dataclasses import replace
from math import hypot

import numpy as np
import pytest
import shapely

from building import box, job_of
from documents.inspected import found_at, inspection_of, said_of
from documents.print_room import box_of, unreadable
from documents.sample import outside, said, sample_identity, sample_plan, texts_of
from documents.variants import bevelled, long_words, metric, without_tolerances
from ribwright.adapters.write_pdf import write_pdf
from ribwright.adapters.write_picture_svg import write_picture_svg
from ribwright.documents.angle_strips import HALF, angle_strips, reach_of
from ribwright.documents.characteristics import strain_on_limits, worst_of
from ribwright.documents.deviation_picture import deviation_picture
from ribwright.documents.deviation_scale import GROSS, LONGEST, Drawn, bars, times_of
from ribwright.documents.deviation_sheet import document, fit_words
from ribwright.documents.drawn_edges import lines_of
from ribwright.documents.inspection_papers import inspection_papers
from ribwright.documents.layout import content_width
from ribwright.documents.measures import measures
from ribwright.documents.page import Circle, Line, Polyline, Text, crossed_document
from ribwright.features.inspected import BLANK, PART
from ribwright.geometry.offset import outward
from ribwright.stages.found import NO_FIT, Fit, Found, FoundSet, Judged
from ribwright.stages.inspection import Inspection, judged_all
from ribwright.stages.plan import Plan, make_plan

EVERY = {
    "flap rib": lambda: sample_plan("Q7-2301-1", "P2"),
    "two rings": lambda: sample_plan("Q7-3205-1", "P3"),
    "tip rib": lambda: sample_plan("Q7-2105-1", "P2"),
    "notched": lambda: sample_plan("Q7-2101-1-notched"),
    "repair rib": lambda: sample_plan("RX-0007", ""),
    "bevel": bevelled,
    "no tolerances": without_tolerances,
    "long words": long_words,
    "metric": metric,
}
WIDTH = content_width("letter")


def of(plan: Plan, *found: Found, fit: Fit = NO_FIT) -> Inspection:
    said_ = said_of(plan)
    judged = judged_all(plan.job.part, plan.job.shop, said_, found)
    return Inspection(said_, "readings.csv", FoundSet(tuple(found), fit), judged)


def contour(edge: str, along: float, off: float, u: float = 0.05) -> Found:
    return Found("contour", {"edge": edge, "along_mm": along}, off, 0.0, "mm", u, "feeler", "G-07")


def ticks(plan: Plan, inspection: Inspection) -> list[Line]:
    made = deviation_picture(plan, inspection, (), WIDTH, 120.0, "in")
    return [i for i in made.piece.items if isinstance(i, Line) and i.stroke.width == 0.25]


@pytest.mark.parametrize("paper", ["letter", "a4"])
@pytest.mark.parametrize("case", EVERY)
def test_every_page_can_be_read_and_nothing_prints_past_it(case, paper):
    plan = EVERY[case]()
    made = document(plan, sample_identity(plan), paper, inspection_of(plan))
    assert made.name == "deviation-sheet"
    assert write_pdf(made) == write_pdf(made)
    assert [outside(p) for p in made.pages] == [[]] * len(made.pages)
    # the numbers of badges stand on a white or black shape of their own
    crossed = [[w for w in unreadable(p) if not w.split(" ")[0].isdigit()] for p in made.pages]
    assert crossed == [[]] * len(made.pages)


@pytest.mark.parametrize("off", [0.5, -0.5])
@pytest.mark.parametrize("edge", ["upper", "lower", "rear", "front"])
def test_a_tick_stands_square_to_its_edge_on_the_outside_where_metal_lies_outside(edge, off):
    plan = sample_plan("Q7-2301-1", "P2")
    laid = next(e for e in plan.blank.laid[0].edges if e.edge.name == edge)
    one = of(plan, contour(edge, laid.drawn.length / 3, off))
    [t] = ticks(plan, one)
    made = deviation_picture(plan, one, (), WIDTH, 120.0, "in")
    normal = outward(laid.curve.tangent(laid.at(np.array([laid.drawn.length / 3]))))[0]
    assert np.allclose([t.x1 - t.x0, t.y1 - t.y0], off * made.drawn.times * normal, atol=1e-6)


def test_a_tick_of_a_cutout_points_out_of_the_metal_into_the_opening():
    plan = sample_plan("Q7-3205-1", "P3")
    ring = plan.blank.laid[1]
    one = of(plan, *(contour(e.edge.name, e.drawn.length / 2, 0.4) for e in ring.edges))
    drawn = np.array([(t.x0, t.y0, t.x1, t.y1) for t in ticks(plan, one)])
    assert len(drawn) == len(ring.edges)
    middle = drawn[:, :2].mean(axis=0)
    assert all(hypot(*(row[2:] - middle)) < hypot(*(row[:2] - middle)) for row in drawn)


@pytest.mark.parametrize("case", ["flap rib", "two rings", "bevel"])
def test_the_tolerance_stands_as_far_off_the_outline_as_a_deviation_of_its_size(case):
    plan = EVERY[case]()
    allowed = plan.job.part.tolerance["contour"]
    made = deviation_picture(plan, of(plan), (), WIDTH, 120.0, "in")
    dashed = [i for i in made.piece.items if isinstance(i, Polyline) and i.stroke and i.stroke.dash]
    drawn = [i for i in made.piece.items if isinstance(i, Polyline) and i.stroke and i.stroke.width == 0.5]
    assert len(dashed) == 2 * len(drawn) == 2 * sum(len(loop.edges) for loop in plan.blank.laid)
    for k, line in enumerate(drawn):
        first = np.array(line.points[0])
        for beside, limit in zip(dashed[2 * k : 2 * k + 2], allowed, strict=True):
            assert hypot(*(np.array(beside.points[0]) - first)) == pytest.approx(limit * made.drawn.times, abs=1e-6)


@pytest.mark.parametrize("most", [0.02, 0.3, 1.0, 7.0])
def test_the_bar_is_as_long_as_the_deviation_that_it_names(most):
    plan = sample_plan("Q7-2301-1", "P2")
    drawn = Drawn(2.5, times_of(of(plan, contour("upper", 50.0, most)).judged, 0.762), LONGEST)
    items = bars(drawn, "mm", 0.0, 0.0)
    lines = [i for i in items if isinstance(i, Line) and i.y0 == i.y1]
    words = [i.text for i in items if isinstance(i, Text)]
    part, deviation = (float(w.rsplit(" mm", 1)[0].split()[-1]) for w in words)
    assert lines[0].x1 - lines[0].x0 == pytest.approx(part / drawn.smaller)
    assert lines[1].x1 - lines[1].x0 == pytest.approx(deviation * drawn.times)


@pytest.mark.parametrize("off", [0.01, 0.2, 0.76, 1.5, 2.2])
def test_scales_hold_the_largest_deviation_and_the_tolerance(off):
    plan = sample_plan("Q7-2301-1", "P2")
    judged = of(plan, contour("upper", 50.0, off)).judged
    times = times_of(judged, 0.762)
    assert times * max(0.762, off) <= LONGEST
    assert times * 2.6 * max(0.762, off + 0.05) >= LONGEST  # the next larger scale would not hold it


def test_one_gross_deviation_does_not_flatten_the_others_and_says_its_number():
    plan = sample_plan("Q7-2301-1", "P2")
    one = of(plan, contour("upper", 50.0, 0.5), contour("upper", 200.0, 30.0))
    made = deviation_picture(plan, one, (), WIDTH, 120.0, "in")
    assert made.drawn.times * GROSS * 0.762 <= LONGEST
    long = max(hypot(t.x1 - t.x0, t.y1 - t.y0) for t in ticks(plan, one))
    assert long == pytest.approx(made.drawn.longest + 1.0)
    assert "+1.181 in" in [i.text for i in made.piece.items if isinstance(i, Text)]


@pytest.mark.parametrize("case", EVERY)
def test_the_marks_of_opposite_sides_do_not_meet(case):
    plan = EVERY[case]()
    made = deviation_picture(plan, inspection_of(plan), (), WIDTH, 120.0, "in")
    assert made.drawn.longest <= LONGEST
    assert made.drawn.longest <= max(4.0, 0.5 * lines_of(plan, PART).narrowest / made.drawn.smaller)


def test_verdicts_are_told_by_mark_and_not_by_colour():
    plan = sample_plan("Q7-2301-1", "P2")
    one = of(plan, contour("upper", 50.0, 0.1), contour("upper", 150.0, 0.75), contour("upper", 250.0, 1.2))
    assert [j.verdict for j in one.judged] == ["inside", "cannot-tell", "outside"]
    made = deviation_picture(plan, one, (), WIDTH, 120.0, "in")
    marks = [i for i in made.piece.items if isinstance(i, Circle) and i.r == 0.85]
    assert sorted(m.fill or 0.0 for m in marks) == [0.0, 1.0, 1.0]
    crossed = [i for i in made.piece.items if isinstance(i, Line) and i.stroke.width == 0.3]
    assert len(crossed) == 2


@pytest.mark.parametrize("case", EVERY)
def test_the_worst_ten_are_the_worst_of_their_kind_and_a_bump_does_not_fill_the_table(case):
    plan = EVERY[case]()
    judged = inspection_of(plan).judged
    worst = worst_of(judged, 10)
    things = [(j.found.quantity, str({k: v for k, v in j.found.where.items() if k != "along_mm"})) for j in worst]
    assert len(set(things)) == len(worst) <= 10
    left = [j for j in judged if j.verdict == "outside" and not any(same_thing(j, w) for w in worst)]
    assert not left or all(w.verdict == "outside" for w in worst)
    for w in worst:
        peers = [j for j in judged if same_thing(j, w) and j.verdict == w.verdict]
        assert strain_on_limits(w) == max(strain_on_limits(j) for j in peers)


def same_thing(a: Judged, b: Judged) -> bool:
    mine, other = ({k: v for k, v in j.found.where.items() if k != "along_mm"} for j in (a, b))
    return a.found.quantity == b.found.quantity and mine == other


def test_bars_of_angles_go_up_for_closed_and_down_for_open_and_stay_on_the_strip():
    plan = sample_plan("Q7-2301-1", "P2")
    m = next(m for m in measures(plan, "in") if m.what.startswith("upper: bend angle\nstart"))
    for off, up in ((0.7, True), (-0.7, False), (20.0, True)):
        one = of(plan, found_at(m, off))
        [piece] = angle_strips(plan, one.judged, WIDTH, "in")
        bar = next(i for i in piece.items if isinstance(i, Polyline) and i.stroke)
        ys = [y for _, y in bar.points]
        assert (ys[2] > ys[0]) == up
        assert abs(ys[2] - ys[0]) <= HALF + 1e-9
        assert abs(ys[2] - ys[0]) == pytest.approx(min(abs(off) / reach_of(one.judged), 1.0) * HALF)


def test_holes_drift_as_the_table_says_and_the_web_bow_is_told():
    plan = sample_plan("Q7-2301-1", "P2")
    bow = Found("web_flatness", {"loop": "web"}, 0.5, 0.0, "mm", 0.05, "feeler", "G-07")
    x = [
        Found("hole_position", {"hole": "L2", "axis": a}, v, 0.0, "mm", 0.03, "calliper", "G-05")
        for a, v in (("x", 0.1), ("y", -0.2))
    ]
    text = said(document(plan, sample_identity(plan), "letter", of(plan, bow, *x)))
    assert "Web bow: +0.0197 in (+0.50 mm), ± 0.0020 in: inside." in text
    made = deviation_picture(plan, of(plan, *x), (), WIDTH, 120.0, "in")
    drift = [
        i for i in made.piece.items if isinstance(i, Line) and i.stroke.width == 0.4 and i.y0 > -made.piece.height + 9.0
    ]
    assert [(d.x1 - d.x0, d.y1 - d.y0) for d in drift] == [
        pytest.approx((0.1 * made.drawn.times, -0.2 * made.drawn.times))
    ]


def test_how_it_was_laid_on_the_drawing_stands_in_words_with_twice_the_standard_deviation():
    plan = sample_plan("Q7-2301-1", "P2")
    fit = Fit(1.0, -2.0, 0.5, 0.02, "places", np.diag([0.01**2, 0.02**2, np.radians(0.01) ** 2]))
    words = fit_words(of(plan, fit=fit), "mm")
    for part in (
        "by places along its edges",
        "x 1.00 mm",
        "y -2.00 mm",
        "0.500 deg",
        "x ± 0.020 mm",
        "y ± 0.040 mm",
        "turn ± 0.020 deg",
        "0.020 mm (0.0008 in) rms",
    ):
        assert part in words
    assert "Each reading was taken at a place of the drawing" in fit_words(of(plan), "mm")


def test_nothing_found_is_said_and_no_verdict_is_made_up():
    plan = sample_plan("Q7-2301-1", "P2")
    text = said(document(plan, sample_identity(plan), "letter", of(plan)))
    assert "Nothing was found that has a place on the drawing." in text
    assert "Each reading was taken at a place of the drawing" in text


def test_a_stopped_part_is_crossed_out_on_every_page_and_stays_readable():
    plan = sample_plan("Q7-2301-1", "P2")
    made = crossed_document(document(plan, sample_identity(plan), "a4", inspection_of(plan)), "The block is not there.")
    assert texts_of(made).count("VOID") == len(made.pages)
    assert [outside(p, 4.0) for p in made.pages] == [[]] * len(made.pages)


def test_a_cut_blank_has_no_bend_angles():
    plan = sample_plan("Q7-2301-1", "P2")
    m = next(m for m in measures(plan, "in") if m.what.startswith("upper: bend angle"))
    one = of(plan, contour("upper", 50.0, 0.3), found_at(m, 0.2))
    heading = "Bend angles along the edges"
    assert heading in texts_of(document(plan, sample_identity(plan), "letter", one))
    blank = replace(one, said=said_of(plan, what=BLANK))
    assert heading not in texts_of(document(plan, sample_identity(plan), "letter", blank))


def test_the_sheet_is_a_picture_too():
    plan = sample_plan("Q7-2301-1", "P2")
    made = document(plan, sample_identity(plan), "letter", inspection_of(plan))
    assert "deviations drawn" in write_picture_svg(made)


def test_a_cut_blanks_ticks_stand_on_its_cut_line_and_not_on_the_drawn_one():
    plan = sample_plan("Q7-2301-1", "P2")
    one = replace(of(plan, contour("upper", 180.0, 0.4)), said=said_of(plan, what=BLANK))
    made = deviation_picture(plan, one, (), WIDTH, 120.0, "in")
    rings = [i for i in made.piece.items if isinstance(i, Polyline) and i.closed and i.stroke and i.stroke.width == 0.5]
    assert len(rings) == len(plan.blank.loops)
    [t] = ticks(plan, one)
    cut = shapely.LinearRing(rings[0].points)
    assert cut.distance(shapely.Point(t.x0, t.y0)) < 0.02
    out = cut.distance(shapely.Point(t.x1, t.y1)) / (0.4 * made.drawn.times)
    assert out == pytest.approx(1.0, abs=0.01)
    assert not shapely.Polygon(rings[0].points).contains(shapely.Point(t.x1, t.y1))
    drawn = next(e for e in plan.blank.laid[0].edges if e.edge.name == "upper")
    width = float(drawn.leg(np.array([180.0]))[0])
    lines = lines_of(plan, BLANK)
    at = lines.edges["upper"].place(np.array([180.0]))[0]
    assert hypot(*(at - drawn.curve.point(drawn.at(np.array([180.0]))))[0]) > 0.8 * width


def test_the_least_width_of_a_rectangle_is_its_short_side():
    plan = make_plan(job_of(box(w=120.0, h=45.0)))
    assert lines_of(plan, PART).narrowest == pytest.approx(45.0, abs=1e-3)


@pytest.mark.parametrize("seed", range(12))
def test_no_number_on_a_strip_lies_over_a_bar_or_another_number(seed):
    plan = sample_plan("Q7-2301-1", "P2")
    rng = np.random.default_rng(seed)
    long = 340.0
    at = np.sort(rng.uniform(5.0, long, rng.integers(1, 60)))
    found = [
        Found("flange_angle", {"edge": "upper", "along_mm": float(x)}, 90.0 + float(d), 90.0, "deg", 0.1, "points")
        for x, d in zip(at, rng.normal(0.0, rng.choice([0.3, 1.0, 3.0]), len(at)), strict=True)
    ]
    [piece] = angle_strips(plan, of(plan, *found).judged, WIDTH, "in")
    bars_ = [i for i in piece.items if isinstance(i, Polyline) and i.stroke]
    assert len(bars_) == len(found)
    numbers = [i for i in piece.items if isinstance(i, Text) and i.anchor == "middle"]
    assert numbers
    boxes = [box_of(t) for t in numbers]
    for k, (x0, y0, x1, y1) in enumerate(boxes):
        for bar in bars_:
            xs, ys = zip(*bar.points, strict=True)
            assert min(xs) >= x1 or max(xs) <= x0 or min(ys) >= y1 or max(ys) <= y0
        assert all(b[0] >= x1 or b[2] <= x0 or b[1] >= y1 or b[3] <= y0 for b in boxes[:k])


def test_a_formed_part_has_three_papers_and_a_cut_blank_no_first_article():
    plan = sample_plan("Q7-2301-1", "P2")
    part = of(plan, contour("upper", 50.0, 0.3))
    blank = replace(part, said=said_of(plan, what=BLANK))
    identity = sample_identity(plan)
    names = [[d.name for d in inspection_papers(plan, identity, "letter", x)] for x in (part, blank)]
    assert names == [["deviation-sheet", "inspection-sheet", "first-article"], ["deviation-sheet", "inspection-sheet"]]
    stopped = replace(identity, stops=("The block is not there.",))
    for paper in inspection_papers(plan, stopped, "a4", part):
        assert texts_of(paper).count("VOID") == len(paper.pages)
