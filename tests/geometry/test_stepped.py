"""A curve moved inward in steps: arcs that are arcs, lengths and slopes that are those of its points, places found both ways."""

from __future__ import annotations

import numpy as np
import pytest

from ribwright.geometry.curve import Arc, Curve, Line, Spline
from ribwright.geometry.stepped import Ramp, Stepped

LINE = Line((0.0, 0.0), (100.0, 0.0))
BASES: dict[str, Curve] = {
    "line": LINE,
    "convex arc": Arc((0.0, 0.0), 60.0, 0.3, 1.4),
    "concave arc": Arc((0.0, 0.0), 60.0, 0.3, -1.4),
    "spline": Spline([(0.0, 0.0), (30.0, -6.0), (60.0, -2.0), (95.0, -8.0)], None, None),
}
STEPS = (Ramp(20.0, 6.0, 0.9), Ramp(55.0, 7.5, -0.9))


@pytest.fixture(params=sorted(BASES))
def stepped(request: pytest.FixtureRequest) -> Stepped:
    return Stepped(BASES[request.param], STEPS)


def test_on_a_straight_edge_a_ramp_is_two_true_arcs_that_meet_without_a_kink() -> None:
    h, length = 0.9, 6.0
    line = Stepped(LINE, STEPS[:1])
    rho = (length**2 + h**2) / (4 * h)
    x = line.point(line.of_drawn(np.linspace(20.0, 26.0, 41)))
    first, second = x[x[:, 0] < 23.0], x[x[:, 0] > 23.0]
    # inward is to the left of travel, up: the first arc turns about a point above the line, the second about one below the deep one
    assert np.allclose(np.hypot(first[:, 0] - 20.0, first[:, 1] - rho), rho)
    assert np.allclose(np.hypot(second[:, 0] - 26.0, second[:, 1] - (h - rho)), rho)
    assert line.length == pytest.approx(100.0 + 2 * rho * 2 * np.arctan(h / length) - length, abs=1e-9)
    middle = line.tangent(line.of_drawn(np.array([23.0])))[0]
    assert np.arctan2(middle[1], middle[0]) == pytest.approx(2 * np.arctan(h / length))


def test_the_area_that_a_straight_edge_gives_up_is_depth_times_the_stretch_less_its_steps() -> None:
    line = Stepped(LINE, STEPS)
    p = line.point(np.linspace(0.0, line.length, 20001))
    taken = np.trapezoid(p[:, 1], p[:, 0])
    # each step is symmetrical about its middle: it takes half of its own rectangle
    assert taken == pytest.approx(0.9 * (62.5 - 20.0 - (6.0 + 7.5) / 2), rel=1e-6)


def test_arc_length_is_the_length_of_fine_chords(stepped: Stepped) -> None:
    s = np.linspace(0.0, stepped.length, 40001)
    chords = np.hypot(*np.diff(stepped.point(s), axis=0).T)
    assert chords.sum() == pytest.approx(stepped.length, rel=1e-8)
    assert np.ptp(chords) < 1e-7


def test_direction_and_curvature_are_those_of_its_points(stepped: Stepped) -> None:
    ends = np.concatenate([[0.0, stepped.length], stepped.breaks])
    s = np.linspace(0.5, stepped.length - 0.5, 173)
    s = s[np.abs(s[:, None] - ends).min(axis=1) > 0.02]  # the curvature jumps where arcs meet
    e = 1e-3
    behind, here, ahead = (stepped.point(s + d) for d in (-e, 0.0, e))
    assert np.abs((ahead - behind) / (2 * e) - stepped.tangent(s)).max() < 1e-5
    turn = (ahead - 2 * here + behind) / e**2
    t = stepped.tangent(s)
    assert np.abs(t[:, 0] * turn[:, 1] - t[:, 1] * turn[:, 0] - stepped.curvature(s)).max() < 2e-3


def test_places_on_the_drawn_line_and_on_the_stepped_one_are_found_from_each_other(stepped: Stepped) -> None:
    at = np.linspace(-3.0, stepped.drawn.length + 3.0, 301)
    assert np.abs(stepped.drawn_of(stepped.of_drawn(at)) - at).max() < 1e-9


def test_away_from_its_steps_the_line_lies_square_beside_the_drawn_one(stepped: Stepped) -> None:
    at = np.array([10.0, 40.0, 70.0])
    p, t = stepped.drawn.point(at), stepped.drawn.tangent(at)
    inward = np.column_stack([-t[:, 1], t[:, 0]])
    assert np.allclose(stepped.point(stepped.of_drawn(at)), p + np.array([0.0, 0.9, 0.0])[:, None] * inward, atol=1e-9)


def test_a_line_that_begins_deep_stays_deep_until_its_step() -> None:
    line = Stepped(LINE, (Ramp(55.0, 7.5, -0.9),), 0.9)
    assert line.point(np.array([0.0, line.length]))[:, 1] == pytest.approx([0.9, 0.0])
    assert line.straight(0.0, 54.0)
    assert not line.straight(0.0, 56.0)


def test_read_backwards_it_is_the_same_line() -> None:
    there = Stepped(LINE, STEPS)
    # a ramp that rises there falls here, and inward is now on the other side
    back = Stepped(Line(LINE.end, LINE.start), [Ramp(100.0 - r.end, r.length, -r.rise) for r in STEPS])
    s = np.linspace(0.0, there.length, 77)
    assert np.allclose(there.point(s) * [1, -1], back.point(back.length - s), atol=1e-9)
