"""The catalogue's materials against published numbers, and its estimates computed again from what they claim."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.optimize import brentq

from ribwright.adapters.facts_toml import load_catalogue
from ribwright.shop.sheet import Hardening, Material

KSI = 6.894757
MATERIALS = sorted({m.name: m for m in load_catalogue().materials.values()}.values(), key=lambda m: m.name)
BY_RULE_S1 = [m for m in MATERIALS if m.hardening is not None and m.hardening.rule == "S1"]
WITH_CURVE = [m for m in MATERIALS if m.hardening is not None]


def names(material: Material) -> str:
    return material.name


def flow(h: Hardening, plastic: np.ndarray) -> np.ndarray:
    return h.k_mpa * (h.prestrain + plastic) ** h.n


def strength_of(h: Hardening) -> float:
    """Greatest engineering stress of the Swift curve: d sigma/d eps = sigma at eps = n - e0 (Considere)."""
    return h.k_mpa * h.n**h.n * math.exp(h.prestrain - h.n)


def swift_by_rule_s1(fty: float, ftu: float, a50: float, family: str) -> Hardening:
    """Rule S1 of docs/FACTS.md, written from that page."""
    ratio = fty / ftu
    m2 = {
        "aluminium": 0.52 * (0.98 - ratio),
        "titanium": 0.50 * (0.98 - ratio),
        "austenitic": 0.75 * (1 - ratio),
        "nickel": 0.75 * (1 - ratio),
    }[family]
    eu = m2 if family in ("austenitic", "nickel") else (math.log(1 + a50) + m2) / 2

    def through_yield(e0: float) -> float:
        return eu + (eu + e0) * math.log((e0 + 0.002) / (eu + e0)) - math.log(ratio)

    e0 = brentq(through_yield, 0.0, 0.2) if through_yield(0.0) < 0 else 0.0
    n = eu + e0
    return Hardening("swift", ftu * math.exp(eu) / n**n, n, e0, 0.5, "test", "estimated", "S1")


@pytest.mark.parametrize("material", WITH_CURVE, ids=names)
def test_strength_follows_from_the_flow_curve(material: Material):
    assert material.hardening is not None
    assert strength_of(material.hardening) == pytest.approx(material.number("strength_mpa"), rel=0.07)


@pytest.mark.parametrize("material", BY_RULE_S1, ids=names)
def test_a_curve_said_to_be_by_rule_s1_is_the_one_the_rule_gives(material: Material):
    given = (material.number(key) for key in ("yield_mpa", "strength_mpa", "elongation"))
    fty, ftu, a50 = (number for number in given if number is not None)
    ruled = swift_by_rule_s1(fty, ftu, a50, material.family)
    strain = np.linspace(0.002, ruled.n - ruled.prestrain, 40)
    assert material.hardening is not None
    # the miss is the rounding of K, n and prestrain in the file
    assert flow(material.hardening, strain) == pytest.approx(flow(ruled, strain), rel=0.008)


def test_rule_s1_meets_a_raw_tensile_record_within_its_stated_error():
    """2024-T351, raw engineering strain and stress [MPa] (public repository GWB2025/stress-strain-plotter).

    The rule gets only the record's own Fty 359.9, Ftu 459.1 MPa and elongation 21.3 %. Accepted miss in stress:
    2.3 % at any point, 1.5 % rms (docs/FACTS.md states 2.2 and 1.2 % over the whole record).
    """
    record = RECORD_2024_T351
    strain, stress = (np.array(column) for column in zip(*record, strict=True))
    true_stress = stress * (1 + strain)
    plastic = np.log(1 + strain) - true_stress / 73500.0
    ruled = swift_by_rule_s1(359.9, 459.1, 0.213, "aluminium")
    miss = flow(ruled, plastic) / true_stress - 1
    assert np.abs(miss).max() < 0.023
    assert np.sqrt(np.mean(miss**2)) < 0.015


# fmt: off
RECORD_2024_T351 = [
    (0.0158, 377.8), (0.0201, 384.9), (0.0252, 391.6), (0.0301, 398.4), (0.0399, 410.0),
    (0.0497, 419.5), (0.0603, 427.9), (0.0797, 439.5), (0.1002, 448.6), (0.1200, 453.9),
    (0.1397, 457.7), (0.1596, 458.3), (0.1697, 458.8),
]
# fmt: on


@pytest.mark.parametrize(
    ("alloy", "msi"),
    [
        ("2024", 10.5),  # MIL-HDBK-5J table 3.2.3.0(d)
        ("5052", 10.1),  # table 3.5.1.0(b1)
        ("6061", 9.9),  # table 3.6.2.0(b1)
        ("7075", 10.3),  # table 3.7.6.0(b1)
        ("304", 29.0),  # table 2.7.1.0(b)
        ("CP-Ti grade 2", 15.5),  # table 5.2.1.0(b)
    ],
)
def test_youngs_modulus_is_the_handbook_one(alloy: str, msi: float):
    found = {m.number("youngs_modulus_mpa") for m in MATERIALS if m.alloy == alloy}
    assert sorted(found) == pytest.approx([msi * 1000 * KSI], rel=1e-6)


def test_clad_sheet_without_a_printed_modulus_takes_the_rule():
    """E (1 - 2 f): 2014 with 5 % a side, 7075 with 4 % (both fractions remembered); never above the core's."""
    for material in MATERIALS:
        if material.clad and material.alloy != "2024":
            f = {"2014": 0.05, "7075": 0.04}[material.alloy]
            core, fact = material.number("youngs_modulus_mpa"), material.facts["secondary_modulus_mpa"]
            assert core is not None
            assert fact.rule == "CL1"
            assert fact.value == pytest.approx(core * (1 - 2 * f), rel=0.001)


