"""A curve as lines and arcs that meet without a corner; a surface set in by its skin."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ribwright.geometry.curve import Arc, Line, Spline
from ribwright.geometry.fit import lines_and_arcs
from ribwright.geometry.path import Path
from ribwright.geometry.skin import set_in
from ribwright.geometry.tangent_arcs import tangent_arcs


def wavy(seed: int) -> Spline:
    rng = np.random.default_rng(seed)
    x = np.linspace(0.0, 600.0, 9)
    y = 60.0 * np.sin(x / rng.uniform(80.0, 200.0)) + rng.uniform(-20.0, 20.0, 9)
    return Spline([(float(a), float(b)) for a, b in zip(x, y, strict=True)], None, None)


def far_from(p: np.ndarray, chords: np.ndarray) -> np.ndarray:
    """Distance of points from a polyline."""
    d = np.diff(chords, axis=0)
    off = p[:, None] - chords[None, :-1]
    share = np.clip(np.sum(off * d, axis=2) / np.sum(d * d, axis=1), 0.0, 1.0)
    return np.asarray(np.hypot(*np.moveaxis(off - share[..., None] * d, -1, 0)).min(axis=1))


def test_a_circle_is_one_arc_and_a_line_one_line() -> None:
    arc = tangent_arcs(Arc((5.0, -3.0), 100.0, 0.3, 2.0), 0.01)
    assert (arc.arcs, arc.lines) == (1, 0)
    assert np.arctan(arc.vertices[0][2]) * 4 == pytest.approx(2.0)
    line = tangent_arcs(Line((0.0, 1.0), (10.0, 5.0)), 0.01)
    assert (line.arcs, line.lines, line.deviation) == (0, 1, pytest.approx(0.0, abs=1e-12))


@settings(max_examples=15, deadline=None)
@given(st.integers(0, 10_000), st.sampled_from([0.01, 0.05, 0.3]))
def test_the_pieces_stay_within_what_was_asked_meet_without_a_corner_and_end_where_the_curve_does(
    seed: int, within: float
) -> None:
    curve = wavy(seed)
    made = tangent_arcs(curve, within)
    ends = curve.point(np.array([0.0, curve.length]))
    assert np.array([made.vertices[0][:2], made.vertices[-1][:2]]) == pytest.approx(ends, abs=1e-9)
    assert made.deviation <= within
    assert made.corner < 1e-6
    # measured anew, on points of its own, in both directions
    drawn = np.array(Path(made.vertices, closed=False).chords(within / 50))
    exact = curve.point(np.linspace(0.0, curve.length, 1500))
    assert far_from(exact, drawn).max() <= 1.1 * within
    assert far_from(drawn, exact).max() <= 1.1 * within


def test_a_wider_tolerance_takes_fewer_pieces_and_tangency_some_more() -> None:
    curve = wavy(4)
    counts = [len(tangent_arcs(curve, w).vertices) - 1 for w in (0.01, 0.1, 1.0)]
    assert counts[0] > counts[1] > counts[2]
    cornered = len(lines_and_arcs(curve.point(np.linspace(0.0, curve.length, 4000)), 0.1)) - 1
    assert cornered <= counts[1] <= 2.5 * cornered


@pytest.mark.parametrize(("sweep", "radius"), [(2.0, 99.0), (-2.0, 101.0)])
def test_a_circle_set_in_to_the_left_is_a_circle_by_the_thickness_smaller_or_larger(
    sweep: float, radius: float
) -> None:
    made = set_in(Arc((0.0, 0.0), 100.0, 0.0, sweep), 1.0)
    assert made.curve is not None
    assert made.error < 0.002
    dense = made.curve.point(np.linspace(0.0, made.curve.length, 777))
    assert np.hypot(*dense.T) == pytest.approx(radius, abs=0.003)


@settings(max_examples=10, deadline=None)
@given(st.integers(0, 10_000), st.floats(0.3, 3.0))
def test_a_line_set_in_runs_everywhere_at_the_thickness(seed: int, thickness: float) -> None:
    curve = wavy(seed)
    made = set_in(curve, thickness)
    if made.curve is None:
        s = np.linspace(0.0, curve.length, 4000)
        assert curve.curvature(s).max() * thickness > 0.99
        return
    exact = curve.point(np.linspace(0.0, curve.length, 4000))
    inside = made.curve.point(np.linspace(0.0, made.curve.length, 201))[5:-5]
    assert far_from(inside, exact) == pytest.approx(thickness, abs=made.error + 0.003)


def test_a_surface_that_turns_tighter_than_the_skin_has_no_line_under_it() -> None:
    made = set_in(Arc((0.0, 0.0), 2.0, 0.0, 1.0), 2.5)
    assert made.curve is None
    assert made.folds is not None
    assert np.hypot(*made.folds) == pytest.approx(2.0)
    assert set_in(Arc((0.0, 0.0), 2.0, 0.0, -1.0), 2.5).folds is None
