"""Whether dense points of a curve are those of a straight line or of one arc, within what numbers in a file can hold."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
# of the size of the curve: ten decimals of a metre, which is what a file of doubles keeps at least
SAME = 1e-9


def _size(points: Array) -> float:
    return float(np.hypot(*np.ptp(points, axis=0)))


def ends_meet(points: Array) -> bool:
    """True when the last of the points (n, 2) is the first again."""
    return float(np.hypot(*(points[-1] - points[0]))) <= SAME * _size(points)


def is_straight(points: Array) -> bool:
    """True when the points (n, 2) run along their chord without turning back."""
    chord = points[-1] - points[0]
    length = float(np.hypot(*chord))
    if length <= SAME * max(_size(points), 1e-300):
        return False
    along = (points - points[0]) @ chord / length
    off = (points - points[0]) @ np.array([-chord[1], chord[0]]) / length
    return bool(np.max(np.abs(off)) <= SAME * length and np.all(np.diff(along) >= -SAME * length))


def round_arc(points: Array) -> tuple[Array, Array] | None:
    """(centre, a point half way round) when the points (n, 2) run along one circle without turning back; else None.

    The circle goes through three points that lie a third of them apart, since those of a closed curve meet at the ends.
    """
    n = len(points)
    if n < 5:
        return None
    a, b, c = points[0], points[n // 3], points[2 * n // 3]
    (bx, by), (cx, cy) = b - a, c - a
    d = 2 * (bx * cy - by * cx)
    size = _size(points)
    if abs(d) < 1e-9 * size * size:
        return None
    b2, c2 = bx * bx + by * by, cx * cx + cy * cy
    centre = a + np.array([cy * b2 - by * c2, bx * c2 - cx * b2]) / d
    arm = points - centre
    radius = float(np.hypot(*arm[0]))
    if np.max(np.abs(np.hypot(arm[:, 0], arm[:, 1]) - radius)) > SAME * max(size, radius):
        return None
    turn = np.unwrap(np.arctan2(arm[:, 1], arm[:, 0]))
    if not (np.all(np.diff(turn) >= -SAME) or np.all(np.diff(turn) <= SAME)) or abs(turn[-1] - turn[0]) > 6.3:
        return None
    half = (turn[0] + turn[-1]) / 2
    return centre, centre + radius * np.array([np.cos(half), np.sin(half)])
