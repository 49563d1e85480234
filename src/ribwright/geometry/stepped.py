"""A drawn curve with steps in it: its line moved inward (left of travel) by a depth that rises and falls over S-shaped ramps.

sigma arc length along the drawn curve, T its direction, N its outward normal, kappa its curvature (+ left), d(sigma) the depth:
    B(sigma) = P - d N,   B' = (1 - kappa d) T - d' N,   B'' from these by N' = kappa T, T' = -kappa N
A ramp of depth h over the length L is two equal circular arcs that meet the lines on both sides and each other without a kink, drawn
over sigma: on a straight edge they are true arcs, on a curved one they bend with it.
    radius  rho = (L^2 + h^2)/(4 h),   d = rho - sqrt(rho^2 - x^2) over the first half, h less the same over the second
    arc length on a straight edge  2 rho theta,  theta = 2 arctan(h/L) the slope at the middle
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ribwright.geometry.curve import Curve, Line, Spline

Array = NDArray[np.float64]
NEAR = 1e-4  # mm on both sides of a place, for the slope of the drawn curve's curvature


@dataclass(frozen=True)
class Ramp:
    """From `start` over `length` along the drawn curve [mm] the depth changes by `rise` [mm], + inward; |rise| < length."""

    start: float
    length: float
    rise: float

    @property
    def end(self) -> float:
        """Where the depth has changed [mm]."""
        return self.start + self.length

    @property
    def radius(self) -> float:
        """Radius of its two arcs on a straight edge [mm]."""
        h = abs(self.rise)
        return (self.length**2 + h**2) / (4 * h)

    def share(self, at: Array, order: int = 0) -> Array:
        """The ramp's part of the depth at drawn arc lengths (n,) [mm], or its first or second derivative there."""
        rho, sign = self.radius, np.sign(self.rise)
        x = np.clip(np.asarray(at, float) - self.start, 0.0, self.length)
        second = x > self.length / 2
        y = np.where(second, self.length - x, x)
        root = np.sqrt(rho**2 - y**2)
        if order == 0:
            first_half = y**2 / (rho + root)
            return np.asarray(sign * np.where(second, abs(self.rise) - first_half, first_half))
        inside = (x > 0.0) & (x < self.length)
        if order == 1:
            return np.asarray(sign * np.where(inside, y / root, 0.0))
        return np.asarray(sign * np.where(inside, np.where(second, -1.0, 1.0) * rho**2 / root**3, 0.0))


class Stepped(Spline):
    """`drawn` moved inward by `first` at its start and by every ramp's rise after it; arc length is that of the moved line."""

    def __init__(self, drawn: Curve, ramps: Sequence[Ramp], first: float = 0.0):
        self.drawn, self.ramps, self.first = drawn, tuple(ramps), first
        places = [p for r in self.ramps for p in (r.start, r.start + r.length / 2, r.end)]
        knots = np.union1d(drawn.breaks, np.clip(places, 0.0, drawn.length))
        # a place that differs from another by rounding alone is the same one
        keep = np.concatenate([[True], np.diff(knots) > 1e-7])
        knots = knots[keep]
        knots[-1] = drawn.length
        self._over(knots, self._moved)

    def depth(self, at: Array, order: int = 0) -> Array:
        """Depth at drawn arc lengths (n,) [mm], or its derivative."""
        total = np.full(np.shape(at), self.first if order == 0 else 0.0)
        for ramp in self.ramps:
            total = total + ramp.share(at, order)
        return total

    def drawn_of(self, s: Array) -> Array:
        """Arc length along the drawn curve of places s (n,) on this one, which goes on straight beyond its ends [mm]."""
        s = np.asarray(s, float)
        return np.asarray(self._param(s) + s - np.clip(s, 0.0, self.length))

    def of_drawn(self, at: Array) -> Array:
        """The way back: arc length on this line of places along the drawn curve [mm]."""
        at = np.asarray(at, float)
        u = np.clip(at, 0.0, self.drawn.length)
        i = np.clip(np.searchsorted(self._grid, u, side="right") - 1, 0, len(self._grid) - 2)
        return np.asarray(self._s[i] + self._arc(self._grid[i], u) + at - u)

    @property
    def arc_ends(self) -> Array:
        """Where the arcs of its ramps begin, meet and end on this line, rising [mm]."""
        places = [p for r in self.ramps for p in (r.start, r.start + r.length / 2, r.end)]
        return self.of_drawn(np.array(places))

    @property
    def ramp_ends(self) -> Array:
        """Where ramps begin and end on this line, rising, (2 k,) [mm]."""
        return self.of_drawn(np.array([p for r in self.ramps for p in (r.start, r.end)]))

    def straight(self, a: float, b: float) -> bool:
        """Whether the line is straight between its places a and b: no ramp there, and a straight drawn curve."""
        low, high = self.drawn_of(np.array([a, b]))
        clear = all(high <= r.start + 1e-6 or low >= r.end - 1e-6 for r in self.ramps)
        return clear and isinstance(self.drawn, Line)

    def _moved(self, at: Array, order: int = 0) -> Array:
        """B, B' or B'' at drawn arc lengths of any shape (...), (..., 2)."""
        at = np.asarray(at, float)
        flat = at.ravel()
        t, k = self.drawn.tangent(flat), self.drawn.curvature(flat)
        n = np.column_stack([t[:, 1], -t[:, 0]])
        d = self.depth(flat)
        if order == 0:
            out = self.drawn.point(flat) - d[:, None] * n
        else:
            d1 = self.depth(flat, 1)
            along, across = 1 - k * d, d1
            if order == 2:
                d2 = self.depth(flat, 2)
                along, across = -self._curling(flat) * d - 2 * k * d1, k * along + d2
            out = along[:, None] * t - across[:, None] * n
        return out.reshape(*at.shape, 2)

    def _curling(self, at: Array) -> Array:
        """d kappa/d sigma of the drawn curve."""
        if not hasattr(self.drawn, "_c"):
            return np.zeros(len(at))  # a line or an arc
        low, high = np.clip(at - NEAR, 0.0, self.drawn.length), np.clip(at + NEAR, 0.0, self.drawn.length)
        return np.asarray((self.drawn.curvature(high) - self.drawn.curvature(low)) / (high - low))
