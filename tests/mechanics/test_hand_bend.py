"""Strain that setting by hand adds: closed forms against the exact arc, sums over passes, limits."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ribwright.mechanics import hand_bend as law

radius = st.floats(0.3, 20)
thick = st.floats(0.3, 3)
angle = st.floats(10, 120)


def test_the_own_strain_of_a_bend_is_that_of_the_handbook() -> None:
    """e = 1/(2R/t + 1), the outer fibre of a bend of inside radius R (any text on sheet bending); R = t gives 1/3, exact."""
    assert law.own_strain(1.0, 1.0) == pytest.approx(1 / 3, abs=1e-15)
    assert law.own_strain(0.0, 1.0) == pytest.approx(1.0)


@given(radius, thick)
def test_the_limit_is_the_own_strain_of_the_least_radius_and_a_tighter_one_is_past_it(r, t) -> None:
    assert law.limit_strain(r, t) == pytest.approx(float(law.own_strain(r, t)), rel=1e-12)
    assert law.own_strain(0.9 * r, t) > law.limit_strain(r, t)


@given(radius, thick, angle, st.floats(-8, 8))
def test_the_outer_fibre_is_stretched_by_what_the_arc_turns_further(r, t, a, d) -> None:
    """Lengths of two arcs about one centre line: outer (R' + t)(a + d) less middle (R' + t/2)(a + d), the middle one kept."""
    middle = (r + t / 2) * np.radians(a)
    turned = middle / np.radians(a + d) + t / 2
    outer = turned * np.radians(a + d)
    now = (outer - middle) / middle
    own = float(law.own_strain(r, t))
    assert now == pytest.approx(float(law.strain_at(r, t, a, a + d)), rel=1e-9)
    assert abs(now - own) == pytest.approx(float(law.pass_strain(r, t, a, d)), abs=1e-12)


@given(radius, thick, angle, st.floats(0.2, 8), st.integers(1, 12))
def test_to_and_fro_adds_up_and_never_comes_back(r, t, a, d, n) -> None:
    each = float(law.pass_strain(r, t, a, d))
    assert float(law.pass_strain(r, t, a, -d)) == pytest.approx(each)
    limit = float(law.own_strain(r, t)) + n * each
    assert law.passes_within(limit, float(law.own_strain(r, t)), each) == n
    assert law.passes_within(limit, limit, each) == 0


@pytest.mark.parametrize("share", [0.002, 0.01, 0.03, 0.05])
def test_the_bow_of_a_shallow_arc_gathers_what_the_exact_arc_does(share: float) -> None:
    """Exact arc over the chord L with sagitta f: r = (L^2/4 + f^2)/(2 f), both edges over one angle; within 1 % to f/L = 1/20."""
    length, height = 600.0, 16.0
    bow = share * length
    r = (length**2 / 4 + bow**2) / (2 * bow)
    exact = (r + height) / r - 1.0
    assert law.bow_strain(bow, length, height) == pytest.approx(exact, rel=0.0101)
    assert law.bow_gather(bow, length, height) == pytest.approx(exact * length, rel=0.0101)