def test_clad_sheet_springs_back_with_the_softer_modulus_of_core_and_cladding():
    """E (1 - 2 f): 5 % a side gives 9.45 Msi, MIL-HDBK-5J prints 9.5 up to 0.062 in; accepted miss 0.6 %."""
    clad = [m for m in MATERIALS if m.clad and m.alloy == "2024"]
    assert len(clad) == 7
    for material in clad:
        core = material.number("youngs_modulus_mpa")
        assert core is not None
        assert material.springback_modulus() == pytest.approx(core * (1 - 2 * 0.05), rel=0.006)
        assert material.springback_modulus() == pytest.approx(9.5 * 1000 * KSI, rel=1e-6)


@pytest.mark.parametrize(
    ("name", "yield_ksi", "strength_ksi", "elongation"),
    [  # Aluminum Association typical values, as printed in copies (those only remembered are not checked here)
        ("2024-O", 11, 27, 0.20),
        ("2024-O clad", 11, 26, 0.20),
        ("2024-T3", 50, 70, 0.18),
        ("2024-T3 clad", 45, 65, 0.18),
        ("2024-T42", 47, 68, 0.20),  # printed for 2024-T4
        ("2024-T42 clad", 42, 64, 0.19),  # printed for clad 2024-T4
        ("5052-H32", 28, None, 0.12),
        ("6061-T6", 40, 45, 0.12),
        ("7075-T6", None, 83, 0.11),
    ],
)
def test_typical_values_are_the_printed_ones(name, yield_ksi, strength_ksi, elongation):
    material = load_catalogue().materials[name]
    expected = {
        "yield_mpa": yield_ksi and yield_ksi * KSI,
        "strength_mpa": strength_ksi and strength_ksi * KSI,
        "elongation": elongation,
    }
    for key, value in expected.items():
        fact = material.facts[key]
        assert (value is None) or fact.value == pytest.approx(value, rel=1e-6)
        assert (value is None) or fact.status == "published"


@pytest.mark.parametrize(
    ("name", "key", "a_basis", "b_basis", "least"),
    [  # MIL-HDBK-5J A and B basis, ksi
        ("2024-T3", "yield_cov", 47, 48, 0.04),  # table 3.2.3.0(b1), longitudinal
        ("2024-T3 clad", "yield_cov", 44, 45, 0.04),  # (e1), 0.010-0.062 in
        ("2024-T42 clad", "yield_cov", 36, 38, 0.04),  # (e3), 0.063-0.249 in
        ("6061-T4", "yield_cov", 16, 18, 0.04),  # 3.6.2.0(b1), long transverse
        ("6061-T4", "k_cov", 30, 32, 0.0),
        ("6061-T6", "yield_cov", 36, 38, 0.04),
        ("7075-T6", "yield_cov", 70, 72, 0.04),  # 3.7.6.0(b1), 0.040-0.125 in
    ],
)
def test_scatter_comes_from_the_a_and_b_basis(name, key, a_basis, b_basis, least):
    deviation = (b_basis - a_basis) / (2.521 - 1.416)
    mean = b_basis + 1.416 * deviation
    fact = load_catalogue().materials[name].facts[key]
    assert fact.rule == "C1"
    assert fact.value == pytest.approx(max(least, deviation / mean), abs=0.0006)


