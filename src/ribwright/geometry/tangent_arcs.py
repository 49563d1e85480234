"""A smooth curve as lines and arcs that meet without a corner, within a stated distance of it.

Between two points of the curve lies a biarc: two arcs, tangent to the curve at its ends and to each other in between. With the
chord v = q - p, the end tangents a and b and both arcs' tangent lengths equal, that length d solves

    v.v - 2 d v.(a + b) - 2 d^2 (1 - a.b) = 0,   joint = (p + d a + q - d b) / 2             (Bolton 1975, Biarc curves)

Greedy: from each point the longest biarc that holds. Its feasible lengths are sought by doubling, then halving the step, as
geometry/fit.py does for lines and arcs that need not be tangent. Where both arcs are one, or both lines, one piece is written.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from math import atan2, pi

import numpy as np
from numpy.typing import NDArray

from ribwright.geometry.curve import Curve, samples
from ribwright.geometry.path import Vertex, bulge_of, centre_of

Array = NDArray[np.float64]
STRAIGHT_BULGE = 1e-9
FINEST = 20  # the curve is sampled to this part of the distance allowed


@dataclass(frozen=True)
class TangentArcs:
    """`vertices` (x, y, bulge) from end to end; `deviation` [mm] of the sampled curve from them at the worst; `corner` [deg] the largest
    change of direction at a joint, of rounding only."""

    vertices: tuple[Vertex, ...]
    deviation: float
    corner: float

    @property
    def lines(self) -> int:
        """How many pieces are straight."""
        return sum(v[2] == 0.0 for v in self.vertices[:-1])

    @property
    def arcs(self) -> int:
        """How many pieces are arcs."""
        return len(self.vertices) - 1 - self.lines


def tangent_arcs(curve: Curve, within: float, first: float = 0.0, last: float | None = None) -> TangentArcs:
    """The curve from arc length `first` to `last` as tangent lines and arcs within `within` [mm]."""
    last = curve.length if last is None else last
    s = samples(curve, within / FINEST, least=5)
    s = np.concatenate([[first], s[(s > first + 1e-9) & (s < last - 1e-9)], [last]])
    p, t = curve.point(s), curve.tangent(s)
    pieces: list[tuple[Vertex, Vertex]] = []
    worst, i = 0.0, 0
    while i < len(s) - 1:
        j, found, off = _longest(p, t, i, within)
        pieces += found
        worst, i = max(worst, off), j
    vertices = (*(a for a, _ in pieces), pieces[-1][1])
    return TangentArcs(vertices, worst, _corner(pieces))


def _longest(p: Array, t: Array, i: int, within: float) -> tuple[int, list[tuple[Vertex, Vertex]], float]:
    """(end index, pieces, their deviation) of the longest biarc from i that holds; one step is taken as it is."""
    last = len(p) - 1
    best, kept, step = i + 1, _biarc(p, t, i, i + 1), 2
    off = _off(p[i : i + 2], kept)
    while best < last:
        j = min(i + step, last)
        tried = _biarc(p, t, i, j)
        far = _off(p[i : j + 1], tried)
        if far > within:
            break
        best, kept, off, step = j, tried, far, step * 2
    low, high = best, min(i + step, last)
    while high - low > 1:
        middle = (low + high) // 2
        tried = _biarc(p, t, i, middle)
        far = _off(p[i : middle + 1], tried)
        if far > within:
            high = middle
        else:
            low, kept, off = middle, tried, far
    return low, kept, off


def _biarc(p: Array, t: Array, i: int, j: int) -> list[tuple[Vertex, Vertex]]:
    v, a, b = p[j] - p[i], t[i], t[j]
    square, along, turn = float(v @ v), float(v @ (a + b)), float(1.0 - a @ b)
    if turn < 1e-14:
        d = square / (2 * along) if along > 0 else np.inf
    else:
        d = (-along + np.sqrt(along**2 + 2 * turn * square)) / (2 * turn)
    if not np.isfinite(d):
        return [_arc(p[i], p[j], a)]
    joint = (p[i] + d * a + p[j] - d * b) / 2
    first, second = _arc(p[i], joint, a), _arc(joint, p[j], _turned(a, joint - p[i]))
    return _as_one(first, second)


def _turned(tangent: Array, chord: Array) -> Array:
    """Direction at the far end of the arc that leaves along `tangent`: mirrored in its chord."""
    u = chord / np.hypot(*chord)
    return np.asarray(2 * (tangent @ u) * u - tangent)


def _arc(a: Array, b: Array, tangent: Array) -> tuple[Vertex, Vertex]:
    """The arc from a to b that leaves along `tangent`: it turns by twice the angle from the tangent to the chord."""
    c = b - a
    half = atan2(tangent[0] * c[1] - tangent[1] * c[0], float(tangent @ c))
    bulge = bulge_of(2 * half) if abs(half) < pi / 2 else float("nan")
    if abs(bulge) < STRAIGHT_BULGE:
        bulge = 0.0
    return (float(a[0]), float(a[1]), bulge), (float(b[0]), float(b[1]), 0.0)


def _as_one(first: tuple[Vertex, Vertex], second: tuple[Vertex, Vertex]) -> list[tuple[Vertex, Vertex]]:
    """Two pieces, or one where both are the same line or circle."""
    (a, m), (_, b) = first, second
    two = [first, second]
    if a[2] == second[0][2] == 0.0:
        return [(a, b)]
    if a[2] * second[0][2] <= 0.0:
        return two
    (c1, r1), (c2, r2) = centre_of(a, m), centre_of(second[0], b)
    if np.hypot(c1[0] - c2[0], c1[1] - c2[1]) > 1e-6 * r1 or abs(r1 - r2) > 1e-6 * r1:
        return two
    half = np.arctan(a[2]) + np.arctan(second[0][2])
    return [((a[0], a[1], float(np.tan(half))), b)] if abs(half) < pi / 4 else two


def _off(p: Array, pieces: list[tuple[Vertex, Vertex]]) -> float:
    """Farthest of the points, and of the middles between them, from the nearest of one or two pieces."""
    p = np.concatenate([p, (p[1:] + p[:-1]) / 2])
    away = np.full(len(p), np.inf)
    for a, b in pieces:
        if not np.isfinite(a[2]):
            return float("inf")
        away = np.minimum(away, _from_piece(p, a, b))
    return float(away.max())


def _from_piece(p: Array, a: Vertex, b: Vertex) -> Array:
    """Distance of points from one line or arc, its ends included."""
    start, end = np.array(a[:2]), np.array(b[:2])
    chord = end - start
    length = float(np.hypot(*chord))
    ends = np.minimum(np.hypot(*(p - start).T), np.hypot(*(p - end).T))
    if length < 1e-12:
        return ends
    u = chord / length
    if a[2] == 0.0:
        along = (p - start) @ u
        off = np.abs((p - start) @ np.array([-u[1], u[0]]))
        return np.where((along >= 0) & (along <= length), off, ends)
    centre, radius = centre_of(a, b)
    from_centre = p - np.array(centre)
    # on the arc's side of both radii: the arc is under half a circle, about its middle
    middle = (start + end) / 2 - np.array(centre)
    size = np.hypot(*middle)
    cos_half = size / radius
    to = np.hypot(*from_centre.T)
    beside = from_centre @ (middle / size) >= cos_half * to - 1e-12 if size > 0 else np.ones(len(p), bool)
    return np.where(beside, np.abs(to - radius), ends)


def _corner(pieces: list[tuple[Vertex, Vertex]]) -> float:
    """Largest change of direction [deg] where one piece follows another."""
    worst = 0.0
    for (a, b), (c, d) in itertools.pairwise(pieces):
        leaves = atan2(b[1] - a[1], b[0] - a[0]) + 2 * np.arctan(a[2])
        enters = atan2(d[1] - c[1], d[0] - c[0]) - 2 * np.arctan(c[2])
        worst = max(worst, abs((enters - leaves + pi) % (2 * pi) - pi))
    return float(np.degrees(worst))
