"""A joggle's step as numbers: two equal arcs that set a wall over by h on the length L, what they strain, what pressure sets them.

    rho = (L^2 + h^2)/(4 h)             plan radius of both arcs           theta = 2 arctan(h/L)   slope at the middle
    e   = 2 rho theta/L - 1             how much longer the step is than the line it replaces: stretch, where nothing draws in
    b   = t/(2 rho)                     strain of the outer fibre by bending over an arc
    p   = c M/L^2                       pressure that lays the wall into the step, M moment per width of the sheet bent to rho
Limit analysis of a strip across the step: c = 4 where one end slides down freely, p L^2/2 = 2 M; c = 16 where both are held and the
strip is pressed into a hollow, p L^2/8 = 2 M (plastic hinges at ends and middle; Neal, The Plastic Methods of Structural Analysis,
1956, ch. 2, recalled, not seen). The wall under a pad is held more than the one and less than the other: 8, their geometric mean, is
told, with 4 and 16 as the band. The web beside the step and its bend are left out: they hold it stiffer.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]
SLIDES, BETWEEN, HELD = 4.0, 8.0, 16.0


def arc_radius(depth: ArrayLike, length: ArrayLike) -> Array:
    """rho [mm]."""
    h, run = np.asarray(depth, float), np.asarray(length, float)
    return np.asarray((run**2 + h**2) / (4.0 * h))


def slope(depth: ArrayLike, length: ArrayLike) -> Array:
    """theta [rad]."""
    return np.asarray(2.0 * np.arctan(np.asarray(depth, float) / np.asarray(length, float)))


def lengthening(depth: ArrayLike, length: ArrayLike) -> Array:
    """e, engineering strain [-]; about (2/3)(h/L)^2."""
    return np.asarray(2.0 * arc_radius(depth, length) * slope(depth, length) / np.asarray(length, float) - 1.0)


def bending_strain(depth: ArrayLike, length: ArrayLike, thickness: ArrayLike) -> Array:
    """b, engineering strain [-]."""
    return np.asarray(np.asarray(thickness, float) / (2.0 * arc_radius(depth, length)))


def setting_pressure(moment: ArrayLike, length: ArrayLike) -> tuple[Array, Array, Array]:
    """(low, told, high) pressure that sets a step of this length [MPa], moment per width [N]."""
    one = np.asarray(moment, float) / np.asarray(length, float) ** 2
    return SLIDES * one, BETWEEN * one, HELD * one
