"""A drawn edge with its flange as a surface: where a point of it stands formed and flat, and its normal.

s runs along the drawn line, q through the rows of the flange: 0 the bend tangent line, `bend` the end of the bend,
`bend + straight` the free edge. C, T, N: drawn point, travel direction, outward normal (right of travel); kappa positive
where the line turns left; d the inset of the bend tangent line; a bend angle, L straight part, Rm mid-surface bend radius.

    phi = a q/bend, x = Rm sin(phi), z = Rm (1 - cos(phi))              on the bend
    x = Rm sin(a) + u L cos(a), z = Rm (1 - cos(a)) + u L sin(a)        beyond it, u from 0 to 1
    formed  C + (x - d) N, side z     flat  C - d N + y W, y(s, q) given by the caller, W = N where nothing else is said

With N' = kappa T the surface's two tangents are
    P_q ~ (cos(phi) N, side sin(phi))     P_s = (1 + kappa (x - d)) T + (x_s - d') N, side z_s
and their cross product the normal, exact where width and angle vary too. The surface folds where 1 + kappa (x - d) <= 0.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ribwright.geometry.curve import Curve
from ribwright.geometry.offset import SetOver

Array = NDArray[np.float64]
STEP = 1e-4  # half the step of slopes along the edge [mm]


@dataclass(frozen=True, eq=False)
class Side:
    """One edge with its flange.

    section     (inset d [mm], angle a [rad], straight part L [mm]) at s (n,); continued beyond the edge's ends
    mid_radius  Rm [mm];  neutral_radius  R + Kf t [mm], the radius whose arc is the bend allowance
    up          +1 a flange turned up (z > 0), -1 down
    bend, straight  rows across the bend and across the straight part
    flat        y(s, q) [mm], both (n,): flat distance from the bend tangent line, rising in q
    place       number of the edge or hole
    across      the way W the flange lies in the flat at s (n,), (n, 2); None: along N. Where the line steps aside it is sheared
    breaks      where the section's graph has a corner, s rising [mm]: a column of nodes stands there
    fine        (s, how far apart columns stand there, how far that reaches) [mm], where a dent is to be shown
    """

    curve: Curve
    section: Callable[[Array], tuple[Array, Array, Array]]
    mid_radius: float
    neutral_radius: float
    up: float
    bend: int
    straight: int
    flat: Callable[[Array, Array], Array]
    place: int
    across: Callable[[Array], Array] | None = None
    breaks: tuple[float, ...] = ()
    fine: tuple[tuple[float, float, float], ...] = ()

    @property
    def rows(self) -> int:
        """Rows in all."""
        return self.bend + self.straight

    @property
    def tangent_line(self) -> SetOver:
        """The web's bend tangent line."""
        return SetOver(self.curve, lambda s: self.section(s)[0])


@dataclass(frozen=True, eq=False)
class Placed:
    """Points of a side, (n, ...): flat and formed place [mm], unit normal, outward normal of the drawn line, bend angle [rad],
    and `opens` = 1 + kappa (x - d), 0 or less where the surface has folded."""

    flat: Array
    formed: Array
    normal: Array
    out: Array
    angle: Array
    opens: Array


def placed(side: Side, s: Array, q: Array) -> Placed:
    """The points at s, q, both (n,)."""
    c, t, n = side.tangent_line.frame(s)
    inside = (s >= 0) & (s <= side.curve.length)
    kappa = np.where(inside, side.curve.curvature(np.clip(s, 0, side.curve.length)), 0.0)
    (d, a, leg), (d_s, a_s, leg_s) = side.section(s), _slopes(side, s)
    b, u = np.minimum(q, side.bend) / side.bend, np.maximum(q - side.bend, 0.0) / side.straight
    phi, rm, up = a * b, side.mid_radius, side.up
    sin, cos = np.sin(phi), np.cos(phi)
    x, z = rm * sin + u * leg * cos, rm * (1 - cos) + u * leg * sin
    x_s = rm * cos * a_s * b + u * (leg_s * cos - leg * sin * a_s)
    z_s = rm * sin * a_s * b + u * (leg_s * sin + leg * cos * a_s)
    opens = 1 + kappa * (x - d)
    # N x T = e, e x T = -N, N x e = -T, e x N = T for e = +z
    flat_part = (-cos * up * z_s + up * sin * (x_s - d_s))[:, None] * t - (up * sin * opens)[:, None] * n
    normal = np.column_stack([flat_part, cos * opens])
    normal /= np.linalg.norm(normal, axis=1, keepdims=True)
    w = n if side.across is None else side.across(s)
    flat = c - d[:, None] * n + side.flat(s, q)[:, None] * w
    formed = np.column_stack([c + (x - d)[:, None] * n, up * z])
    return Placed(flat, formed, normal, n, a, opens)


def _slopes(side: Side, s: Array) -> list[Array]:
    low, high = (np.clip(s + e, 0.0, side.curve.length) for e in (-STEP, STEP))
    gap = high - low
    pairs = zip(side.section(low), side.section(high), strict=True)
    return [np.where(gap > 0, (b - a) / np.where(gap > 0, gap, 1.0), 0.0) for a, b in pairs]


def foot(side: Side, points: Array, s: float) -> tuple[Array, Array]:
    """(s, y) of points (n, 2) in the flat near arc length `s`: Newton on (p - C) T = 0; y from the bend tangent line, outward [mm]."""
    at = np.full(len(points), s)
    for _ in range(30):
        c, t, n = side.tangent_line.frame(at)
        inside = (at >= 0) & (at <= side.curve.length)
        kappa = np.where(inside, side.curve.curvature(np.clip(at, 0, side.curve.length)), 0.0)
        off, out = np.sum((points - c) * t, axis=1), np.sum((points - c) * n, axis=1)
        step = off / np.maximum(1 + kappa * out, 0.1)
        at = at + np.clip(step, -5.0, 5.0)
        if np.max(np.abs(step), initial=0.0) < 1e-12:
            break
    c, _, n = side.tangent_line.frame(at)
    return at, np.asarray(np.sum((points - c) * n, axis=1) + side.section(at)[0])


def located(side: Side, points: Array, s: float) -> tuple[Array, Array]:
    """(s, q) of points (n, 2) in the flat near arc length `s`; q < 0 on the web, over `rows` past the free edge."""
    at, y = foot(side, points, s)
    rows = np.arange(side.rows + 1.0)
    table = side.flat(np.repeat(at, len(rows)), np.tile(rows, len(at))).reshape(len(at), -1)
    q = np.empty(len(at))
    for i, own in enumerate(table):
        first, last = own[1] - own[0], own[-1] - own[-2]
        q[i] = np.interp(y[i], own, rows)
        if y[i] < own[0]:
            q[i] = (y[i] - own[0]) / first
        elif y[i] > own[-1]:
            q[i] = rows[-1] + (y[i] - own[-1]) / last
    return at, q
