"""Frames and patches: linear fields are met exactly, areas add up, a fold unfolds, the allowance counts along the meridian alone."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.spatial import Delaunay

from formed_rings import ring, straight
from ribwright.mechanics.inverse.frames import node_axes
from ribwright.mechanics.inverse.patches import Patches, edge_patches, edges_of, triangle_patches

Array = NDArray[np.float64]


def both(nodes: Array, normals: Array, triangles: NDArray[np.int64]) -> tuple[Patches, Patches]:
    none = np.zeros((len(triangles), 3))
    plain = triangle_patches(nodes, normals, triangles, none, np.ones(len(triangles)))
    return plain, edge_patches(nodes, normals, plain, edges_of(triangles))


def scattered(seed: int = 3) -> tuple[Array, NDArray[np.int64]]:
    """Points of a square and its triangles, anti-clockwise."""
    points = np.random.default_rng(seed).uniform(0, 10, (60, 2))
    t = Delaunay(points).simplices.astype(np.int64)
    a, b = points[t[:, 1]] - points[t[:, 0]], points[t[:, 2]] - points[t[:, 0]]
    area = a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]
    t[area < 0] = t[area < 0][:, [0, 2, 1]]
    return points, t[np.abs(area) > 1e-3]


def slopes(x: Array, p: Patches) -> Array:
    """(P, 2, 3) d x/d place in space."""
    return np.einsum("pca,pcb,pbd->pad", x[p.corners], p.gradients, p.axes[:, :2])


@pytest.mark.parametrize("which", [0, 1])
def test_a_linear_field_has_its_slopes_on_every_patch(which: int) -> None:
    points, t = scattered()
    nodes = np.column_stack([points, np.zeros(len(points))])
    normals = np.tile([0.0, 0.0, 1.0], (len(points), 1))
    p = both(nodes, normals, t)[which]
    f = np.array([[1.2, 0.3], [-0.4, 0.9]])
    got = slopes(points @ f.T, p)
    np.testing.assert_allclose(got[:, :, :2], np.broadcast_to(f, (len(got), 2, 2)), atol=1e-9)


@pytest.mark.parametrize("which", [0, 1])
def test_areas_add_up_and_gradients_cancel(which: int) -> None:
    points, t = scattered()
    nodes = np.column_stack([points, 0.1 * points[:, 0] ** 2])
    normals = np.column_stack([-0.2 * points[:, 0], 0 * points[:, 0], np.ones(len(points))])
    normals /= np.linalg.norm(normals, axis=1)[:, None]
    p = both(nodes, normals, t)[which]
    at = nodes[t]
    whole = np.linalg.norm(np.cross(at[:, 1] - at[:, 0], at[:, 2] - at[:, 0]), axis=1).sum() / 2
    assert p.area.sum() == pytest.approx(whole, rel=1e-12)
    np.testing.assert_allclose(p.gradients.sum(axis=1), 0.0, atol=1e-10)


def test_a_sheet_folded_along_an_edge_is_flat_to_the_patch_on_that_edge() -> None:
    # two triangles, the second turned up by 40 deg about the edge they share
    up = np.radians(40.0)
    nodes = np.array([[0, 0, 0], [2, 0, 0], [1, -1.5, 0], [0.7, 1.2 * np.cos(up), 1.2 * np.sin(up)]])
    flat = np.array([[0, 0], [2, 0], [1, -1.5], [0.7, 1.2]])
    t = np.array([[0, 2, 1], [0, 1, 3]])
    edges = edges_of(t)
    plain, joined = both(nodes, np.tile([0.0, 0.0, 1.0], (4, 1)), t)
    g = np.einsum("pca,pcb->pab", flat[joined.corners], joined.gradients)
    np.testing.assert_allclose(np.einsum("pab,pcb->pac", g, g), np.broadcast_to(np.eye(2), (5, 2, 2)), atol=1e-12)
    assert len(plain.area) == 2
    assert (edges.sides[:, 1] >= 0).sum() == 1


def test_edges_of_a_ring_are_counted_right() -> None:
    f = ring(-1, 30, 10, 90, 2.0)
    e = edges_of(f.triangles)
    assert len(f.nodes) - len(e.ends) + len(f.triangles) == 0  # Euler: an annulus
    for corner in range(3):
        ends = np.sort(np.delete(f.triangles, corner, axis=1), axis=1)
        np.testing.assert_array_equal(e.ends[e.of[:, corner]], ends)
    for side in (0, 1):
        there = e.sides[:, side] >= 0
        triangles = f.triangles[e.sides[there, side]]
        assert all(set(a) <= set(b) for a, b in zip(e.ends[there], triangles, strict=True))


def test_the_allowance_lengthens_the_meridian_alone() -> None:
    f = straight(10.0, 90.0, 8.0, 2.0, kf=0.4)
    plain = triangle_patches(f.nodes, f.normals, f.triangles, f.along, f.allowance)
    bend = np.linalg.norm(f.along, axis=1) > 0
    assert plain.area[bend].sum() == pytest.approx(8.0 * np.pi / 2 * (3.0 + 0.4), rel=1e-12)
    assert plain.area[~bend].sum() == pytest.approx(80.0, rel=1e-12)


def test_node_axes_lie_in_the_tangent_plane_and_are_square() -> None:
    n = np.random.default_rng(1).normal(size=(40, 3))
    n /= np.linalg.norm(n, axis=1)[:, None]
    n[0] = [0.0, 0.0, -1.0]
    axes = node_axes(n)
    np.testing.assert_allclose(np.einsum("nad,nd->na", axes, n), 0.0, atol=1e-12)
    np.testing.assert_allclose(
        np.einsum("nad,nbd->nab", axes, axes), np.broadcast_to(np.eye(2), (40, 2, 2)), atol=1e-12
    )
