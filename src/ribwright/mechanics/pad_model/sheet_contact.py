"""Rubber against the sheet: distance to its middle line, less half its thickness: both faces and a round free edge in one.

The middle line runs through the nodes as a cubic whose ends lie along theta, so its direction has no jumps; a pressure of
70 MPa on the kinks of a chain of straight pieces would not let the balance be found.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ribwright.mechanics.pad_model.contact import PLACES, SHARES, Touch, soft_wall, surface_points

Array = NDArray[np.float64]
Ints = NDArray[np.int64]

MARGIN = 0.5  # [mm] points within this of the sheet are looked at closely


@dataclass(frozen=True, eq=False)
class Beside:
    """Of every surface point: distance to the chain of the sheet's nodes (n,) [mm], nearest segment (n,), where on it from 0 to
    1 (n,), side: +1 left of it, -1 right of it, 0 beyond the free edge (n,)."""

    far: Array
    segment: Ints
    share: Array
    side: Ints


def beside(line: Array, points: Array) -> Beside:
    """Nearest place of the chain of nodes (s + 1, 2 or more) to points (n, 2)."""
    start, along = line[:-1, :2], np.diff(line[:, :2], axis=0)
    out_x, out_y = points[:, :1] - start[:, 0], points[:, 1:] - start[:, 1]
    raw = (out_x * along[:, 0] + out_y * along[:, 1]) / (along**2).sum(1)
    share = np.clip(raw, 0.0, 1.0)
    square = (out_x - share * along[:, 0]) ** 2 + (out_y - share * along[:, 1]) ** 2
    pick = square.argmin(1)
    rows = np.arange(len(points))
    v = along[pick]
    left = v[:, 0] * out_y[rows, pick] - v[:, 1] * out_x[rows, pick]
    beyond = (pick == len(along) - 1) & (raw[rows, pick] > 1.0)
    side = np.where(beyond, 0, np.where(left >= 0.0, 1, -1))
    return Beside(np.sqrt(square[rows, pick]), pick, share[rows, pick], side)


def _cubic(s: Array, order: int) -> Array:
    """Derivative `order` by s of the four Hermite functions: value and slope at 0, value and slope at 1, (n, 4)."""
    one, nought = np.ones_like(s), np.zeros_like(s)
    rows = {
        0: (1 - 3 * s**2 + 2 * s**3, s - 2 * s**2 + s**3, 3 * s**2 - 2 * s**3, s**3 - s**2),
        1: (6 * s**2 - 6 * s, 1 - 4 * s + 3 * s**2, 6 * s - 6 * s**2, 3 * s**2 - 2 * s),
        2: (12 * s - 6, 6 * s - 4, 6 - 12 * s, 6 * s - 2),
    }[order]
    return np.stack([r * one + nought for r in rows], -1)


def _frame(line: Array, length: Array, segment: Ints) -> Array:
    """Positions and slopes at both ends of segments (n,): (n, 4, 2)."""
    a, b = line[segment], line[segment + 1]
    l = length[segment][:, None]
    ta, tb = np.stack([np.cos(a[:, 2]), np.sin(a[:, 2])], 1), np.stack([np.cos(b[:, 2]), np.sin(b[:, 2])], 1)
    return np.stack([a[:, :2], l * ta, b[:, :2], l * tb], 1)


def _foot(line: Array, length: Array, points: Array, segment: Ints, share: Array) -> tuple[Ints, Array]:
    """Segment and place of the nearest point of the cubic line; a place over 1 on the last one is beyond the free edge."""
    seg, s = segment.copy(), share.copy()
    last = len(length) - 1
    for _ in range(12):
        ends = _frame(line, length, seg)
        r = points - np.einsum("na,nai->ni", _cubic(s, 0), ends)
        c1, c2 = np.einsum("na,nai->ni", _cubic(s, 1), ends), np.einsum("na,nai->ni", _cubic(s, 2), ends)
        curve = np.maximum((c1**2).sum(1) - (r * c2).sum(1), 0.2 * (c1**2).sum(1))
        step = np.clip((r * c1).sum(1) / curve, -1.0, 1.0)
        new = s + step
        down, up = (new < 0.0) & (seg > 0), (new > 1.0) & (seg < last)
        other = np.where(down, seg - 1, np.where(up, seg + 1, seg))
        scale = length[seg] / length[other]
        s = np.where(down, 1.0 + np.maximum(new * scale, -1.0), np.where(up, np.minimum((new - 1.0) * scale, 1.0), np.clip(new, 0.0, 1.0)))
        seg = other
        if np.abs(step).max(initial=0.0) < 1e-13:
            break
    return seg, s


def touch_sheet(line: Array, length: Array, half: float, a: Array, b: Array, k: float, held: Array | None = None) -> Touch:
    """Edges from a to b (m, 2) against a sheet of half thickness `half`.

    line (s + 1, 3): x, y, theta of its nodes; length (s,) of its segments unstrained [mm]; k [MPa/mm] of the soft wall.
    """
    q = len(PLACES)
    points = surface_points(a, b)
    rough = beside(line, points)
    near = np.flatnonzero(rough.far < half + MARGIN)
    seg, s = _foot(line, length, points[near], rough.segment[near], rough.share[near])
    ends = _frame(line, length, seg)
    r = points[near] - np.einsum("na,nai->ni", _cubic(s, 0), ends)
    far = np.hypot(r[:, 0], r[:, 1])
    hit = far < half
    on, seg, s, ends, r, far = near[hit], seg[hit], s[hit], ends[hit], r[hit], np.maximum(far[hit], 1e-9)
    slope8, curve8 = _distance(line, length, seg, s, ends, r, far)
    edge, place, weight = on // q, PLACES[on % q], SHARES[on % q]
    spread = np.zeros((len(on), 8, 10))
    for i in (0, 1):
        spread[:, i, i], spread[:, i, 2 + i] = 1.0 - place, place
    spread[:, 2:, 4:] = np.eye(6)
    slope = np.matmul(slope8[:, None], spread)[:, 0]
    curve = np.matmul(np.swapaxes(spread, 1, 2), np.matmul(curve8, spread))
    out = soft_wall(a[edge], b[edge], place, weight, k, far - half, slope, curve, None if held is None else held[on], half)
    return Touch(edge, place, seg, *out[:3], r / far[:, None], *out[3:], on, slope)


def _distance(line: Array, length: Array, seg: Ints, s: Array, ends: Array, r: Array, far: Array) -> tuple[Array, Array]:
    """Slope (n, 8) and curve (n, 8, 8) of the distance in the point and x, y, theta of both nodes; r = point - foot."""
    n = len(seg)
    h0, h1 = _cubic(s, 0), _cubic(s, 1)
    l = length[seg]

    def by_nodes(h: Array) -> Array:  # d(foot)/d(x0 y0 t0 x1 y1 t1), (n, 2, 6)
        out = np.zeros((n, 2, 6))
        out[:, 0, 0] = out[:, 1, 1] = h[:, 0]
        out[:, 0, 3] = out[:, 1, 4] = h[:, 2]
        for col, fun, end in ((2, h[:, 1], 1), (5, h[:, 3], 3)):
            out[:, 0, col], out[:, 1, col] = -fun * ends[:, end, 1], fun * ends[:, end, 0]
        return out

    c_u, c_us = by_nodes(h0), by_nodes(h1)
    c_s, c_ss = np.einsum("na,nai->ni", h1, ends), np.einsum("na,nai->ni", _cubic(s, 2), ends)
    free = (s > 0.0) & (s < 1.0)
    r_u = np.concatenate([np.broadcast_to(np.eye(2), (n, 2, 2)), -c_u], 2)  # (n, 2, 8)
    first = np.einsum("ni,nij->nj", r, r_u)
    second = np.matmul(np.swapaxes(r_u, 1, 2), r_u)
    for col, fun, end in ((4, h0[:, 1], 1), (7, h0[:, 3], 3)):  # - r . d2 foot/d theta2 = + fun L r . (cos, sin)
        second[:, col, col] += fun * (r * ends[:, end]).sum(1)
    mixed = -np.einsum("ni,nij->nj", c_s, r_u)
    mixed[:, 2:] -= np.einsum("ni,nij->nj", r, c_us)
    bend = np.where(free, (c_s**2).sum(1) - (r * c_ss).sum(1), np.inf)
    second -= mixed[:, :, None] * mixed[:, None, :] / bend[:, None, None]
    slope = first / far[:, None]
    assert l.shape == (n,)
    return slope, (second - slope[:, :, None] * slope[:, None, :]) / far[:, None, None]
