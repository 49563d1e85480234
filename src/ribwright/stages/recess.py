"""Recesses for hole flanges: the true profile with its rounded rim and vent, turned about the hole's axis.

Tangent circle r_t, block radius R, wall w from flat, depth h below the web face:
    rim    r = r_t - R sin(phi), z = R (1 - cos(phi)),  phi from 0 to w
    wall   from there along w to the floor (in for w < 90, out past 90)
    vent   a bore through the floor, so that neither trapped air nor the pad's suction holds the part
"""

from __future__ import annotations

from dataclasses import dataclass
from math import acos, asin, cos, pi, radians, sin, tan

Pair = tuple[float, float]
RECESS_FLOOR_MM = 6.0  # wood left under a recess: common practice, from memory


@dataclass(frozen=True)
class Recess:
    """Room in the block for a hole flange that turns down with the others (or in the upper ring for one turned up).

    diameter: where the plane of the web face meets the wall; bottom_diameter at `depth` below the web face.
    """

    name: str
    at: Pair
    diameter: float
    bottom_diameter: float
    depth: float
    edge_radius: float
    wall_angle: float
    undercut: tuple[float, float, float]
    remaining: float
    """Angle error that a fixed undercut leaves [deg]; NaN: not known."""
    released: tuple[float, float, float]
    """Angle the hole flange comes out with, and its 90 % band [deg]."""
    vent_diameter: float = 0.0
    model: str = ""
    quick: float | None = None
    """What the closed form says of the undercut [deg], where the section model answers."""
    unverified: str = ""
    """Why the section model was not checked for such a flange."""

    @property
    def tangent_radius(self) -> float:
        """Radius at which the rounded rim leaves the web face [mm]."""
        return self.diameter / 2 + self.edge_radius * tan(radians(self.wall_angle) / 2)

    @property
    def throat_radius(self) -> float:
        """Least radius of the rounded rim [mm]; 0 or less: the rim would close up."""
        return self.tangent_radius - self.edge_radius * sin(min(radians(self.wall_angle), pi / 2))


@dataclass(frozen=True)
class Profile:
    """The meridian of a recess in (r, depth) [mm], from the web face down: the rim's arc (its middle and its end), the
    wall's end, the vent's radius, and the depth to which the vent goes."""

    start: Pair
    middle: Pair
    rim: Pair
    wall: Pair
    vent: float
    height: float
    radius: float
    turned: float
    """The angle that the rim's arc turns through [rad]."""

    @property
    def volume(self) -> float:
        """Volume of what is cut away [mm3], exact."""
        rt, r, w = self.start[0], self.radius, self.turned
        # pi (r_t - R sin phi)^2 R sin phi, from 0 to w
        arc = r * (rt * rt * (1 - cos(w)) - rt * r * (w - sin(2 * w) / 2) + r * r * (2 / 3 - cos(w) + cos(w) ** 3 / 3))
        (a, za), (b, zb) = self.rim, self.wall
        return pi * (arc + (zb - za) / 3 * (a * a + a * b + b * b) + self.vent**2 * (self.height - zb))

    @property
    def widest(self) -> float:
        """Largest radius [mm]."""
        return max(self.start[0], self.wall[0])


def profile(recess: Recess, height: float) -> Profile:
    """The meridian of a recess in a block (or ring) of this height. The wall ends at the floor or, where a cone would
    close before it, at the vent."""
    w, r, rt = radians(recess.wall_angle), recess.edge_radius, recess.tangent_radius
    vent = recess.vent_diameter / 2
    turned = w
    if rt - r * sin(w) < vent and w < pi / 2:
        turned = asin(min(max((rt - vent) / r, 0.0), 1.0))
    if r * (1 - cos(turned)) > recess.depth:
        turned = acos(1 - recess.depth / r)
    deep = r * (1 - cos(turned))
    rim = (rt - r * sin(turned), deep)
    end, depth = rim[0] - (recess.depth - deep) / tan(w), recess.depth
    if end < vent:
        end, depth = vent, deep + (rim[0] - vent) * tan(w)
    return Profile(
        (rt, 0.0), (rt - r * sin(turned / 2), r * (1 - cos(turned / 2))), rim, (end, depth), vent, height, r, turned
    )


def vent_that_fits(recess: Recess, usual: float) -> float:
    """Diameter of the vent [mm]: the usual one, or half the throat where that is less."""
    return max(min(usual, recess.throat_radius), 0.0)
