"""A flanged lightening hole: a stretch flange round a closed circle, plan curvature -1/R_t everywhere.

Section through the rim; all but R, the rim's opening and the height are measured on the mid-surface.

      hole's axis                     R_t
           |<------------------------------------>|
           |                       _______________|_______________   heel face
           |                   .-'   .............|............... mid-surface      --+----+-
           |                 .'   .'    __________|_______________                    | z  | H
           |               .'   .'   .'           bend tangent circle                 |    |
           |  rim opening /   /   / R                                                 |    |
           |<----------->/   :   /                                                  --+-   |
           |             `-._:_ /   farthest point of the rim ---------------------------- +-
           |<--- R_t - off -->

    off = Rm sin a + L cos a          rim's mid-surface inward of the tangent circle,  Rm = R + t/2
    z   = Rm (1 - cos a) + L sin a    rim's mid-surface below the web's mid-surface
    rim opening = 2 (R_t - off) - t sin a,   H = t/2 + z + (t/2)|cos a|

The heel face is the convex side of the hole's own bend. The rim is taken square to the flange and t thick.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]
SQUARE = 1e-9  # |cos a| below which the straight part does not move the rim's opening


def rim_offset(radius: ArrayLike, thickness: ArrayLike, angle_deg: ArrayLike, straight: ArrayLike) -> Array:
    """off [mm]: how far the rim's mid-surface lies inward of the tangent circle."""
    a, rm, length = _section(radius, thickness, angle_deg, straight)
    return rm * np.sin(a) + length * np.cos(a)


def rim_depth(radius: ArrayLike, thickness: ArrayLike, angle_deg: ArrayLike, straight: ArrayLike) -> Array:
    """z [mm]: how far the rim's mid-surface lies below the web's."""
    a, rm, length = _section(radius, thickness, angle_deg, straight)
    return rm * (1.0 - np.cos(a)) + length * np.sin(a)


def rim_diameter_mid(
    tangent_diameter: ArrayLike, radius: ArrayLike, thickness: ArrayLike, angle_deg: ArrayLike, straight: ArrayLike
) -> Array:
    """Diameter of the rim's mid-surface, 2 (R_t - off) [mm]; not positive where the flange meets itself."""
    return np.asarray(tangent_diameter, float) - 2.0 * rim_offset(radius, thickness, angle_deg, straight)


def rim_diameter(
    tangent_diameter: ArrayLike, radius: ArrayLike, thickness: ArrayLike, angle_deg: ArrayLike, straight: ArrayLike
) -> Array:
    """Smallest finished opening, mid-surface rim diameter - t sin a [mm]."""
    lip = np.asarray(thickness, float) * np.sin(np.radians(angle_deg))
    return rim_diameter_mid(tangent_diameter, radius, thickness, angle_deg, straight) - lip


def flange_height(radius: ArrayLike, thickness: ArrayLike, angle_deg: ArrayLike, straight: ArrayLike) -> Array:
    """H = t/2 + z + (t/2)|cos a| [mm]: heel face to the rim's farthest point, square to the web."""
    half = np.asarray(thickness, float) / 2.0
    ends = half * (1.0 + np.abs(np.cos(np.radians(angle_deg))))
    return rim_depth(radius, thickness, angle_deg, straight) + ends


def straight_from_rim(
    tangent_diameter: float, radius: float, thickness: float, angle_deg: float, rim_diameter_mm: float
) -> float | None:
    """L [mm] that gives this finished opening, whatever the method of the blank; negative where the bend overshoots it.

    None at 90 deg, where the opening does not depend on L: the bend radius has already fixed it.
    """
    a = float(np.radians(angle_deg))
    if abs(np.cos(a)) < SQUARE:
        return None
    off = (tangent_diameter - rim_diameter_mm - thickness * np.sin(a)) / 2.0
    return float((off - (radius + thickness / 2.0) * np.sin(a)) / np.cos(a))


def straight_from_height(radius: float, thickness: float, angle_deg: float, height: float) -> float | None:
    """L [mm] that gives this flange height; negative where the bend alone is taller. None at 0 deg."""
    rise = float(np.sin(np.radians(angle_deg)))
    if abs(rise) < SQUARE:
        return None
    return float((height - flange_height(radius, thickness, angle_deg, 0.0)) / rise)


