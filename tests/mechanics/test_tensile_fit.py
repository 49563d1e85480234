"""Tensile records made from known curves, with noise and toe, given back by the fits; scipy as the peer."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import curve_fit

from ribwright.mechanics import tensile_fit as tf
from ribwright.mechanics.hardening import flow_stress


def pull(k, n, e0, modulus=72400.0, past=0.03, points=600, noise=0.0, toe=0.0, seed=0, law="swift"):
    """Engineering strain and stress of a sheet that follows its law to `past` beyond the greatest load.

    Elastic until the law starts; noise is a share of the greatest stress."""
    start = flow_stress(k, n, e0, 0.0) if law == "swift" else k
    elastic = np.linspace(0.0, start / modulus, max(points // 10, 30), endpoint=False)
    plastic = np.linspace(0.0, (n - e0 if law == "swift" else 0.2) + past, points)
    flow = flow_stress(k, n, e0, plastic) if law == "swift" else k + n * (1 - np.exp(-e0 * plastic))
    total = np.concatenate([elastic, plastic + flow / modulus])
    sigma = np.concatenate([elastic * modulus, flow])
    engineering = sigma * np.exp(-total)
    ripple = np.random.default_rng(seed).normal(0.0, noise * engineering.max(), len(engineering))
    return np.expm1(total) + toe, engineering + ripple


# strengths a sheet of that modulus has: the ratio is what matters, steels included
curves = st.tuples(st.floats(100, 700), st.floats(0.08, 0.35), st.floats(0.001, 0.03)).filter(
    lambda c: c[1] - c[2] > 0.06
)


@settings(max_examples=40, deadline=None)
@given(curves)
def test_a_clean_record_gives_its_constants_back(curve):
    """Modulus 1.2 % (the engineering slope falls short of the true one by about twice the strain), yield 0.3 %, strength 0.1 %,
    uniform strain 0.005, the curve 0.3 %.
    """
    k, n, e0 = curve
    strain, stress = pull(k, n, e0)
    elastic = tf.elastic_part(strain, stress)
    assert elastic is not None
    assert elastic.modulus == pytest.approx(72400, rel=0.012)
    first = float(flow_stress(k, n, e0, 0.002))
    assert elastic.yield_stress == pytest.approx(first * np.exp(-0.002 - first / 72400), rel=0.003)
    top = tf.greatest_load(strain, stress, elastic.toe)
    assert top.reached
    assert top.strength == pytest.approx(stress.max(), rel=0.001)
    assert top.true_strain == pytest.approx(n - e0 + k * n**n / 72400, abs=0.005)
    fit = tf.fit_swift(*tf.flow_points(strain, stress, elastic, top.true_strain))
    assert fit is not None
    eps = np.linspace(0.003, n - e0, 50)
    assert flow_stress(*(fit.constants[i] for i in (0, 1, 2)), eps) == pytest.approx(
        flow_stress(k, n, e0, eps), rel=0.003
    )


@settings(max_examples=25, deadline=None)
@given(curves, st.integers(0, 10_000))
def test_noise_of_a_thousandth_moves_the_curve_by_less_than_that(curve, seed):
    k, n, e0 = curve
    strain, stress = pull(k, n, e0, noise=0.001, seed=seed)
    elastic = tf.elastic_part(strain, stress, 72400.0)
    assert elastic is not None
    top = tf.greatest_load(strain, stress, elastic.toe)
    fit = tf.fit_swift(*tf.flow_points(strain, stress, elastic, top.true_strain))
    assert fit is not None
    assert fit.rms < 0.0025
    eps = np.linspace(0.005, 0.9 * (n - e0), 40)
    assert flow_stress(fit.constants[0], fit.constants[1], fit.constants[2], eps) == pytest.approx(
        flow_stress(k, n, e0, eps), rel=0.004
    )


@settings(max_examples=20, deadline=None)
@given(curves, st.integers(0, 10_000))
def test_both_fits_are_the_least_squares_that_scipy_finds(curve, seed):
    """No fit of scipy lies lower; where it ends as low the curves agree to 1e-4."""
    strain, stress = pull(*curve, noise=0.001, seed=seed)
    elastic = tf.elastic_part(strain, stress, 72400.0)
    assert elastic is not None
    x, y = tf.flow_points(strain, stress, elastic, tf.greatest_load(strain, stress).true_strain)
    laws = {
        "swift": (tf.fit_swift, lambda e, k, n, e0: k * (np.abs(e0) + e) ** n),
        "voce": (tf.fit_voce, lambda e, s0, q, b: s0 + q * (1 - np.exp(-b * e))),
    }
    for fitted, law in laws.values():
        ours = fitted(x, y)
        assert ours is not None
        theirs, _ = curve_fit(law, x, y, p0=ours.constants, maxfev=20000)
        cost = [np.sum((law(x, *p) - y) ** 2) for p in (ours.constants, theirs)]
        assert cost[0] <= cost[1] * (1 + 1e-6)
        assert law(x, *ours.constants) == pytest.approx(law(x, *theirs), rel=1e-4)


def test_a_saturating_sheet_is_followed_by_voce_and_said_to_be():
    strain, stress = pull(360.0, 220.0, 10.0, law="voce")
    elastic = tf.elastic_part(strain, stress)
    assert elastic is not None
    x, y = tf.flow_points(strain, stress, elastic, tf.greatest_load(strain, stress).true_strain)
    swift, voce = tf.fit_swift(x, y), tf.fit_voce(x, y)
    assert swift is not None
    assert voce is not None
    assert voce.constants == pytest.approx((360.0, 220.0, 10.0), rel=0.01)
    assert voce.rms < 0.0005 < swift.rms


@pytest.mark.parametrize("toe", [0.0, 0.0005, 0.002, -0.0003])
def test_a_toe_moves_neither_modulus_nor_yield_nor_curve(toe):
    """A slack grip shifts the strain; the elastic line finds its own zero."""
    plain, moved = (tf.elastic_part(*pull(330.0, 0.2, 0.005, toe=t)) for t in (0.0, toe))
    assert plain is not None
    assert moved is not None
    assert moved.toe - plain.toe == pytest.approx(toe, abs=1e-9)
    assert moved.modulus == pytest.approx(plain.modulus, rel=1e-6)
    assert moved.yield_stress == pytest.approx(plain.yield_stress, rel=1e-6)


def test_the_unit_of_stress_does_not_change_the_shape():
    strain, stress = pull(700.0, 0.18, 0.01, noise=0.0005)
    found = []
    for scale in (1.0, 1 / 6.894757):
        elastic = tf.elastic_part(strain, stress * scale)
        assert elastic is not None
        fit = tf.fit_swift(*tf.flow_points(strain, stress * scale, elastic, 0.15))
        assert fit is not None
        found.append((fit.constants[0] / scale, *fit.constants[1:]))
    assert found[0] == pytest.approx(found[1], rel=1e-5)


def test_a_record_that_ends_early_says_that_it_did():
    strain, stress = pull(700.0, 0.18, 0.01)
    cut = strain < 0.10
    top = tf.greatest_load(strain[cut], stress[cut])
    assert not top.reached
    assert top.strength == pytest.approx(stress[cut].max())
    assert tf.greatest_load(strain, stress).reached


def test_a_flat_top_says_how_well_its_strain_is_known():
    """The interval within 0.2 % of the greatest stress holds the true uniform strain of every curve."""
    for k, n, e0 in ((330.0, 0.2, 0.001), (750.0, 0.15, 0.02), (1400.0, 0.4, 0.02)):
        strain, stress = pull(k, n, e0)
        top = tf.greatest_load(strain, stress)
        assert top.flat[0] < n - e0 + k * n**n / 72400 < top.flat[1]


def test_true_records_turn_into_the_engineering_ones_and_back():
    strain, stress = pull(330.0, 0.2, 0.005)
    back = tf.engineering(np.log1p(strain), stress * (1 + strain))
    assert back[0] == pytest.approx(strain, abs=1e-12)
    assert back[1] == pytest.approx(stress, rel=1e-12)


def test_what_shows_no_elastic_line_or_no_hardening_is_not_fitted():
    strain = np.linspace(0, 0.1, 50)
    assert tf.elastic_part(strain, 70000 * strain) is None
    # three points on the way up: too few to tell a slope
    assert (
        tf.elastic_part(np.array([0, 0.001, 0.003, 0.02, 0.05, 0.1]), np.array([0, 70, 150, 200, 220, 230.0])) is None
    )
    falling = 300 - 500 * strain
    assert tf.fit_swift(strain, falling) is None
    assert tf.fit_voce(strain, falling) is None
    assert tf.fit_swift(strain[:5], 300 + strain[:5]) is None
