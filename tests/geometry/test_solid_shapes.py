"""What the reading of solids stands on: rays, sections of a curve, lines and arcs in measured points, distances from a curved mesh."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.spatial import Delaunay

from ribwright.geometry.curved_mesh import off, surface
from ribwright.geometry.drawn_shape import Shape, extended, half_way, meeting, shape_of
from ribwright.geometry.edge_curve import crossings, hermite, hermite_slope
from ribwright.geometry.rays import first_hits
from ribwright.geometry.through_values import few_stations


def test_a_ray_hits_the_nearest_triangle_within_its_reach_and_no_other() -> None:
    low = np.array([[0.0, 0, 0], [4, 0, 0], [0, 4, 0]])
    tri = np.array([low, low + [0, 0, 3], low + [0, 0, 9]])
    starts = np.array([[1.0, 1, 5], [1, 1, 5], [3, 3, 5], [1, 1, 100]])
    ways = np.array([[0.0, 0, -1], [0, 0, 1], [0, 0, -1], [0, 0, -1]])
    far, which = first_hits(starts, ways, tri, 1e-6, 50.0)
    assert far.tolist() == pytest.approx([2.0, 4.0, np.inf, np.inf])
    assert which.tolist() == [1, 2, -1, -1]


def test_a_section_cuts_a_helix_where_its_formula_does() -> None:
    t = np.linspace(0, 2 * np.pi, 129)
    points = np.column_stack([5 * np.cos(t), 5 * np.sin(t), 2 * t])
    slopes = np.column_stack([-5 * np.sin(t), 5 * np.cos(t), np.full(129, 2.0)]) * (t[1] - t[0])
    at, way = np.array([1.0, 0.5]), np.array([0.6, 0.8])
    found = crossings(points, slopes, at, way)
    # 5 cos(t - atan2(0.8, 0.6)) = (1, 0.5) . way = 1
    meant = np.sort((np.arctan2(0.8, 0.6) + np.array([1, -1]) * np.arccos(0.2)) % (2 * np.pi))
    assert np.sort(found[:, 2]) / 2 == pytest.approx(meant, abs=1e-7)
    rows = np.array([3.3, 100.75])
    assert hermite(points, slopes, rows)[:, 0] == pytest.approx(5 * np.cos(rows * (t[1] - t[0])), abs=1e-7)
    step = 1e-5
    difference = (hermite(points, slopes, rows + step) - hermite(points, slopes, rows - step)) / (2 * step)
    assert hermite_slope(points, slopes, rows) == pytest.approx(difference, abs=1e-6)


@pytest.mark.parametrize("turn", [0.02, 0.8, 3.0, -1.2])
def test_points_of_a_line_an_arc_and_neither_are_told_apart(turn: float) -> None:
    t = np.linspace(0.3, 0.3 + turn, 60)
    arc = np.column_stack([7 + 90 * np.cos(t), 90 * np.sin(t) - 4])
    found = shape_of(arc, 0.002)
    if abs(turn) < 0.05:
        # a sagitta of 90 * 0.02^2 / 8 = 0.0045 mm is no line within 0.002, and is one within 0.01
        assert shape_of(arc, 0.01).kind == "line"
    assert found.kind == "arc"
    assert (*found.centre, found.radius) == pytest.approx((7, -4, 90), abs=1e-4)
    assert found.left == (turn > 0)
    assert shape_of(np.column_stack([t, 3 * t]), 0.002).kind == "line"
    assert shape_of(np.column_stack([50 * t, 5 * np.sin(9 * t)]), 1e-6).kind == "curve"
    mid = half_way(tuple(arc[0]), tuple(arc[-1]), found.centre, found.left)
    assert mid == pytest.approx((7 + 90 * np.cos(0.3 + turn / 2), 90 * np.sin(0.3 + turn / 2) - 4), abs=1e-6)


def test_pieces_run_on_until_they_meet() -> None:
    line = Shape("line", np.array([[0.0, 0], [8, 0]]))
    t = np.linspace(0.5, 1.5, 50)
    arc = shape_of(np.column_stack([10 * np.cos(t), 10 * np.sin(t)]), 1e-6)
    assert meeting(line, arc, np.array([9.0, 2])) == pytest.approx([10, 0], abs=1e-6)
    # a parabola run on by 1 mm in the circle that hugs its end, x = 6: the third derivative is what it misses
    x = np.linspace(0, 6, 400)
    curve = Shape("curve", np.column_stack([x, x**2 / 200]))
    wall = Shape("line", np.array([[7.0, -5], [7, -1]]))
    found = meeting(curve, wall, np.array([6.5, 0]))
    assert found == pytest.approx([7, 49 / 200], abs=2e-4)
    longer = extended(curve, curve.points[0], found)
    assert longer[-1] == pytest.approx(found)
    assert np.all(np.diff(longer[:, 0]) > 0)
    assert longer[:, 1] == pytest.approx(longer[:, 0] ** 2 / 200, abs=2e-4)
    shorter = extended(curve, curve.points[0], np.array([3.0, 9 / 200]))
    assert shorter[:, 0].max() == pytest.approx(3.0)


def test_few_stations_pass_by_every_value_and_one_line_has_two() -> None:
    at = np.linspace(2, 98, 65)
    assert few_stations(at, 84 + 0.13 * at, 100.0, 1e-6) == [(0.0, pytest.approx(84)), (100.0, pytest.approx(97))]
    kinked = 84 + np.maximum(at - 40, 0) * 0.2
    rows = few_stations(at, kinked, 100.0, 0.01)
    assert 3 <= len(rows) <= 5
    assert np.max(np.abs(np.interp(at, *np.array(rows).T) - kinked)) <= 0.0101


def _half_pipe(n: int, radius: float = 3.0) -> tuple[np.ndarray, np.ndarray]:
    """Triangles of a quarter of a tube 20 mm long, turned by 90 deg in n rows."""
    f, z = np.meshgrid(np.linspace(0, np.pi / 2, n + 1), np.linspace(0, 20, 9))
    f, z = f.ravel(), z.ravel()
    tri = Delaunay(np.column_stack([f, z / 20])).simplices
    p = np.column_stack([radius * np.cos(f), z, radius * np.sin(f)])
    normals = np.column_stack([np.cos(f), np.zeros_like(f), np.sin(f)])
    return p[tri], normals[tri]


@pytest.mark.parametrize("height", [-0.3, 0.0, 0.4])
def test_heights_above_a_curved_mesh_are_those_above_the_tube(height: float) -> None:
    """Six rows turn 15 deg each: chords stray by 0.026 mm, the mesh bent by its normals by 0.0003 mm."""
    mesh = surface(*_half_pipe(6))
    r = np.random.default_rng(4)
    f, y = r.uniform(0.05, np.pi / 2 - 0.05, 300), r.uniform(0.5, 19.5, 300)
    rho = 3.0 + height
    found = off(mesh, np.column_stack([rho * np.cos(f), y, rho * np.sin(f)]), 2.0)
    assert found.height == pytest.approx(height, abs=1e-3 if height else 4e-4)
    assert found.beside.max() == 0.0


def test_what_lies_past_the_edge_is_beside_it_and_what_is_too_far_is_not_found() -> None:
    mesh = surface(*_half_pipe(6))
    p = np.array([[3.0, 20.7, 0.001], [3.0, -0.25, 0.5], [3.0, 10, -0.4], [30.0, 0, 0]])
    found = off(mesh, p, 2.0)
    assert found.beside[:3] == pytest.approx([0.7, 0.25, 0.4], abs=1e-3)
    assert found.triangle[3] == -1
    assert np.isinf(found.height[3])


def test_a_round_edge_of_chords_is_taken_for_round() -> None:
    """A disc of 24 chords: a point on its circle half way along a chord stands a sagitta, 0.086 mm, off the chord."""
    t = np.arange(24) * 2 * np.pi / 24
    rim = np.column_stack([10 * np.cos(t), 10 * np.sin(t), np.zeros(24)])
    p = np.concatenate([[[0.0, 0, 0]], rim])
    tri = np.array([[0, k + 1, (k + 1) % 24 + 1] for k in range(24)])
    mesh = surface(p[tri], np.tile([0.0, 0, 1], (24, 3, 1)))
    between = t + np.pi / 24
    found = off(mesh, np.column_stack([10.05 * np.cos(between), 10.05 * np.sin(between), np.zeros(24)]), 2.0)
    assert found.beside == pytest.approx(0.05, abs=2e-3)
