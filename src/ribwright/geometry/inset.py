"""Loops of true lines and arcs moved inward by one distance, lines staying lines and arcs staying arcs about their centres.

Every loop has its metal on the left of travel (outer loop counter-clockwise, openings clockwise). Each line and arc is
moved to the left by e, a sharp inside corner becomes an arc of radius e about it; what then lies nearer than e to any
edge is cut away, and what is left is joined where it crosses. The result bounds the centres of all circles of radius e
that fit into the metal: the set that Minkowski erosion by a disc leaves.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from math import atan, atan2, cos, hypot, pi, sin, tan

import numpy as np
from numpy.typing import NDArray

from ribwright.geometry.path import Pair, Path, Vertex, centre_of

Array = NDArray[np.float64]
SAMPLES = 65  # places looked at along a moved piece for where it is cut
NEAR = 1e-6  # [mm]
HALVINGS = 40


@dataclass(frozen=True)
class Piece:
    """A line (`radius` 0) from `start` to `end`, or an arc about `centre` from angle `a0` by `sweep` [rad]."""

    start: Pair
    end: Pair
    centre: Pair = (0.0, 0.0)
    radius: float = 0.0
    a0: float = 0.0
    sweep: float = 0.0

    def at(self, u: Array) -> Array:
        """Points at shares u (n,) of the piece, (n, 2)."""
        if self.radius == 0.0:
            a, b = np.array(self.start), np.array(self.end)
            return np.asarray(a + u[:, None] * (b - a))
        t = self.a0 + u * self.sweep
        return np.array(self.centre) + self.radius * np.column_stack([np.cos(t), np.sin(t)])

    def between(self, u0: float, u1: float) -> Piece:
        """The part of the piece between two shares."""
        p, q = ((float(x), float(y)) for x, y in self.at(np.array([u0, u1])))
        return replace(self, start=p, end=q, a0=self.a0 + u0 * self.sweep, sweep=(u1 - u0) * self.sweep)

    @property
    def length(self) -> float:
        """[mm]"""
        if self.radius:
            return self.radius * abs(self.sweep)
        return hypot(self.end[0] - self.start[0], self.end[1] - self.start[1])

    def distances(self, points: Array) -> Array:
        """Distance of each point (n, 2) from the piece [mm]."""
        a, b = np.array(self.start), np.array(self.end)
        ends = np.minimum(np.hypot(*(points - a).T), np.hypot(*(points - b).T))
        if self.radius == 0.0:
            u = (b - a) / self.length
            along, off = (points - a) @ u, np.abs((points - a) @ np.array([-u[1], u[0]]))
            return np.asarray(np.where((along >= 0) & (along <= self.length), off, ends))
        d = points - np.array(self.centre)
        turned = np.sign(self.sweep) * (np.arctan2(d[:, 1], d[:, 0]) - self.a0) % (2 * pi)
        return np.asarray(np.where(turned <= abs(self.sweep), np.abs(np.hypot(*d.T) - self.radius), ends))


def pieces_of(path: Path) -> list[Piece]:
    """The lines and arcs of a path, those of no length left out."""
    return [p for a, b in path.segments() if (p := _piece(a, b)).length > NEAR]


def inset(loops: Sequence[Path], e: float) -> tuple[Path, ...] | None:
    """The closed loops moved into the metal by e >= 0 [mm]; None where a loop is used up or falls apart."""
    edges = [pieces_of(loop) for loop in loops]
    every = [p for loop in edges for p in loop]
    moved = [_moved_loop(loop, every, e) for loop in edges]
    return None if any(m is None for m in moved) else tuple(m for m in moved if m is not None)


def turn_at(a: Piece, b: Piece) -> float:
    """Angle by which travel turns left from the end of a to the start of b, in (-pi, pi] [rad]."""
    t0, t1 = _heading(a, 1.0), _heading(b, 0.0)
    return (t1 - t0 + pi) % (2 * pi) - pi


def _piece(a: Vertex, b: Vertex) -> Piece:
    p, q = (a[0], a[1]), (b[0], b[1])
    # an arc that rises by less than counts is a line: its radius would be past what the numbers hold
    if abs(a[2]) * hypot(q[0] - p[0], q[1] - p[1]) / 2 < NEAR:
        return Piece(p, q)
    centre, radius = centre_of(a, b)
    return Piece(p, q, centre, radius, atan2(p[1] - centre[1], p[0] - centre[0]), 4 * atan(a[2]))


def _heading(p: Piece, u: float) -> float:
    if p.radius == 0.0:
        return atan2(p.end[1] - p.start[1], p.end[0] - p.start[0])
    return p.a0 + u * p.sweep + (pi / 2 if p.sweep > 0 else -pi / 2)


def _moved(p: Piece, e: float) -> Piece | None:
    """The piece moved to its left; None where an arc closes on its centre."""
    if p.radius == 0.0:
        a = _heading(p, 0.0) + pi / 2
        dx, dy = e * cos(a), e * sin(a)
        return Piece((p.start[0] + dx, p.start[1] + dy), (p.end[0] + dx, p.end[1] + dy))
    r = p.radius - e if p.sweep > 0 else p.radius + e
    if r <= NEAR:
        return None
    return replace(p, radius=r).between(0.0, 1.0)


def _corner(a: Piece, b: Piece, e: float) -> Piece | None:
    """The arc about a corner that turns right, travelled clockwise."""
    turn = turn_at(a, b)
    if turn >= -1e-9 or e == 0.0:
        return None
    return Piece(b.start, b.start, b.start, e, _heading(a, 1.0) + pi / 2, turn).between(0.0, 1.0)


def _moved_loop(loop: list[Piece], every: list[Piece], e: float) -> Path | None:
    raw: list[Piece] = []
    for i, p in enumerate(loop):
        raw += [q for q in (_corner(loop[i - 1], p, e), _moved(p, e)) if q is not None and q.length > NEAR]
    kept = [part for p in raw for part in _clear(p, every, e)]
    return _joined(kept) if kept else None


def _clear(p: Piece, every: list[Piece], e: float) -> list[Piece]:
    """The parts of a moved piece that lie e from every edge."""

    def good(u: Array) -> NDArray[np.bool_]:
        x = p.at(u)
        return np.asarray(np.min([q.distances(x) for q in near], axis=0) >= e - NEAR)

    near = _near(p, every, e)
    u = np.linspace(0.0, 1.0, SAMPLES)
    fine = good(u)
    if fine.all():
        return [p]
    out, start = [], 0.0 if fine[0] else None
    for k in np.flatnonzero(fine[1:] != fine[:-1]):
        cut = _cut(good, float(u[k]), float(u[k + 1]), bool(fine[k]))
        if start is None:
            start = cut
        else:
            out.append(p.between(start, cut))
            start = None
    if start is not None:
        out.append(p.between(start, 1.0))
    return [q for q in out if q.length > NEAR]


def _near(p: Piece, every: list[Piece], e: float) -> list[Piece]:
    """The edges whose boxes come within e of the moved piece's."""
    x = p.at(np.linspace(0.0, 1.0, 9))
    sag = p.radius * (1 - cos(min(abs(p.sweep) / 16, pi))) + NEAR
    low, high = x.min(axis=0) - e - sag, x.max(axis=0) + e + sag
    out = []
    for q in every:
        y = q.at(np.linspace(0.0, 1.0, 9))
        more = q.radius * (1 - cos(min(abs(q.sweep) / 16, pi)))
        if np.all(y.max(axis=0) + more >= low) and np.all(y.min(axis=0) - more <= high):
            out.append(q)
    return out


def _cut(good: Callable[[Array], NDArray[np.bool_]], low: float, high: float, low_is_good: bool) -> float:
    """Where between two shares the piece comes too near an edge."""
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        if bool(good(np.array([middle]))[0]) == low_is_good:
            low = middle
        else:
            high = middle
    return low if low_is_good else high


def _joined(kept: list[Piece]) -> Path | None:
    """One closed path through the pieces, each start on the end before it; None where a gap is left."""
    n = len(kept)
    vertices: list[Vertex] = []
    for i in range(n):
        before, p = kept[i - 1], kept[i]
        if hypot(p.start[0] - before.end[0], p.start[1] - before.end[1]) > 0.02:
            return None
        x, y = (before.end[0] + p.start[0]) / 2, (before.end[1] + p.start[1]) / 2
        vertices.append((x, y, tan(p.sweep / 4) if p.radius else 0.0))
    return Path(tuple(vertices), True)
