"""What a dense curve is in truth, few points for the house's spline, lines and arcs that lie on one another."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from ribwright.geometry.curve import Arc, Spline
from ribwright.geometry.interpolated import points_through
from ribwright.geometry.overlap import arcs_on_arcs, united_lines
from ribwright.geometry.recognise import is_straight, round_arc


def arc(radius: float, start: float, sweep: float, n: int = 60) -> np.ndarray:
    t = start + sweep * np.linspace(0, 1, n)
    return np.column_stack([7 + radius * np.cos(t), -3 + radius * np.sin(t)])


@given(st.floats(0.5, 5000), st.floats(-3, 3), st.floats(0.05, 6.2), st.booleans())
@settings(max_examples=60, deadline=None)
def test_points_of_an_arc_are_known_for_one(radius: float, start: float, sweep: float, left: bool) -> None:
    points = arc(radius, start, sweep if left else -sweep)
    found = round_arc(points)
    assert found is not None
    centre, half = found
    assert centre == pytest.approx([7, -3], abs=1e-7 * radius / min(sweep, 1) ** 2)
    assert half == pytest.approx(arc(radius, start, (sweep if left else -sweep), 3)[1], abs=1e-6 * radius)
    assert not is_straight(points)


@pytest.mark.parametrize("bend", [1e-6, 1e-3, 0.1])
def test_a_curve_that_is_only_nearly_round_or_straight_is_neither(bend: float) -> None:
    t = np.linspace(0, 1, 50)
    assert not is_straight(np.column_stack([100 * t, 100 * bend * t * t]))
    points = arc(50, 0, 2)
    assert round_arc(points * np.array([1 + bend, 1])) is None


def test_a_line_that_turns_back_is_not_straight() -> None:
    assert not is_straight(np.array([(0, 0), (5, 0), (3, 0), (9, 0)], float))
    assert is_straight(np.array([(0, 0), (3, 1), (9, 3)], float))


@given(st.floats(0.3, 3.0), st.floats(1.0, 60.0), st.sampled_from([0.05, 0.005, 0.0005]))
@settings(max_examples=10, deadline=None)
def test_the_spline_through_the_chosen_points_stays_within_the_tolerance(
    waves: float, height: float, tolerance: float
) -> None:
    x = np.linspace(0, 400, 4001)
    dense = np.column_stack([x, height * np.sin(2 * np.pi * waves * x / 400)])
    chosen, missed = points_through(dense, tolerance)
    assert missed <= tolerance
    assert {0, 4000} <= set(chosen.tolist())
    # measured anew, by the house's own spline in chords that leave it by some hundred-thousandths of a millimetre
    spline = Spline([tuple(p) for p in dense[chosen]], None, None)
    line = shapely.LineString(spline.point(np.linspace(0, spline.length, 20_001)))
    assert float(np.max(shapely.distance(shapely.points(dense[::23]), line))) <= tolerance + 3e-5


def test_a_direction_at_the_ends_saves_points() -> None:
    dense = np.column_stack([400 * np.linspace(0, 1, 4001), 30 * np.cos(np.pi * np.linspace(0, 1, 4001))])
    free, _ = points_through(dense, 0.001)
    held, missed = points_through(dense, 0.001, (1.0, 0.0), (1.0, 0.0))
    assert missed <= 0.001
    assert len(held) < len(free)


def test_a_curve_of_few_points_is_kept_whole() -> None:
    dense = np.array([(0, 0), (10, 8), (20, 0)], float)
    chosen, missed = points_through(dense, 1e-6)
    assert chosen.tolist() == [0, 1, 2]
    assert missed == 0.0


def test_lines_that_overlap_become_one_and_lines_that_meet_do_not() -> None:
    ends = np.array(
        [[[0, 0], [10, 0]], [[14, 0.001], [6, 0]], [[14, 0], [20, 0]], [[0, 5], [10, 5]], [[0, 0], [0, 5]]], float
    )
    (one,) = united_lines(ends, 0.01)
    assert set(one.lines) == {0, 1}
    assert {one.start, one.end} == {(0.0, 0.0), (14.0, 0.001)}
    assert one.twice == pytest.approx(4.0, abs=1e-3)


@pytest.mark.parametrize(
    ("first", "second", "shared"), [((0, 90), (60, 90), 30), ((0, 90), (90, 90), 0), ((0, 300), (280, 120), 60)]
)
def test_arcs_of_one_circle_share_what_they_share(first: tuple, second: tuple, shared: float) -> None:
    arcs = [Arc((1.0, 2.0), 10.0, *np.radians(first)), Arc((1.0, 2.0), 10.0, *np.radians(second))]
    # the second one drawn the other way round
    arcs[1] = Arc(arcs[1].centre, 10.0, arcs[1].start + arcs[1].sweep, -arcs[1].sweep)
    rows = np.array([(*a.centre, a.radius, a.start, a.sweep) for a in arcs])
    found = arcs_on_arcs(rows[:, :2], rows[:, 2], rows[:, 3], rows[:, 4], 0.01)
    assert sum(twice for _, _, twice in found) == pytest.approx(10 * np.radians(shared))