def straight_from_width(flat_width: Callable[[Array], Array], wanted: float) -> float | None:
    """L [mm] with flat_width(L) = wanted (tangent circle to cut edge); None when even L = 0 is wider, or no L gives it.

    `flat_width` takes lengths (n,) and gives widths (n,), NaN where the flange cannot be developed. The width grows with
    L and is never less than L, so [0, wanted] holds it. The development costs the same for many lengths as for one: 33
    of them, a cubic through the four nearest, then a parabola through three 1e-3 mm apart. Good to 1e-9 mm.
    """
    at = np.linspace(0.0, wanted, 33)
    w = flat_width(at)
    over = ~(w < wanted)  # NaN, not developable, counts as over
    if over[0] or not over.any():
        return None
    last = int(np.argmax(over))
    if not np.isfinite(w[last]):
        return _between(flat_width, float(at[last - 1]), float(at[last]), wanted)
    i = min(max(last - 2, 0), int(np.isfinite(w).sum()) - 4)
    guess = _lagrange(w[i : i + 4], at[i : i + 4], wanted) if i >= 0 else float(at[last - 1])
    near = guess + np.array([-1e-3, 0.0, 1e-3])
    if near[0] < 0 or not at[last - 1] - 1e-3 <= guess <= at[last] + 1e-3:
        return _between(flat_width, float(at[last - 1]), float(at[last]), wanted)
    return _lagrange(flat_width(near), near, wanted)


def _lagrange(x: Array, y: Array, at: float) -> float:
    """The polynomial through all (x, y), at one place."""
    total = 0.0
    for i in range(len(x)):
        others = np.delete(x, i)
        total += float(y[i] * np.prod((at - others) / (x[i] - others)))
    return total


def _between(flat_width: Callable[[Array], Array], low: float, high: float, wanted: float) -> float | None:
    """The same in a bracket whose upper end may not be developable: 17 lengths a round, then a straight line."""
    while high - low > 1e-5:
        at = np.linspace(low, high, 17)
        i = int(np.argmax(~(flat_width(at) < wanted)))
        low, high = float(at[max(i, 1) - 1]), float(at[max(i, 1)])
    w = flat_width(np.array([low, high]))
    if not np.isfinite(w).all():
        return None
    return low + (high - low) * float((wanted - w[0]) / (w[1] - w[0]))


def edge_strain(cut_diameter: ArrayLike, rim_diameter_mid_mm: ArrayLike) -> Array:
    """True hoop strain of the edge, ln(mid-surface rim diameter/cut diameter) [-]; kinematics, no material law."""
    return np.log(np.asarray(rim_diameter_mid_mm, float) / np.asarray(cut_diameter, float))


def edge_thickness_ratio(strain: ArrayLike, r_value: ArrayLike = 1.0) -> Array:
    """Formed over sheet thickness at the edge, exp(-strain/(1 + R)) [-]: the edge is in uniaxial hoop tension."""
    return np.exp(-np.asarray(strain, float) / (1.0 + np.asarray(r_value, float)))


Kept = Literal["uniaxial", "area", "length"]


def wall_height(cut_radius: ArrayLike, wall_radius: ArrayLike, keep: Kept = "uniaxial") -> Array:
    """Height of a square, sharp-cornered hole flange, mid-surface radii r0 cut and R wall [mm]; isotropic sheet.

    uniaxial  (2/3)(R^1.5 - r0^1.5)/R^0.5   hoop tension only, t = t0 sqrt(r/R)
    area      (R^2 - r0^2)/(2 R)            thickness kept
    length    R - r0                        meridian kept
    """
    r0, r = np.asarray(cut_radius, float), np.asarray(wall_radius, float)
    if keep == "uniaxial":
        return 2.0 / 3.0 * (r**1.5 - r0**1.5) / np.sqrt(r)
    return (r**2 - r0**2) / (2.0 * r) if keep == "area" else r - r0


def cut_radius(height: ArrayLike, wall_radius: ArrayLike, keep: Kept = "uniaxial") -> Array:
    """The inverse of `wall_height` [mm]; 0 where the wall is taller than any hole would give."""
    h, r = np.asarray(height, float), np.asarray(wall_radius, float)
    if keep == "uniaxial":
        return np.maximum(r**1.5 - 1.5 * h * np.sqrt(r), 0.0) ** (2.0 / 3.0)
    return np.sqrt(np.maximum(r**2 - 2.0 * r * h, 0.0)) if keep == "area" else np.maximum(r - h, 0.0)


def _section(
    radius: ArrayLike, thickness: ArrayLike, angle_deg: ArrayLike, straight: ArrayLike
) -> tuple[Array, Array, Array]:
    """Bend angle [rad], mid-surface bend radius and straight length [mm]."""
    rm = np.asarray(radius, float) + np.asarray(thickness, float) / 2.0
    return np.radians(np.asarray(angle_deg, float)), rm, np.asarray(straight, float)
