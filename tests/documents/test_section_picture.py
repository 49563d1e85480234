"""Pictures of the section: to scale, arrows square on the sheet, every number the model's, all print free of lines."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import pairwise
from math import inf

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from documents.print_room import unreadable
from documents.sample import outside, said, sample_identity, sample_plan, texts_of
from documents.section_made import flange, made_formed, made_pressed, made_run, pressed_by_the_model
from ribwright.documents.entry_table import fine_length
from ribwright.documents.page import Document, Page, Polyline, Text
from ribwright.documents.section_curve import (
    AngleBand,
    PressureMark,
    between,
    chart_of,
    closing_mark,
    curve_picture,
)
from ribwright.documents.section_drawn import moment_line, pressure_arrows, push_arrows, sheet_items, view_of
from ribwright.documents.section_picture import Marks, panel_pressures, section_pages
from ribwright.documents.section_shape import (
    LOADED,
    RELEASED,
    block_distance,
    block_surface,
    corner_of,
    hatched,
    seen,
    story,
)
from ribwright.documents.section_words import moment_words, pressure_words, stress_words
from ribwright.mechanics.section.model import CANCELLED, STUCK
from ribwright.units import show_angle

MARKS = Marks(90.0, "2024-T3 0.040 in", "pad", (PressureMark(1.65, "needed"), PressureMark(7.0, "there is")))


def drawn(pages: tuple[Page, ...]) -> Document:
    return Document("section", "Section", pages)


SEEDS = st.integers(0, 10**6)


# ---- what is drawn


@pytest.mark.parametrize("seed", [5, 15, 27, 41, 60, 119, 144])  # each once had print under a line
def test_no_line_runs_through_print_and_nothing_leaves_the_page(seed):
    free_print(seed, "letter")


@pytest.mark.slow
@settings(max_examples=200, deadline=None)
@given(SEEDS, st.sampled_from(["letter", "a4"]))
def test_no_line_runs_through_print_of_any_flange(seed, paper):
    free_print(seed, paper)


def free_print(seed: int, paper: str) -> None:
    pressed, first, marks = made_run(seed)
    for page in section_pages("edge upper at 12.500 in (317.50 mm)", pressed, first, marks, paper):
        assert unreadable(page) == []
        assert outside(page) == []


@settings(max_examples=40, deadline=None)
@given(SEEDS)
def test_the_sheet_is_drawn_to_one_scale(seed):
    pressed, _, _ = made_run(seed)
    s = seen(LOADED, 1.0, pressed.points[-1].loaded)
    view, _ = view_of(pressed.flange, [s], 0.0, 0.0, 90.0, 70.0)
    (area,) = sheet_items(s, view)
    assert isinstance(area, Polyline)
    on_paper = np.array(area.points)
    n = len(on_paper) // 2
    thick = np.hypot(*(on_paper[:n] - on_paper[::-1][:n]).T)
    assert thick == pytest.approx(pressed.flange.t * view.fit.scale, rel=1e-6)
    flat = np.hypot(*(s.inner[-1] - s.outer[-20])) * view.fit.scale
    assert np.hypot(*(on_paper[n - 1] - on_paper[n + 19])) == pytest.approx(flat, rel=1e-9)


@settings(max_examples=40, deadline=None)
@given(SEEDS)
def test_the_pads_arrows_end_square_on_the_outer_face_all_as_long(seed):
    pressed, _, _ = made_run(seed)
    s = seen(LOADED, 1.0, pressed.points[-1].loaded)
    view, _ = view_of(pressed.flange, [s], 0.0, 0.0, 90.0, 70.0)
    face = np.array([view.fit(*p) for p in s.outer.tolist()])
    for tail, head in pressure_arrows(s, view):
        way = np.subtract(head, tail)
        assert np.hypot(*way) == pytest.approx(7.0, rel=1e-6)
        k = _segment(face, np.array(head))
        along = face[k + 1] - face[k]
        chord = np.degrees(np.arcsin(abs(way @ along) / np.hypot(*way) / np.hypot(*along)))
        assert chord < 0.5 + np.degrees(pressed.points[-1].loaded.slope[k + 1] - pressed.points[-1].loaded.slope[k])
        # from outside: the arrow runs against the face's outward side
        up = s.outer[k] - s.inner[k]
        assert way @ up < 0.0


def _segment(face: np.ndarray, at: np.ndarray) -> int:
    """The chord of the face on which a point lies; it must lie on one."""
    a, b = face[:-1], face[1:]
    share = np.clip(((at - a) * (b - a)).sum(axis=1) / ((b - a) ** 2).sum(axis=1), 0.0, 1.0)
    off = np.hypot(*(a + share[:, None] * (b - a) - at).T)
    assert off.min() < 1e-6
    return int(np.argmin(off))


@pytest.mark.parametrize("k", [0, 1, 2])
def test_the_blocks_arrows_are_as_long_as_its_push_and_stand_square_on_the_inner_face(k):
    point = pressed_by_the_model().points[k]
    s = seen(LOADED, point.pressure, point.loaded)
    view, _ = view_of(pressed_by_the_model().flange, [s], 0.0, 0.0, 90.0, 70.0)
    most = float(point.loaded.push.max())
    nodes = [np.array(view.fit(*p)) for p in s.inner.tolist()]
    arrows = push_arrows(s, view)
    assert arrows
    for tail, head in arrows:
        node = int(np.argmin([np.hypot(*(n - head)) for n in nodes]))
        way = np.subtract(head, tail)
        assert np.hypot(*way) / 13.0 == pytest.approx(point.loaded.push[node] / most, rel=1e-9)
        across = np.array([np.cos(point.loaded.slope[node]), -np.sin(point.loaded.slope[node])])
        assert abs(way @ across) < 1e-6 * np.hypot(*way) + 1e-9
        assert way @ (s.outer[node] - s.inner[node]) > 0.0
    assert max(np.hypot(*np.subtract(h, t)) for t, h in arrows) == pytest.approx(13.0)


def test_the_moment_stands_on_the_stretched_side_as_high_as_it_is_large():
    point = pressed_by_the_model().points[-1]
    s = seen(LOADED, point.pressure, point.loaded)
    view, _ = view_of(pressed_by_the_model().flange, [s], 0.0, 0.0, 90.0, 70.0)
    foot, top = (np.array(v) for v in moment_line(s, view))
    moment = point.loaded.moment[-len(foot) :]
    x = (point.loaded.x[1:] + point.loaded.x[:-1]) / 2
    assert foot[:, 0] == pytest.approx([view.fit(v, 0.0)[0] for v in x[x >= view.left]])
    outward = (s.outer - s.inner)[1:][-len(foot) :]
    side = np.einsum("ij,ij->i", top - foot, outward)
    assert np.array_equal(np.sign(side), np.sign(moment))
    assert np.hypot(*(top - foot).T) == pytest.approx(
        15.0 * np.abs(moment) / np.abs(point.loaded.moment).max(), rel=1e-9
    )


@pytest.mark.parametrize("angle", [12.0, 45.0, 90.0, 97.0, 140.0])
def test_the_angles_arc_meets_web_and_flange_where_their_outer_faces_would(angle):
    f = flange(wall=angle)
    s = seen(LOADED, 1.0, made_formed(f, angle))
    c = corner_of(s)
    # on the web's outer face, and on the line of the flange's
    assert c.at[1] == pytest.approx(f.t)
    line = s.outer[-1] - s.outer[-10]
    assert line[0] * (s.outer[-1, 1] - c.at[1]) - line[1] * (s.outer[-1, 0] - c.at[0]) == pytest.approx(0.0, abs=1e-9)
    # (R + t) tan(a/2) from where the bend begins, as any bend's mold point
    assert c.at[0] == pytest.approx((f.radius + f.t) * np.tan(np.radians(angle / 2)), rel=2e-3)


@given(st.floats(20.0, 160.0), st.floats(0.2, 10.0), st.floats(1.0, 30.0))
def test_the_blocks_line_is_the_blocks_surface(wall, radius, down):
    f = replace(flange(wall=wall), radius=radius)
    line = np.array(block_surface(f, -5.0, down))
    assert block_distance(f, line) == pytest.approx(0.0, abs=1e-9)
    assert np.hypot(*(line[-1] - line[-2])) == pytest.approx(down)


def test_distances_from_the_block_are_the_models_own_gaps():
    point = pressed_by_the_model().points[-1].loaded
    off = block_distance(pressed_by_the_model().flange, point.inner)
    assert off.max() == pytest.approx(max(point.lift, point.crown_gap, point.wall_gap), abs=1e-12)


@given(st.lists(st.floats(1.0, 9.0), min_size=3, max_size=9), st.floats(0.2, 3.0))
def test_hatching_covers_the_area_and_stays_inside(radii, pitch):
    turn = np.linspace(0.0, 2 * np.pi, len(radii), endpoint=False)
    area = [(r * float(np.cos(a)), r * float(np.sin(a))) for r, a in zip(radii, turn, strict=True)]
    x, y = np.array(area).T
    lines = hatched(area, pitch)
    long = sum(np.hypot(b[0] - a[0], b[1] - a[1]) for a, b in lines)
    size = abs(float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y))) / 2
    # lines so far apart, as long as the area is wide there: their sum times the pitch is the area but for its ends
    widest = max(np.hypot(b[0] - a[0], b[1] - a[1]) for a, b in lines) if lines else 20.0
    assert long * pitch == pytest.approx(size, abs=2.0 * pitch * widest)


# ---- what is said


@pytest.mark.parametrize("first", ["in", "mm"])
def test_every_number_shown_is_the_models(first):
    pressed = pressed_by_the_model()
    text = said(drawn(section_pages("edge lower", pressed, first, MARKS)))
    last = pressed.points[-1]
    assert last.released is not None
    assert last.loaded.inside_radius is not None
    assert last.released.inside_radius is not None
    for words in (
        show_angle(last.loaded.angle, 1),
        show_angle(last.released.angle, 1),
        f"springback {show_angle(last.loaded.angle - last.released.angle, 1)}",
        f"inside radius, pressed {fine_length(last.loaded.inside_radius, first)}",
        f"inside radius, released {fine_length(last.released.inside_radius, first)}",
        f"web lifted by up to {fine_length(last.loaded.lift, first)}",
        f"gap beside the wall, up to {fine_length(last.loaded.wall_gap, first)}",
        f"largest push of the block {stress_words(float(last.loaded.push.max()), first)}",
        f"Largest stress left in the part {stress_words(last.released.stress, first)}",
        f"Thinnest over the bend {fine_length(last.loaded.thickness, first)}",
        f"largest, {moment_words(float(last.loaded.moment.max()), first)}",
        f"PAD: {pressure_words(7.0, first)} on the sheet",
        f"needed {pressure_words(1.65, first)}",
        "drawing asks 90.0 deg",
        "Nothing here was compared with a real formed part.",
    ):
        assert words in text


def test_no_angle_is_shown_that_is_not_one_of_the_runs():
    pressed = pressed_by_the_model()
    f = pressed.flange
    known = {f.wall, f.wall - 0.5, 90.0, 0.0}
    for p in pressed.points:
        assert p.released is not None
        known |= {p.loaded.angle, p.released.angle, p.loaded.angle - p.released.angle, p.loaded.angle - f.wall}
    shown = re.findall(r"(-?[0-9.]+) deg\b", said(drawn(section_pages("edge lower", pressed, "in", MARKS))))
    assert len(shown) > 10
    for number in shown:
        assert any(number in (show_angle(a, d).removesuffix(" deg") for d in (1, 2)) for a in known), number


def test_a_flange_that_stays_open_is_named_so_and_one_that_closes_is_not():
    f = flange()
    open_ = said(drawn(section_pages("edge", made_pressed(f, (1.0, 2.0), (30.0, 60.0)), "in")))
    shut = said(drawn(section_pages("edge", made_pressed(f, (1.0, 2.0, 5.0), (30.0, 96.6, 97.0)), "in")))
    assert "full pressure: open" in open_
    assert "just past closing" not in open_
    assert "full pressure: open" not in shut
    assert "just past closing" in shut


def test_a_run_without_a_band_says_so_and_one_with_a_band_prints_it():
    f, p = flange(), (1.0, 5.0)
    pressed = made_pressed(f, p, (60.0, 97.0))
    bare = said(drawn(section_pages("edge", pressed, "in")))
    band = AngleBand(p, (50.0, 90.1), (55.0, 92.0), (60.0, 94.2))
    held = said(drawn(section_pages("edge", pressed, "in", Marks(released=band))))
    assert "No band is known here" in bare
    assert "90 %: 90.1 to 94.2" in held
    assert "No band is known here" not in held


@pytest.mark.parametrize(("outcome", "words"), [(STUCK, "The model stopped here"), (CANCELLED, "Stopped by hand")])
def test_a_run_that_ended_early_shows_what_was_had_and_says_why(outcome, words):
    pressed = made_pressed(flange(), (1.0, 2.0), (30.0, 60.0))
    last = replace(pressed.points[-1], on_block=None, released=None, outcome=outcome)
    text = said(drawn(section_pages("edge", replace(pressed, points=(pressed.points[0], last), outcome=outcome), "in")))
    assert words in text
    assert "60.0 deg" in text
    assert "springback" not in text.replace("the springback is drawn straight", "")
    nothing = said(drawn(section_pages("edge", replace(pressed, points=(), outcome=outcome), "in")))
    assert words in nothing
    assert "nothing to draw" in nothing


def test_with_an_identity_every_page_carries_it_and_the_foot_that_fits_a_model():
    plan = sample_plan()
    pages = section_pages("edge lower", pressed_by_the_model(), "in", MARKS, "letter", sample_identity(plan))
    assert len(pages) == 2
    for page in pages:
        text = said(drawn((page,)))
        assert "Q7-2102-1" in text
        assert "Computed by the section model. Nothing here was compared with a real formed part." in text
        assert "closed forms" not in text
        assert unreadable(page) == []
        assert outside(page) == []


def test_the_panels_go_from_flat_over_rising_pressure_to_released():
    pressed = made_pressed(flange(), (1.0, 2.0, 3.0, 4.0, 5.0, 9.0), (5.0, 30.0, 60.0, 96.6, 97.0, 97.1))
    assert [s.kind for s in story(pressed)] == ["flat", *["loaded"] * 6, "released"]
    texts = texts_of(drawn(section_pages("edge", pressed, "mm")))
    names = [t for t in texts if t in ("flat", "bending", "just past closing", "closed", "full pressure", "released")]
    assert names == ["flat", "bending", "just past closing", "closed", "full pressure", "released"]


@given(st.floats(0.01, 100.0), st.floats(0.01, 200.0))
def test_pressures_for_the_panels_rise_and_end_with_the_full_one(closing, full):
    asked = panel_pressures(closing, full)
    assert asked[-1] == full
    assert all(a < b for a, b in pairwise(asked))


# ---- the chart


@settings(max_examples=40, deadline=None)
@given(SEEDS)
def test_the_chart_places_a_pressure_by_its_logarithm_and_holds_everything(seed):
    pressed, _, marks = made_run(seed)
    at = chart_of(pressed, 180.0, 100.0, marks.asked_deg, marks.pressures, marks.released)
    low, high = at.p
    middle = at((low * high) ** 0.5, at.a[0])[0]
    assert middle == pytest.approx((at(low, at.a[0])[0] + at(high, at.a[0])[0]) / 2)
    for m in marks.pressures:
        assert low <= m.mpa <= high
    assert at.a[1] > pressed.flange.wall


def test_rings_stand_at_the_models_own_points():
    pressed = pressed_by_the_model()
    piece = curve_picture(pressed, "mm", 180.0, 100.0)
    at = chart_of(pressed, 180.0, 100.0, None, (), None)
    rings = {(round(i.cx, 6), round(i.cy, 6)) for i in piece.items if hasattr(i, "cx")}
    wanted = {tuple(round(v, 6) for v in at(p.pressure, p.released.angle)) for p in pressed.points if p.released}
    assert rings == wanted


def test_the_released_line_runs_through_every_ring_and_the_band_lies_about_it():
    pressed = pressed_by_the_model()
    last = pressed.points[-1].released
    assert last is not None
    # a band that is known at two pressures only, neither of them a ring's
    band = AngleBand((1.2, 6.0), (40.0, last.angle - 3.0), (45.0, last.angle - 1.0), (52.0, last.angle + 1.0))
    at = chart_of(pressed, 180.0, 100.0, None, (), band)
    piece = curve_picture(pressed, "mm", 180.0, 100.0, None, (), band)
    lines = [i for i in piece.items if isinstance(i, Polyline) and i.stroke is not None and not i.closed]
    (free,) = [np.array(i.points) for i in lines if i.stroke is not None and i.stroke.width == 0.6 and i.stroke.dash]
    low, high = (np.array(i.points) for i in lines if i.stroke is not None and i.stroke.width == 0.2)
    for p in pressed.points:
        assert p.released is not None
        ring = at(p.pressure, p.released.angle)
        assert np.hypot(*(free - ring).T).min() < 1e-6
    for edge, wanted in ((low, (40.0, last.angle - 3.0)), (high, (52.0, last.angle + 1.0))):
        assert tuple(edge[0]) == pytest.approx(at(1.2, wanted[0]), abs=1e-6)
        assert tuple(edge[-1]) == pytest.approx(at(6.0, wanted[1]), abs=1e-6)
    inside = free[(free[:, 0] >= low[0, 0]) & (free[:, 0] <= low[-1, 0])]
    assert np.all(np.interp(inside[:, 0], low[:, 0], low[:, 1]) < inside[:, 1])
    assert np.all(inside[:, 1] < np.interp(inside[:, 0], high[:, 0], high[:, 1]))


def test_between_two_points_the_released_angle_never_passes_the_angle_under_load():
    pressed = pressed_by_the_model()
    free = [(p.pressure, p.released.angle) for p in pressed.points if p.released is not None]
    line = np.array(between(pressed, free))
    ramp = pressed.ramp[1:]
    loaded = np.interp(np.log(line[:, 0]), np.log(ramp[:, 0]), ramp[:, 1])
    assert np.all(line[:, 1] < loaded)
    for p, a in free:
        assert line[np.argmin(np.abs(line[:, 0] - p)), 1] == pytest.approx(a)


def test_a_closing_pressure_is_marked_only_where_the_flange_got_to_its_wall():
    shut = made_pressed(flange(wall=97.0), (1.0, 2.0, 3.0, 8.0), (40.0, 90.0, 97.0, 97.0))
    assert shut.closing == 4.0  # the estimate, which the run does not bear out
    mark = closing_mark(shut, 8.0, 2.9)
    assert mark is not None
    assert (mark.words, mark.mpa) == ("closes", 2.9)
    assert closing_mark(shut, 8.0, 8.5) is None
    open_ = made_pressed(flange(wall=97.0), (1.0, 2.0, 3.0, 8.0), (40.0, 60.0, 70.0, 80.0))
    assert open_.closing < 8.0
    assert closing_mark(open_, 8.0, inf) is None


def test_an_estimate_of_the_closing_pressure_is_called_one_and_only_stands_by_straight_flanges():
    open_ = replace(made_pressed(flange(wall=97.0), (1.0, 2.0), (40.0, 60.0)), closing=3.0)
    mark = closing_mark(open_, 2.0, inf)
    assert mark is not None
    assert (mark.mpa, mark.words) == (3.0, "would close, an estimate:")
    assert closing_mark(replace(open_, closing=7.0), 2.0, inf) is None  # far off
    hole = replace(made_pressed(flange(axis=30.0), (1.0, 2.0), (40.0, 60.0)), closing=3.0)
    assert closing_mark(hole, 2.0, inf) is None


def test_of_two_states_only_the_released_one_is_drawn_without_pressure():
    pressed = pressed_by_the_model()
    kinds = {s.kind: s.pressure for s in story(pressed)}
    assert kinds[RELEASED] == 0.0
    assert kinds[LOADED] == 7.0
    assert [t for t in texts_of(drawn(section_pages("edge", pressed, "mm"))) if t.startswith("PAD")] == [
        f"PAD: {pressure_words(7.0, 'mm')} on the sheet"
    ]


def test_print_is_large_enough_for_an_arms_length():
    sizes = [
        i.size_pt
        for page in section_pages("edge", pressed_by_the_model(), "in", MARKS)
        for i in page.items
        if isinstance(i, Text)
    ]
    assert min(sizes) >= 8.0
