"""The whole matrix against differences of the forces, its pattern, and the linear steps."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from formed_rings import ring
from ribwright.mechanics.flow_curve import Swift
from ribwright.mechanics.inverse.hill import Anisotropy
from ribwright.mechanics.inverse.krylov import solve, times
from ribwright.mechanics.inverse.patches import edge_patches, edges_of, triangle_patches
from ribwright.mechanics.inverse.pattern import numbered, pattern_of
from ribwright.mechanics.inverse.system import Drag, Sheet, System
from ribwright.mechanics.sheet_law import sheet_law

Array = NDArray[np.float64]


def small(dragged: bool) -> tuple[System, Array]:
    """A coarse ring of anisotropic sheet, its flat places shaken; web free and dragged, or held."""
    f = ring(-1, 12, 5, 80, 4.0, web=8.0, mid_radius=3.0)
    law = sheet_law(70000.0, 0.33, Swift(330.0, 0.2, 1e-3))
    sheet = Sheet(law.row(), law.points(), Anisotropy(0.6, 0.9, 1.4).stiffness(), 1.2)
    plain = triangle_patches(f.nodes, f.normals, f.triangles, f.along, f.allowance)
    edges = edge_patches(f.nodes, f.normals, plain, edges_of(f.triangles))
    number = numbered(f.triangles, np.zeros_like(f.held) if dragged else f.held)
    pull = np.where(f.held, 3.0, 0.0)
    drag = Drag(pull, 0.05, np.ascontiguousarray(f.nodes[:, :2])) if dragged else None
    system = System(
        edges,
        pattern_of(edges.corners, number),
        plain,
        pattern_of(plain.corners, number),
        sheet,
        drag,
        np.ones(len(edges.area)),
    )
    x = f.start + np.random.default_rng(5).uniform(-0.05, 0.05, f.start.shape) * (number >= 0)[:, None]
    return system, x


@pytest.mark.parametrize("dragged", [False, True])
@pytest.mark.parametrize("thin", [0.0, 1.0])
def test_the_matrix_is_the_slope_of_the_forces(dragged: bool, thin: float) -> None:
    system, x = small(dragged)
    at = system.at(x, 0.01, thin)
    assert at.least > 0.0
    matrix = system.edge_pattern.matrix(at.data)
    rng = np.random.default_rng(2)
    for _ in range(4):
        way = rng.normal(size=system.edge_pattern.size)
        e = 2e-5
        off = [system.at(system.moved(x, way, f * e), 0.01, thin, False).off.ravel() for f in (-2, -1, 1, 2)]
        slope = (off[0] - 8 * off[1] + 8 * off[2] - off[3]) / (12 * e)
        np.testing.assert_allclose(matrix @ way, slope, atol=1e-7 * np.abs(slope).max())
        np.testing.assert_allclose(
            times(at.data, system.edge_pattern.rows, system.edge_pattern.starts, way), matrix @ way, atol=1e-8
        )


def test_the_pattern_names_every_pair_once_and_in_order() -> None:
    system, x = small(False)
    m = system.edge_pattern.matrix(system.at(x, 0.01, 0.0).data)
    assert m.has_sorted_indices
    for j in range(m.shape[1]):
        rows = m.indices[m.indptr[j] : m.indptr[j + 1]]
        assert (np.diff(rows) > 0).all()
    pattern = m.copy()
    pattern.data[:] = 1.0
    assert abs(pattern - pattern.T).sum() == 0.0


def test_linear_steps_solve_what_they_are_given() -> None:
    rng = np.random.default_rng(0)
    a = np.eye(60) + 0.1 * rng.normal(size=(60, 60))
    b = rng.normal(size=60)
    x, steps, left = solve(lambda v: a @ v, lambda v: v, b, 1e-10, 60)
    np.testing.assert_allclose(a @ x, b, atol=1e-8)
    assert steps < 60
    assert left <= 1e-10
    assert solve(lambda v: a @ v, lambda v: v, np.zeros(60), 1e-10, 60)[1] == 0


def test_a_turned_over_start_is_no_balance() -> None:
    system, x = small(False)
    y = x.copy()
    free = np.flatnonzero(system.number >= 0)
    y[free] = -y[free]
    assert not system.at(y, 0.01, 0.0).least > 0.0
    assert system.at(y, 0.01, 0.0).size == float("inf")
    assert system.factors(y, 0.01, 1.0) is None
