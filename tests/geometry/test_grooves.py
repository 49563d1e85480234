"""Sections of grooves and grooves along a path, against quadrature and general geometry."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from scipy.integrate import quad

from ribwright.geometry import grooved_path
from ribwright.geometry.groove_profile import groove_profile, widest_radii

SECTIONS = [(12, 3, 2, None), (12, 3, 2, 1), (10, 4.9, 1, 1), (10, 8, 1, 2), (12, 1, 0, None), (12, 4, 0.5, 0)]


@pytest.mark.parametrize("asked", SECTIONS)
def test_a_section_has_the_width_depth_and_radii_asked_for_and_no_kink(asked: tuple[float, ...]) -> None:
    width, depth, edge, bottom = asked
    p = groove_profile(width, depth, edge, bottom)
    assert p is not None
    rim, middle = p.deep(np.array([width / 2 - 1e-9, 0.0]))
    assert (rim, middle) == pytest.approx((0.0, depth), abs=1e-7)
    x = np.linspace(1e-3, width / 2 - 1e-3, 4001)
    assert np.max(np.abs(np.gradient(p.deep(x), x)[2:-2] - p.slope(x)[2:-2])) < 0.02
    if edge > 0 and bottom != 0:
        assert np.max(np.abs(np.diff(p.slope(np.linspace(0, width / 2, 20001))))) < 0.01


@pytest.mark.parametrize("asked", SECTIONS)
def test_area_and_moment_of_a_section_are_the_integrals(asked: tuple[float, ...]) -> None:
    p = groove_profile(*asked)
    assert p is not None

    def over(f: object) -> float:
        return float(quad(f, 0, p.width / 2, points=sorted(p.knots[:, 0])[1:-1], limit=200)[0])

    deep = lambda x: float(p.deep(np.array([x]))[0])  # noqa: E731
    assert p.moments() == pytest.approx((2 * over(deep), over(lambda x: x * deep(x))), rel=1e-7)
    fine = p.line(1e-3)
    assert p.length == pytest.approx(2 * np.hypot(*np.diff(fine, axis=0).T).sum(), rel=1e-6)


def test_a_parallel_surface_is_everywhere_as_far_away() -> None:
    p = groove_profile(12, 3, 2, 1)
    assert p is not None
    low = p.lower(0.8).line(0.002) * [1, -1] - [0, 0.8]
    apart = shapely.distance(shapely.LineString(p.line(0.002) * [1, -1]), shapely.points(low))
    assert np.max(np.abs(apart - 0.8)) < 1e-4


def test_radii_that_width_and_depth_do_not_hold_have_no_section() -> None:
    most = widest_radii(12, 3)
    assert most == pytest.approx(7.5)  # (144 + 36) / 24
    assert groove_profile(12, 3, 2, most - 2) is not None
    assert groove_profile(12, 3, 2, most - 1.9) is None


@pytest.mark.parametrize(
    "path", [[[0, 0], [60, 0]], [[0, 0], [40, 0], [70, 25]], [[0, 0], [30, 0], [55, 30], [90, 20]]]
)
def test_the_volume_along_a_path_is_that_of_the_depth_by_distance(path: list[list[float]]) -> None:
    """Against shapely's distance from the path, summed over a fine grid."""
    p = groove_profile(14, 3, 2, 2)
    assert p is not None
    line, h = shapely.LineString(path), 0.2
    x, y = np.meshgrid(np.arange(-10, 105, h), np.arange(-15, 45, h))
    away = shapely.distance(line, shapely.points(x.ravel(), y.ravel()))
    summed = float(p.deep(away).sum() * h * h)
    assert grooved_path.volume(np.array(path, float), p) == pytest.approx(summed, rel=5e-4)


def test_distance_from_a_path_is_that_of_a_general_library() -> None:
    rng = np.random.default_rng(3)
    path, points = rng.uniform(-20, 20, (5, 2)), rng.uniform(-40, 40, (400, 2))
    away, way = grooved_path.distance(path, points)
    assert away == pytest.approx(shapely.distance(shapely.LineString(path), shapely.points(points)), abs=1e-9)
    assert np.linalg.norm(way, axis=1) == pytest.approx(1.0)


def test_a_straight_piece_used_up_by_its_mitres_is_told() -> None:
    assert grooved_path.too_short(np.array([[0, 0], [20, 0], [22, 2], [40, 2.0]]), 14)
    assert not grooved_path.too_short(np.array([[0, 0], [20, 0], [40, 5], [60, 5.0]]), 14)
