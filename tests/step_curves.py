"""Lines, arcs and graphs in the plane of a web, over arc length; nothing of ours is imported here."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import cos, hypot, sin
from typing import Any

import numpy as np

Pair = tuple[float, float]


@dataclass
class Line:
    a: Pair
    b: Pair

    @property
    def length(self) -> float:
        return hypot(self.b[0] - self.a[0], self.b[1] - self.a[1])

    def at(self, s: float) -> tuple[np.ndarray, np.ndarray]:
        """(point, unit direction) at arc length s."""
        u = (np.array(self.b) - self.a) / self.length
        return np.array(self.a) + s * u, u

    def points(self) -> list[Pair]:
        return [self.a, self.b]


@dataclass
class Arc:
    centre: Pair
    radius: float
    start: float  # [rad]
    sweep: float  # [rad], positive counter-clockwise

    @property
    def length(self) -> float:
        return abs(self.sweep) * self.radius

    def at(self, s: float) -> tuple[np.ndarray, np.ndarray]:
        w = np.sign(self.sweep)
        f = self.start + w * s / self.radius
        return np.array(self.centre) + self.radius * np.array([cos(f), sin(f)]), w * np.array([-sin(f), cos(f)])

    def points(self) -> list[Pair]:
        return [tuple(self.at(k * self.length)[0]) for k in (0, 0.5, 1)]


class Graph:
    """y = f(x) from x0 to x1, over arc length by fine sums."""

    def __init__(self, f: Callable[[Any], Any], df: Callable[[Any], Any], x0: float, x1: float):
        self.f, self.df = f, df
        self.x = np.linspace(x0, x1, 40001)
        speed = np.hypot(1.0, df(self.x))
        # Simpson's rule over pairs would do; the trapezium's error is 1e-9 here
        self.s = np.concatenate([[0.0], np.cumsum(np.abs(np.diff(self.x)) * (speed[1:] + speed[:-1]) / 2)])
        self.way = np.sign(x1 - x0)

    @property
    def length(self) -> float:
        return float(self.s[-1])

    def at(self, s: float) -> tuple[np.ndarray, np.ndarray]:
        x = float(np.interp(s, self.s, self.x))
        if s < 0 or s > self.length:  # straight on along the graph itself
            x = self.x[0] + self.way * s if s < 0 else self.x[-1] + self.way * (s - self.length)
        u = np.array([1.0, float(self.df(x))]) * self.way
        return np.array([x, float(self.f(x))]), u / np.hypot(*u)

    def points(self) -> list[Pair]:
        return [tuple(self.at(s)[0]) for s in np.linspace(0, self.length, 25)]
