"""Chance to lie inside a tolerance, guard band, and how a mold line moves when a bend turns further."""

from math import isclose, radians, sqrt, tan

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ribwright.mechanics import tolerance as law

finite = st.floats(-50, 50)
spread = st.floats(1e-3, 20)


@pytest.mark.parametrize(
    ("z", "share"),
    [(0.0, 0.5), (1.0, 0.841345), (1.644854, 0.95), (1.959964, 0.975), (2.575829, 0.995), (-1.0, 0.158655)],
)
def test_the_normal_share_is_that_of_the_printed_tables(z: float, share: float) -> None:
    """Tables of the standard normal distribution; miss accepted 1e-6, their last printed digit."""
    assert law.normal_cdf(z) == pytest.approx(share, abs=1e-6)


@given(finite, spread, finite, spread)
def test_a_chance_is_a_share_and_a_wider_tolerance_never_lowers_it(lo, wide, mu, sd) -> None:
    narrow, more = law.chance_inside(lo, lo + wide, mu, sd), law.chance_inside(lo - 1, lo + wide + 1, mu, sd)
    assert 0.0 <= narrow <= more <= 1.0


@given(finite, spread, finite, spread)
def test_inside_and_outside_on_both_sides_make_a_whole(lo, wide, mu, sd) -> None:
    out = law.normal_cdf((lo - mu) / sd) + 1 - law.normal_cdf((lo + wide - mu) / sd)
    assert law.chance_inside(lo, lo + wide, mu, sd) + out == pytest.approx(1.0, abs=1e-12)


def test_without_scatter_the_mean_decides() -> None:
    assert law.chance_inside(-1, 1, 1.0, 0.0) == 1.0
    assert law.chance_inside(-1, 1, 1.1, 0.0) == 0.0


def test_a_gauge_too_coarse_for_the_tolerance_proves_nothing() -> None:
    lo, hi = law.guarded(-0.1, 0.1, 0.2)
    assert lo > hi
    assert law.chance_inside(lo, hi, 0.0, 0.05) == 0.0


def test_a_rectangular_scatter_has_the_deviation_of_many_even_draws() -> None:
    draws = np.random.default_rng(7).uniform(-0.25, 0.25, 200_000)
    assert law.rectangular_sd(0.25) == pytest.approx(float(draws.std()), rel=0.005)


def test_independent_deviations_add_as_squares() -> None:
    assert law.combined_sd([3.0, 4.0]) == 5.0


@given(finite, spread, finite, spread)
def test_a_reserve_of_one_puts_the_band_just_inside(lo, wide, mu, sd) -> None:
    found = law.reserve(lo, lo + wide, mu, sd)
    inside = lo <= mu - law.Z90 * sd and mu + law.Z90 * sd <= lo + wide
    assert inside == (found >= 1.0) or isclose(found, 1.0, rel_tol=1e-9)


@given(st.floats(0.3, 8), st.floats(0.3, 3), st.floats(20, 130))
def test_the_mold_line_moves_as_the_section_drawn_twice(radius, t, angle) -> None:
    """Setback of the same arc bent to an angle a little more and a little less, in true lengths."""

    def setback(a: float, reach: float) -> float:
        released = (radius + t / 2) * angle / a - t / 2
        return (released + reach) * tan(radians(a) / 2)

    step = 1e-4
    for reach in (0.0, t):
        slope = (setback(angle + step, reach) - setback(angle - step, reach)) / radians(2 * step)
        assert law.setback_per_radian(radius, t, reach, angle) == pytest.approx(slope, rel=1e-5, abs=1e-6)


@given(st.floats(0.3, 8), st.floats(0.3, 3), st.floats(20, 130))
def test_a_bend_that_turns_further_on_the_same_arc_is_tighter(radius, t, angle) -> None:
    more = (radius + t / 2) * angle / (angle + 1e-4) - t / 2
    assert law.radius_per_degree(radius, t, angle) == pytest.approx((more - radius) / 1e-4, rel=1e-3)
    assert law.radius_per_degree(radius, t, angle) < 0


def test_shares_of_springback_follow_from_u_like_k_t_to_the_n_less_one_over_e() -> None:
    shares = law.springback_shares(0.2, 0.08, 0.02, 0.0125)
    assert shares == pytest.approx({"strength": 0.08, "thickness": 0.016, "modulus": 0.0125})
    assert law.combined_sd(shares.values()) == pytest.approx(sqrt(0.08**2 + 0.016**2 + 0.0125**2))
