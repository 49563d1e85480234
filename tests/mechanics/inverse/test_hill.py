"""Hill's measure: what it says of strips cut at any angle, and where it comes back to one r."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ribwright.mechanics.inverse.hill import Anisotropy
from ribwright.mechanics.sheet_law import r_along

ratios = st.floats(0.3, 2.5)


@given(ratios, ratios, ratios, st.floats(0, 180))
@settings(max_examples=60)
def test_a_strip_cut_at_any_angle_has_hills_ratio_there(r0: float, r45: float, r90: float, degrees: float) -> None:
    c, s = np.cos(np.radians(degrees)), np.sin(np.radians(degrees))
    e = Anisotropy(r0, r45, r90).compliance() @ [c * c, s * s, c * s]  # of a pull at that angle
    across = s * s * e[0] + c * c * e[1] - c * s * e[2]
    through = -(e[0] + e[1])
    assert across / through == pytest.approx(float(r_along(r0, r45, r90, degrees)), rel=1e-9)


@given(ratios)
def test_one_ratio_in_all_directions_is_normal_anisotropy(r: float) -> None:
    k = r / (1.0 + r)
    of = np.array([[1.0, k, 0.0], [k, 1.0, 0.0], [0.0, 0.0, (1.0 - k) / 2.0]]) / (1.0 - k * k)
    np.testing.assert_allclose(Anisotropy.normal(r).stiffness(), of, rtol=1e-12, atol=1e-14)


@given(ratios, ratios, ratios)
def test_the_measure_is_positive_and_one_for_a_pull_along_the_rolling_direction(
    r0: float, r45: float, r90: float
) -> None:
    p = Anisotropy(r0, r45, r90).compliance()
    assert p[0, 0] == pytest.approx(1.0)
    assert np.linalg.eigvalsh(p)[0] > 0.0
