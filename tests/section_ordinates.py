"""Tables of ordinates from equations of our own, section-like: thickness, camber, nose radius and spacing drawn at random.

Half thickness  y = sqrt(2 r x) + a1 x + a2 x^2 + a3 x^3, r the nose radius; a1..a3 give the greatest thickness T at x = p and the
thickness of the trailing edge. Camber is one cubic, or two parabolas that meet with a jump of curvature. The thickness is laid off
upright or along the camber's normal. All in shares of the chord, then times a chord of 15 to 60 in and rounded to 0.001 in.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ribwright.features.ordinate_table import Ordinate, OrdinateTable, Side

Array = NDArray[np.float64]
IN = 25.4
STEP_IN = 0.001
PERCENTS = np.array([0, 1.25, 2.5, 5, 7.5, 10, 15, 20, 25, 30, 40, 50, 60, 70, 80, 90, 95, 100]) / 100


@dataclass(frozen=True)
class Section:
    """`upper`, `lower` (n, 2) [in], from the nose, as rounded; `exact` the same unrounded."""

    chord: float
    upper: Array
    lower: Array
    exact: dict[str, Array]


def section(rng: np.random.Generator) -> Section:
    """A section drawn at random."""
    thick, most = rng.uniform(0.08, 0.18), rng.uniform(0.28, 0.42)
    radius = rng.uniform(0.6, 1.3) * 1.1 * thick**2
    half = _half_thickness(thick, most, radius, float(rng.choice([0.0, 0.001, 0.003])))
    camber, slope = _camber(rng)
    chord = float(rng.uniform(15.0, 60.0))
    x = _stations(rng)
    exact, rounded = {}, []
    for side, sign in (("upper", 1.0), ("lower", -1.0)):
        if rng.integers(2):
            lean = np.arctan(slope(x))
            p = np.column_stack([x - sign * half(x) * np.sin(lean), camber(x) + sign * half(x) * np.cos(lean)])
        else:
            p = np.column_stack([x, camber(x) + sign * half(x)])
        exact[side] = chord * p
        rounded.append(np.round(chord * p / STEP_IN) * STEP_IN)
    return Section(chord, rounded[0], rounded[1], exact)


def as_table(upper: Array, lower: Array, file: str = "section.csv") -> OrdinateTable:
    """What the reader makes of two sides [in]."""
    sides = tuple(
        Side(
            name,
            tuple(
                Ordinate(float(x) * IN, float(y) * IN, n, (f"{x:.3f}", f"{y:.3f}"))
                for n, (x, y) in enumerate(points, 2)
            ),
            STEP_IN * IN,
        )
        for name, points in (("upper", upper), ("lower", lower))
    )
    return OrdinateTable(file, sides, True, "in")


def as_csv(upper: Array, lower: Array) -> str:
    """The same as a file."""
    rows = [", ".join(f"{v:.3f}" for v in (*u, *lo)) for u, lo in zip(upper, lower, strict=True)]
    return "\n".join(["# units = in", "x_upper, y_upper, x_lower, y_lower", *rows]) + "\n"


def _half_thickness(thick: float, most: float, radius: float, edge: float) -> Callable[[Array], Array]:
    a0 = np.sqrt(2 * radius)
    a = np.linalg.solve(
        np.array([[most, most**2, most**3], [1, 2 * most, 3 * most**2], [1, 1, 1]]),
        np.array([thick / 2 - a0 * np.sqrt(most), -a0 / 2 / np.sqrt(most), edge / 2 - a0]),
    )
    return lambda x: a0 * np.sqrt(x) + a[0] * x + a[1] * x**2 + a[2] * x**3


def _camber(rng: np.random.Generator) -> tuple[Callable[[Array], Array], Callable[[Array], Array]]:
    m, p = rng.uniform(0.0, 0.04), rng.uniform(0.3, 0.5)
    if rng.integers(2):
        return (
            lambda x: np.where(
                x < p, m / p**2 * (2 * p * x - x * x), m / (1 - p) ** 2 * (1 - 2 * p + 2 * p * x - x * x)
            ),
            lambda x: np.where(x < p, m / p**2 * 2 * (p - x), m / (1 - p) ** 2 * 2 * (p - x)),
        )
    q = 2 * (0.5 - p)
    # 4 m x (1 - x)(1 + q (1 - 2x))
    return (
        lambda x: 4 * m * x * (1 - x) * (1 + q * (1 - 2 * x)),
        lambda x: 4 * m * ((1 - 2 * x) * (1 + q * (1 - 2 * x)) - 2 * q * x * (1 - x)),
    )


def _stations(rng: np.random.Generator) -> Array:
    kind, n = rng.integers(4), int(rng.integers(15, 40))
    if kind == 0:
        return PERCENTS
    if kind == 1:
        return np.asarray((1 - np.cos(np.linspace(0, np.pi, n))) / 2)
    if kind == 2:
        return np.concatenate([[0, 0.005, 0.0125, 0.025, 0.05], np.linspace(0.1, 1, int(rng.integers(10, 30)))])
    return np.asarray(1 - np.cos(np.linspace(0, np.pi / 2, n)))
