"""A path of true lines and arcs: vertices (x, y, bulge), as drawing files carry them.

bulge = tan(included angle / 4), positive = counter-clockwise, and belongs to the segment that starts
at the vertex. Plain tuples, so that documents can read a path without arrays.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass
from math import atan, atan2, ceil, cos, hypot, sin, sqrt, tan

Vertex = tuple[float, float, float]
Pair = tuple[float, float]


@dataclass(frozen=True)
class Path:
    """`vertices` in order; a closed path's last segment runs back to the first vertex."""

    vertices: tuple[Vertex, ...]
    closed: bool = True

    def segments(self) -> list[tuple[Vertex, Vertex]]:
        """(from, to) vertex pairs, the closing one included."""
        v = self.vertices
        pairs = list(itertools.pairwise(v))
        return [*pairs, (v[-1], v[0])] if self.closed and len(v) > 1 else pairs

    def counts(self) -> dict[str, int]:
        """How many true lines and arcs the path has."""
        arcs = sum(1 for a, _ in self.segments() if abs(a[2]) > 1e-12)
        return {"lines": len(self.segments()) - arcs, "arcs": arcs}

    def length(self) -> float:
        """Length along the path [mm]."""
        return sum(_segment_length(a, b) for a, b in self.segments())

    def area(self) -> float:
        """Signed area [mm2], positive when the closed path runs counter-clockwise; exact for its arcs."""
        total = 0.0
        for (x0, y0, bulge), (x1, y1, _) in self.segments():
            total += (x0 * y1 - x1 * y0) / 2
            if abs(bulge) > 1e-12:
                angle = 4 * atan(bulge)
                radius = hypot(x1 - x0, y1 - y0) / (2 * sin(abs(angle) / 2))
                total += radius * radius / 2 * (angle - sin(angle))
        return total

    def chords(self, chord_error: float = 0.01) -> list[Pair]:
        """Points whose chords stay within `chord_error` [mm] of the path; closing point not repeated."""
        out: list[Pair] = []
        for a, b in self.segments():
            out.append((a[0], a[1]))
            if abs(a[2]) > 1e-12:
                out.extend(_arc_points(a, b, chord_error))
        if not self.closed:
            out.append((self.vertices[-1][0], self.vertices[-1][1]))
        return out

    def mirrored(self) -> Path:
        """The mirror x -> -x. The direction of travel is kept by reading the vertices backwards."""
        if not self.closed:
            v = [(-x, y, -bulge) for x, y, bulge in self.vertices]
            return Path(tuple(v), False)
        v2 = [(-b[0], b[1], a[2]) for a, b in reversed(self.segments())]
        return Path(tuple(v2), True)


def polyline(points: Sequence[Pair], closed: bool = True) -> Path:
    """A path of straight chords through the points."""
    return Path(tuple((float(x), float(y), 0.0) for x, y in points), closed)


def bulge_of(sweep: float) -> float:
    """Bulge of an arc that turns by `sweep` [rad]."""
    return tan(sweep / 4)


def centre_of(a: Vertex, b: Vertex) -> tuple[Pair, float]:
    """(centre, radius) of the arc segment from a to b."""
    angle = 4 * atan(a[2])
    chord = hypot(b[0] - a[0], b[1] - a[1])
    radius = chord / (2 * sin(abs(angle) / 2))
    # centre lies left of the chord for a counter-clockwise arc below a half circle
    h = radius * cos(angle / 2) * (1 if angle > 0 else -1)
    ux, uy = (b[0] - a[0]) / chord, (b[1] - a[1]) / chord
    return ((a[0] + b[0]) / 2 - uy * h, (a[1] + b[1]) / 2 + ux * h), radius


def _segment_length(a: Vertex, b: Vertex) -> float:
    chord = hypot(b[0] - a[0], b[1] - a[1])
    if abs(a[2]) < 1e-12:
        return chord
    angle = abs(4 * atan(a[2]))
    return chord / (2 * sin(angle / 2)) * angle


def _arc_points(a: Vertex, b: Vertex, chord_error: float) -> list[Pair]:
    (cx, cy), radius = centre_of(a, b)
    angle = 4 * atan(a[2])
    step = 2 * sqrt(2 * min(chord_error, radius) / radius)
    n = max(1, ceil(abs(angle) / step))
    t0 = atan2(a[1] - cy, a[0] - cx)
    return [(cx + radius * cos(t0 + angle * i / n), cy + radius * sin(t0 + angle * i / n)) for i in range(1, n)]
