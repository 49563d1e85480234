"""The rubber pad over a flange: its shear modulus, and the pressure and length that close the flange.

M  moment per width of the bend [N] (`springback.power_law_moment`)     s  straight part of the flange [mm]
pC uniform pressure that closes the flange within 0.5 deg [MPa]         G  shear modulus of the pad [MPa]
p  pressure at the ram [MPa]; closing p = pC + k G        a  angle under load, w where the flange counts as closed

    open      q = p - k G a/w            what the sheet feels of the ram's pressure: the rubber is drawn into the corner as it turns
    closed    q = p - k G (1 - s),       s = (p/(pC + k G) - 1)/0.03, at most 1: past closing the whole pressure is soon there

pC and k are fits to section models of straight 90 degree flanges in a study of this project's method; nothing formed
was compared. For other angles and for curved flanges they are unverified.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]

CLOSING, CLOSING_SCATTER = 1.71, 0.04  # over 188 cases; worst -31 % at s = t
# deg, of an open flange's released angle, rms from the pad model's; under load 1.9 (docs/section_pad.md)
OPEN_SD = 4.5
RETURN = 0.03  # of the ram's closing pressure past it: where the whole pressure is on the sheet (docs/section_pad.md)
SHORE_A, PAD_K, PAD_K_SD = (60.0, 90.0), (2.2, 1.5), (0.55, 0.3)  # from 25 and 4 curves


@dataclass(frozen=True, eq=False)
class PadModulus:
    """Shear modulus G [MPa]; `extrapolated` where the hardness is outside the relation's 20 to 80 Shore A."""

    shear_mpa: Array
    extrapolated: Mask


@dataclass(frozen=True, eq=False)
class PadCoefficient:
    """k [-] with its standard deviation; `held` where the hardness is outside 60 to 90 Shore A."""

    k: Array
    sd: Array
    held: Mask


@dataclass(frozen=True, eq=False)
class RamPressure:
    """Pressure at the ram that closes the flange, and its standard deviation [MPa]."""

    pressure: Array
    sd: Array


def shear_modulus(shore_a: ArrayLike) -> PadModulus:
    """G = E/3 from hardness S [Shore A], E = 0.0981 (56 + 7.62336 S)/(0.137505 (254 - 2.54 S)) [MPa].

    Gent, Rubber Chem. Technol. 31 (1958) 896 (recalled, not seen); 20 to 80 Shore A. No finite value from S = 100 on.
    """
    s = np.asarray(shore_a, float)
    soft = np.maximum(254.0 - 2.54 * s, 0.0)
    e = 0.0981 * (56.0 + 7.62336 * s) / (0.137505 * np.where(soft > 0.0, soft, 1.0))
    return PadModulus(np.where(soft > 0.0, e / 3.0, np.inf), (s < 20.0) | (s > 80.0))


def closing_pressure(moment: ArrayLike, straight: ArrayLike) -> Array:
    """pC = 1.71 M/s^2 [MPa]; infinite where no straight part is left (s <= 0)."""
    m, s = np.asarray(moment, float), np.asarray(straight, float)
    return np.where(s > 0.0, CLOSING * m / np.where(s > 0.0, s, 1.0) ** 2, np.inf)


def pad_coefficient(shore_a: ArrayLike) -> PadCoefficient:
    """k of p = pC + k G: 2.2 +- 0.55 at 60, 1.5 +- 0.3 at 90 Shore A, linear between, held outside."""
    s = np.asarray(shore_a, float)
    held = (s < SHORE_A[0]) | (s > SHORE_A[1])
    return PadCoefficient(np.interp(s, SHORE_A, PAD_K), np.interp(s, SHORE_A, PAD_K_SD), held)


def ram_pressure(closing: ArrayLike, k: ArrayLike, shear_mpa: ArrayLike, k_sd: ArrayLike = 0.0) -> RamPressure:
    """p = pC + k G [MPa]; sd^2 = (0.04 pC)^2 + (G sd_k)^2, the fits' own scatter, not the pad's or the sheet's."""
    pc, k, g, sd = (np.asarray(x, float) for x in (closing, k, shear_mpa, k_sd))
    return RamPressure(pc + k * g, np.hypot(CLOSING_SCATTER * pc, g * sd))


def felt_pressure(pressure: float, share: float, pressures: Array, angles: Array, closed_deg: float) -> float:
    """What a flange feels of a ram pressure [MPa] under a pad that keeps `share` k G [MPa] once the flange is closed.

    `pressures` (m,) [MPa] from 0 up and `angles` (m,) [deg]: the flange under an even pressure; closed from `closed_deg` on. Rises
    with the ram's pressure, without a step at closing. NaN: the angles end before the pressure does. Held against this project's own
    pad model, no formed part.
    """
    turned = np.maximum.accumulate(angles) / closed_deg
    if pressures[-1] < pressure * (1.0 - 1e-9):
        return float("nan")
    if turned[-1] >= 1.0:
        closes = _where(pressures, turned - 1.0) + share
        if pressure >= closes:
            return pressure - share * (1.0 - min((pressure / closes - 1.0) / RETURN, 1.0))
    return _where(pressures, pressures + share * turned - pressure)


def _where(at: Array, rising: Array) -> float:
    """Where a rising row over `at` passes 0, its last place where it does not come so far."""
    i = int(np.argmax(rising >= 0.0)) if rising[-1] >= 0.0 else len(at) - 1
    if i == 0 or rising[i] <= 0.0:
        return float(at[i])
    return float(at[i] - (at[i] - at[i - 1]) * rising[i] / (rising[i] - rising[i - 1]))


def shortest_straight(moment: ArrayLike, pressure: ArrayLike, k: ArrayLike, shear_mpa: ArrayLike) -> Array:
    """Shortest straight part that ram pressure p closes, sqrt(1.71 M/(p - k G)) [mm].

    Infinite where p <= k G: the pad itself takes all the pressure and no flange closes. Likely long for s near t.
    """
    m, p, k, g = (np.asarray(x, float) for x in (moment, pressure, k, shear_mpa))
    left = p - k * g
    return np.where(left > 0.0, np.sqrt(CLOSING * m / np.where(left > 0.0, left, 1.0)), np.inf)


def shortest_flange(
    radius: ArrayLike, thickness: ArrayLike, angle_deg: ArrayLike, shortest_straight_mm: ArrayLike
) -> Array:
    """Shortest flange width from the outside mold line, (R + t) tan(a/2) + shortest straight part [mm]."""
    outside = np.asarray(radius, float) + np.asarray(thickness, float)
    return outside * np.tan(np.radians(angle_deg) / 2.0) + np.asarray(shortest_straight_mm, float)


def start_pressure(plane_yield: ArrayLike, thickness: ArrayLike, overhang: ArrayLike) -> Array:
    """Uniform pressure at which a rigid-plastic strip standing L past the block's edge starts to bend [MPa].

    p L^2/2 = M_p = S t^2/4, so p = S t^2/(2 L^2); S = 2/sqrt(3) Y [MPa]. Small rotation, no hardening: it starts the
    bend, it does not close the flange (a third of pC).
    """
    s, t, l = (np.asarray(x, float) for x in (plane_yield, thickness, overhang))
    return s * t**2 / (2.0 * l**2)
