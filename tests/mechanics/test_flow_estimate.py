"""Estimate rules against the curves, strengths and bases they were tested on."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ribwright.mechanics import flow_estimate as rule
from ribwright.mechanics.hardening import flow_stress

KSI = 6.894757


def at_offset(k: float, e0: float, n: float) -> float:
    """Yield a Swift curve shows at 0.2 % plastic strain."""
    return k * (e0 + 0.002) ** n


# known curve K, e0, n [MPa]; Fty, Ftu, A50 given to the rule; strain range; what the rule gave (K, n, e0, eu); rms, max [%]
CURVES = {
    # raw record of a public repository, fitted; Fty, Ftu and elongation are the record's own
    "2024-T351": (
        (771.8, 0.0226, 0.2051),
        (359.9, 459.1, 0.213),
        (0.01, 0.16),
        (713, 0.159, 0.0116, 0.147),
        (1.1, 1.9),
    ),
    # forming limit paper on 5052-H32; Fty of the curve, Ftu printed, elongation of a sheet of the same temper (14.36 %)
    "5052-H32": ((376.9, 0.0059, 0.152), (None, 243.0, 0.1436), (0.01, 0.14), (361, 0.132, 0.0033, 0.129), (0.8, 1.7)),
    # Neto et al. (2016) table 1 turned to tension along rolling; Fty and Ftu of the curve, elongation 17 %
    "7075-O": ((320.8, 0.0016, 0.184), (None, None, 0.17), (0.01, 0.17), (321, 0.184, 0.0016, 0.182), (0.0, 0.1)),
    # public record mat_AA2024_O: Fty 72, strength by its K and n
    "2024-O": ((326.8, 0.0, 0.226), (72.0, 186.0, 0.20), (0.01, 0.20), (336, 0.245, 0.0, 0.245), (2.4, 6.0)),
    # textbook pair against remembered typical values of annealed sheet
    "304": ((1275.0, 0.0, 0.45), (241.0, 579.0, 0.55), (0.05, 0.30), (1281, 0.463, 0.025, 0.438), (6.8, 16.7)),
}


@pytest.mark.parametrize("name", CURVES)
def test_rule_s1_gives_back_its_tested_constants_and_errors(name: str):
    """Accepted miss: the rounding of the printed constants, 0.2 points in the errors."""
    (k, e0, n), (fty, ftu, a50), (low, high), (k1, n1, e1, eu1), (rms, most) = CURVES[name]
    fty = at_offset(k, e0, n) if fty is None else fty
    ftu = rule.strength_of_curve(k, n, e0) if ftu is None else ftu
    made = rule.swift_by_rule_s1(fty, ftu, a50, "austenitic" if name == "304" else "aluminium")
    assert made.k == pytest.approx(k1, abs=1.5)
    assert made.n == pytest.approx(n1, abs=0.001)
    assert made.e0 == pytest.approx(e1, abs=0.0003)
    assert made.eu == pytest.approx(eu1, abs=0.001)
    strain = np.linspace(low, high, 300)
    miss = 100 * (flow_stress(made.k, made.n, made.e0, strain) / flow_stress(k, n, e0, strain) - 1)
    assert np.sqrt(np.mean(miss**2)) == pytest.approx(rms, abs=0.2)
    assert np.abs(miss).max() == pytest.approx(most, abs=0.2)


@given(st.floats(30, 1500), st.floats(0.3, 0.95), st.floats(0.03, 0.6), st.sampled_from(sorted(rule.UNIFORM_STRAIN)))
def test_rule_s1_keeps_strength_and_uniform_strain_and_passes_through_the_yield(ftu, ratio, a50, family):
    """Over the whole family: greatest load = Ftu at eu; where a root exists the curve meets Fty at 0.2 %."""
    made = rule.swift_by_rule_s1(ratio * ftu, ftu, a50, family)
    assert rule.strength_of_curve(made.k, made.n, made.e0) == pytest.approx(ftu, rel=1e-9)
    assert made.n - made.e0 == pytest.approx(made.eu, rel=1e-12)
    shown = at_offset(made.k, made.e0, made.n)
    if made.e0 > 0:
        assert shown == pytest.approx(ratio * ftu, rel=1e-6)
    else:
        assert shown >= ratio * ftu * (1 - 1e-9)


@given(st.floats(0.05, 0.3), st.floats(0.0, 0.04), st.floats(100, 1500))
def test_with_the_uniform_strain_measured_rule_s1_gives_the_curve_back(n, e0, k):
    eu = n - e0
    if eu < 0.02:
        return
    fty, ftu = at_offset(k, e0, n), rule.strength_of_curve(k, n, e0)
    made = rule.swift_by_rule_s1(fty, ftu, 0.2, "aluminium", eu)
    strain = np.linspace(0.002, eu, 50)
    # 0.2 %: the rule's own condition takes ln(K n^n / Ftu) = eu exactly, so nothing but the root's tolerance is left
    assert flow_stress(made.k, made.n, made.e0, strain) == pytest.approx(flow_stress(k, n, e0, strain), rel=0.002)


def test_rule_s1_refuses_what_is_no_curve():
    for fty, ftu in ((100.0, 100.0), (120.0, 100.0), (0.0, 100.0)):
        with pytest.raises(ValueError, match="yield below the strength"):
            rule.swift_by_rule_s1(fty, ftu, 0.2, "aluminium")
    with pytest.raises(ValueError, match="too close"):
        rule.swift_by_rule_s1(99.9, 100.0, 0.0001, "aluminium")
    with pytest.raises(KeyError):
        rule.swift_by_rule_s1(50.0, 100.0, 0.2, "wood")


@pytest.mark.parametrize(
    ("name", "k", "n", "e0", "ftu", "miss", "verdict"),
    [  # published pairs; Ftu of the same sheet or typical [MPa]; miss of the strength [%]
        ("2024-O", 326.8, 0.226, 0, 186, 0.1, "agrees"),
        ("2024-T3, Callister", 780, 0.17, 0, 483, 0.8, "agrees"),
        ("6061-O", 205, 0.20, 0, 124, -2, "agrees"),
        ("5052-H32 Swift", 376.9, 0.152, 0.0059, 243, 0.6, "agrees"),
        ("304, Kalpakjian", 1275, 0.45, 0, 579, -2, "agrees"),
        ("7075-O", 355.5, 0.2225, 0, 214, -5, "agrees"),
        ("7075-O", 300, 0.12, 0, 214, -4, "agrees"),
        ("6061-T6", 402, 0.09, 0, 310, -5, "agrees"),
        ("6061-T6, textbooks", 410, 0.05, 0, 310, 8, "marginal"),
        ("7075-O, textbooks", 400, 0.17, 0, 228, 9.5, "marginal"),
        ("304, Callister", 1400, 0.44, 0, 579.2, 8, "marginal"),
        ("7075-O", 314, 0.13, 0, 228, -7, "marginal"),
        ("6061-T6 1.0 mm", 461.7, 0.12, 0, 356.47, -11, "marginal"),
        ("CP titanium grade 2", 600, 0.15, 0, 345, 13, "marginal"),
        ("5052-O, textbooks", 210, 0.13, 0, 193, -27, "fails"),
        ("1100-O, textbooks", 180, 0.20, 0, 90, 19, "fails"),
        ("7075-O", 255, 0.1135, 0, 228, -22, "fails"),
        ("7075-O", 610, 0.21, 0, 230, 55, "fails"),
        ("5052-H32", 327.63, 0.143, 0, 263.92, -19, "fails"),
        ("5052-H32", 472, 0.12, 0, 263.92, 23, "fails"),
    ],
)
def test_rule_s2_sorts_the_published_pairs(name, k, n, e0, ftu, miss, verdict):
    """Accepted miss: the rounding of the printed percentages."""
    checked = rule.check_strength(k, n, e0, ftu)
    assert 100 * checked.miss == pytest.approx(miss, abs=0.5)
    assert checked.verdict == verdict


@given(st.floats(0.02, 0.5), st.floats(0, 0.015), st.floats(50, 2000))
def test_the_strength_of_a_curve_is_its_greatest_engineering_stress(n, e0, k):
    strain = np.linspace(0, 0.6, 60001)
    engineering = flow_stress(k, n, e0, strain) * np.exp(-strain)
    assert rule.strength_of_curve(k, n, e0) == pytest.approx(engineering.max(), rel=1e-6)


@pytest.mark.parametrize(
    ("name", "a", "b", "sd", "mean", "cov"),
    [  # MIL-HDBK-5J A and B basis of the yield, longitudinal unless said, ksi
        ("2024-T3 bare 0.010-0.128 in", 47, 48, 0.9, 49.3, 1.8),
        ("2024-T3 clad 0.063-0.128 in", 45, 47, 1.8, 49.6, 3.7),
        ("2024-T42 clad 0.063-0.249 in", 36, 38, 1.8, 40.6, 4.5),
        ("7075-T6 0.040-0.125 in", 70, 72, 1.8, 74.6, 2.4),
        ("6061-T6", 36, 38, 1.8, 40.6, 4.5),
        ("6061-T4 long transverse", 16, 18, 1.8, 20.6, 8.8),
        ("2014-T6 0.040-0.249 in", 59, 60, 0.9, 61.3, 1.5),
        ("Ti-6Al-4V annealed", 126, 131, 4.5, 137.4, 3.3),
        ("301 1/4 hard", 69, 83, 12.7, 100.9, 12.6),
    ],
)
def test_rule_c1_makes_scatter_of_the_bases(name, a, b, sd, mean, cov):
    made = rule.scatter_of_bases(a, b)
    assert made.sd == pytest.approx(sd, abs=0.05)
    assert made.mean == pytest.approx(mean, abs=0.06)
    assert 100 * made.cov == pytest.approx(cov, abs=0.06)


def test_the_factors_of_rule_c1_are_those_of_a_normal_sample_of_300():
    """One-sided tolerance factors at 95 % confidence by the noncentral t distribution (scipy)."""
    from scipy.stats import nct, norm

    for share, ours in ((0.99, rule.K99), (0.90, rule.K90)):
        exact = nct.ppf(0.95, 299, norm.ppf(share) * math.sqrt(300)) / math.sqrt(300)
        assert ours == pytest.approx(exact, abs=0.002)


def test_rule_cl1_agrees_with_the_printed_secondary_moduli():
    """MIL-HDBK-5J tables 3.2.3.0(e1)-(e4) [Msi]; accepted miss 0.6 %."""
    for fraction, printed in ((0.05, 9.5), (0.025, 10.0)):
        assert rule.secondary_modulus(10.5, fraction) == pytest.approx(printed, rel=0.006)
        assert rule.clad_fraction(10.5, rule.secondary_modulus(10.5, fraction)) == pytest.approx(fraction, rel=1e-9)
    assert rule.clad_fraction(10.5, 9.5) == pytest.approx(0.048, abs=0.0005)


def test_rule_f1_is_the_plane_strain_form_of_considere():
    """Necking in plane strain where d sigma1/d eps1 = sigma1, with eps = 2/sqrt(3) eps1 (Hill, isotropic)."""
    k, n, e0 = 751.0, 0.157, 0.0050
    strain = np.linspace(0.0, 0.4, 400001)
    load = flow_stress(k, n, e0, 2 / math.sqrt(3) * strain) * np.exp(-strain)
    assert rule.plane_strain_limit(n, e0) == pytest.approx(strain[load.argmax()], abs=2e-5)
    assert rule.plane_strain_limit(0.05, 0.2) == 0.0
