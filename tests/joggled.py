"""Random parts with joggles, written in any unit, pose and hand, and typed either way round."""

from __future__ import annotations

import random
from math import hypot

from building import RandomPart

Spot = tuple[int, float | str, float | str, float, float]  # edge, from, to [mm or start/end], depth, length


class JoggledPart(RandomPart):
    """A random part; on some of its flanged edges a joggle, in the middle or out to one end."""

    def __init__(self, seed: int):
        super().__init__(seed)
        r = random.Random(1000 + seed)
        self.angle = 90.0 if self.angle > 90.0 else self.angle
        self.lightening, self.holes = False, []
        flanged = [i for i, on in enumerate(self.flanged) if on] or [0]
        self.flanged[flanged[0]] = True
        self.joggles: list[Spot] = []
        for i in flanged[:2]:
            depth = r.uniform(0.5, 1.0)
            length = depth * r.uniform(6.0, 9.0)
            low = r.uniform(0.35, 0.45) * self.chord(i)
            high = low + r.uniform(2.2, 3.0) * length
            span: tuple[float | str, float | str] = r.choice([(low, high), ("start", high), (low, "end")])
            self.joggles.append((i, *span, depth, length))

    def chord(self, i: int) -> float:
        """Least length of an edge [mm]."""
        a, b = self.points[i], self.points[(i + 1) % len(self.points)]
        return hypot(b[0] - a[0], b[1] - a[1])

    def text(self, scale: float = 1.0, units: str = "mm", turn: float = 0.0, mirror: bool = False) -> str:
        out = super().text(scale, units, turn, mirror)
        for i, low, high, depth, length in self.joggles:
            places = [f'"{x}"' if isinstance(x, str) else x / scale for x in (low, high)]
            out += (
                f'[[joggle]]\nedge = "e{i}"\nfrom = {places[0]}\nto = {places[1]}\n'
                f"depth = {depth / scale}\nlength = {length / scale}\n"
            )
        return out

    def plain(self) -> str:
        """The part without its joggles."""
        return RandomPart.text(self)


def joggled_box(
    edge: str = "south", low: object = 80.0, high: object = 140.0, depth: float = 0.8, length: float = 5.0
) -> str:
    """A [[joggle]] table to put behind a box."""
    places = [f'"{x}"' if isinstance(x, str) else str(x) for x in (low, high)]
    return f'[[joggle]]\nedge = "{edge}"\nfrom = {places[0]}\nto = {places[1]}\ndepth = {depth}\nlength = {length}\n'
