"""A fair curve near typed points: a smoothing spline that stays within a stated distance of every one of them.

The parameter is an affine arc length, dt = k^(1/3) ds (Blaschke 1923), which grows evenly where a curve does its turning: a parabola,
and so the nose of a section, becomes a plain quadratic in it, x(t) and y(t) both, and needs no treatment of its own. Where the curve is
nearly straight k is held up, else a straight stretch would shrink to nothing, so that it holds at the nose and in part only elsewhere.

The spline is FITPACK's (Dierckx 1993, Curve and Surface Fitting with Splines; scipy.interpolate.splprep): cubic, with as few knots as
leave the sum of squares of the misses under a bound, free at its ends. The largest bound that keeps every point is sought.
"""

from __future__ import annotations

import warnings
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ribwright.geometry.curve import Spline

Array = NDArray[np.float64]
STRAIGHT = 0.25  # curvature is held up to this share of that of a circle as long as the whole line
SMOOTHED = 2  # times that the curvatures of the points are averaged with their neighbours', 1 2 1: one wrong point must not bend t
LEAST_POINTS = 5
DEGREE = 3
HALVINGS = 16


def turning(points: Array) -> Array:
    """Angle [rad] by which the chords turn at each point (n,), 0 at the ends."""
    d = np.diff(points, axis=0)
    angle = np.unwrap(np.arctan2(d[:, 1], d[:, 0]))
    return np.concatenate([[0.0], np.abs(np.diff(angle)), [0.0]])


def fair_parameter(points: Array) -> Array:
    """t (n,) from 0 to 1, growing: chords weighted by the cube root of their curvature. Points apart, n >= 3."""
    chord = np.hypot(*np.diff(points, axis=0).T)
    mean = (chord[1:] + chord[:-1]) / 2
    k = turning(points)[1:-1] / mean
    k = np.concatenate([k[:1], k, k[-1:]])
    log_k = np.log(k**2 + (STRAIGHT * 2 * np.pi / chord.sum()) ** 2) / 2
    for _ in range(SMOOTHED):
        padded = np.concatenate([log_k[:1], log_k, log_k[-1:]])
        log_k = (padded[:-2] + 2 * padded[1:-1] + padded[2:]) / 4
    t = np.concatenate([[0.0], np.cumsum(chord * np.exp((log_k[1:] + log_k[:-1]) / 6))])
    return np.asarray(t / t[-1])


class _Library:
    """The library's spline: values (n, 2), or derivatives of an order, at u (n,)."""

    def __init__(self, knots: Array, coefficients: Array):
        from scipy.interpolate import BSpline

        self._spline = BSpline(knots, coefficients, DEGREE)

    def __call__(self, u: Array, order: int = 0) -> Array:
        return np.asarray(self._spline(u, order))


class FairSpline(Spline):
    """A smoothing spline as a curve over arc length; `bound` of the sum of squares [mm2]."""

    def __init__(self, t: Array, points: Array, bound: float):
        from scipy.interpolate import splprep

        (knots, coefficients, _), _ = splprep(points.T, u=t, s=bound, k=DEGREE)
        # the arc length is measured between points, where the library may have left out knots
        self._over(np.union1d(t, knots), _Library(knots, np.stack(coefficients, axis=1)))

    def at(self, t: Array) -> Array:
        """Points (n, 2) at parameters t."""
        return np.asarray(self._c(t))

    def arc_length(self, t: Array) -> Array:
        """Arc lengths [mm] of parameters t."""
        i = np.clip(np.searchsorted(self._grid, t, side="right") - 1, 0, len(self._grid) - 2)
        return np.asarray(self._s[i] + self._arc(self._grid[i], t))


@dataclass(frozen=True)
class Fair:
    """`curve`; `at` arc length of each point (n,); `off` distance of each point from its place on the curve (n,) [mm]."""

    curve: Spline
    at: Array
    off: Array


def fair(points: Array, within: float) -> Fair:
    """The curve of fewest knots that keeps every point within `within` [mm]; points (n, 2), neighbours apart, n >= 2.

    The distance is that to the place of the same parameter, so that to the curve is no larger. Under 5 points the curve through them is
    taken (chord-length cubic, natural ends).
    """
    if len(points) < LEAST_POINTS:
        return _through(points)
    t = fair_parameter(points)

    def tried(bound: float) -> tuple[FairSpline, Array]:
        curve = FairSpline(t, points, bound)
        return curve, np.hypot(*(points - curve.at(t)).T)

    curve, off = tried(0.0)
    low, high = within**2 * 1e-3, within**2 * len(points)
    for _ in range(HALVINGS):
        middle = float(np.sqrt(low * high))
        with warnings.catch_warnings():
            warnings.simplefilter(
                "ignore"
            )  # the library says when it could not meet the bound; what it made is measured here
            looser, its_off = tried(middle)
        if its_off.max() <= within:
            low, curve, off = middle, looser, its_off
        else:
            high = middle
    return Fair(curve, curve.arc_length(t), off)


def _through(points: Array) -> Fair:
    curve = Spline([(float(x), float(y)) for x, y in points], None, None)
    return Fair(curve, curve.breaks, np.zeros(len(points)))
