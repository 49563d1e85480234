"""Random parts with notches: on flanged edges and on plain ones, at places that are clear of corners."""

from __future__ import annotations

import random
from math import cos, pi, sin

from building import HEAD, RandomPart

WIDTH = 12.7


class NotchedPart(RandomPart):
    """A random part whose longer edges carry one or two notches, deep enough for their corners."""

    def __init__(self, seed: int):
        super().__init__(seed)
        r = random.Random(1000 + seed)
        self.notches = []
        for i in range(len(self.points)):
            (x0, y0), (x1, y1) = self.points[i], self.points[(i + 1) % len(self.points)]
            room = ((x1 - x0) ** 2 + (y1 - y0) ** 2) ** 0.5
            if room < 90.0 or r.random() < 0.3:
                continue
            for share in r.choice([(0.5,), (0.38, 0.62)]):
                width = r.uniform(4.0, 9.0)
                radius = r.choice([0.0, width / 2, r.uniform(0.5, 1.9)])
                bend = 2.0 * (self.radius + self.t)
                self.notches.append(
                    (i, share, width, bend + radius + r.uniform(0.5, 3.0), radius, r.choice([0.0, 1.5]))
                )

    def text(self, scale: float = 1.0, units: str = "mm", turn: float = 0.0, mirror: bool = False) -> str:
        """The part file with its notches."""
        out = super().text(scale, units, turn, mirror)
        for i, share, width, depth, radius, gap in self.notches:
            out += (
                f'[[notch]]\nedge = "e{i}"\nat = "{100 * share:g} %"\nwidth = {width / scale}\ndepth = {depth / scale}\n'
                f"corner_radius = {radius / scale}\nflange_gap = {gap / scale}\n"
            )
        return out

    def plain(self) -> str:
        """The same part without them."""
        return super().text()


def petal_between(radius: float, petal: float, sign: int = 1) -> str:
    """A curved flange of three pieces between cuts 2 mm wide, the middle one `petal` long; convex for sign 1, else concave."""
    whole = min(petal + 40.0, 0.8 * pi * radius)
    turn, deep = whole / radius / 2, (radius - 12.0 if sign > 0 else radius + 14.0)
    c, s = cos(turn), sin(turn)
    a, b = ((radius * c, -sign * radius * s), (radius * c, sign * radius * s))
    text = HEAD.format(units="mm", material="2024-O clad", t=0.635, line="bend-tangent-line", start=list(a))
    text += f'[[web.edge]]\nname = "bow"\nthrough = [{radius}, 0]\nto = {list(b)}\nflange = "f"\n'
    far, x = radius * s + 30.0, (-60.0 if sign > 0 else radius + 80.0)
    for i, to in enumerate(((deep * c, sign * deep * s), (deep * c, sign * far), (x, sign * far), (x, -sign * far),
                            (deep * c, -sign * far), (deep * c, -sign * deep * s), a)):  # fmt: skip
        text += f'[[web.edge]]\nname = "p{i}"\nto = {list(to)}\n'
    text += f"[flange.f]\nwidth = {WIDTH}\nbend_angle = 90\nbend_radius = 1.5\n"
    for at in (whole / 2 - petal / 2 - 1.0, whole / 2 + petal / 2 + 1.0):
        text += f'[[notch]]\nedge = "bow"\nat = {at}\nwidth = 2\ndepth = 5\ncorner_radius = 1\n'
    return text
