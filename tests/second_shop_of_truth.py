"""A second maker of shops whose truth is not the model's own, for one run at the end; nothing may be tuned on it.

Its rules, all invented for this file and none of them measured anywhere:

    what is forecast    Gardner's pure bending of an elastic, ideally plastic sheet: sb = (3x - 4x^3) (a + u), x = Y R / (E t)
                        (F. J. Gardner, Trans. ASME 79 (1957) 1; the formula from memory)
    bend                the truth gives back a share more or less that runs with log(R/t): sharp bends one way, open ones the other
    curvature           stretched and shrunk flanges are wrong by different amounts, straight ones by neither
    ageing pad          the pad hardens with the pieces pressed on it and is renewed; an old one closes less well, more where the
                        flange is short of pressure
    lots                of two kinds: most near nothing, one in three well off (another mill); nobody tells which
    scatter             of a piece and of a place grows with its springback
    measuring           a protractor read to the half degree, laid on skew now and then (one-sided, not normal); its stated
                        uncertainty is that of the honest readings
"""

from __future__ import annotations

from dataclasses import dataclass, field
from math import exp, log

import numpy as np

METALS = {  # name: (yield stress as formed [MPa], modulus [GPa])
    "2024-O": (85.0, 73.0),
    "2024-T3": (320.0, 73.0),
    "6061-T4": (150.0, 69.0),
    "7075-O": (105.0, 72.0),
}
GAUGES = (0.635, 0.813, 1.016, 1.27)  # mm
PAD_LIFE = 60  # pieces until a pad is renewed
LEAST_PIECE, PIECE_SHARE = 0.12, 0.035  # scatter of a piece [deg], of its springback
LEAST_PLACE, PLACE_SHARE = 0.10, 0.025
READ_TO, HONEST_SD = 0.5, 0.15  # of the protractor [deg]
SKEW_CHANCE, SKEW_MEAN = 0.08, 0.9


@dataclass(frozen=True)
class Bent:
    """A place of a part: what is known before it is pressed. `curvature` [1/m], + where the flange is stretched."""

    angle: float
    radius: float
    thickness: float
    curvature: float
    leg: float


@dataclass(frozen=True)
class Part:
    """A part of the shop: its metal, pressure [MPa] and places."""

    name: str
    metal: str
    pressure: float
    places: tuple[Bent, ...]


@dataclass(frozen=True)
class Reading:
    """One measured angle: `measured` and the hidden `true` [deg], expanded `u` (k = 2), what was forecast for the block as cut,
    with the sds of the forecast that are the same on every piece and that are not."""

    part: str
    metal: str
    lot: str
    piece: int
    place: int
    undercut: float
    forecast: float
    forecast_springback: float
    sd_model: float
    sd_piece: float
    pressure: float
    thickness: float
    radius: float
    curvature: float
    measured: float
    true: float
    u: float


@dataclass
class Shop:
    """A shop by its seed; the same calls give the same pieces."""

    seed: int
    rng: np.random.Generator = field(init=False)
    pressed: int = field(default=0, init=False)

    def __post_init__(self) -> None:
        self.rng = np.random.default_rng(90_000 + self.seed)
        r = self.rng
        self.bend_share = r.normal(0.0, 0.06)  # per e-fold of R/t
        self.common_share = r.normal(0.05, 0.10)
        self.metal_share = {m: r.normal(0.0, 0.05) for m in METALS}
        self.stretched, self.shrunk = r.normal(0.0, 0.5, 2)  # deg
        self.hardens = abs(r.normal(0.0, 0.4))  # deg over a pad's life
        self.lots: dict[str, float] = {}

    def lot(self, name: str) -> float:
        """Share by which a lot gives back more: of two kinds."""
        if name not in self.lots:
            other = self.rng.random() < 1 / 3
            self.lots[name] = float(self.rng.normal(0.12 if other else -0.02, 0.02))
        return self.lots[name]

    def part(self, metal: str, places: int = 4) -> Part:
        """A part to be pressed."""
        r = self.rng
        t, bent = float(r.choice(GAUGES)), float(r.uniform(2.0, 6.0))
        signs = r.choice((-1.0, 0.0, 1.0), places)
        rows = tuple(
            Bent(
                float(r.uniform(82.0, 98.0)), bent * t, t, float(s * r.uniform(0.5, 4.0)), float(r.uniform(12.0, 22.0))
            )
            for s in signs
        )
        return Part(f"part-{r.integers(10**9)}", metal, float(r.uniform(5.0, 20.0)), rows)

    def forecast_share(self, part: Part, place: Bent) -> float:
        """Springback of the wall's angle as it is forecast."""
        stress, modulus = METALS[part.metal]
        x = min(stress * place.radius / (modulus * 1e3 * place.thickness), 0.5)
        return 3.0 * x - 4.0 * x**3

    def asked_undercut(self, part: Part, place: Bent) -> float:
        """The undercut that the forecast asks for [deg]."""
        s = self.forecast_share(part, place)
        return place.angle * s / (1.0 - s)

    def true_mean(self, part: Part, place: Bent, undercut: float, lot: str) -> float:
        """The released angle that pieces of a lot scatter about on a block cut to `undercut`, with the pad as it is now [deg]."""
        share = self.forecast_share(part, place)
        more = self.common_share + self.metal_share[part.metal] + self.lot(lot)
        more += self.bend_share * log(place.radius / place.thickness / 3.5)
        wall = place.angle + undercut
        side = self.stretched if place.curvature > 0 else self.shrunk if place.curvature < 0 else 0.0
        aged = (self.pressed % PAD_LIFE) / PAD_LIFE
        short = exp(-part.pressure * place.leg / 150.0)
        return wall - share * wall * (1.0 + more) - side - self.hardens * aged * (0.3 + short)

    def piece(self, part: Part, lot: str, undercuts: list[float]) -> list[Reading]:
        """One more piece pressed on a block cut to `undercuts`, place by place, and measured."""
        r, number = self.rng, self.pressed
        rows, whole = [], r.normal()
        for i, (place, u) in enumerate(zip(part.places, undercuts, strict=True)):
            back = self.forecast_share(part, place) * (place.angle + u)
            true = self.true_mean(part, place, u, lot)
            true += whole * (LEAST_PIECE + PIECE_SHARE * back) + r.normal() * (LEAST_PLACE + PLACE_SHARE * back)
            skew = r.exponential(SKEW_MEAN) if r.random() < SKEW_CHANCE else 0.0
            read = READ_TO * round((true + r.normal(0.0, HONEST_SD) - skew) / READ_TO)
            honest = 2.0 * float(np.hypot(HONEST_SD, READ_TO / 12**0.5))
            rows.append(
                Reading(
                    part.name, part.metal, lot, number, i, u, place.angle + u - back, back, float(np.hypot(0.8, 0.10 * back)),
                    float(0.04 * back + 0.2), part.pressure, place.thickness, place.radius, place.curvature, float(read),
                    float(true), honest,
                )
            )  # fmt: skip
        self.pressed += 1
        return rows


def shop(seed: int) -> Shop:
    """The shop of a seed."""
    return Shop(seed)
