"""Whether an old block can be filed to a new undercut: sections laid over each other by plain geometry."""

from __future__ import annotations

from math import cos, radians, sin, tan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ribwright.stages.reworking import FILE, NEW, STAYS, rework, worst

ANGLE, RADIUS, T, HEIGHT = 90.0, 3.0, 1.0, 20.0


def foot(u: float) -> float:
    """Where the wall of a block cut to undercut `u` meets the table, out of the bend tangent line: arc, then straight down the wall."""
    w = radians(ANGLE + u)
    r = (RADIUS + T / 2) * radians(ANGLE) / w - T / 2
    return r * sin(w) + (HEIGHT - r * (1 - cos(w))) / tan(w)


@given(old=st.floats(0.0, 10.0), more=st.floats(0.3, 8.0))
def test_more_undercut_is_filed_and_less_is_a_new_block(old: float, more: float) -> None:
    there = rework(RADIUS, T, ANGLE, old, old + more, HEIGHT)
    back = rework(RADIUS, T, ANGLE, old + more, old, HEIGHT)
    assert there.what == FILE
    assert back.what == NEW
    assert there.off_foot == pytest.approx(-back.off_foot)
    assert there.off_most == pytest.approx(-back.off_most)


@given(old=st.floats(-3.0, 10.0), new=st.floats(-3.0, 10.0))
def test_what_comes_off_at_the_foot_is_how_far_the_walls_stand_apart_there(old: float, new: float) -> None:
    assert rework(RADIUS, T, ANGLE, old, new, HEIGHT).off_foot == pytest.approx(foot(old) - foot(new), abs=1e-9)


def test_a_square_wall_tilted_by_one_degree_by_hand() -> None:
    """20 mm high, R 3, t 1, from 0 to 1 deg. Old: R_b 3, foot 3.000. New: w = 91 deg, R_b = 3.5 x 90/91 - 0.5 = 2.96154; arc ends
    2.96154 sin 91 = 2.96109 out and 2.96154 (1 - cos 91) = 3.01322 down; 16.98678 further down the wall leans in by
    16.98678 cot 91 = -0.29651. Foot 2.66458: 0.3354 mm come off. Worked by hand for this test."""
    r = rework(3.0, 1.0, 90.0, 0.0, 1.0, 20.0)
    assert r.off_foot == pytest.approx(0.3354, abs=2e-4)
    assert r.off_most == pytest.approx(r.off_foot)
    assert r.depth == pytest.approx(20.0)


def test_the_same_undercut_leaves_the_block_as_it_is() -> None:
    assert rework(RADIUS, T, ANGLE, 4.0, 4.0, HEIGHT).what == STAYS
    assert rework(RADIUS, T, ANGLE, 4.0, 4.01, HEIGHT).what == STAYS


def test_where_no_edge_keeps_the_arc_it_is_a_new_block_and_said() -> None:
    r = rework(0.1, 1.0, 90.0, 0.0, 40.0, HEIGHT)
    assert (r.what, r.sharp) == (NEW, True)


@given(angle=st.floats(30.0, 150.0), old=st.floats(0.0, 6.0), more=st.floats(0.5, 6.0), ratio=st.floats(1.5, 6.0))
def test_at_every_bend_angle_the_greater_undercut_lies_inside_the_smaller_one(
    angle: float, old: float, more: float, ratio: float
) -> None:
    """Twenty thicknesses deep, whatever angle and radius."""
    r = rework(ratio, 1.0, angle, old, old + more, 20.0)
    assert r.what == FILE
    assert r.off_most >= r.off_foot - 1e-9 > -1e-9


def test_one_place_that_needs_metal_makes_it_a_new_block() -> None:
    rows = [rework(RADIUS, T, ANGLE, 4.0, u, HEIGHT) for u in (4.0, 5.0, 3.0)]
    assert worst(rows[:1]) == STAYS
    assert worst(rows[:2]) == FILE
    assert worst(rows) == NEW
    assert worst([]) == STAYS
