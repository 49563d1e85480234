"""A fair curve stays within what was asked of it; a point is judged by the others, wherever the table lies and however it is turned."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ribwright.geometry.fair import fair, fair_parameter
from ribwright.geometry.fit_error import LEAST_POINTS, THRESHOLD, fit_error
from ribwright.geometry.suspects import suspects
from section_ordinates import as_table, section

STEP = 0.0254
Points = np.ndarray


def contour(seed: int) -> Points:
    from ribwright.stages.table_lines import table_lines

    s = section(np.random.default_rng(seed))
    (line,) = table_lines(as_table(s.upper, s.lower))
    return line.points


def with_error(p: Points, i: int, error: float) -> Points:
    q = p.copy()
    q[i, 1] += error
    return q


# ---------------------------------------------------------------- fairing


def test_in_the_parameter_a_parabola_is_nearer_to_a_parabola_than_over_its_chords() -> None:
    t = np.linspace(-1.0, 1.0, 41)
    parabola = np.column_stack([15.0 * t**2, 30.0 * t])
    found = fair_parameter(parabola)
    even = np.linspace(0.0, 1.0, 41)
    chord = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(parabola, axis=0).T))])
    assert np.abs(found - even).max() < 0.6 * np.abs(chord / chord[-1] - even).max()


@settings(max_examples=15, deadline=None)
@given(st.integers(0, 10_000), st.floats(0.005, 0.5))
def test_a_fair_curve_passes_every_point_within_what_was_asked(seed: int, within: float) -> None:
    p = contour(seed)
    f = fair(p, within)
    assert f.off.max() <= within
    assert np.hypot(*(f.curve.point(f.at) - p).T) == pytest.approx(f.off, abs=1e-5)


def test_the_more_a_curve_may_leave_the_points_the_less_it_bends() -> None:
    p = contour(3)
    bending = []
    for within in (0.01, 0.1, 1.0):
        curve = fair(p, within).curve
        s = np.linspace(0.0, curve.length, 4001)
        bending.append(float(np.sum(np.diff(curve.curvature(s)) ** 2)))
    assert bending[0] > bending[1] > bending[2]


def test_points_of_a_circle_give_the_circle() -> None:
    a = np.linspace(0.0, 4.0, 30)
    circle = 200.0 * np.column_stack([np.cos(a), np.sin(a)])
    curve = fair(circle, 0.01).curve
    s = np.linspace(0.0, curve.length, 500)
    assert np.hypot(*curve.point(s).T) == pytest.approx(200.0, abs=0.02)
    assert curve.length == pytest.approx(800.0, rel=1e-4)


@pytest.mark.parametrize("n", [2, 3, 4])
def test_few_points_are_passed_exactly(n: int) -> None:
    p = np.column_stack([np.arange(n) * 10.0, np.arange(n) ** 2 * 1.0])
    f = fair(p, 0.05)
    assert f.off.max() == 0.0
    assert f.curve.point(f.at) == pytest.approx(p, abs=1e-9)


# ---------------------------------------------------------------- judging


def test_a_wrong_point_is_found_with_what_it_is_wrong_by() -> None:
    a = np.linspace(0.2, 2.5, 25)
    arc = np.round(600.0 * np.column_stack([np.cos(a), np.sin(a)]) / STEP) * STEP
    (found,) = suspects(arc + np.eye(25)[:, [12]] * 0.5 * np.array([np.cos(a[12]), np.sin(a[12])]), STEP)
    assert found.index == 12
    assert abs(found.miss) == pytest.approx(0.5, abs=3 * found.local)
    # counter-clockwise the left is inward, and the point stands out
    assert found.miss < 0.0
    assert np.array(found.normal) == pytest.approx(-np.array([np.cos(a[12]), np.sin(a[12])]), abs=0.02)


def test_exact_lines_and_circles_accuse_no_point() -> None:
    a = np.linspace(0.0, 2.0, 20)
    for p in (300.0 * np.column_stack([np.cos(a), np.sin(a)]), np.column_stack([a * 100.0, a * 30.0])):
        assert suspects(np.round(p / STEP) * STEP, STEP) == ()


@settings(max_examples=10, deadline=None)
@given(st.integers(0, 10_000), st.floats(0.0, 6.28), st.floats(0.05, 20.0), st.booleans(), st.booleans())
def test_the_judgement_does_not_hang_on_place_turn_size_hand_or_direction(
    seed: int, turn: float, size: float, mirrored: bool, backwards: bool
) -> None:
    p = contour(seed)
    errors = fit_error(p, STEP)
    judged = np.flatnonzero(errors.judged)
    i = int(judged[len(judged) // 2])
    p = with_error(p, i, 40 * errors.local[i])
    plain = fit_error(p, STEP)
    c, s = np.cos(turn), np.sin(turn)
    q = size * (p * [-1.0 if mirrored else 1.0, 1.0]) @ np.array([[c, s], [-s, c]]) + [1234.0, -77.0]
    moved = fit_error(q[::-1] if backwards else q, STEP * size)
    share = moved.share[::-1] if backwards else moved.share
    # lam is one of a list, half a decade apart, and for a last bit the next one is taken: a share can be a quarter off then (seed 1
    # backwards at twice the size: 2.04 and 1.55). Who is clearly suspect stays so, and who is clearly not
    assert (share[plain.share > 2 * THRESHOLD] > THRESHOLD).all()
    assert (share[plain.share < THRESHOLD / 2] < THRESHOLD).all()


def test_two_wrong_points_are_both_found_and_their_neighbours_are_not() -> None:
    p = contour(5)
    errors = fit_error(p, STEP)
    judged = np.flatnonzero(errors.judged)
    i, j = int(judged[len(judged) // 5]), int(judged[4 * len(judged) // 5])
    q = with_error(with_error(p, i, 40 * errors.local[i]), j, -40 * errors.local[j])
    assert {s.index for s in suspects(q, STEP)} == {i, j}


def test_ends_and_drawn_corners_and_short_lines_are_not_judged() -> None:
    corner = np.array([[x, 0.0] for x in range(0, 100, 10)] + [[100.0, y] for y in range(0, 100, 10)], float)
    judged = fit_error(corner, STEP).judged
    assert not judged[[0, 10, -1]].any()
    assert judged[5]
    assert suspects(corner, STEP) == ()
    assert not fit_error(contour(1)[: LEAST_POINTS - 1], STEP).judged.any()


def test_a_long_table_is_judged_in_pieces_and_loses_nothing_at_their_seams() -> None:
    a = np.linspace(0.1, 1.5, 300)
    wavy = np.column_stack([1000.0 * a, 60.0 * np.sin(2 * a) + 15.0 * np.cos(5 * a)])
    p = np.round(wavy / STEP) * STEP
    errors = fit_error(p, STEP)
    assert errors.judged[1:-1].all()
    assert errors.share.max() < THRESHOLD
    planted = (59, 98, 121, 240)
    for i in planted:
        p[i, 1] += 0.4
    assert {s.index for s in suspects(p, STEP)} == set(planted)


def test_the_uncertainty_follows_the_spacing_of_the_points() -> None:
    def local(n: int) -> float:
        a = np.linspace(0.0, 3.0, n)
        p = np.column_stack([400.0 * a, 100.0 * np.sin(3 * a)])
        return float(np.median(fit_error(np.round(p / STEP) * STEP, STEP).local[2:-2]))

    assert local(12) > 10 * local(24) > 10 * STEP / np.sqrt(12)
    assert local(200) < STEP


@pytest.mark.parametrize("times", [1.0, 100.0])
def test_a_gross_slip_is_no_corner_but_a_wrong_point(times: float) -> None:
    p = contour(8)
    i = int(np.flatnonzero(fit_error(p, STEP).judged)[4])
    assert [s.index for s in suspects(with_error(p, i, 2.54 * times), STEP)] == [i]
