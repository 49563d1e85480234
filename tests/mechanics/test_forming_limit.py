"""The limit line as laws, and against the instability conditions it is drawn from, worked out here."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import brentq

from ribwright.mechanics.flow_estimate import plane_strain_limit
from ribwright.mechanics.forming_limit import limit_major, margin, used

E0 = 0.15
RATIO = np.linspace(-0.95, 1.0, 40)


def test_on_the_line_the_margin_is_nought_and_the_limit_is_the_strain() -> None:
    major = np.where(RATIO < 0.0, E0 / (1.0 + RATIO), E0)
    assert margin(E0, major, RATIO * major) == pytest.approx(0.0, abs=1e-12)
    assert limit_major(E0, major, RATIO * major) == pytest.approx(major)


def test_the_margin_is_that_of_the_limit_on_the_ray() -> None:
    major = 0.08
    minor = RATIO * major
    limit = limit_major(E0, np.full(len(RATIO), major), minor)
    assert margin(E0, np.full(len(RATIO), major), minor) == pytest.approx((limit - major) / limit)


@pytest.mark.parametrize("ratio", [-0.9, -0.5, -0.2, 0.0, 0.4, 1.0])
def test_more_strain_the_same_way_leaves_less(ratio: float) -> None:
    major = np.linspace(0.0, 0.4, 30)
    assert (np.diff(margin(E0, major, ratio * major)) < 0.0).all()


def test_a_sheet_that_thickens_has_nothing_to_neck() -> None:
    major, minor = np.array([0.1, 0.1, 0.0]), np.array([-0.1, -0.3, -0.2])
    assert (used(major, minor) == 0.0).all()
    assert (margin(E0, major, minor) == 1.0).all()
    assert np.isinf(limit_major(E0, major, minor)).all()


@pytest.mark.parametrize("ratio", [-0.5, -0.3, -0.1, 0.0])
def test_left_of_plane_strain_it_lies_below_hills_neck_of_a_swift_sheet(ratio: float) -> None:
    """Hill (1952), isotropic, straight path: (dS/dE)/S = (1 + ratio) de1/dE for S = K (p + E)^n; E = 2/sqrt(3) sqrt(1 + b + b^2) e1."""
    n, p = 0.226, 0.00184
    stretch = 2.0 / np.sqrt(3.0) * np.sqrt(1.0 + ratio + ratio**2)
    neck = brentq(lambda e1: n / (p + stretch * e1) - (1.0 + ratio) / stretch, 1e-6, 2.0)
    e0 = plane_strain_limit(n, p)
    line = float(limit_major(e0, np.array([1.0]), np.array([ratio]))[0])
    assert line <= neck + 1e-9
    assert line == pytest.approx(neck, rel=0.01)


def test_right_of_plane_strain_it_lies_below_swifts_diffuse_neck() -> None:
    """Swift (1952), isotropic, a = s2/s1: e1 = n 2 (2 - a)(1 - a + a^2)/(4 - 3a - 3a^2 + 4a^3), a power law."""
    n, a = 0.2, np.linspace(0.5, 1.0, 51)
    swift = n * 2.0 * (2.0 - a) * (1.0 - a + a**2) / (4.0 - 3.0 * a - 3.0 * a**2 + 4.0 * a**3)
    ratio = (2.0 * a - 1.0) / (2.0 - a)
    line = limit_major(plane_strain_limit(n, 0.0), np.ones(51), ratio)
    assert (line <= swift + 1e-12).all()
    assert line[[0, -1]] == pytest.approx(swift[[0, -1]])
    assert swift.max() / n == pytest.approx(1.167, abs=0.001)  # what the level line leaves, as said
