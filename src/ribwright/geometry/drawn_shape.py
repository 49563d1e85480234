"""Whether points measured along a line are those of a straight line, of an arc, or of neither, within a tolerance; where two such meet."""

from __future__ import annotations

from dataclasses import dataclass
from math import atan2, hypot, pi

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Pair = tuple[float, float]
LINE, ARC, CURVE = "line", "arc", "curve"
FLATTEST = 1e6  # largest radius that is taken for an arc [mm]


@dataclass(frozen=True, eq=False)
class Shape:
    """A piece of line in travel order. `points` (n, 2) dense on it; of an arc `centre` and `radius`, `left` whether it turns left."""

    kind: str
    points: Array
    centre: Pair = (0.0, 0.0)
    radius: float = 0.0
    left: bool = True

    def way(self, end: int) -> Array:
        """Unit direction of travel at its start (0) or end (-1)."""
        p = self.points
        if self.kind == LINE:
            v = p[-1] - p[0]
        elif self.kind == ARC:
            r = p[end] - np.array(self.centre)
            v = np.array([-r[1], r[0]]) if self.left else np.array([r[1], -r[0]])
        else:
            q = p[:3] if end == 0 else p[-3:][::-1]
            # the parabola through three points near the end
            a, b = float(np.hypot(*(q[1] - q[0]))), float(np.hypot(*(q[2] - q[1])))
            v = (q[1] - q[0]) / a * (1 + a / (a + b)) - (q[2] - q[1]) / b * (a / (a + b))
            v = v if end == 0 else -v
        return np.asarray(v / np.hypot(*v))


