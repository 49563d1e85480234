"""Bend allowance, setback and deduction: the handbook's arithmetic of a straight bend.

    outside mold line
____________.          R  inside radius, t thickness, a (or N in degrees) bend angle from flat
             \\  a      K-factor Kf: neutral axis at Kf t from the inside face
  web    |    \\        BA = a (R + Kf t), from bend tangent line to bend tangent line
         tangent line
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ribwright.errors import Fault, InputError, nearest

Array = NDArray[np.float64]
RULES = ("faa", "din-6935", "k-factor")
FAA_RADIUS, FAA_THICKNESS = 0.01743, 0.0078  # per degree; the first is a rounded pi/180


def bend_allowance(
    rule: str, radius: ArrayLike, thickness: ArrayLike, angle_deg: ArrayLike, k_factor: float | None = None
) -> Array:
    """Bend allowance BA [mm] for inside radius R [mm], thickness t [mm] and bend angle N [deg].

    faa       BA = (0.01743 R + 0.0078 t) N       FAA-H-8083-31A, vol. 1, ch. 4
    din-6935  BA = a (R + (k/2) t), k = `din_factor`   DIN 6935
    k-factor  BA = a (R + Kf t), Kf = `k_factor`

    All rules are proportional to the angle. Raises InputError for an unknown rule or a missing `k_factor`.
    """
    return _per_degree(rule, radius, thickness, k_factor) * np.asarray(angle_deg, float)


def effective_k_factor(rule: str, radius: ArrayLike, thickness: ArrayLike, k_factor: float | None = None) -> Array:
    """Kf = (BA/a - R)/t [-]: where the rule puts the neutral axis. The angle cancels, so it holds at 0 deg too.

    `faa` gives 0.4469 - 0.0013 R/t, because its first constant is a little under pi/180.
    """
    r, t = np.asarray(radius, float), np.asarray(thickness, float)
    return (np.degrees(_per_degree(rule, r, t, k_factor)) - r) / t


def din_factor(radius: ArrayLike, thickness: ArrayLike) -> Array:
    """k = 0.65 + 0.5 log10(R/t) [-], at most 1; the neutral axis lies at k t/2 from the inside face (DIN 6935).

    The formula is printed for R/t up to 5, above which k = 1. It says nothing of a sharp bend: it would put the axis
    outside the sheet below R/t = 0.0501, so k is held at 0 there, R = 0 included.
    """
    r, t = np.asarray(radius, float), np.asarray(thickness, float)
    sharp = 10.0 ** (-0.65 / 0.5)
    return np.clip(0.65 + 0.5 * np.log10(np.maximum(r / t, sharp)), 0.0, 1.0)


def k_chart(angle_deg: ArrayLike) -> Array:
    """Setback factor K = tan(a/2) [-] for a bend angle a from flat, 0 to under 180 deg (FAA AC 43.13-1B, table 4-7)."""
    return np.tan(np.radians(angle_deg) / 2.0)


def setback(radius: ArrayLike, thickness: ArrayLike, angle_deg: ArrayLike) -> Array:
    """Outside mold line to bend tangent line, K (R + t) [mm] (FAA-H-8083-31A, vol. 1, ch. 4)."""
    return k_chart(angle_deg) * (np.asarray(radius, float) + np.asarray(thickness, float))


def inside_setback(radius: ArrayLike, angle_deg: ArrayLike) -> Array:
    """Inside mold line to bend tangent line, K R [mm]."""
    return k_chart(angle_deg) * np.asarray(radius, float)


def bend_deduction(
    rule: str, radius: ArrayLike, thickness: ArrayLike, angle_deg: ArrayLike, k_factor: float | None = None
) -> Array:
    """What two outside mold line dimensions lose to the flat, 2 setback - BA [mm]."""
    return 2.0 * setback(radius, thickness, angle_deg) - bend_allowance(rule, radius, thickness, angle_deg, k_factor)


def din_compensation(
    radius: ArrayLike, thickness: ArrayLike, included_angle_deg: ArrayLike, factor: ArrayLike | None = None
) -> Array:
    """v [mm], flat length = a + b - v, for the included (opening) angle beta of the legs [deg] (DIN 6935).

    beta 0 to 90     v = 2 (r + s) - pi (180 - beta)/180 (r + k s/2)                          legs to the outer tangent
    beta 90 to 165   v = 2 (r + s) tan((180 - beta)/2) - pi (180 - beta)/180 (r + k s/2)      legs to the mold line
    beta over 165    v = 0 (negligible)

    `factor` is k where a diagram's reading replaces `din_factor`.
    """
    r, s, beta = (np.asarray(x, float) for x in (radius, thickness, included_angle_deg))
    k = din_factor(r, s) if factor is None else np.asarray(factor, float)
    turned = 180.0 - beta
    legs = 2.0 * (r + s) * k_chart(np.minimum(turned, 90.0))
    return np.where(beta > 165.0, 0.0, legs - np.radians(turned) * (r + k * s / 2.0))


def _per_degree(rule: str, radius: ArrayLike, thickness: ArrayLike, k_factor: float | None) -> Array:
    """Bend allowance of one degree [mm]."""
    r, t = np.asarray(radius, float), np.asarray(thickness, float)
    if rule == "faa":
        return np.asarray(FAA_RADIUS * r + FAA_THICKNESS * t)
    if rule == "din-6935":
        return np.radians(r + din_factor(r, t) / 2.0 * t)
    if rule == "k-factor" and k_factor is not None:
        return np.radians(r + k_factor * t)
    raise InputError([_fault(rule)])


def _fault(rule: str) -> Fault:
    if rule == "k-factor":
        return Fault("bend rule", "k_factor", "nothing", "a number from 0 to 1 beside the rule k-factor")
    return Fault("bend rule", "bend_allowance", repr(rule), ", ".join(RULES), nearest(rule, RULES))
