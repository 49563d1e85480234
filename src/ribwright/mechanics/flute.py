"""Length that one flute gathers: a groove `w` wide and `d` deep across a free edge, its section in circular arcs.

The section runs from one side to the bottom and back as two S-curves of two equal tangent arcs, so that it leaves the flange
without a kink. Each half is w/2 long and d deep:

    theta = 2 atan(2 d/w)              steepest slope of the section
    R     = w/(4 sin theta)            mid-surface radius of all four arcs
    length = w theta/sin theta         true length along the section; gather = length - w

A single arc over the chord w has the same length. `vee` is the handbook's figure of two straight lines, 2 sqrt((w/2)^2 + d^2) - w.
Lengths in one unit, broadcasting; valid for 0 <= d <= w/2, beyond which the sides overhang. Source: geometry.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]


def steepest(width: ArrayLike, depth: ArrayLike) -> Array:
    """theta, the steepest slope of the section [rad]."""
    return np.asarray(2.0 * np.arctan(2.0 * np.asarray(depth, float) / np.asarray(width, float)))


def gather(width: ArrayLike, depth: ArrayLike) -> Array:
    """True length of the section less its width."""
    theta = steepest(width, depth)
    return np.asarray(np.asarray(width, float) * (1.0 / np.sinc(theta / np.pi) - 1.0))


def vee_gather(width: ArrayLike, depth: ArrayLike) -> Array:
    """The same of two straight lines: 2 sqrt((w/2)^2 + d^2) - w."""
    w, d = np.asarray(width, float), np.asarray(depth, float)
    return np.asarray(2.0 * np.hypot(w / 2.0, d) - w)


def arc_radius(width: ArrayLike, depth: ArrayLike) -> Array:
    """R, mid-surface radius of the arcs; infinite without depth."""
    with np.errstate(divide="ignore"):
        return np.asarray(np.asarray(width, float) / (4.0 * np.sin(steepest(width, depth))))


def depth_for(width: float, gathered: float) -> float:
    """Depth of a flute of this width that gathers so much; inf where even one half as deep as it is wide does not.

    theta/sin theta = 1 + gathered/width is solved for theta in 0 to pi/2, where it rises from 1 to pi/2.
    """
    if gathered <= 0.0:
        return 0.0
    if gathered > float(gather(width, width / 2.0)):
        return float("inf")
    low, high = 0.0, np.pi / 2.0
    for _ in range(60):
        middle = (low + high) / 2.0
        low, high = (middle, high) if width * (1.0 / np.sinc(middle / np.pi) - 1.0) < gathered else (low, middle)
    return float(width / 2.0 * np.tan((low + high) / 4.0))


def deepest_for_radius(width: float, radius: float) -> float:
    """The deepest section of this width whose arcs keep at least this mid-surface radius; never over half the width."""
    sine = width / (4.0 * radius) if radius > 0.0 else 1.0
    return width / 2.0 * float(np.tan(np.arcsin(min(sine, 1.0)) / 2.0))


def section(u: ArrayLike, width: float, depth: float) -> Array:
    """Depth of the section at the distance u from its middle line: `depth` in the middle, 0 from width/2 on."""
    x = np.abs(np.asarray(u, float))
    if depth <= 0.0:
        return np.zeros(x.shape)
    radius = float(arc_radius(width, depth))
    inner = depth - radius + np.sqrt(np.maximum(radius**2 - np.minimum(x, width / 4.0) ** 2, 0.0))
    out = np.maximum(width / 2.0 - x, 0.0)
    outer = radius - np.sqrt(np.maximum(radius**2 - np.minimum(out, width / 4.0) ** 2, 0.0))
    return np.where(x <= width / 4.0, inner, outer)
