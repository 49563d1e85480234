"""What setting a formed sheet by hand adds to its strain: a bend turned on, back and on again, and a bowed web pulled flat.

    own strain of a bend        e = (t/2)/(R + t/2)                       outer fibre, middle of the sheet kept
    a bend that stands at m     e m/a             arc (R + t/2) a kept: curvature goes with the angle
    a pass that turns it by d   (t/2) |d| / ((R + t/2) a)                 spread evenly over the arc; to and fro both count
    limit                       1/(2 r/t + 1)     own strain of the least bend radius r of a table
    bow f over a length L       sagitta of a shallow arc: curvature 8 f/L^2; an edge at the height h off the web is longer by the
                                share 8 f h/L^2, in all 8 f h/L           plane sections stay plane
R inside radius, t thickness [mm]; a, m, d [deg]; strains [-]. Strain that is really gathered where the bend is sharpest is more than the
even share. Source: geometry of pure bending; that strain to and fro adds up is the usual measure of low-cycle work, and cautious for a
few passes. For f/L up to 1/20 the sagitta's formula is within 1 % of the arc's curvature.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]


def own_strain(radius: ArrayLike, thickness: ArrayLike) -> Array:
    """Outer fibre strain of a bend, (t/2)/(R + t/2) [-]."""
    half = np.asarray(thickness, float) / 2.0
    return np.asarray(half / (np.asarray(radius, float) + half))


def strain_at(radius: ArrayLike, thickness: ArrayLike, angle: ArrayLike, stands: ArrayLike) -> Array:
    """Outer fibre strain of a bend of this radius and angle that stands at another angle, its arc kept [-]."""
    return np.asarray(own_strain(radius, thickness) * np.asarray(stands, float) / np.asarray(angle, float))


def pass_strain(radius: ArrayLike, thickness: ArrayLike, angle: ArrayLike, turned: ArrayLike) -> Array:
    """What one pass that turns the bend for good by `turned` either way adds [-]."""
    return strain_at(radius, thickness, angle, np.abs(turned))


def limit_strain(least_radius: ArrayLike, thickness: ArrayLike) -> Array:
    """Own strain of the least bend radius of a table, 1/(2 r/t + 1) [-]."""
    return np.asarray(1.0 / (2.0 * np.asarray(least_radius, float) / np.asarray(thickness, float) + 1.0))


def passes_within(limit: float, strain: float, each: float) -> int:
    """How many passes that add `each` still fit between `strain` and `limit`; a strain that is the limit but for its rounding has room for
    none and is not over it."""
    return max(int(np.floor((limit - strain) / each + 1e-6)), 0) if each > 0.0 else 0


def bow_strain(bow: ArrayLike, length: ArrayLike, height: ArrayLike) -> Array:
    """Share by which an edge at `height` off a web with a bow must be shortened (or lengthened) to pull it flat, 8 f h/L^2 [-]."""
    return np.asarray(8.0 * np.abs(np.asarray(bow, float)) * np.asarray(height, float) / np.asarray(length, float) ** 2)


def bow_gather(bow: ArrayLike, length: ArrayLike, height: ArrayLike) -> Array:
    """The same as a length along that edge, 8 f h/L [mm]."""
    return np.asarray(bow_strain(bow, length, height) * np.asarray(length, float))
