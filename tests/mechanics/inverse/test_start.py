"""The start: what unfolds is found exactly, and what is turned over comes right."""

from __future__ import annotations

import numpy as np

from formed_rings import ring, straight
from ribwright.mechanics.inverse.patches import triangle_patches
from ribwright.mechanics.inverse.pattern import numbered
from ribwright.mechanics.inverse.start import relaxed


def test_a_straight_flange_is_found_from_a_start_turned_over() -> None:
    f = straight(12.0, 90.0, 16.0, 2.0, kf=0.45)
    plain = triangle_patches(f.nodes, f.normals, f.triangles, f.along, f.allowance)
    number = numbered(f.triangles, f.held)
    over = f.start * [1.0, -0.5]
    np.testing.assert_allclose(relaxed(over, plain, number, 200), f.start, atol=1e-6)
    np.testing.assert_array_equal(relaxed(f.start, plain, number)[f.held], f.start[f.held])
    np.testing.assert_allclose(relaxed(f.start, plain, number), f.start, atol=1e-10)


def test_rounds_never_strain_it_more() -> None:
    f = ring(-1, 30, 10, 80, 3.0)
    plain = triangle_patches(f.nodes, f.normals, f.triangles, f.along, f.allowance)
    number = numbered(f.triangles, f.held)
    rng = np.random.default_rng(0)
    x = f.start + np.where(f.held[:, None], 0.0, rng.uniform(-1.5, 1.5, f.start.shape))
    before = np.inf
    for _ in range(8):
        g = np.einsum("tca,tcb->tab", x[plain.corners], plain.gradients)
        u, _, v = np.linalg.svd(g)
        q = u @ v
        q[np.linalg.det(q) < 0] = (u @ np.diag([1.0, -1.0]) @ v)[np.linalg.det(q) < 0]
        strained = float(np.sum(plain.area * ((g - q) ** 2).sum(axis=(1, 2))))
        assert strained <= before + 1e-9
        before = strained
        x = relaxed(x, plain, number, 1)
