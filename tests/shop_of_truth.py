"""Shops whose truth is known and is not the book's own model: written before any of it, and not fitted to it since.

A shop bends flanges over blocks. Its forecast is an honest formula of springback; what really comes off the press differs by

    factor of the shop            springback times exp(N(0.10, 0.18))
    factor of alloy and temper    times exp(N(0, 0.12)), the same on every lot
    pressure                      times (p/20 MPa)^-g, g = N(0.12, 0.08): more pressure, less springback, as no forecast here knows
    curvature                     N(0, 0.3) deg at 1/200 mm, one figure a shop, straight in the curvature
    flange                        N(0, 0.25) deg, the same on every block and piece of that flange
    lot                           0.25 deg times Student's t with 3 degrees of freedom: a lot in twenty is 0.6 deg off and more
    block                         wall angle as cut, N(0, 0.1) deg, new with each block
    piece                         N(0, 0.3) deg
    place                         N(0, 0.12) deg that stays with the place, N(0, 0.15) deg new on each piece
    measuring                     N(0, 0.15) deg, which the shop knows of its protractor

The figures are choices of ours in the size that builders report (soft sheet 2 deg, hard sheet short by up to 10), no measurement. Angles
in degrees from flat; residuals and errors positive where the flange stands closed. Nothing of ribwright is used here.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

# springback of a 90 deg bend at R/t 3 [deg]; several tempers of invented behaviour under the trade's names
ALLOYS = {"2024-O": 2.1, "2024-W": 3.0, "2024-T3": 7.4, "6061-T4": 4.6, "6061-O": 1.3, "7075-O": 2.5}
KINDS = ("closed", "section")  # how sure the forecast calls itself
PART_SD, NEW_PLACE_SD, KEPT_PLACE_SD, CUT_SD, GAUGE_SD = 0.3, 0.15, 0.12, 0.1, 0.15
LOT_SCALE, LOT_FREEDOM = 0.25, 3


@dataclass(frozen=True)
class Flange:
    """A flange as drawn: bend `angle` [deg], inside `radius` and sheet `thickness` [mm], `curvature` of its edge [1/mm], the `pressure`
    [MPa] it is pressed with."""

    name: str
    alloy: str
    thickness: float
    radius: float
    angle: float
    curvature: float
    pressure: float


@dataclass(frozen=True, eq=False)
class Forecast:
    """What was forecast for a block cut to an undercut: `springback` [deg], released `angle` [deg], standard deviations [deg] of what is
    the same on every piece (`model`), on every piece of the block (`tooling`), and of what differs from piece to piece (`piece`)."""

    springback: float
    angle: float
    model: float
    tooling: float
    piece: float


@dataclass(frozen=True, eq=False)
class Block:
    """A block that was cut: to `undercut` [deg], standing at `wall` from flat in truth [deg]."""

    flange: Flange
    undercut: float
    wall: float


@dataclass(frozen=True, eq=False)
class Piece:
    """A formed piece: what was `measured` at its places [deg], and the `true` angles there."""

    block: Block
    lot: str
    true: np.ndarray
    measured: np.ndarray


def forecast(flange: Flange, undercut: float, kind: str = "closed") -> Forecast:
    """The shop's forecast: springback in proportion to the angle as formed and to (R/t + 1/2)^0.85."""
    ratio = flange.radius / flange.thickness
    loaded = flange.angle + undercut
    back = ALLOYS[flange.alloy] * ((ratio + 0.5) / 3.5) ** 0.85 * loaded / 90.0
    model = 1.5 if kind == "closed" else float(np.hypot(0.5, 0.12 * back))
    return Forecast(back, loaded - back, model, CUT_SD, float(np.hypot(0.066 * back, 0.1)))


def forecast_undercut(flange: Flange) -> float:
    """Undercut after which the forecast is the drawing's angle [deg]."""
    per_degree = forecast(flange, 0.0).springback / flange.angle
    return flange.angle * per_degree / (1.0 - per_degree)


class Shop:
    """One shop; everything about it follows from its seed."""

    def __init__(self, seed: int):
        self.rng = np.random.default_rng([seed, 8])
        self.kind = KINDS[seed % 2]
        self.factor = float(np.exp(self.rng.normal(0.10, 0.18)))
        self.alloy = {name: float(np.exp(self.rng.normal(0.0, 0.12))) for name in ALLOYS}
        self.fall = float(self.rng.normal(0.12, 0.08))
        self.bow = float(self.rng.normal(0.0, 0.3))
        self._flange: dict[str, float] = {}
        self._place: dict[tuple[str, int], float] = {}
        self._lot: dict[str, float] = {}

    def flange(self, name: str, alloy: str | None = None) -> Flange:
        """A flange of this shop's work; of `alloy` where that is given."""
        named = alloy or str(self.rng.choice(list(ALLOYS)))
        thickness = float(self.rng.choice([0.63, 0.8, 1.0, 1.27, 1.6]))
        return Flange(
            name, named, thickness, thickness * float(self.rng.uniform(2.0, 4.5)), float(self.rng.uniform(75.0, 100.0)),
            float(self.rng.choice([0.0, self.rng.uniform(-1.0, 1.0) / 200.0])), float(np.exp(self.rng.uniform(np.log(8.0), np.log(60.0)))),
        )  # fmt: skip

    def lot(self, name: str) -> float:
        """What a lot adds to the released angle [deg]."""
        if name not in self._lot:
            self._lot[name] = LOT_SCALE * float(self.rng.standard_t(LOT_FREEDOM))
        return self._lot[name]

    def forecast(self, flange: Flange, undercut: float) -> Forecast:
        return forecast(flange, undercut, self.kind)

    def angle(self, flange: Flange, lot: str, wall: float) -> float:
        """True mean released angle [deg] of pieces of a lot off a block whose wall stands at `wall` from flat [deg]."""
        if flange.name not in self._flange:
            self._flange[flange.name] = float(self.rng.normal(0.0, 0.25))
        back = forecast(flange, wall - flange.angle).springback
        back *= self.factor * self.alloy[flange.alloy] * (flange.pressure / 20.0) ** -self.fall
        return wall - back + self.bow * flange.curvature * 200.0 + self._flange[flange.name] + self.lot(lot)

    def cut(self, flange: Flange, undercut: float) -> Block:
        return Block(flange, undercut, flange.angle + undercut + float(self.rng.normal(0.0, CUT_SD)))

    def form(self, block: Block, lot: str, places: int = 3) -> Piece:
        """One piece, measured at `places` places."""
        mean = self.angle(block.flange, lot, block.wall) + float(self.rng.normal(0.0, PART_SD))
        for i in range(places):
            if (block.flange.name, i) not in self._place:
                self._place[block.flange.name, i] = float(self.rng.normal(0.0, KEPT_PLACE_SD))
        kept = np.array([self._place[block.flange.name, i] for i in range(places)])
        true = mean + kept + self.rng.normal(0.0, NEW_PLACE_SD, places)
        return Piece(block, lot, true, true + self.rng.normal(0.0, GAUGE_SD, places))
