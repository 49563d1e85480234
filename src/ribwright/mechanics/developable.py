"""Blanks that geometry alone gives: patches that unroll without strain, and surfaces flattened at equal area."""

from __future__ import annotations

from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]


def unroll_cylinder(radius: float, turn: ArrayLike, height: ArrayLike) -> Array:
    """Points (r cos q, r sin q, z) of a cylinder laid flat, (n, 2) [mm]: (r q, z). `turn` q [rad], `height` z [mm]."""
    q, z = np.broadcast_arrays(np.asarray(turn, float), np.asarray(height, float))
    return np.stack([radius * q, z], axis=-1)


def unroll_cone(half_angle_deg: float, turn: ArrayLike, slant: ArrayLike) -> Array:
    """Points of a cone laid flat, (n, 2) [mm]: polar with the slant distance from the apex and angle q sin(half angle).

    On the cone they are l (sin h cos q, sin h sin q, cos h); `turn` q [rad], `slant` l [mm], h half the apex angle.
    """
    q, l = np.broadcast_arrays(np.asarray(turn, float), np.asarray(slant, float))
    flat = q * np.sin(np.radians(half_angle_deg))
    return np.stack([l * np.cos(flat), l * np.sin(flat)], axis=-1)


def cap_blank_radius(radius: ArrayLike, angle_deg: ArrayLike, keep: Literal["area", "length"] = "area") -> Array:
    """Blank radius of a spherical cap whose rim stands at `angle_deg` from its pole [mm].

    keep "area": 2 R sin(phi/2). keep "length" of the meridians: R phi. A cap is not developable, so they differ.
    """
    r, phi = np.asarray(radius, float), np.radians(angle_deg)
    return r * phi if keep == "length" else 2.0 * r * np.sin(phi / 2.0)


def cup_area(diameter: ArrayLike, height: ArrayLike, corner_radius: ArrayLike) -> Array:
    """Area of a round cup with a flat bottom [mm2]; wall diameter d, height h over all, corner radius r, mid-surface.

    pi (d/2 - r)^2 + pi^2 r (d/2 - r) + 2 pi r^2 + pi d (h - r):  bottom, quarter torus (Pappus), wall
    """
    d, h, r = (np.asarray(x, float) for x in (diameter, height, corner_radius))
    flat = d / 2.0 - r
    return np.pi * (flat**2 + np.pi * r * flat + 2.0 * r**2 + d * (h - r))


def cup_blank_diameter(diameter: ArrayLike, height: ArrayLike, corner_radius: ArrayLike) -> Array:
    """Diameter of the round blank of the cup's area, sqrt(4 area/pi) [mm]."""
    return np.sqrt(4.0 * cup_area(diameter, height, corner_radius) / np.pi)
