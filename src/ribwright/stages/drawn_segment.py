"""A piece of a ring in its direction of travel: where it goes, how it turns, chords along it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from math import atan, atan2, degrees, hypot, pi

import numpy as np
from numpy.typing import NDArray

from ribwright.features.drawn_lines import ARC, LINE, Point

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Segment:
    """A piece in a ring: kind `line` (start, end), `arc` (start, half way, end) or `curve` (dense points) [mm]."""

    kind: str
    points: tuple[Point, ...]
    layer: str

    @property
    def start(self) -> Point:
        return self.points[0]

    @property
    def end(self) -> Point:
        return self.points[-1]

    @cached_property
    def chord(self) -> float:
        """Distance of its ends [mm]."""
        (x0, y0), (x1, y1) = self.start, self.end
        return hypot(x1 - x0, y1 - y0)

    @cached_property
    def bulge(self) -> float:
        """tan(sweep / 4), positive for a left turn; 0 for all that is no arc."""
        if self.kind != ARC or not self.chord:
            return 0.0
        (x0, y0), (xm, ym), (x1, y1) = self.points
        return float(((x1 - x0) * (y0 - ym) - (x0 - xm) * (y1 - y0)) / self.chord / (self.chord / 2))

    @cached_property
    def ways(self) -> tuple[float, float]:
        """Angles of travel at start and end [rad]: an arc with its chord at angle c that turns by w starts at c - w/2 and ends at
        c + w/2."""
        (x0, y0), (x1, y1) = self.start, self.end
        c = atan2(y1 - y0, x1 - x0)
        if self.kind == LINE:
            return c, c
        if self.kind == ARC:
            half = 2 * atan(self.bulge)
            return c - half, c + half
        p = np.array(self.points)
        return _slope(p[:4]), _slope(p[::-1][:4]) + pi

    def ball(self) -> tuple[Point, float]:
        """(centre, radius) of an arc: the centre lies (1 - b^2) / (4 b) chords left of the chord's middle, b the bulge."""
        (x0, y0), (x1, y1) = self.start, self.end
        h = (1 - self.bulge**2) / (4 * self.bulge)
        cx, cy = (x0 + x1) / 2 - h * (y1 - y0), (y0 + y1) / 2 + h * (x1 - x0)
        return (cx, cy), hypot(x0 - cx, y0 - cy)

    def length(self) -> float:
        """Arc length [mm]; of a curve that of its chords."""
        if self.kind == LINE:
            return self.chord
        if self.kind == ARC:
            b = abs(self.bulge)
            return self.chord * (1 + b * b) / b * atan(b) if b else 0.0
        return float(np.sum(np.hypot(*np.diff(np.array(self.points), axis=0).T)))

    def reversed(self) -> Segment:
        """The same piece the other way."""
        return Segment(self.kind, self.points[::-1], self.layer)


def turn(a: float, b: float) -> float:
    """From direction a to b, -pi to pi [rad]."""
    return (b - a + pi) % (2 * pi) - pi


def chords_of(ring: list[Segment], most_deg: float = 3.0) -> Array:
    """Points (n, 2) [mm] round a ring: arcs in chords that turn by at most `most_deg`, the first point not repeated."""
    out: list[Point] = []
    for s in ring:
        out += _arc_points(s, most_deg) if s.kind == ARC else s.points[:-1]
    return np.array(out, float)


def _slope(p: Array) -> float:
    """Direction at the first of some points [rad]: of Lagrange's polynomial through them over their chord length."""
    u = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(p, axis=0).T))])
    n = len(p)
    weights = np.zeros(n)
    for j in range(1, n):
        weights[j] = np.prod([-u[k] / (u[j] - u[k]) for k in range(1, n) if k != j]) / u[j]
    weights[0] = -weights.sum()
    dx, dy = weights @ p
    return atan2(float(dy), float(dx))


def _arc_points(s: Segment, most_deg: float) -> list[Point]:
    (cx, cy), r = s.ball()
    sweep = 4 * atan(s.bulge)
    n = max(1, int(np.ceil(abs(degrees(sweep)) / most_deg)))
    t = atan2(s.start[1] - cy, s.start[0] - cx) + sweep * np.arange(n) / n
    return [s.start, *zip((cx + r * np.cos(t[1:])).tolist(), (cy + r * np.sin(t[1:])).tolist(), strict=True)]
