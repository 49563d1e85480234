"""Few points of a curve through which the house's spline stays within a tolerance of it."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ribwright.geometry.curve import Cubic, Pair

Array = NDArray[np.float64]
FIRST, MOST = 5, 1500


def points_through(
    dense: Array, tolerance: float, start_dir: Pair | None = None, end_dir: Pair | None = None
) -> tuple[NDArray[np.int64], float]:
    """(indices of the points chosen, farthest miss [mm]) of `dense` points (n, 2) on a curve.

    A span whose spline strays farther than the tolerance from the points between its ends is halved, until none does: the points
    come to lie where the curve needs them, close together at ends whose curvature a natural spline cannot follow. `start_dir`,
    `end_dir`: unit directions along the travel where the ends are clamped. At most MOST points; the miss says what is left.
    """
    s = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(dense, axis=0).T))])
    chosen = _nearest(s, np.linspace(0.0, s[-1], min(FIRST, len(dense))))
    while True:
        far = _misses(dense, chosen, s, start_dir, end_dir)
        wide = np.flatnonzero((far > tolerance) & (np.diff(chosen) > 1))
        if len(wide) == 0 or len(chosen) + len(wide) > MOST:
            return chosen, float(far.max(initial=0.0))
        halves = _nearest(s, (s[chosen[wide]] + s[chosen[wide + 1]]) / 2)
        # half way along may be an end of a span with few points
        halves = np.clip(halves, chosen[wide] + 1, chosen[wide + 1] - 1)
        chosen = np.union1d(chosen, halves)


def _nearest(s: Array, at: Array) -> NDArray[np.int64]:
    right = np.clip(np.searchsorted(s, at), 1, len(s) - 1)
    return np.where(at - s[right - 1] < s[right] - at, right - 1, right).astype(np.int64)


def _misses(dense: Array, chosen: NDArray[np.int64], s: Array, start: Pair | None, end: Pair | None) -> Array:
    """Farthest distance of the points inside each span from the spline there [mm], each measured square to the spline."""
    points = dense[chosen]
    u = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
    spline = Cubic(u, points, start, end)
    inside = np.setdiff1d(np.arange(chosen[0], chosen[-1] + 1), chosen)
    span = np.searchsorted(chosen, inside) - 1
    a, b = u[span], u[span + 1]
    t = a + (b - a) * (s[inside] - s[chosen[span]]) / (s[chosen[span + 1]] - s[chosen[span]])
    for _ in range(5):
        off, slope = dense[inside] - spline(t), spline(t, 1)
        t = np.clip(t + np.sum(off * slope, axis=1) / np.maximum(np.sum(slope * slope, axis=1), 1e-300), a, b)
    far = np.zeros(len(chosen) - 1)
    np.maximum.at(far, span, np.hypot(*(dense[inside] - spline(t)).T))
    return far
