"""Drawn edges set over by a distance that may vary along them, and where two such lines meet.

Inward is to the left of travel (material side). The line set over by d(s) is
    B(s) = P(s) - d(s) N(s),   N outward unit normal, right of travel
    B'(s) = (1 - kappa d) T - d' N
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ribwright.geometry.curve import Curve, samples

Array = NDArray[np.float64]
Offset = Callable[[Array], Array]


def outward(tangent: Array) -> Array:
    """Unit normals to the right of travel, (n, 2)."""
    return np.column_stack([tangent[:, 1], -tangent[:, 0]])


@dataclass(frozen=True)
class SetOver:
    """`curve` moved inward by `inward(s)` [mm]; beyond its ends it goes on straight. `wanders`: arc lengths (n,) at which the line must be
    sampled besides the curve's own, where the distance changes along it."""

    curve: Curve
    inward: Offset
    wanders: Array | None = None

    def frame(self, s: Array) -> tuple[Array, Array, Array]:
        """(P, T, N) of the drawn curve at s (n,), continued straight beyond the ends."""
        s = np.asarray(s, float)
        inside = np.clip(s, 0.0, self.curve.length)
        p, t = self.curve.point(inside), self.curve.tangent(inside)
        return p + (s - inside)[:, None] * t, t, outward(t)

    def point(self, s: Array) -> Array:
        """B(s), (n, 2)."""
        p, _, n = self.frame(s)
        return p - self.inward(np.asarray(s, float))[:, None] * n

    def samples(self, s0: float, s1: float, chord_error: float = 0.005) -> Array:
        """Arc lengths from s0 to s1 (either may lie beyond the curve) at the curve's own sampling and where the distance changes."""
        s = samples(self.curve, chord_error)
        if self.wanders is not None:
            s = np.union1d(s, self.wanders)
            s = s[np.concatenate([[True], np.diff(s) > 1e-6])]
        inner = s[(s > s0 + 1e-9) & (s < s1 - 1e-9)]
        return np.concatenate([[s0], inner, [s1]])


def turn_between(a: Curve, b: Curve) -> float:
    """Angle [rad] by which travel turns left from the end of a to the start of b, in (-pi, pi]."""
    t0, t1 = a.tangent(np.array([a.length]))[0], b.tangent(np.array([0.0]))[0]
    return float(np.arctan2(t0[0] * t1[1] - t0[1] * t1[0], t0 @ t1))


@dataclass(frozen=True)
class Meeting:
    """Where line a (end) and line b (start) meet: arc lengths on both and the point. `found` False: they do not."""

    sa: float
    sb: float
    point: tuple[float, float]
    found: bool = True


SMOOTH = np.radians(1.0)


def meet(a: SetOver, b: SetOver, near: tuple[float, float] | None = None) -> Meeting:
    """Meeting of a's end with b's start: Newton on B_a(sa) = B_b(sb) from the drawn corner, or from `near` = (sa, sb).

    A join that turns by less than 1 deg is smooth: a's end and b's start are taken as they are.
    """
    la = a.curve.length
    turn = turn_between(a.curve, b.curve)
    if abs(turn) < SMOOTH:
        p = a.point(np.array([la]))[0]
        return Meeting(la, 0.0, (float(p[0]), float(p[1])))
    sa, sb = near or (la, 0.0)
    h = 1e-5
    about = np.array([-h, 0.0, h])
    for _ in range(40):
        near_a, near_b = a.point(sa + about), b.point(sb + about)
        gap = near_b[1] - near_a[1]
        if np.hypot(*gap) < 1e-11 * max(1.0, la):
            break
        m = np.column_stack([near_a[2] - near_a[0], near_b[0] - near_b[2]]) / (2 * h)
        if abs(np.linalg.det(m)) < 1e-9:
            return Meeting(la, 0.0, (float(near_a[1, 0]), float(near_a[1, 1])), found=False)
        step = np.linalg.solve(m, gap)
        limit = 0.5 * max(1.0, min(la, b.curve.length))
        step = step * min(1.0, limit / max(np.max(np.abs(step)), 1e-30))
        sa, sb = sa + step[0], sb + step[1]
    pa, pb = a.point(np.array([sa]))[0], b.point(np.array([sb]))[0]
    found = bool(np.hypot(*(pb - pa)) < 1e-6 and sa > 0 and sb < b.curve.length)
    return Meeting(float(sa), float(sb), (float(pa[0]), float(pa[1])), found)


def sewn(a: Array, b: Array) -> tuple[Array, Array]:
    """Two polylines (n, 2) of which the second goes on where the first ends, cut back to their crossing if they overstep.

    At a slight kink the set-over lines overstep each other by distance x turn; left alone they would cross.
    """
    along = (a[-1] - a[-2]) / np.hypot(*(a[-1] - a[-2])) + (b[1] - b[0]) / np.hypot(*(b[1] - b[0]))
    if (b[0] - a[-1]) @ along >= 0:
        return a, b
    seam = _crossing(a, b)
    keep_a = (a - seam) @ along < 0
    keep_b = (b - seam) @ along > 0
    # only the two ends near the seam are cut, however the lines wind elsewhere
    near_a, near_b = _tail(keep_a), _tail(keep_b[::-1])
    return np.vstack([a[:near_a], seam]), np.vstack([seam, b[len(b) - near_b :]])


def _tail(keep: NDArray[np.bool_]) -> int:
    """How many leading entries stay when the trailing run of False is dropped (at least one stays)."""
    kept = np.flatnonzero(keep)
    return int(kept[-1]) + 1 if len(kept) else 1


def _crossing(a: Array, b: Array) -> Array:
    """Where the line of a's last chord meets that of b's first; the middle of the two ends when they are parallel."""
    u, v, gap = a[-1] - a[-2], b[1] - b[0], b[0] - a[-1]
    det = u[0] * v[1] - u[1] * v[0]
    if abs(det) < 1e-12 * np.hypot(*u) * np.hypot(*v):
        return np.asarray((a[-1] + b[0]) / 2)
    seam = np.asarray(a[-1] + u * (gap[0] * v[1] - gap[1] * v[0]) / det)
    # lines that step aside by a jump of inset or width run on side by side, and meet far off if at all
    return seam if np.hypot(*(seam - a[-1])) <= 2 * np.hypot(*gap) else np.asarray((a[-1] + b[0]) / 2)


def mitred(lines: list[SetOver], chord_error: float = 0.005) -> tuple[list[Array], bool]:
    """Points of each line of a closed loop between its meetings with its neighbours, (n_i, 2) each.

    Second value: False when two neighbours do not meet or a line is used up by its neighbours.
    """
    n = len(lines)
    if n == 1:
        only = lines[0]
        return [only.point(only.samples(0.0, only.curve.length, chord_error))], True
    joins = [meet(lines[i], lines[(i + 1) % n]) for i in range(n)]
    good = all(j.found for j in joins)
    out = []
    for i, line in enumerate(lines):
        s0, s1 = joins[i - 1].sb, joins[i].sa
        if s1 <= s0:
            good, s0, s1 = False, 0.0, line.curve.length
        out.append(line.point(line.samples(s0, s1, chord_error)))
    for i in range(n):
        if abs(turn_between(lines[i].curve, lines[(i + 1) % n].curve)) < SMOOTH:
            out[i], out[(i + 1) % n] = sewn(out[i], out[(i + 1) % n])
    return out, good
