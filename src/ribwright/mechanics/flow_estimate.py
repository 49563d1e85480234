"""Flow curve, scatter and clad modulus estimated from what a handbook prints, and the check of any flow curve.

The rules are this project's own and are named as in docs/FACTS.md, which states their tested errors. Stresses may be in
any one unit; strains are true unless said; plastic strain stands for total strain at the greatest load (under 1 % of
it). Considere's condition, d sigma/d eps = sigma at the greatest load, is the backbone of S1 and S2.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, log, log1p

# m2 = factor (top - R), R = Fty/Ftu: true uniform strain by ASME VIII-2 annex 3-D, table KM-620
UNIFORM_STRAIN = {
    "aluminium": (0.52, 0.98),
    "titanium": (0.50, 0.98),
    "ferritic": (0.60, 1.00),
    "austenitic": (0.75, 1.00),
    "nickel": (0.75, 1.00),
}
# aluminium and titanium take the mean of m2 and ln(1 + A50); steels and nickel take m2 alone
HALF_AND_HALF = frozenset({"aluminium", "titanium"})
YIELD_OFFSET = 0.002
AGREES, MARGINAL = 0.07, 0.15  # miss of the strength by the curve up to which it agrees, or is marginal
# one-sided tolerance factors of a normal distribution, 95 % confidence, 300 tests: 99 % and 90 % of the lots above
K99, K90 = 2.521, 1.416


@dataclass(frozen=True)
class SwiftEstimate:
    """sigma = k (e0 + eps)^n; `eu` the true uniform strain the curve was made for."""

    k: float
    n: float
    e0: float
    eu: float


@dataclass(frozen=True)
class StrengthCheck:
    """Rule S2: strength that follows from a flow curve, its miss (by curve over stated, less 1), and the verdict:
    `agrees` to 7 %, `marginal` to 15 %, `fails` beyond."""

    strength: float
    miss: float
    verdict: str


@dataclass(frozen=True)
class Scatter:
    """Mean and standard deviation, in the unit of the bases; `cov` their ratio."""

    mean: float
    sd: float

    @property
    def cov(self) -> float:
        """Standard deviation over mean."""
        return self.sd / self.mean


def uniform_strain(fty: float, ftu: float, a50: float, family: str) -> float:
    """True uniform strain by rule S1 from yield, strength and total elongation A50 (engineering, 0.18 for 18 %).

    0 < fty < ftu; `family` a key of UNIFORM_STRAIN. Worst miss 13 % on four aluminium curves, 22 % on four steels.
    KeyError for an unknown family.
    """
    factor, top = UNIFORM_STRAIN[family]
    m2 = factor * (top - fty / ftu)
    return (log1p(a50) + m2) / 2 if family in HALF_AND_HALF else m2


def swift_by_rule_s1(fty: float, ftu: float, a50: float, family: str, eu: float | None = None) -> SwiftEstimate:
    """Rule S1: Swift's constants from yield, strength and elongation; `eu` where the uniform strain was measured.

    e0 >= 0 solves eu + (eu + e0) ln((e0 + 0.002)/(eu + e0)) = ln(fty/ftu), so that the curve passes through fty at
    0.2 %; where no root exists e0 = 0. n = eu + e0, K = ftu exp(eu)/n^n. ValueError unless 0 < fty < ftu and eu > 0.
    """
    if not 0 < fty < ftu:
        raise ValueError("rule S1 needs a yield below the strength")
    eu = uniform_strain(fty, ftu, a50, family) if eu is None else eu
    if eu <= 0:
        raise ValueError("rule S1 gives no uniform strain: yield and strength lie too close together")
    e0 = _prestrain(eu, log(fty / ftu))
    n = eu + e0
    return SwiftEstimate(ftu * exp(eu) / n**n, n, e0, eu)


def _prestrain(eu: float, target: float) -> float:
    """The root by halving; the left side rises with e0, from -infinity side to 0.002 at most."""

    def left(e0: float) -> float:
        return eu + (eu + e0) * log((e0 + YIELD_OFFSET) / (eu + e0))

    low, high = 0.0, 1.0
    if left(low) >= target or left(high) <= target:
        return 0.0
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if left(middle) < target else (low, middle)
    return (low + high) / 2


def strength_of_curve(k: float, n: float, e0: float = 0.0) -> float:
    """Greatest engineering stress of a Swift curve, K n^n exp(e0 - n), reached at eps = n - e0 (Considere)."""
    return float(k * n**n * exp(e0 - n))


def check_strength(k: float, n: float, e0: float, ftu: float) -> StrengthCheck:
    """Rule S2: does the strength that a curve implies agree with the strength printed beside it?"""
    strength = strength_of_curve(k, n, e0)
    miss = strength / ftu - 1
    verdict = "agrees" if abs(miss) <= AGREES else "marginal" if abs(miss) <= MARGINAL else "fails"
    return StrengthCheck(strength, miss, verdict)


def scatter_of_bases(a_basis: float, b_basis: float, k99: float = K99, k90: float = K90) -> Scatter:
    """Rule C1: sd = (B - A)/(k99 - k90), mean = B + k90 sd, from the A and B basis of one property.

    Tested: the mean against 18 typical values, 3 % on average, 10 % the worst. Bases printed in whole ksi make each sd
    uncertain by 0.6 ksi.
    """
    sd = (b_basis - a_basis) / (k99 - k90)
    return Scatter(b_basis + k90 * sd, sd)


def secondary_modulus(core_modulus: float, clad_fraction: float) -> float:
    """Rule CL1: modulus of clad sheet once its skin has yielded, E (1 - 2 f), f the clad fraction a side.

    Against MIL-HDBK-5J on 2024: 0.5 % at f 5 %, 0.2 % at 2.5 %.
    """
    return core_modulus * (1 - 2 * clad_fraction)


def clad_fraction(core_modulus: float, secondary: float) -> float:
    """The clad fraction a side that a printed secondary modulus implies, (1 - Es/E)/2."""
    return (1 - secondary / core_modulus) / 2


def plane_strain_limit(n: float, e0: float) -> float:
    """Rule F1: true major strain at necking in plane strain, n - (sqrt(3)/2) e0, at least 0. Untested: no measured
    forming limit curve of these alloys was found. Swift (1952), Hill's condition, isotropic."""
    return max(n - 3**0.5 / 2 * e0, 0.0)
