"""The sides of the block in section, and the distance from it, in arrays: the compiled model's own."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from ribwright.mechanics.block_section import distance, sides
from ribwright.mechanics.section.loads import gap

points = st.lists(st.tuples(st.floats(-30, 30), st.floats(-30, 30)), min_size=1, max_size=8)


@settings(deadline=None)
@given(points, st.floats(0.01, 10.0), st.floats(0.2, 3.0))
def test_the_distance_is_that_by_which_the_model_pushes(
    rows: list[tuple[float, float]], radius: float, wall: float
) -> None:
    here = np.array(rows)
    np.testing.assert_allclose(
        distance(here, radius, wall), [gap(x, y, radius, wall)[0] for x, y in rows], rtol=0, atol=1e-12
    )


@settings(deadline=None)
@given(points, st.floats(0.01, 10.0), st.floats(0.2, 3.0))
def test_every_point_lies_by_one_side_which_is_where_the_model_pushes_it(
    rows: list[tuple[float, float]], radius: float, wall: float
) -> None:
    beside_wall = [x * np.sin(wall) + (y + radius) * np.cos(wall) - radius for x, y in rows]
    assume(all(abs(b - y) > 1e-9 for b, (_, y) in zip(beside_wall, rows, strict=True)))  # there the normal jumps
    masks = np.array(sides(np.array(rows), radius, wall))
    assert masks.sum(axis=0).tolist() == [1] * len(rows)
    for (x, y), (web, _, beside) in zip(rows, masks.T, strict=True):
        _, mx, my, _ = gap(x, y, radius, wall)
        if web:
            assert (mx, my) == pytest.approx((0.0, 1.0), abs=1e-6)
        if beside:
            assert (mx, my) == pytest.approx((np.sin(wall), np.cos(wall)), abs=1e-6)


def test_under_the_web_face_a_point_by_an_undercut_wall_is_the_walls() -> None:
    wall = np.radians(110.0)
    foot = 3.0 * np.array([np.sin(wall), np.cos(wall) - 1.0]) + 20.0 * np.array([np.cos(wall), -np.sin(wall)])
    off = foot + 0.05 * np.array([np.sin(wall), np.cos(wall)])
    assert off[0] < 0.0
    web, edge, beside = sides(off[None], 3.0, wall)
    assert (web[0], edge[0], beside[0]) == (False, False, True)
    np.testing.assert_allclose(distance(off[None], 3.0, wall), 0.05)
