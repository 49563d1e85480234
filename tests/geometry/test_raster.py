"""Triangles as cells and regions of cells as polygons."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
import shapely

from ribwright.geometry.raster import pieces, seen


def test_a_triangle_covers_its_area_and_its_values_are_linear() -> None:
    corners = np.array([[[1.0, 1.0], [9.0, 2.0], [3.0, 8.0]]])
    values = (corners[..., 0] + 2.0 * corners[..., 1]).reshape(1, 3)
    got = seen(corners, np.zeros((1, 3)), values, 200, 200, 0.05)
    filled = np.isfinite(got.values)
    assert filled.sum() * 0.05**2 == pytest.approx(shapely.Polygon(corners[0]).area, rel=0.01)
    rows, cols = np.nonzero(filled)
    assert got.values[filled] == pytest.approx((cols + 0.5) * 0.05 + 2.0 * (rows + 0.5) * 0.05)


def test_the_higher_triangle_shows_whatever_the_order() -> None:
    one = np.array([[0.0, 0.0], [10.0, 0.0], [0.0, 10.0]])
    corners = np.stack([one, one + 1.0, one])
    height = np.array([[0.0] * 3, [5.0] * 3, [-5.0] * 3])
    values = np.array([[1.0] * 3, [2.0] * 3, [3.0] * 3])
    for order in ([0, 1, 2], [2, 1, 0], [1, 0, 2]):
        got = seen(corners[order], height[order], values[order], 12, 12, 1.0)
        assert got.values[3, 3] == 2.0
        assert got.values[0, 0] == 1.0
        assert got.height[0, 0] == 0.0
        assert np.isnan(got.values[11, 11])


def test_large_and_small_triangles_of_one_sheet_leave_no_cell_out() -> None:
    x = np.linspace(0.0, 10.0, 41)
    small = [[[a, 0], [b, 0], [a, 1]] for a, b in pairwise(x)]
    small += [[[b, 0], [b, 1], [a, 1]] for a, b in pairwise(x)]
    large = [[[0, 1], [10, 1], [0, 10]], [[10, 1], [10, 10], [0, 10]]]
    corners = np.array(small + large, float)
    got = seen(corners, np.zeros(corners.shape[:2]), np.ones(corners.shape[:2]), 30, 30, 10.0 / 30)
    assert np.isfinite(got.values).all()


def test_a_triangle_on_edge_and_one_outside_show_nothing() -> None:
    corners = np.array([[[1.0, 1.0], [5.0, 5.0], [3.0, 3.0]], [[50.0, 50.0], [60.0, 50.0], [50.0, 60.0]]])
    assert np.isnan(seen(corners, np.zeros((2, 3)), np.ones((2, 3)), 10, 10, 1.0).values).all()


def ring(n: int) -> np.ndarray:
    y, x = np.mgrid[:n, :n] - (n - 1) / 2
    r = np.hypot(x, y)
    return (r < 0.45 * n) & (r > 0.2 * n)


@pytest.mark.parametrize(
    "mask", [ring(40), ring(41), np.random.default_rng(3).random((15, 17)) < 0.6, np.zeros((4, 4), bool)]
)
def test_pieces_cover_the_cells_once_and_nothing_else(mask: np.ndarray) -> None:
    found = [shapely.Polygon(p) for p in pieces(mask, 2.0)]
    assert sum(p.area for p in found) == pytest.approx(4.0 * mask.sum())
    rows, cols = np.nonzero(mask)
    cells = shapely.union_all(shapely.box(2.0 * cols, 2.0 * rows, 2.0 * cols + 2.0, 2.0 * rows + 2.0))
    assert shapely.union_all([p.buffer(0) for p in found]).symmetric_difference(cells).area == pytest.approx(
        0.0, abs=1e-9
    )


def test_thinned_pieces_stay_within_what_was_allowed() -> None:
    mask = ring(160)
    exact, rough = pieces(mask, 1.0), pieces(mask, 1.0, 0.75)
    assert sum(len(p) for p in rough) < sum(len(p) for p in exact) / 2
    a, b = (shapely.union_all([shapely.Polygon(p).buffer(0) for p in x]) for x in (exact, rough))
    assert shapely.hausdorff_distance(a, b) < 0.9
