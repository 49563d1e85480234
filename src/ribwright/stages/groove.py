"""Grooves of the block as plain values: along a path in the web face (a bead), and across a wall, deeper towards the foot (a flute).

A face groove has the section of the sheet's lower face all along, its ends turned round. A wall groove is a cone: its point stands a
hair before the wall where it begins, from there width and depth grow with the distance, straight down the wall and out through the foot;
its edges are sharp, to be eased by hand. What each takes off is our own integral, which the solid kernel's volume is held against.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cache

import numpy as np
from numpy.typing import NDArray

from ribwright.geometry import grooved_path
from ribwright.geometry.groove_profile import GrooveProfile, groove_profile
from ribwright.geometry.offset import SetOver
from ribwright.stages.section import Wall, Walls

Array = NDArray[np.float64]
GAUSS = np.polynomial.legendre.leggauss(6)
PANELS = 2
OUTSIDE = 3.0  # the cutter of a wall groove reaches this many depths out of the wall
BEFORE, PAST_FOOT = (
    0.25,
    1.0,
)  # its point stands this far before the wall, and it goes on below the foot: surfaces are to cross, not touch [mm]


@dataclass(frozen=True, eq=False)
class FaceGroove:
    """A groove in the web face: `path` (n, 2) its middle [mm], `profile` the section of the block's face."""

    name: str
    path: Array
    profile: GrooveProfile

    @property
    def volume(self) -> float:
        """What it takes off [mm3], exact."""
        return grooved_path.volume(self.path, self.profile)

    @property
    def corners(self) -> Array:
        """Where its faces meet (n, 3) [mm]."""
        return grooved_path.corners(self.path, self.profile)

    def mirrored(self) -> FaceGroove:
        """The same seen in the mirror x -> -x."""
        return replace(self, path=self.path * np.array([-1.0, 1.0]))


@dataclass(frozen=True, eq=False)
class WallGroove:
    """A groove in the wall of one edge: from `apex` (3,) straight down the wall to `end` (3,) below the foot (z down negative), both BEFORE
    outside it. At the end its section lies level: x along `along` (2,), depth along `inward` (2,); `profile` has a sharp edge."""

    name: str
    edge: str
    apex: Array
    end: Array
    along: Array
    inward: Array
    profile: GrooveProfile
    measured: Callable[[], float]
    """What it takes off: level cuts summed up when asked for, once."""

    @property
    def volume(self) -> float:
        """What it takes off the block [mm3]."""
        return self.measured()

    def outline(self, z: float, turn: float = 0.01) -> Array:
        """The level cut of its cutter at depth z (n, 2) [mm]: the section, closed outside the wall."""
        share = (z + self.apex[2]) / (self.apex[2] - self.end[2])
        centre = self.apex[:2] + share * (self.end - self.apex)[:2]
        half = self.profile.line(turn)
        flat = np.concatenate([half[::-1] * [-1.0, 1.0], half[1:]])
        wide, out = self.profile.width / 2, -OUTSIDE * self.profile.depth
        flat = np.concatenate([flat, [[wide, out], [-wide, out]]]) * share
        return np.asarray(centre + flat[:, :1] * self.along + flat[:, 1:] * self.inward)

    def mirrored(self) -> WallGroove:
        """The same seen in the mirror x -> -x."""
        flip, flat = np.array([-1.0, 1.0, 1.0]), np.array([-1.0, 1.0])
        return replace(
            self, apex=self.apex * flip, end=self.end * flip, along=self.along * flat, inward=self.inward * flat
        )


Groove = FaceGroove | WallGroove


def wall_of_edge(walls: Walls, edge: str) -> Wall:
    """The wall of the edge of that name."""
    return next(w for loop in walls.loops for w in loop if w.edge.edge.name == edge)


def wall_groove(
    walls: Walls, name: str, edge: str, s: float, begins: float, at: float, width: float, depth: float
) -> WallGroove:
    """A round groove in the wall of an edge at arc length `s` of travel: from nothing at depth `begins` below the web face to `width` and
    `depth` (square to the wall) at depth `at`, and on in the same way to the foot [mm]. ValueError where `begins` lies in the edge
    rounding or no such section is."""
    wall = wall_of_edge(walls, edge)
    place = np.array([s])
    angle, radius = (float(x[0]) for x in wall.at(place))
    if begins < radius * (1 - np.cos(angle)) - 1e-9 or not begins < at <= walls.height + 1e-9:
        raise ValueError(
            f"a wall groove begins below the rounding of the edge and above the foot, not at {begins:g} mm"
        )
    profile = _before_the_wall(width, depth / np.sin(angle))
    if profile is None:
        raise ValueError(f"no round groove is {width:g} mm wide and {depth:g} mm deep")
    (_, t, n) = SetOver(wall.edge.curve, lambda s: np.zeros(len(s))).frame(place)
    foot = walls.height + PAST_FOOT
    profile = profile.scaled((foot - begins) / (at - begins))
    apex, end = (np.append((wall.line(z).point(place) + BEFORE * n)[0], -z) for z in (begins, foot))
    groove = WallGroove(name, edge, apex, end, t[0], -n[0], profile, lambda: 0.0)
    return replace(groove, measured=cache(lambda: _taken_off(wall, groove, s, walls.height)))


def _before_the_wall(width: float, depth: float) -> GrooveProfile | None:
    """The arc that is `width` wide and `depth` deep at the wall, carried on to BEFORE outside it."""
    radius = (width**2 + 4 * depth**2) / (8 * depth)
    deep = depth + BEFORE
    if deep >= radius:
        return None
    return groove_profile(2 * float(np.sqrt(radius**2 - (radius - deep) ** 2)), deep, 0.0)


def _taken_off(wall: Wall, groove: WallGroove, s: float, height: float) -> float:
    """Volume of the cutter inside the wall [mm3]: level cuts, Gauss over the depth."""
    import shapely

    begins, ends = -groove.apex[2], height
    reach = groove.profile.width
    near = np.linspace(s - reach, s + reach, 101)
    deep = (groove.profile.depth * 2 + reach) * groove.inward
    total, (nodes, weights) = 0.0, GAUSS
    for k in range(PANELS):
        a, b = (begins + (ends - begins) * x / PANELS for x in (k, k + 1))
        for x, w in zip(nodes, weights, strict=True):
            z = float((a + b) / 2 + (b - a) / 2 * x)
            line = wall.line(z).point(near)
            block = shapely.Polygon(np.concatenate([line, line[::-1][[0, -1]] + deep]))
            total += float((b - a) / 2 * w * block.intersection(shapely.Polygon(groove.outline(z))).area)
    return total
