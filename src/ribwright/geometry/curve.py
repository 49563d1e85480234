"""Drawn edges as curves over arc length: line, arc through a point, cubic spline.

Every curve answers, for arc lengths s (n,) from its start [mm]: `point` (n, 2), unit `tangent` (n, 2)
and signed `curvature` (n,) [1/mm], positive where the curve turns left.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Pair = tuple[float, float]
GAUSS_X, GAUSS_W = np.polynomial.legendre.leggauss(8)


class Curve(Protocol):
    """What every curve answers. `breaks`: arc lengths where the curvature may jump, ends included."""

    @property
    def length(self) -> float: ...
    @property
    def breaks(self) -> Array: ...
    def point(self, s: Array) -> Array: ...
    def tangent(self, s: Array) -> Array: ...
    def curvature(self, s: Array) -> Array: ...


@dataclass(frozen=True)
class Line:
    """Straight from `start` to `end`."""

    start: Pair
    end: Pair

    @property
    def length(self) -> float:
        return float(np.hypot(self.end[0] - self.start[0], self.end[1] - self.start[1]))

    @property
    def breaks(self) -> Array:
        return np.array([0.0, self.length])

    def point(self, s: Array) -> Array:
        a, b = np.array(self.start), np.array(self.end)
        return a + np.asarray(s)[:, None] / self.length * (b - a)

    def tangent(self, s: Array) -> Array:
        a, b = np.array(self.start), np.array(self.end)
        return np.broadcast_to((b - a) / self.length, (len(s), 2)).copy()

    def curvature(self, s: Array) -> Array:
        return np.zeros(len(s))


@dataclass(frozen=True)
class Piece:
    """`whole` from arc length `first` to `last`, measured from there."""

    whole: Curve
    first: float
    last: float

    @property
    def length(self) -> float:
        return self.last - self.first

    @property
    def breaks(self) -> Array:
        inner = self.whole.breaks - self.first
        return np.concatenate([[0.0], inner[(inner > 1e-9) & (inner < self.length - 1e-9)], [self.length]])

    def point(self, s: Array) -> Array:
        return self.whole.point(np.asarray(s) + self.first)

    def tangent(self, s: Array) -> Array:
        return self.whole.tangent(np.asarray(s) + self.first)

    def curvature(self, s: Array) -> Array:
        return self.whole.curvature(np.asarray(s) + self.first)


@dataclass(frozen=True)
class Arc:
    """Circle of `radius` about `centre` from angle `start` by `sweep` [rad], positive sweep = left turn."""

    centre: Pair
    radius: float
    start: float
    sweep: float

    @classmethod
    def through(cls, p0: Pair, p1: Pair, p2: Pair) -> Arc:
        """The arc from p0 by p1 to p2. ValueError when the three lie on a line."""
        (ax, ay), (bx, by), (cx, cy) = p0, p1, p2
        # coordinates relative to p0 keep the determinants exact far from the origin
        bx, by, cx, cy = bx - ax, by - ay, cx - ax, cy - ay
        d = 2 * (bx * cy - by * cx)
        size = max(np.hypot(bx, by), np.hypot(cx, cy))
        if abs(d) < 1e-9 * size * size:
            raise ValueError("the three points of the arc lie on one line")
        b2, c2 = bx * bx + by * by, cx * cx + cy * cy
        ux, uy = (cy * b2 - by * c2) / d, (bx * c2 - cx * b2) / d
        radius = float(np.hypot(ux, uy))
        t0 = float(np.arctan2(-uy, -ux))
        t2 = float(np.arctan2(cy - uy, cx - ux))
        sweep = (t2 - t0) % (2 * np.pi)
        if d < 0:
            sweep -= 2 * np.pi
        return cls((ax + ux, ay + uy), radius, t0, float(sweep))

    @property
    def length(self) -> float:
        return self.radius * abs(self.sweep)

    @property
    def breaks(self) -> Array:
        return np.array([0.0, self.length])

    def _angle(self, s: Array) -> Array:
        return self.start + np.sign(self.sweep) * np.asarray(s) / self.radius

    def point(self, s: Array) -> Array:
        t = self._angle(s)
        return np.array(self.centre) + self.radius * np.column_stack([np.cos(t), np.sin(t)])

    def tangent(self, s: Array) -> Array:
        t = self._angle(s)
        return np.sign(self.sweep) * np.column_stack([-np.sin(t), np.cos(t)])

    def curvature(self, s: Array) -> Array:
        return np.full(len(s), np.sign(self.sweep) / self.radius)


class Cubic:
    """Interpolating cubic spline y(u), natural ends (y'' = 0) unless a first derivative is given there.

    Continuity of slope at the inner knots gives, for the second derivatives m and h = du,
    h0 m0 + 2 (h0 + h1) m1 + h1 m2 = 6 (dy1/h1 - dy0/h0)           (de Boor, A Practical Guide to Splines, ch. IV)

    Our own thirty lines because importing the library's costs a second at every start (docs/decisions/0004);
    the tests hold it against that library.
    """

    def __init__(self, u: Array, y: Array, start: Pair | None, end: Pair | None):
        h, dy = np.diff(u), np.diff(y, axis=0) / np.diff(u)[:, None]
        n = len(u)
        a = np.eye(n)
        rhs = np.zeros((n, 2))
        for i in range(1, n - 1):
            a[i, i - 1 : i + 2] = h[i - 1], 2 * (h[i - 1] + h[i]), h[i]
            rhs[i] = 6 * (dy[i] - dy[i - 1])
        if start is not None:
            a[0, :2] = 2 * h[0], h[0]
            rhs[0] = 6 * (dy[0] - np.asarray(start))
        if end is not None:
            a[-1, -2:] = h[-1], 2 * h[-1]
            rhs[-1] = 6 * (np.asarray(end) - dy[-1])
        self.u, self.y, self.h, self.dy = u, y, h, dy
        self.m = np.linalg.solve(a, rhs)

    def __call__(self, u: Array, order: int = 0) -> Array:
        i = np.clip(np.searchsorted(self.u, u, side="right") - 1, 0, len(self.h) - 1)
        t, h = (u - self.u[i])[..., None], self.h[i][..., None]
        m0, m1, dy = self.m[i], self.m[i + 1], self.dy[i]
        slope = dy - h * (2 * m0 + m1) / 6
        if order == 0:
            return self.y[i] + t * (slope + t * (m0 / 2 + t * (m1 - m0) / (6 * h)))
        if order == 1:
            return slope + t * (m0 + t * (m1 - m0) / (2 * h))
        return m0 + t * (m1 - m0) / h


class Spline:
    """Cubic through `points`, parameter = cumulative chord length; natural ends unless a direction is given.

    Arc length by 8-point Gauss on each half span, inverted by Newton: good to 1e-9 of the length.
    """

    def __init__(self, points: Sequence[Pair], start_dir: Pair | None, end_dir: Pair | None):
        p = np.asarray(points, float)
        chord = np.hypot(*np.diff(p, axis=0).T)
        u = np.concatenate([[0.0], np.cumsum(chord)])
        self._over(u, Cubic(u, p, start_dir, end_dir))

    def _over(self, knots: Array, cubic: Callable[..., Array]) -> None:
        """Takes `cubic(u, order)`, smooth between its knots, and measures it."""
        self._u, self._c = knots, cubic
        self._asked: tuple[Array, Array] | None = None
        # knots halved, so that the table of arc length is fine enough for one Newton start
        self._grid = np.unique(np.concatenate([self._u, (self._u[1:] + self._u[:-1]) / 2]))
        self._s = np.concatenate([[0.0], np.cumsum(self._arc(self._grid[:-1], self._grid[1:]))])

    def _arc(self, a: Array, b: Array) -> Array:
        u = (a + b)[:, None] / 2 + (b - a)[:, None] / 2 * GAUSS_X
        speed = np.linalg.norm(self._c(u, 1), axis=-1)
        return np.asarray((b - a) / 2 * (speed @ GAUSS_W))

    @property
    def length(self) -> float:
        return float(self._s[-1])

    @property
    def breaks(self) -> Array:
        return np.interp(self._u, self._grid, self._s)

    def _param(self, s: Array) -> Array:
        s = np.clip(np.asarray(s, float), 0.0, self.length)
        # point, tangent and curvature are asked for at the same places one after the other
        if self._asked is not None and np.array_equal(self._asked[0], s):
            return self._asked[1]
        i = np.clip(np.searchsorted(self._s, s, side="right") - 1, 0, len(self._grid) - 2)
        a, b = self._grid[i], self._grid[i + 1]
        u = a + (b - a) * (s - self._s[i]) / (self._s[i + 1] - self._s[i])
        for _ in range(6):
            step = (self._arc(a, u) - (s - self._s[i])) / np.linalg.norm(self._c(u, 1), axis=-1)
            u = np.clip(u - step, a, b)
            if np.max(np.abs(step), initial=0.0) < 1e-12 * max(1.0, self.length):
                break
        self._asked = (s, u)
        return u

    def point(self, s: Array) -> Array:
        return np.asarray(self._c(self._param(s)))

    def tangent(self, s: Array) -> Array:
        d = self._c(self._param(s), 1)
        return np.asarray(d / np.linalg.norm(d, axis=-1, keepdims=True))

    def curvature(self, s: Array) -> Array:
        u = self._param(s)
        d, dd = self._c(u, 1), self._c(u, 2)
        return np.asarray((d[:, 0] * dd[:, 1] - d[:, 1] * dd[:, 0]) / np.hypot(d[:, 0], d[:, 1]) ** 3)


def curve_from_points(
    kind: str, points: Sequence[Pair], start_dir: Pair | None = None, end_dir: Pair | None = None
) -> Curve:
    """The curve of a drawn edge: `line` (start, end), `arc` (start, through, end), `spline` (all points).

    ValueError when an arc's points lie on a line, or two neighbouring points coincide.
    """
    gaps = [np.hypot(b[0] - a[0], b[1] - a[1]) for a, b in itertools.pairwise(points)]
    if min(gaps) < 1e-6:
        raise ValueError("two neighbouring points coincide")
    if kind == "line":
        return Line(points[0], points[-1])
    if kind == "arc":
        return Arc.through(points[0], points[1], points[2])
    return Spline(points, start_dir, end_dir)


def samples(curve: Curve, chord_error: float, least: int = 2) -> Array:
    """Arc lengths, ends and breaks included, so that chords stay within `chord_error` [mm] of the curve.

    Between two breaks the spacing is even: the same curve drawn backwards is sampled at the same points.
    """
    b = curve.breaks
    # seven probes in every span, all asked for at once
    inner = np.linspace(0.0, 1.0, 9)[1:-1]
    probes = b[:-1, None] + np.diff(b)[:, None] * inner
    k = np.max(np.abs(curve.curvature(probes.ravel())).reshape(probes.shape), axis=1) * 1.15
    # sagitta of a chord h on curvature k is k h^2 / 8
    counts = np.ceil(np.diff(b) * np.sqrt(k / (8 * chord_error))).astype(int)
    spans = zip(b[:-1], b[1:], np.maximum(counts, max(least - 1, 1)), strict=True)
    return np.concatenate([[0.0], *(np.linspace(s0, s1, n + 1)[1:] for s0, s1, n in spans)])
