"""Curves over arc length, held against closed forms and a general-purpose spline library."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.interpolate import CubicSpline
from shapely import LineString, Point

from ribwright.geometry.curve import Arc, Cubic, Line, Spline, curve_from_points, samples
from ribwright.geometry.fit import lines_and_arcs
from ribwright.geometry.offset import SetOver, meet, sewn
from ribwright.geometry.path import Path

POINTS = [(0.0, 0.0), (10.0, 6.0), (22.0, 7.0), (40.0, 2.0), (55.0, 3.0)]
ENDS = [(None, None), ((1.0, 0.0), None), (None, (0.0, 1.0)), ((0.6, 0.8), (1.0, 0.0))]


@pytest.mark.parametrize("ends", ENDS)
def test_the_cubic_is_the_one_of_the_reference_library(ends) -> None:
    """scipy.interpolate.CubicSpline with the same end conditions, value and two derivatives."""
    p = np.array(POINTS)
    u = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(p, axis=0).T))])
    conditions = tuple((2, np.zeros(2)) if e is None else (1, np.array(e)) for e in ends)
    theirs, ours = CubicSpline(u, p, bc_type=conditions), Cubic(u, p, *ends)
    at = np.linspace(0, u[-1], 301)
    for order in range(3):
        assert np.abs(theirs(at, order) - ours(at, order)).max() < 1e-10


def test_arc_length_of_a_spline_is_true() -> None:
    curve = Spline(POINTS, None, None)
    s = np.linspace(0, curve.length, 4001)
    steps = np.hypot(*np.diff(curve.point(s), axis=0).T)
    assert steps.sum() == pytest.approx(curve.length, rel=1e-6)
    assert np.abs(steps / steps.mean() - 1).max() < 1e-3


def test_a_curve_drawn_backwards_is_the_same_curve() -> None:
    there, back = Spline(POINTS, None, None), Spline(POINTS[::-1], None, None)
    s = samples(there, 0.01)
    assert np.allclose(there.length - s[::-1], samples(back, 0.01))
    assert np.abs(there.point(s) - back.point(there.length - s)).max() < 1e-9
    assert np.abs(there.curvature(s) + back.curvature(there.length - s)).max() < 1e-8


def test_an_arc_goes_through_its_three_points_the_right_way_round() -> None:
    for points in (((0, 0), (5, 5), (10, 0)), ((0, 0), (5, -1), (10, 0)), ((1, 0), (-1, 0.0), (0, -1))):
        arc = Arc.through(*points)
        distance = [np.hypot(*(arc.point(np.linspace(0, arc.length, 2001)) - p).T).min() for p in points]
        assert max(distance) < 0.01
        assert np.allclose(arc.point(np.array([0.0, arc.length])), [points[0], points[2]])


def test_three_points_on_a_line_are_no_arc() -> None:
    with pytest.raises(ValueError, match="one line"):
        curve_from_points("arc", [(0, 0), (1, 1), (2, 2)])


def test_samples_keep_the_chord_error_asked_for() -> None:
    arc = Arc.through((100, 0), (0, 100), (-100, 0))
    s = samples(arc, 0.01)
    middles = arc.point(s)[:-1] / 2 + arc.point(s)[1:] / 2
    assert (100 - np.hypot(*middles.T)).max() < 0.01


def test_set_over_lines_meet_where_the_offset_lines_cross() -> None:
    """Two straight lines at a right angle set over by 2 and 3: the meeting is (length - 3, 2)."""
    a, b = Line((0, 0), (50, 0)), Line((50, 0), (50, 40))
    m = meet(SetOver(a, lambda s: np.full(len(s), 2.0)), SetOver(b, lambda s: np.full(len(s), 3.0)))
    assert m.found
    assert m.point == pytest.approx((47.0, 2.0))
    assert (m.sa, m.sb) == pytest.approx((47.0, 2.0))


def test_lines_and_arcs_hold_every_point_and_are_few() -> None:
    t = np.linspace(0, np.pi, 500)
    ellipse = np.column_stack([80 * np.cos(t), 30 * np.sin(t)])
    path = Path(lines_and_arcs(ellipse, 0.01), closed=False)
    line = LineString(path.chords(1e-5))
    assert max(line.distance(Point(p)) for p in ellipse) < 0.01 + 1e-5
    assert len(path.vertices) < 30


def test_an_exact_arc_comes_back_as_one_or_two_arcs() -> None:
    t = np.linspace(0, 2.5, 200)
    path = Path(lines_and_arcs(np.column_stack([20 * np.cos(t), 20 * np.sin(t)]), 0.01), closed=False)
    assert path.counts()["arcs"] <= 2
    assert path.length() == pytest.approx(50.0, abs=1e-3)


def test_a_path_of_two_half_circles_has_the_circle_s_area_and_length() -> None:
    circle = Path(((1.0, 0.0, 1.0), (-1.0, 0.0, 1.0)))
    assert circle.area() == pytest.approx(np.pi)
    assert circle.length() == pytest.approx(2 * np.pi)
    assert circle.mirrored().area() == pytest.approx(np.pi)


def test_a_reversed_or_mirrored_curve_gets_the_same_lines_and_arcs() -> None:
    t = np.linspace(0.0, 1.0, 400)
    curve = np.column_stack([300 * t, 40 * t * (1 - t) ** 3 + 3 * np.sin(5 * t)])
    plain = np.array(lines_and_arcs(curve, 0.01))
    back = np.array(lines_and_arcs(curve[::-1], 0.01))
    mirrored = np.array(lines_and_arcs(curve * [-1, 1], 0.01))
    assert len(plain) == len(back) == len(mirrored)
    assert np.abs(plain[:, :2] - back[::-1, :2]).max() < 1e-9
    assert np.abs(plain[:-1, 2] + back[-2::-1, 2]).max() < 1e-9
    assert np.abs(plain * [-1, 1, -1] - mirrored).max() < 1e-9


def test_two_lines_that_step_aside_are_sewn_where_they_are_and_not_where_they_would_meet() -> None:
    """A jump of width at a smooth join: side by side the lines cross far off, once 292 mm away on a hole of 30 mm."""
    a = np.array([[0.0, 0.0], [5.0, 0.001], [10.0, 0.0]])
    b = np.array([[9.999, 0.4], [15.0, 0.3991], [20.0, 0.4]])
    left, right = sewn(a, b)
    assert np.allclose(left[-1], right[0])
    assert np.hypot(*(left[-1] - a[-1])) < 0.41
    # lines set over at a slight kink each overstep their crossing by the same length, and are cut back to it
    along, over = np.array([np.cos(0.015), -np.sin(0.015)]), 0.11
    seam = np.array([10.0 - over, 0.0])
    left, right = sewn(np.array([[0.0, 0.0], [10.0, 0.0]]), np.array([seam - over * along, seam + 10 * along]))
    assert left[-1] == pytest.approx(seam, abs=1e-12)
    assert right[0] == pytest.approx(seam, abs=1e-12)
