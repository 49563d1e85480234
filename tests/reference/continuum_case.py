"""What is pressed in the continuum check: the sheet, the flange and its block, straight or around an axis.

Lengths in mm, stresses in MPa, angles in degrees. The local frame is that of the section: bend tangent at the origin,
web to the left, flange to the right and pressed down. Around an axis the frame is set at its radius; a flange pressed
into a hole is turned by half a turn first, so that the flange still runs towards the axis.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np


@dataclass(frozen=True)
class Sheet:
    """E and nu, and the true curve K (e0 + ep)^n whose first point is the yield stress."""

    name: str
    youngs: float
    poisson: float
    yield_: float
    strength: float
    exponent: float

    @property
    def first(self) -> float:
        """e0, the strain at which the curve meets the yield stress."""
        return (self.yield_ / self.strength) ** (1 / self.exponent)

    def curve(self) -> list[tuple[float, float]]:
        """Points (true stress, plastic strain) of the curve, dense where it bends."""
        strains = np.concatenate([[0.0], np.geomspace(self.first / 20, 2.0, 80)])
        return [(self.strength * (self.first + e) ** self.exponent, float(e)) for e in strains]


# sheets of the study: nominal values, chosen, not measured
SOFT_2024 = Sheet("2024-O", 72400.0, 0.33, 76.0, 330.0, 0.20)
HARD_2024 = Sheet("2024-T3", 72400.0, 0.33, 345.0, 690.0, 0.16)
SHEET_6061 = Sheet("6061-T4", 68300.0, 0.33, 145.0, 410.0, 0.21)


@dataclass(frozen=True)
class Case:
    """One flange: inside radius, outside width at 90 degrees, the block's wall at 90 + undercut from flat.

    around    "" straight; "hole" a flange pressed into a hole of the block; "disc" a flange round a disc
    wall      radius of the formed wall's mid-line about the axis
    straight  of a flange around an axis the straight part of the formed meridian, wanted; the blank is cut for it by
              the uniaxial rule dl = sqrt(r/rho) dr (sheet at radius r goes to radius rho)
    """

    name: str
    sheet: Sheet
    thickness: float
    radius: float
    width: float
    pressure: float
    undercut: float = 0.0
    friction: float = 0.0
    web: float = 14.0
    layers: int = 4
    along: float = 0.2
    end_face: bool = False
    stiffness: float = 2.0e5
    flicker: float = 0.02
    around: str = ""
    wall: float = 0.0

    @property
    def straight(self) -> float:
        """The straight part of the flange at 90 degrees."""
        return self.width - self.radius - self.thickness

    @property
    def arc(self) -> float:
        """Mid-line over the bend at 90 degrees."""
        return math.pi / 2 * (self.radius + self.thickness / 2)

    @property
    def origin(self) -> float:
        """Radius of the bend tangent about the axis; 0 for a straight flange."""
        if self.around == "hole":
            return self.wall + self.thickness / 2 + self.radius
        return self.wall - self.thickness / 2 - self.radius if self.around == "disc" else 0.0

    @property
    def sign(self) -> int:
        return -1 if self.around == "hole" else 1

    @property
    def developed(self) -> float:
        """Flat sheet from bend tangent to free edge."""
        if not self.around:
            return self.arc + self.straight
        formed, flat, step = 0.0, 0.0, 0.002
        bent = self.radius + self.thickness / 2
        while formed < self.arc + self.straight:
            rho = self.origin + self.sign * bent * math.sin(min(formed / bent, math.pi / 2))
            formed += step * math.sqrt((self.origin + self.sign * flat) / rho)
            flat += step
        return flat

    @property
    def web_length(self) -> float:
        """The web of a disc goes nearly to the axis."""
        return self.origin - 2.0 if self.around == "disc" else self.web

    @property
    def stations(self) -> np.ndarray:
        """Where the mid-line's nodes lie along the flat sheet, bend tangent 0."""
        along = corner_stations(self)
        both = np.empty(2 * len(along) - 1)
        both[::2], both[1::2] = along, (along[1:] + along[:-1]) / 2
        return both

    @property
    def closing(self) -> float:
        """A first guess of the pressure that closes the flange: only the ramp is set by it.

        1.71 M/s^2 of a straight flange, and round an axis what it takes to change the edge's ring, flow t/r.
        """
        s, t, n = self.sheet, self.thickness, self.sheet.exponent
        moment = (2 / math.sqrt(3)) ** (n + 1) * s.strength * t ** (n + 2)
        moment /= 2 ** (n + 1) * (n + 2) * (self.radius + t / 2) ** n
        bending = 1.71 * moment / self.straight**2
        if not self.around:
            return bending
        edge = abs(math.log(self.wall / (self.origin + self.sign * self.developed)))
        return bending + s.strength * edge**n * t / self.wall

    @property
    def on_wall(self) -> float:
        """The pressure that certainly has closed the flange; with `end_face` the cut edge is pressed from there on."""
        return min(1.6 * self.closing, 0.5 * self.pressure)

    def world(self, xy: np.ndarray) -> np.ndarray:
        """Local points (n, 2) set at their place about the axis; its own inverse but for the origin."""
        return self.sign * xy + np.array([self.origin, 0.0])

    def pressures(self) -> tuple[np.ndarray, np.ndarray]:
        """The ramp over a step's time 0..1: most of it for the closing, where a little pressure turns the flange far."""
        marks = [(0.0, 0.0), (0.1, 0.3 * self.closing), (0.6, 1.1 * self.closing), (0.7, 1.6 * self.closing)]
        marks = [m for m in marks if m[1] < 0.9 * self.pressure]
        left = np.linspace(marks[-1][0], 1.0, 31)[1:]
        last = max(marks[-1][1], self.closing / 10)
        times = np.concatenate([[m[0] for m in marks], left])
        return times, np.concatenate([[m[1] for m in marks], np.geomspace(last, self.pressure, 31)[1:]])


