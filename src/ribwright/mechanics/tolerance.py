"""Chance to lie inside a tolerance: normal scatter, combined as independent, and the guard band of a gauge.

mu, sd  mean and standard deviation of a characteristic, in its own unit (mm or deg)
lo, hi  the tolerance's limits;  U  expanded uncertainty of the gauge, coverage factor 2

Sources: JCGM 100:2008 (combining, 5.1.2; rectangular scatter, 4.3.7; coverage factor, 6.2), JCGM 106:2012 (chance to
conform and guard band), ISO 14253-1 (decision rule: a part is proved inside only clear of the limit by U). All three from
memory. The normal distribution is an assumption: it says little of rare tails.
"""

from __future__ import annotations

from collections.abc import Iterable
from math import erf, inf, radians, sqrt, tan

import numpy as np
from numpy.typing import NDArray

Z90 = 1.645  # half-width of a normal 90 % interval over its standard deviation
COVERAGE = 2.0  # expanded uncertainty of a gauge over its standard uncertainty
INSIDE, OUTSIDE, CANNOT_TELL = "inside", "outside", "cannot-tell"


def normal_cdf(z: float) -> float:
    """Share of a standard normal scatter below z, (1 + erf(z/sqrt 2))/2 [-]."""
    return (1.0 + erf(z / sqrt(2.0))) / 2.0


def chance_inside(lo: float, hi: float, mu: float, sd: float) -> float:
    """Chance that a normal value lies in [lo, hi] [-]; sd 0 answers 0 or 1, an empty interval 0."""
    if hi < lo:
        return 0.0
    if sd <= 0.0:
        return float(lo <= mu <= hi)
    return max(normal_cdf((hi - mu) / sd) - normal_cdf((lo - mu) / sd), 0.0)


def expanded_mean(values: NDArray[np.float64]) -> float:
    """Expanded uncertainty of the mean of repeated readings (n,), n of 2 and more: t s/sqrt n with Student's t at 95.45 %.

    With few readings their scatter is itself hardly known: t is 14.0 for two, 4.5 for three, 2.9 for five. Source: JCGM 100:2008, G.3,
    table G.2 (from memory).
    """
    from scipy.special import stdtrit  # most of a second to load, and few ask

    t = float(stdtrit(len(values) - 1, 0.5 + 0.9545 / 2.0))
    return t * float(np.std(values, ddof=1)) / sqrt(len(values))


def combined_sd(sds: Iterable[float]) -> float:
    """Root of the sum of squares: independent contributors."""
    return sqrt(sum(s * s for s in sds))


def rectangular_sd(half: float) -> float:
    """Standard deviation of a value that lies anywhere within +- half with the same chance, half/sqrt 3."""
    return half / sqrt(3.0)


def guarded(lo: float, hi: float, expanded: float) -> tuple[float, float]:
    """Limits that a measured value must keep so that the true one is proved inside: drawn in by U on both sides. They
    cross (lo > hi) where the gauge is too coarse for the tolerance."""
    return lo + expanded, hi - expanded


def verdict(measured: float, lo: float, hi: float, expanded: float, decision: str) -> str:
    """A measured value against limits [lo, hi]: INSIDE, OUTSIDE or CANNOT_TELL.

    "guarded": proved inside only clear of both limits by U, proved outside only past one by U (ISO 14253-1, from memory); "simple": the
    measured value decides, whatever its uncertainty.
    """
    if decision != "guarded":
        return INSIDE if lo <= measured <= hi else OUTSIDE
    low, high = guarded(lo, hi, expanded)
    if low <= measured <= high:
        return INSIDE
    return OUTSIDE if measured < lo - expanded or measured > hi + expanded else CANNOT_TELL


def reserve(lo: float, hi: float, mu: float, sd: float) -> float:
    """Room on the nearer side over the half 90 % band [-]: 1 and more, the band stands inside the tolerance."""
    room = min(hi - mu, mu - lo)
    return room / (Z90 * sd) if sd > 0.0 else (inf if room >= 0.0 else -inf)


def setback_per_radian(radius: float, thickness: float, reach: float, angle_deg: float) -> float:
    """How the mold line moves outward when a bend turns further and keeps its arc [mm/rad].

    d/da of (R + s) tan(a/2) with (R + t/2) a kept: (R + s)/(2 cos^2(a/2)) - tan(a/2) (R + t/2)/a
    `reach` s: t for the outside mold line, 0 for the inside one. 0 < a < 180 deg.
    """
    a = radians(angle_deg)
    t2 = tan(a / 2.0)
    return (radius + reach) * (1.0 + t2 * t2) / 2.0 - t2 * (radius + thickness / 2.0) / a


def radius_per_degree(radius: float, thickness: float, angle_deg: float) -> float:
    """How the inside radius changes when a bend turns further and keeps its arc, -(R + t/2)/a [mm/deg]."""
    return -(radius + thickness / 2.0) / angle_deg


def springback_shares(n: float, k_cov: float, thickness_cov: float, modulus_cov: float) -> dict[str, float]:
    """Relative standard deviations of springback by what varies between sheets, from u ~ K t^(n-1)/E [-]."""
    return {"strength": k_cov, "thickness": (1.0 - n) * thickness_cov, "modulus": modulus_cov}
