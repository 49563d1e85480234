"""A fair curve near typed points: the smoothest cubic spline that stays within a stated distance of every one of them.

The parameter is an affine arc length, dt = k^(1/3) ds, which grows evenly where a curve does its turning: a parabola, and so the
nose of a section, becomes a plain quadratic in it, x(t) and y(t) both, and needs no points of its own kind. Where the curve is nearly straight
k is held up, else a straight stretch would shrink to nothing.

Smoothing: the least of sum |p_i - c(t_i)|^2 + lam * integral |c''|^2 dt (Reinsch 1967; scipy.interpolate.make_smoothing_spline).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ribwright.geometry.curve import Spline

Array = NDArray[np.float64]
STRAIGHT = 0.25  # curvature is held up to this share of that of a circle as long as the whole line
SMOOTHED = 2  # times that the curvatures of the points are averaged with their neighbours', 1 2 1: one wrong point must not bend t
LEAST_POINTS = 5  # of the library's smoothing spline
STIFFEST, SOFTEST = 1e4, 1e-14  # lam, tried between


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
    """Two smoothing splines of the library asked as one: value (n, 2) or derivative at u (n,)."""

    def __init__(self, t: Array, points: Array, lam: float):
        from scipy.interpolate import make_smoothing_spline

        self._each = [make_smoothing_spline(t, column, lam=lam) for column in points.T]

    def __call__(self, u: Array, order: int = 0) -> Array:
        return np.stack([np.asarray(s(u, order)) for s in self._each], axis=-1)


class FairSpline(Spline):
    """A smoothing spline as a curve over arc length."""

    def __init__(self, t: Array, points: Array, lam: float):
        self._over(t, _Library(t, points, lam))

    def at(self, t: Array) -> Array:
        """Points (n, 2) at parameters t."""
        return np.asarray(self._c(t))

    def arc_length(self, t: Array) -> Array:
        """Arc lengths [mm] of parameters t."""
        i = np.clip(np.searchsorted(self._grid, t, side="right") - 1, 0, len(self._grid) - 2)
        return np.asarray(self._s[i] + self._arc(self._grid[i], t))


@dataclass(frozen=True)
class Fair:
    """`curve`; `at` arc length of each point (n,); `off` distance of each point from its place on the curve (n,) [mm]; `lam` [mm2]."""

    curve: Spline
    at: Array
    off: Array
    lam: float


def fair(points: Array, within: float) -> Fair:
    """The smoothest curve that keeps every point within `within` [mm]; points (n, 2), neighbours apart, n >= 2.

    The distance is that to the place of the same parameter, so that to the curve is no larger. Under 5 points, or where only the curve
    through the points will do, that is taken (chord-length cubic, natural ends).
    """
    if len(points) < LEAST_POINTS:
        return _through(points)
    t = fair_parameter(points)

    def tried(log_lam: float) -> tuple[FairSpline, Array]:
        curve = FairSpline(t, points, 10.0**log_lam)
        return curve, np.hypot(*(points - curve.at(t)).T)

    low, high = np.log10(SOFTEST), np.log10(STIFFEST)
    curve, off = tried(low)
    if off.max() > within:
        return _through(points)
    for _ in range(30):  # the largest miss grows with lam
        middle = (low + high) / 2
        stiffer, its_off = tried(middle)
        if its_off.max() <= within:
            low, curve, off = middle, stiffer, its_off
        else:
            high = middle
    return Fair(curve, curve.arc_length(t), off, float(10.0**low))


def _through(points: Array) -> Fair:
    curve = Spline([(float(x), float(y)) for x, y in points], None, None)
    return Fair(curve, curve.breaks, np.zeros(len(points)), 0.0)
