"""From a tensile record to elastic modulus, yield, strength, uniform strain and a flow curve.

Engineering strain e [-] and stress s [MPa] in; true strain ln(1 + e), true stress s (1 + e), plastic strain
ln(1 + e) - sigma/E up to the greatest load. Flow laws are fitted by least squares on the true stress between plastic strain
0.002 and the greatest load, every point with the same weight:

    Swift  sigma = K (e0 + eps)^n          Voce  sigma = s0 + Q (1 - exp(-b eps))

Swift, J. Mech. Phys. Solids 1 (1952) 1; Voce, J. Inst. Metals 74 (1948) 537. Yield at 0.2 % offset and the modulus as in
ASTM E8 and E111 (recalled), with the windows stated here.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]

OFFSET = 0.002
WINDOW = (0.15, 0.6)  # shares of the 0.2 % yield between which the elastic line is fitted
TOP = 0.99  # share of the greatest stress above which the parabola through the top is fitted
FLAT = 0.002  # share of the greatest stress that counts as the same
LEAST_ELASTIC, LEAST_PLASTIC = 5, 8  # points


@dataclass(frozen=True)
class Elastic:
    """Slope of the elastic line [MPa] and its standard error, where it meets zero stress (toe) [-], number of points, and
    the 0.2 % yield [MPa]. `measured` False: the modulus was given, its error 0."""

    modulus: float
    modulus_error: float
    toe: float
    points: int
    yield_stress: float
    measured: bool


@dataclass(frozen=True)
class Greatest:
    """Greatest engineering stress [MPa] and true total strain there; `flat` the true strains between which the stress
    stays within FLAT of it, so how well the strain is known. `reached` False: the record ends before the greatest load,
    and strength and strain are at least so much."""

    strength: float
    true_strain: float
    flat: tuple[float, float]
    reached: bool


@dataclass(frozen=True)
class Fit:
    """A fitted law: constants in the order of its formula (Swift K, n, e0; Voce s0, Q, b), relative rms and largest error in
    stress [-], and the plastic strains it was fitted between."""

    law: str
    constants: tuple[float, float, float]
    rms: float
    worst: float
    low: float
    high: float


def engineering(strain: ArrayLike, stress: ArrayLike) -> tuple[Array, Array]:
    """(engineering strain, stress) of true ones: e = exp(eps) - 1, s = sigma exp(-eps)."""
    eps, sigma = np.asarray(strain, float), np.asarray(stress, float)
    return np.expm1(eps), sigma * np.exp(-eps)


def elastic_part(strain: ArrayLike, stress: ArrayLike, modulus: float | None = None) -> Elastic | None:
    """Modulus and 0.2 % yield of an engineering curve; None where the record does not show them.

    The line is fitted by least squares to the points of the rising part between WINDOW shares of the yield, which it
    defines itself: both are repeated until they stand still. With `modulus` given, only its toe is fitted. None when
    fewer than LEAST_ELASTIC points lie in the window (2 with a given modulus) or no point lies past the offset line.
    """
    e, s = np.asarray(strain, float), np.asarray(stress, float)
    top = int(np.argmax(s))
    rising_e, rising_s = e[: top + 1], s[: top + 1]
    least = LEAST_ELASTIC if modulus is None else 2
    guess = 0.5 * float(s[top])
    found: Elastic | None = None
    for _ in range(50):
        inside = (rising_s >= WINDOW[0] * guess) & (rising_s <= WINDOW[1] * guess)
        if int(inside.sum()) < least:
            return None
        x, y = rising_e[inside], rising_s[inside]
        slope = modulus if modulus is not None else _slope(x, y)
        if not slope > 0:
            return None
        toe = float(np.mean(x) - np.mean(y) / slope)
        yielded = offset_yield(e, s, slope, toe)
        if yielded is None:
            return None
        error = 0.0 if modulus is not None else _slope_error(x, y, slope)
        found = Elastic(slope, error, toe, int(inside.sum()), yielded, modulus is None)
        if abs(yielded - guess) < 1e-6 * yielded:
            return found
        guess = yielded
    return found


def _slope(x: Array, y: Array) -> float:
    dx = x - x.mean()
    scale = float(dx @ dx)
    return float(dx @ (y - y.mean())) / scale if scale > 0 else 0.0


def _slope_error(x: Array, y: Array, slope: float) -> float:
    dx, dy = x - x.mean(), y - y.mean()
    return float(np.sqrt(np.sum((dy - slope * dx) ** 2) / (len(x) - 2) / (dx @ dx)))


def offset_yield(strain: ArrayLike, stress: ArrayLike, modulus: float, toe: float) -> float | None:
    """Stress where the curve crosses the line E (e - toe - 0.002) [MPa], for good: the last time it comes from above.

    Taking the last crossing keeps noise near the knee from calling the yield early. None when there is no crossing.
    """
    e, s = np.asarray(strain, float), np.asarray(stress, float)
    above = s - modulus * (e - toe - OFFSET)
    last = np.flatnonzero(above > 0)
    if not len(last) or last[-1] + 1 >= len(s):
        return None
    i = int(last[-1])
    share = above[i] / (above[i] - above[i + 1])
    return float(s[i] + share * (s[i + 1] - s[i]))


def greatest_load(strain: ArrayLike, stress: ArrayLike, toe: float = 0.0) -> Greatest:
    """The greatest engineering stress and the true strain there, by a parabola through the points above TOP of it.

    The parabola steadies a flat, noisy top (on a made record with 0.1 % noise its strain scatters by 0.0015, that of the
    highest point by 0.01). Where the highest point is one of the last two, or the parabola still rises at the end, the
    record ends before the greatest load.
    """
    e, s = np.asarray(strain, float) - toe, np.asarray(stress, float)
    peak = int(np.argmax(s))
    near = np.flatnonzero(s >= TOP * s[peak])
    x, y = e[near], s[near]
    strength, at = float(s[peak]), float(e[peak])
    reached = bool(peak < len(s) - 2)
    if reached and len(x) >= 5:
        middle = float(x.mean())
        a, b, c = (float(v) for v in np.polyfit(x - middle, y, 2))
        vertex = middle - b / (2 * a) if a < 0 else float(e[-1])
        reached = bool(a < 0 and vertex < e[-1])
        if reached and vertex >= x[0]:
            strength, at = c - b * b / (4 * a), vertex
    flat = np.log1p(e[s >= (1 - FLAT) * s[peak]])
    return Greatest(strength, float(np.log1p(at)), (float(flat.min()), float(flat.max())), reached)


def flow_points(strain: ArrayLike, stress: ArrayLike, elastic: Elastic, to_true_strain: float) -> tuple[Array, Array]:
    """(plastic strain, true stress [MPa]) of the points between plastic strain 0.002 and the true total strain given;
    points without tension are left out."""
    e, s = np.asarray(strain, float) - elastic.toe, np.asarray(stress, float)
    total, sigma = np.log1p(e), s * (1 + e)
    plastic = total - sigma / elastic.modulus
    inside = (plastic >= OFFSET) & (total <= to_true_strain) & (sigma > 0)
    return plastic[inside], sigma[inside]


def fit_swift(plastic: ArrayLike, stress: ArrayLike) -> Fit | None:
    """Swift's law by least squares; None with fewer than LEAST_PLASTIC points or without rise. e0 is at least 0."""
    x, y = np.asarray(plastic, float), np.asarray(stress, float)
    if not _rises(x, y):
        return None

    def model(p: Array) -> tuple[Array, Array]:
        # e0 = p2^2 keeps it at least 0; K in the unit of the stress by its logarithm
        total = p[2] ** 2 + x
        value = np.exp(p[0]) * total ** p[1]
        return value, np.column_stack([value, value * np.log(total), value * p[1] / total * 2 * p[2]])

    starts = [np.array([np.log(y.max()) + 0.3, n, np.sqrt(e0)]) for n, e0 in ((0.1, 0.005), (0.2, 0.002), (0.25, 0.03))]
    p = min((_least_squares(model, y, start) for start in starts), key=lambda q: _cost(model, y, q))
    return _fit("swift", (float(np.exp(p[0])), float(p[1]), float(p[2] ** 2)), model(p)[0], x, y)