def corner_stations(case: Case) -> np.ndarray:
    """Corner stations along the flat sheet, fine over the bend and where the web lifts."""
    t, fine = case.thickness, case.along
    breaks = [(-case.web_length, max(1.0, (case.web_length - 10) / 15))]
    if case.web_length > 20:
        breaks += [(-12.0, 1.0)]
    breaks += [(-4 * t - 1, fine * 1.5), (-3 * t, fine), (case.arc + 2 * t, fine), (case.arc + 4 * t + 1, fine * 2)]
    breaks += [(case.developed - 1, 0.5), (case.developed, 0.3)]
    breaks = [b for i, b in enumerate(breaks) if i == 0 or b[0] > max(a[0] for a in breaks[:i])]
    positions, sizes = [b[0] for b in breaks], [b[1] for b in breaks]
    xs = [positions[0]]
    while xs[-1] < positions[-1] - 1e-9:
        xs.append(xs[-1] + float(np.interp(xs[-1], positions, sizes)))
    out = np.array(xs)
    return out[0] + (out - out[0]) * (positions[-1] - out[0]) / (out[-1] - out[0])


def straight(name: str, sheet: Sheet, t: float, radius: float, pressure: float, **more: float) -> Case:
    return Case(name, sheet, t, radius, 16.0, pressure, **{"along": 0.2 * t, **more})


def hole(*what: Any, **more: float) -> Case:
    return ring("hole", *what, **more)


def disc(*what: Any, **more: float) -> Case:
    return ring("disc", *what, **more)


def ring(
    around: str, name: str, sheet: Sheet, t: float, radius: float, pressure: float, wall: float, part: float, **more: float
) -> Case:  # fmt: skip
    """A flange round an axis; `part` is its straight part, formed."""
    more = {"along": 0.2 * t, **more}
    return Case(name, sheet, t, radius, part + radius + t, pressure, around=around, wall=wall, **more)


# a case without a row in continuum.csv was not run yet
CASES = {
    case.name: case
    for case in (
        straight("t3-r3-14", HARD_2024, 1.0, 3.0, 14.0),
        straight("t3-r3-14-fine", HARD_2024, 1.0, 3.0, 14.0, layers=6, along=0.14),
        straight("t3-r3-14-softest", HARD_2024, 1.0, 3.0, 14.0, stiffness=2.0e4),
        straight("t3-r3-14-soft", HARD_2024, 1.0, 3.0, 14.0, stiffness=5.0e4),
        straight("t3-r3-14-hard", HARD_2024, 1.0, 3.0, 14.0, stiffness=5.0e5),
        straight("t3-r3-14-friction", HARD_2024, 1.0, 3.0, 14.0, friction=0.1),
        straight("t3-r3-14-edge", HARD_2024, 1.0, 3.0, 14.0, end_face=True),
        straight("t3-r3-35", HARD_2024, 1.0, 3.0, 35.0),
        straight("t3-r3-35-fine", HARD_2024, 1.0, 3.0, 35.0, layers=6, along=0.14),
        straight("t3-r3-35-hard", HARD_2024, 1.0, 3.0, 35.0, stiffness=5.0e5),
        straight("t3-r3-35-edge", HARD_2024, 1.0, 3.0, 35.0, end_face=True),
        straight("t3-r3-70", HARD_2024, 1.0, 3.0, 70.0),
        straight("t3-r3-1.2", HARD_2024, 1.0, 3.0, 1.2),
        straight("t3-r3-3.5", HARD_2024, 1.0, 3.0, 3.5),
        straight("t3-r3-14-undercut", HARD_2024, 1.0, 3.0, 14.0, undercut=8.0),
        straight("t3-r3-14-open-wall", HARD_2024, 1.0, 3.0, 14.0, undercut=-15.0),
        straight("t3-r1.2-14", HARD_2024, 0.8, 1.2, 14.0),
        straight("t3-r1.2-14-fine", HARD_2024, 0.8, 1.2, 14.0, layers=6, along=0.11),
        straight("t3-r1.2-14-along", HARD_2024, 0.8, 1.2, 14.0, along=0.11),
        straight("t3-r1.2-14-hard", HARD_2024, 0.8, 1.2, 14.0, stiffness=5.0e5),
        straight("6061-r3-14", SHEET_6061, 1.0, 3.0, 14.0),
        straight("6061-r3.2-35", SHEET_6061, 1.6, 3.2, 35.0),
        straight("o-r2.4-14", SOFT_2024, 0.8, 2.4, 14.0),
        straight("o-r2.4-35", SOFT_2024, 0.8, 2.4, 35.0),
        straight("o-r2.4-35-fine", SOFT_2024, 0.8, 2.4, 35.0, layers=6, along=0.11),
        straight("o-r2.4-70", SOFT_2024, 0.8, 2.4, 70.0),
        straight("o-r4.8-14", SOFT_2024, 1.6, 4.8, 14.0),
        hole("hole-35", HARD_2024, 1.0, 3.0, 35.0, wall=25.0, part=8.0),
        hole("hole-35-fine", HARD_2024, 1.0, 3.0, 35.0, wall=25.0, part=8.0, layers=6, along=0.14),
        hole("hole-35-soft", HARD_2024, 1.0, 3.0, 35.0, wall=25.0, part=8.0, stiffness=5.0e4),
        disc("disc-40-14", SOFT_2024, 0.8, 2.4, 14.0, wall=40.0, part=12.0),
        disc("disc-100-14", SOFT_2024, 0.8, 2.4, 14.0, wall=100.0, part=12.0),
    )
}