def shape_of(points: Array, tolerance: float) -> Shape:
    """The points (n, 2) as a line where they lie within `tolerance` [mm] of one, as an arc likewise, else as a curve."""
    chord = points[-1] - points[0]
    length = float(np.hypot(*chord))
    size = float(np.max(np.ptp(points, axis=0)))
    if length > 1e-6 * size and length > 1e-9:
        n = np.array([-chord[1], chord[0]]) / length
        off = (points - points[0]) @ n
        if np.ptp(off) <= tolerance:
            u = chord / length
            middle, slope = points.mean(axis=0), np.polyfit((points - points[0]) @ u, off, 1)[0]
            w = u + slope * n
            w /= np.hypot(*w)
            ends = [middle + ((p - middle) @ w) * w for p in (points[0], points[-1])]
            return Shape(LINE, np.array(ends))
    # least squares of x^2 + y^2 + D x + E y + F = 0 about the mean (Kasa 1976)
    middle = points.mean(axis=0)
    p = (points - middle) / max(size, 1e-300)
    (d, e, f), *_ = np.linalg.lstsq(np.column_stack([p, np.ones(len(p))]), -np.sum(p * p, axis=1), rcond=None)
    centre = np.array([-d / 2, -e / 2])
    radius = float(np.sqrt(max(centre @ centre - f, 0.0))) * size
    centre = middle + centre * size
    if radius < FLATTEST and np.max(np.abs(np.hypot(*(points - centre).T) - radius)) <= tolerance:
        a, b, c = points[0], points[len(points) // 2], points[len(points) // 3]
        turn = (c - a)[0] * (b - c)[1] - (c - a)[1] * (b - c)[0]
        return Shape(ARC, points, (float(centre[0]), float(centre[1])), radius, bool(turn > 0))
    return Shape(CURVE, points)


def meeting(a: Shape, b: Shape, near: Array) -> Array | None:
    """Where a, run on past its end, meets b, run on before its start: of several places the one nearest to `near` (2,). A curve runs on
    in the circle that hugs its end. None where they are parallel or miss each other."""
    one, two = _run_on(a, -1), _run_on(b, 0)
    found = _lines_meet(one, two)
    return min(found, key=lambda p: float(np.hypot(*(p - near)))) if found else None


# ---- inside

Run = tuple[str, Array, Array, float]
"""("line", point, direction, 0) or ("arc", centre, -, radius)."""


def _run_on(s: Shape, end: int) -> Run:
    if s.kind == LINE:
        return "line", s.points[0], s.way(0), 0.0
    if s.kind == ARC:
        return "arc", np.array(s.centre), np.zeros(2), s.radius
    q = (s.points[:41:10] if end == 0 else s.points[::-1][:41:10])[:5]
    hug = shape_of(q, 1e-7) if len(q) >= 5 else shape_of(q, 1.0)
    if hug.kind == LINE:
        return "line", s.points[end], s.way(end), 0.0
    # circle through the end with the end's own direction and the curvature of the points next to it
    v = s.way(end)
    n = np.array([-v[1], v[0]])
    r = q[1:] - q[0]
    curvature = float(np.median(2 * (r @ n) / np.sum(r * r, axis=1)))
    if abs(curvature) < 1 / FLATTEST:
        return "line", s.points[end], v, 0.0
    return "arc", s.points[end] + n / curvature, np.zeros(2), abs(1 / curvature)


def _lines_meet(a: Run, b: Run) -> list[Array]:
    if a[0] == b[0] == "line":
        det = a[2][0] * b[2][1] - a[2][1] * b[2][0]
        if abs(det) < 1e-6:
            return []
        w = b[1] - a[1]
        return [a[1] + (w[0] * b[2][1] - w[1] * b[2][0]) / det * a[2]]
    if a[0] == b[0]:
        gap = b[1] - a[1]
        d = float(np.hypot(*gap))
        if d < 1e-9:
            return []
        x = (d * d + a[3] ** 2 - b[3] ** 2) / (2 * d)
        h2 = a[3] ** 2 - x * x
        if h2 < -1e-9 * a[3] ** 2:
            return []
        h, u = float(np.sqrt(max(h2, 0.0))), gap / d
        return [a[1] + x * u + s * h * np.array([-u[1], u[0]]) for s in (1, -1)]
    line, round_ = (a, b) if a[0] == "line" else (b, a)
    f = line[1] - round_[1]
    along = float(f @ line[2])
    disc = along**2 - float(f @ f - round_[3] ** 2)
    if disc < -1e-9 * round_[3] ** 2:
        return []
    return [line[1] + (-along + s * float(np.sqrt(max(disc, 0.0)))) * line[2] for s in (1, -1)]


def half_way(a: Pair, b: Pair, centre: Pair, left: bool) -> Pair:
    """The point half way from a to b round a centre, turning left or right; its distance from the centre is the mean of theirs."""
    r = (hypot(a[0] - centre[0], a[1] - centre[1]) + hypot(b[0] - centre[0], b[1] - centre[1])) / 2
    f, g = atan2(a[1] - centre[1], a[0] - centre[0]), atan2(b[1] - centre[1], b[0] - centre[0])
    turn = (g - f) % (2 * pi) if left else -((f - g) % (2 * pi))
    m = f + turn / 2
    return centre[0] + r * float(np.cos(m)), centre[1] + r * float(np.sin(m))


def extended(shape: Shape, start: Array, end: Array) -> Array:
    """Points (n, 2) of a curve cut or run on to `start` and `end`: past an end it goes on in the circle that hugs it there."""
    p = shape.points
    half = len(p) // 2
    keep = np.ones(len(p), bool)
    keep[:half] = (p[:half] - start) @ shape.way(0) > 1e-3
    keep[half:] = (p[half:] - end) @ shape.way(-1) < -1e-3
    first, last = _past(shape, 0, start), _past(shape, -1, end)
    return np.concatenate([[start], first[::-1], p[keep], last, [end]])


def _past(shape: Shape, end: int, to: Array) -> Array:
    """Points on the hugging circle between an end of a curve and a place past it, from the curve outward; none where it is cut."""
    tip, out = shape.points[end], shape.way(end) * (1 if end == -1 else -1)
    if float((to - tip) @ out) < 1e-3:
        return np.zeros((0, 2))
    share = np.array([0.0, 0.25, 0.5, 0.75])[:, None]
    kind, centre, _, radius = _run_on(shape, end)
    straight = tip + share * (to - tip)
    if kind == LINE:
        return np.asarray(straight[1:])
    arm = straight - centre
    return np.asarray(centre + radius * arm / np.hypot(*arm.T)[:, None])[1:]
