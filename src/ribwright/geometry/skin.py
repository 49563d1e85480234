"""A line set in from a given surface by the thickness of the skin, along the surface's normal.

    B(s) = P(s) + t N(s),  N to the left of travel,  B' = (1 - k t) T         (k curvature, positive turning left)

Where k t >= 1 the surface turns tighter than the skin is thick: B would turn back on itself, and there is no such line.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ribwright.geometry.curve import Curve, Spline, samples

Array = NDArray[np.float64]
FIRST_CHORD = 0.05  # mm between the line and its first chords
MOST_POINTS = 1900  # a part file's edge takes 2000


@dataclass(frozen=True)
class SetIn:
    """`curve` is the line set in, a cubic through `points` (n, 2) on it; `error` [mm] how far it leaves the exact line between them.
    `folds`: a place of the surface (x, y) at which there is none, else None."""

    curve: Spline | None
    points: Array
    error: float
    folds: tuple[float, float] | None = None


def set_in(
    curve: Curve, thickness: float, within: float = 0.002, first: float = 0.0, last: float | None = None
) -> SetIn:
    """`curve` from arc length `first` to `last` set in to the left of travel by `thickness` [mm] (0: the curve itself); the cubic through
    the points is held to `within` [mm] of the exact line where 1900 points suffice."""
    last = curve.length if last is None else last
    chord = FIRST_CHORD
    while True:
        s = samples(curve, chord, least=3)
        s = np.concatenate([[first], s[(s > first + 1e-6) & (s < last - 1e-6)], [last]])
        tight = 1.0 - curve.curvature(s) * thickness
        if tight.min() <= 0.0:
            x, y = curve.point(s[[int(np.argmin(tight))]])[0]
            return SetIn(None, np.zeros((0, 2)), 0.0, (float(x), float(y)))
        points = _exact(curve, s, thickness)
        line = Spline([(float(x), float(y)) for x, y in points], None, None)
        error = _error(curve, s, thickness, line)
        if error <= within or 2 * len(s) > MOST_POINTS:
            return SetIn(line, points, error)
        chord /= 4.0


def _exact(curve: Curve, s: Array, thickness: float) -> Array:
    t = curve.tangent(s)
    return np.asarray(curve.point(s) + thickness * np.column_stack([-t[:, 1], t[:, 0]]))


def _error(curve: Curve, s: Array, thickness: float, line: Spline) -> float:
    """Distance of the exact line, three places in each span, from the chords of the cubic sampled sixteen times as densely."""
    between = (s[:-1, None] + np.diff(s)[:, None] * np.array([0.25, 0.5, 0.75])).ravel()
    exact = _exact(curve, between, thickness)
    b = line.breaks
    worst = 0.0
    fine = np.linspace(0.0, 1.0, 17)
    for i in range(len(s) - 1):
        dense = line.point(b[i] + (b[i + 1] - b[i]) * fine)
        chord = np.diff(dense, axis=0)
        for q in exact[3 * i : 3 * i + 3]:
            share = np.clip(
                np.sum((q - dense[:-1]) * chord, axis=1) / np.maximum(np.sum(chord**2, axis=1), 1e-30), 0.0, 1.0
            )
            worst = max(worst, float(np.hypot(*(q - dense[:-1] - share[:, None] * chord).T).min()))
    return worst
