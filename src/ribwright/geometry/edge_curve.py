"""A curve in space given by dense points and slopes: where it goes through a plane, where it runs."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


def hermite(points: Array, slopes: Array, at: Array) -> Array:
    """Points (k, 3) at row numbers `at` (k,), cubic between the rows: `slopes` are derivatives by the row number."""
    i = np.clip(np.floor(at).astype(int), 0, len(points) - 2)
    u = (at - i)[:, None]
    p, q, v, w = points[i], points[i + 1], slopes[i], slopes[i + 1]
    return np.asarray(
        p * (1 + 2 * u) * (1 - u) ** 2 + v * u * (1 - u) ** 2 + q * u**2 * (3 - 2 * u) + w * u**2 * (u - 1)
    )


def hermite_slope(points: Array, slopes: Array, at: Array) -> Array:
    """Derivative (k, 3) by the row number at `at` (k,)."""
    i = np.clip(np.floor(at).astype(int), 0, len(points) - 2)
    u = (at - i)[:, None]
    p, q, v, w = points[i], points[i + 1], slopes[i], slopes[i + 1]
    return np.asarray(6 * u * (1 - u) * (q - p) + v * (1 - u) * (1 - 3 * u) + w * u * (3 * u - 2))


def crossings(points: Array, slopes: Array, at: Array, way: Array) -> Array:
    """Points (k, 3) where the curve crosses the plane through `at` (2,) that is upright in z and square to `way` (2,)."""
    off = (points[:, :2] - at) @ way
    rows = np.flatnonzero((off[:-1] <= 0) != (off[1:] <= 0))
    if not len(rows):
        return np.zeros((0, 3))
    slope = slopes[:, :2] @ way
    places = [i + _root(off[i], off[i + 1], slope[i], slope[i + 1]) for i in rows.tolist()]
    return hermite(points, slopes, np.array(places))


def _root(f: float, g: float, v: float, w: float) -> float:
    """Where in [0, 1] a cubic from f to g (of unlike signs) with end slopes v, w is zero: Newton, kept between its bounds."""
    low, high = 0.0, 1.0
    a, b = 2 * f - 2 * g + v + w, -3 * f + 3 * g - 2 * v - w
    u = f / (f - g) if f != g else 0.5
    for _ in range(60):
        value = ((a * u + b) * u + v) * u + f
        if (value > 0) == (f > 0):
            low = u
        else:
            high = u
        slope = (3 * a * u + 2 * b) * u + v
        following = u - value / slope if slope else low
        if not low <= following <= high:
            following = (low + high) / 2
        if abs(following - u) < 1e-15:
            break
        u = following
    return u