def fit_voce(plastic: ArrayLike, stress: ArrayLike) -> Fit | None:
    """Voce's law by least squares; None with fewer than LEAST_PLASTIC points or without rise."""
    x, y = np.asarray(plastic, float), np.asarray(stress, float)
    if not _rises(x, y):
        return None

    def model(p: Array) -> tuple[Array, Array]:
        b = np.exp(p[2])
        decay = np.exp(-b * x)
        return p[0] + p[1] * (1 - decay), np.column_stack([np.ones_like(x), 1 - decay, p[1] * x * b * decay])

    span = float(y.max() - y.min())
    starts = [np.array([y.min(), span, np.log(b / x.max())]) for b in (1.0, 3.0, 8.0)]
    p = min((_least_squares(model, y, start) for start in starts), key=lambda q: _cost(model, y, q))
    return _fit("voce", (float(p[0]), float(p[1]), float(np.exp(p[2]))), model(p)[0], x, y)


def _rises(x: Array, y: Array) -> bool:
    return len(x) >= LEAST_PLASTIC and float(np.ptp(x)) > 0 and float(np.polyfit(x, y, 1)[0]) > 0


Model = Callable[[Array], tuple[Array, Array]]


def _cost(model: Model, y: Array, p: Array) -> float:
    return float(np.sum((model(p)[0] - y) ** 2))


def _least_squares(model: Model, y: Array, start: Array, steps: int = 300) -> Array:
    """Levenberg and Marquardt with the diagonal of J'J as measure (Marquardt, SIAM J. 11 (1963) 431).

    A step to where the law has no finite value is a step too far, and is taken back like any other.
    """
    with np.errstate(all="ignore"):
        return _walked(model, y, start, steps)


def _walked(model: Model, y: Array, start: Array, steps: int) -> Array:
    p, damping = start, 1e-3
    value, jacobian = model(p)
    cost = float(np.sum((value - y) ** 2))
    for _ in range(steps):
        gradient, normal = jacobian.T @ (value - y), jacobian.T @ jacobian
        step = np.linalg.lstsq(normal + damping * np.diag(np.diag(normal) + 1e-30), -gradient, rcond=None)[0]
        tried_value, tried_jacobian = model(p + step)
        tried = float(np.sum((tried_value - y) ** 2))
        if np.isfinite(tried) and np.isfinite(tried_jacobian).all() and tried <= cost:
            gain = cost - tried
            p, value, jacobian, cost, damping = p + step, tried_value, tried_jacobian, tried, max(damping / 10, 1e-12)
            if gain <= 1e-14 * cost and float(np.abs(step).max()) < 1e-10:
                break
        else:
            damping *= 10
            if damping > 1e12:
                break
    return p


def _fit(law: str, constants: tuple[float, float, float], model: Array, x: Array, y: Array) -> Fit:
    miss = model / y - 1
    worst = float(np.abs(miss).max())
    return Fit(law, constants, float(np.sqrt(np.mean(miss**2))), worst, float(x.min()), float(x.max()))