def yld91(stress: np.ndarray, c: tuple[float, ...], m: float = 8.0) -> float:
    """Equivalent stress of Barlat, Lege and Brem (1991) for plane stress (sx, sy, txy)."""
    sx, sy, txy = stress
    s11, s22, s33 = (c[2] * (sx - sy) + c[1] * sx) / 3, (c[0] * sy - c[2] * (sx - sy)) / 3, -(c[1] * sx + c[0] * sy) / 3
    principal = np.linalg.eigvalsh(np.array([[s11, c[5] * txy, 0], [c[5] * txy, s22, 0], [0, 0, s33]]))
    gaps = np.abs(principal - np.roll(principal, 1))
    return float((np.sum(gaps**m) / 2) ** (1 / m))


def test_7075_o_in_tension_comes_from_its_published_yield_surface():
    """Constants of Neto et al. table 1: c 1.098 1.128 0.986 1 1 0.978, m 8; K 343.3 MPa, n 0.184, e0 0.0015."""
    c = (1.098, 1.128, 0.986, 1.0, 1.0, 0.978)
    material = load_catalogue().materials["7075-O"]
    for angle, key in ((0, "r0"), (45, "r45"), (90, "r90")):
        u, v = math.cos(math.radians(angle)), math.sin(math.radians(angle))
        pull = np.array([u * u, v * v, u * v])
        ex, ey, gxy = ((yld91(pull + d, c) - yld91(pull - d, c)) / 2e-6 for d in 1e-6 * np.eye(3))
        width = ex * v * v + ey * u * u - gxy * u * v
        assert material.number(key) == pytest.approx(width / -(ex + ey), abs=0.006)
    ratio = 1 / yld91(np.array([1.0, 0.0, 0.0]), c)
    assert material.hardening is not None
    assert material.hardening.k_mpa == pytest.approx(ratio**1.184 * 343.3, rel=1e-3)
    assert material.hardening.prestrain == pytest.approx(0.0015 / ratio, abs=6e-5)


def test_a_power_law_starts_to_flow_at_the_yield():
    started = [m for m in MATERIALS if m.hardening is not None and "by P1" in m.hardening.source]
    assert {m.name for m in started} == {"2024-O", "2024-O clad", "6061-O", "304 annealed"}
    for material in started:
        assert material.hardening is not None
        first = flow(material.hardening, np.array(0.0))
        assert first == pytest.approx(material.number("yield_mpa"), rel=0.005)


def test_clad_curve_scaled_by_strength_agrees_with_the_mixture_and_with_rule_s1():
    bare, clad, t3, t3_clad = (
        load_catalogue().materials[name].hardening for name in ("2024-O", "2024-O clad", "2024-T3", "2024-T3 clad")
    )
    assert bare is not None
    assert clad is not None
    assert t3 is not None
    assert t3_clad is not None
    assert clad.k_mpa == pytest.approx(bare.k_mpa * 26 / 27, rel=1e-3)
    # 5 % a side of pure aluminium (K 180 MPa, n 0.20, textbook) over the core; accepted miss 1.2 %
    strain = np.linspace(0.02, 0.2, 10)
    mixture = 0.9 * flow(bare, strain) + 0.1 * 180.0 * strain**0.20
    assert flow(clad, strain) == pytest.approx(mixture, rel=0.012)
    strain = np.linspace(0.01, 0.15, 10)
    assert flow(t3, strain) * 65 / 70 == pytest.approx(flow(t3_clad, strain), rel=0.03)


@pytest.mark.parametrize("material", [m for m in MATERIALS if "elongation" in m.facts], ids=names)
def test_edge_limits_by_rule_come_from_the_elongation(material: Material):
    a50 = material.number("elongation")
    assert a50 is not None
    soft = material.temper in ("O", "annealed")
    ruled = min(0.14, a50 / 2) if soft else a50 / 3
    # remembered ranges of wartime papers, engineering: O tempers 10 to 14 %, T3 5 to 8 %
    low, high = (0.10, 0.14) if soft else (0.05, 0.08)
    for key in ("stretch_limit", "hole_edge_limit"):
        fact = material.facts[key]
        if fact.status == "estimated":
            assert fact.value == pytest.approx(ruled, abs=0.0006)
        else:
            assert low <= fact.value <= high


def test_flutes_back_to_back_take_up_what_their_gather_allows():
    width, depth = 0.40, 0.09
    gather = 2 * math.hypot(width / 2, depth) - width
    formed = [m for m in MATERIALS if m.temper != "W"]
    for material in formed:
        assert material.number("shrink_fluted_limit") == pytest.approx(gather / (width + gather), abs=0.0005)
