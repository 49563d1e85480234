"""Signed distance from closed outlines, held against a general geometry library (shapely, GEOS) and against plain circles."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from ribwright.geometry.outline_distance import OutlineDistance


def _star(seed: int) -> np.ndarray:
    """A ragged outline, counter-clockwise."""
    rng = np.random.default_rng(seed)
    n = int(rng.integers(5, 40))
    a = np.sort(rng.uniform(0, 2 * np.pi, n))
    return np.column_stack([np.cos(a), np.sin(a)]) * rng.uniform(20, 60, n)[:, None]


@pytest.mark.parametrize("seed", range(12))
def test_distance_and_sign_are_those_of_a_geometry_library(seed: int) -> None:
    ring = _star(seed)
    shape = shapely.Polygon(ring)
    if not shape.is_valid or not shapely.LinearRing(ring).is_ccw:
        pytest.fail("a star about its middle is a simple ring")
    p = np.random.default_rng(seed + 100).uniform(-70, 70, (4000, 2))
    found = OutlineDistance([ring]).of(p)
    true = shapely.distance(shapely.points(p), shapely.LinearRing(ring))
    assert np.abs(found.deviation) == pytest.approx(true, abs=1e-3)
    clear = true > 1e-9
    assert (found.deviation > 0)[clear].tolist() == (~shapely.contains_xy(shape, p))[clear].tolist()


def test_an_opening_runs_the_other_way_and_its_inside_is_outside_the_metal() -> None:
    outer = np.array([(0, 0), (100, 0), (100, 60), (0, 60)], float)
    opening = np.array([(40, 20), (40, 40), (60, 40), (60, 20)], float)
    both = OutlineDistance([outer, opening])
    found = both.of(np.array([(50.0, 30.0), (50.0, 45.0), (-1.0, -1.0), (1.0, 30.0), (50.0, 38.0)]))
    assert found.deviation == pytest.approx([10.0, -5.0, np.sqrt(2.0), -1.0, 2.0])
    assert found.segment[1] == 4 + 1
    assert found.share[1] == pytest.approx(0.5)
    assert found.foot[3] == pytest.approx([0.0, 30.0])


def test_feet_say_which_segment_and_how_far_along_it() -> None:
    ring = _star(3)
    k = np.repeat(np.arange(len(ring)), 5)
    share = np.tile([0.1, 0.3, 0.5, 0.7, 0.9], len(ring))
    at = ring[k] + share[:, None] * (np.roll(ring, -1, axis=0) - ring)[k]
    found = OutlineDistance([ring]).of(at)
    assert found.segment.tolist() == k.tolist()
    assert found.share == pytest.approx(share, abs=1e-6)
    assert found.deviation == pytest.approx(0.0, abs=1e-9)


def test_corners_typed_twice_change_nothing_but_the_count() -> None:
    ring = _star(5)
    twice = np.repeat(ring, 2, axis=0)
    p = np.random.default_rng(1).uniform(-70, 70, (500, 2))
    one, two = OutlineDistance([ring]).of(p), OutlineDistance([twice]).of(p)
    assert one.deviation == pytest.approx(two.deviation)
    assert (two.segment // 2).tolist() == one.segment.tolist()


def test_points_about_a_fine_circle_are_off_by_their_radius() -> None:
    a = np.linspace(0, 2 * np.pi, 5000, endpoint=False)
    r = np.random.default_rng(2).uniform(5.0, 15.0, 1000)
    t = np.random.default_rng(3).uniform(0, 2 * np.pi, 1000)
    found = OutlineDistance([10.0 * np.column_stack([np.cos(a), np.sin(a)])]).of(
        r[:, None] * np.column_stack([np.cos(t), np.sin(t)])
    )
    assert found.deviation == pytest.approx(r - 10.0, abs=1e-5)


@pytest.mark.parametrize(
    "bad", [np.zeros((4, 2)), np.array([(0.0, 0.0), (1.0, 0.0)]), np.array([(0, 0), (1, 0), (np.nan, 1)])]
)
def test_what_is_no_outline_is_refused(bad: np.ndarray) -> None:
    with pytest.raises(ValueError, match="three corners"):
        OutlineDistance([bad])
