"""The strip with one edge stepped and one free: against the equations of plane stress solved another way, and its two limits."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.linalg import expm

from ribwright.mechanics.stepped_strip import POISSON, felt, shares


def by_matrix_exponential(q: float, poisson: float) -> tuple[float, float]:
    """(v at the free edge, its strain) for v = cos kx, u = 0 at the other, depth 1, E = 1, k = q: the four first-order equations of
    plane stress in depth for u sin kx, v cos kx, stress across cos kx, shear sin kx. Nothing of Airy's function is in them.

        v' = s - nu (sx),  sx = k u + nu s      (Hooke: k u = sx - nu s, v' = s - nu sx)
        u' = 2 (1 + nu) tau + k v               (shear strain u' - k v = tau/G)
        s' = -k tau,  tau' = k sx               (balance: tau,x + s,y = 0, sx,x + tau,y = 0)
    """
    k, nu = q, poisson
    a = np.array(
        [
            [0.0, k, 0.0, 2 * (1 + nu)],  # u
            [-nu * k, 0.0, 1 - nu**2, 0.0],  # v
            [0.0, 0.0, 0.0, -k],  # s
            [k**2, 0.0, nu * k, 0.0],  # tau
        ]
    )
    m = expm(a)
    # u(0) = 0, v(0) = 1, s(1) = tau(1) = 0: two unknown stresses at the stepped edge
    start = np.linalg.solve(m[2:, 2:], -m[2:, 1])
    end = m @ np.array([0.0, 1.0, *start])
    return float(end[1]), float(k * end[0])


@pytest.mark.parametrize("q", [0.2, 0.7, 1.5, 3.0, 6.0])
@pytest.mark.parametrize("poisson", [0.3, POISSON])
def test_waves_are_those_of_plane_stress(q: float, poisson: float) -> None:
    moved, strain = (float(x[0]) for x in shares(np.array([q]), poisson))
    want_moved, want_strain = by_matrix_exponential(q, poisson)
    assert moved == pytest.approx(want_moved, rel=1e-8)
    assert strain * q**2 == pytest.approx(abs(want_strain), rel=1e-8)


def test_a_long_step_is_followed_and_strains_the_edge_as_a_curved_flange() -> None:
    length, rise, depth = 600.0, 2.0, 10.0
    x = np.linspace(-250.0, 250.0, 41)
    moved, bent = felt(x, rise, length, np.full(len(x), depth))
    half = length / 2
    line = np.where(x < 0, rise * (x + half) ** 2 / (2 * half**2), rise - rise * (x - half) ** 2 / (2 * half**2))
    assert np.abs(moved - line).max() < 0.004
    inner = (np.abs(x) > 60.0) & (np.abs(np.abs(x) - half) > 60.0)
    assert np.abs(bent - np.where(x < 0, 1.0, -1.0) * rise / half**2)[inner].max() < 0.05 * rise / half**2


def test_a_short_step_is_spread_over_the_depth_of_the_strip_and_hardly_strains_its_edge() -> None:
    depth = np.full(401, 12.0)
    x = np.linspace(-60.0, 60.0, 401)
    moved, bent = felt(x, 0.8, 5.0, depth)
    slope = np.gradient(moved, x)
    assert slope.max() < 0.5 * 0.8 / 5.0  # under half the mean slope of the step itself
    assert np.all(slope > -1e-6)
    assert np.abs(bent).max() * 12.0 < 0.03
    # the edge ends as far in as the line, and is as long as before: what one side shrinks the other stretches
    assert moved[[0, -1]] == pytest.approx([0.0, 0.8], abs=1e-3)
    assert np.trapezoid(bent, x) == pytest.approx(0.0, abs=1e-9)
    assert moved + moved[::-1] == pytest.approx(np.full(401, 0.8), abs=1e-9)


def test_rising_and_falling_steps_undo_each_other() -> None:
    x, depth = np.linspace(-40.0, 40.0, 81), np.full(81, 9.0)
    up, down = felt(x, 0.8, 5.0, depth), felt(x, -0.8, 5.0, depth)
    assert np.abs(up[0] + down[0]).max() < 1e-12
    assert np.abs(up[1] + down[1]).max() < 1e-15
