"""Builders the tests share: a job from the text of a part file, random valid parts as text."""

from __future__ import annotations

import random
from math import cos, pi, sin
from pathlib import Path

from ribwright.adapters.facts_toml import load_catalogue
from ribwright.adapters.part_toml import parse_part
from ribwright.adapters.shop_toml import read_shop
from ribwright.shop.shop import Shop
from ribwright.shop.springback_book import Book
from ribwright.stages.job import Job, take_in

EXAMPLES = Path(__file__).parent.parent / "examples" / "dabchick"
HEAD = """
units = "{units}"
[part]
number = "T-1"
revision = "A"
title = "test"
hand = "none"
[sheet]
material = "{material}"
thickness = {t}
[web]
line = "{line}"
start = {start}
"""


def quick(words: tuple[str, ...]) -> list[str]:
    """The words of a command with the closed form asked for where a press is named: papers are tested by it, in no time."""
    return [*words, "--model", "closed-form"] if "--press" in words and "--model" not in words else list(words)


def job_of(text: str, shop: Shop | None = None, learned: Book | None = None) -> Job:
    """The job of a part text with no shop file, or the given one; `learned`: its springback book."""
    return take_in(parse_part(text, "t.part.toml", None), shop or Shop(), load_catalogue(), "t.part.toml", learned)


def example_shop() -> Shop:
    """The demonstration shop."""
    return read_shop(EXAMPLES / "shop.toml")


def box(
    units: str = "mm", w: float = 200.0, h: float = 100.0, width: float = 15.0, angle: object = 90, radius: float = 3.0,
    t: float = 1.0, flanges: tuple[bool, bool, bool, bool] = (True, True, True, True), extra: str = "",
    line: str = "outside-mold-line", material: str = "2024-O", start: tuple[float, float] = (0.0, 0.0),
) -> str:  # fmt: skip
    """A rectangle as a part file: edges south, east, north, west."""
    x, y = start
    corners = [(x + w, y), (x + w, y + h), (x, y + h), (x, y)]
    text = HEAD.format(units=units, material=material, t=t, line=line, start=[x, y])
    for name, to, on in zip(("south", "east", "north", "west"), corners, flanges, strict=True):
        text += f'[[web.edge]]\nname = "{name}"\nto = {list(to)}\n' + ('flange = "f"\n' if on else "")
    return text + f"[flange.f]\nwidth = {width}\nbend_angle = {angle}\nbend_radius = {radius}\n" + extra


class RandomPart:
    """A random valid part: a polygon with 4 to 7 corners, some edges bulged, flanges, holes. Written in any unit and pose."""

    def __init__(self, seed: int):
        r = random.Random(seed)
        n = r.randint(4, 7)
        turn = r.uniform(0, 2 * pi)
        self.points = [
            (
                r.uniform(110, 150) * cos(turn + 2 * pi * (i + r.uniform(-0.15, 0.15)) / n),
                r.uniform(110, 150) * sin(turn + 2 * pi * (i + r.uniform(-0.15, 0.15)) / n),
            )
            for i in range(n)
        ]
        self.bulge = [r.choice([0.0, 0.0, r.uniform(2, 6)]) for _ in range(n)]
        self.flanged = [r.random() < 0.75 for _ in range(n)]
        self.width, self.angle = r.uniform(10, 18), r.choice([90.0, 90.0, r.uniform(75, 95)])
        self.t = r.choice([0.5, 0.8, 1.0])
        self.radius = self.t * r.uniform(2.5, 4)
        self.holes = [(r.uniform(-30, 30), r.uniform(-30, 30), r.uniform(4, 7))]
        self.lightening = r.random() < 0.5
        self.material = r.choice(["2024-O", "6061-O", "2024-T3"])

    def text(self, scale: float = 1.0, units: str = "mm", turn: float = 0.0, mirror: bool = False) -> str:
        """The part file, lengths divided by `scale` (25.4 for inches), turned by `turn` [rad], mirrored x -> -x."""

        def place(p: tuple[float, float]) -> list[float]:
            x = p[0] * cos(turn) - p[1] * sin(turn)
            y = p[0] * sin(turn) + p[1] * cos(turn)
            return [(-x if mirror else x) / scale, y / scale]

        n = len(self.points)
        text = HEAD.format(
            units=units, material=self.material, t=self.t / scale, line="outside-mold-line", start=place(self.points[0])
        )
        for i in range(n):
            a, b = self.points[i], self.points[(i + 1) % n]
            text += f'[[web.edge]]\nname = "e{i}"\nto = {place(b)}\n'
            if self.bulge[i]:
                length = ((b[0] - a[0]) ** 2 + (b[1] - a[1]) ** 2) ** 0.5
                out = ((b[1] - a[1]) / length, -(b[0] - a[0]) / length)
                middle = ((a[0] + b[0]) / 2 + self.bulge[i] * out[0], (a[1] + b[1]) / 2 + self.bulge[i] * out[1])
                text += f"through = {place(middle)}\n"
            text += 'flange = "f"\n' if self.flanged[i] else ""
        text += f"[flange.f]\nwidth = {self.width / scale}\nbend_angle = {self.angle}\nbend_radius = {self.radius / scale}\n"
        for i, (x, y, d) in enumerate(self.holes):
            text += f'[[hole]]\nname = "H{i}"\nkind = "plain"\nat = {place((x, y))}\ndiameter = {d / scale}\n'
        if self.lightening:
            text += (
                f'[[hole]]\nname = "L"\nkind = "lightening"\nat = {place((60.0, 0.0))}\ndiameter = {30 / scale}\n'
                f"flat_height = {7 / scale}\nbend_angle = 40\nbend_radius = {self.radius / scale}\n"
            )
        return text
