"""Dense exact points to few true lines and arcs, for cutters that want no splines."""

from __future__ import annotations

import itertools
from math import asin

import numpy as np
from numpy.typing import NDArray

from ribwright.geometry.path import Vertex, bulge_of, centre_of

Array = NDArray[np.float64]


def lines_and_arcs(points: Array, tolerance: float) -> tuple[Vertex, ...]:
    """Vertices (x, y, bulge) through both end points, every given point and the middle of every chord between two of them
    within `tolerance` [mm]: without the middles three points of a sparse straight stretch would pass for an arc.

    Greedy: from each vertex the longest piece whose arc through (start, middle, end) holds all points
    between. The result is continuous; tangents meet as closely as the tolerance asks. The last vertex has bulge 0.
    It begins at the end beside the flatter half, so that a mirrored or reversed curve gets the same pieces.
    """
    if _bulges_early(points):
        back = _greedy(points[::-1], tolerance)
        bulges = [-v[2] for v in back[-2::-1]] + [0.0]
        return tuple((x, y, b) for (x, y, _), b in zip(reversed(back), bulges, strict=True))
    return tuple(_greedy(points, tolerance))


def missed(points: Array, vertices: tuple[Vertex, ...]) -> float:
    """Farthest that the points (n, 2), and the middles of the chords between them, lie from the lines and arcs fitted to them
    [mm], measured on the finished vertices, each of which is one of the points."""
    worst, i = 0.0, 0
    for a, b in itertools.pairwise(vertices):
        there = np.flatnonzero((points[i + 1 :, 0] == b[0]) & (points[i + 1 :, 1] == b[1]))
        j = i + 1 + int(there[0])
        p = points[i : j + 1]
        p = np.concatenate([p, (p[1:] + p[:-1]) / 2])
        if abs(a[2]) > 1e-12:
            centre, radius = centre_of(a, b)
            far = np.abs(np.hypot(p[:, 0] - centre[0], p[:, 1] - centre[1]) - radius)
        else:
            along = np.array([b[0] - a[0], b[1] - a[1]]) / np.hypot(b[0] - a[0], b[1] - a[1])
            far = np.abs((p - points[i]) @ np.array([-along[1], along[0]]))
        worst, i = max(worst, float(far.max())), j
    return worst


def _bulges_early(p: Array) -> bool:
    """True when the curve stands off its chord more in its first half than in its second."""
    chord = p[-1] - p[0]
    size = float(np.hypot(*chord))
    if size < 1e-12 or len(p) < 3:
        return False
    step = np.hypot(*np.diff(p, axis=0).T)
    s = np.concatenate([[0.0], np.cumsum(step)])
    off = np.abs((p - p[0]) @ np.array([-chord[1], chord[0]])) / size
    lever = off * (s - s[-1] / 2)
    # a share of the largest it could be: rounding must not choose for a symmetric curve
    return float(np.sum((lever[:-1] + lever[1:]) * step)) < -1e-9 * max(float(off.max()), 1e-12) * s[-1] ** 2


def _greedy(points: Array, tolerance: float) -> list[Vertex]:
    out: list[Vertex] = []
    i, last = 0, len(points) - 1
    while i < last:
        j, bulge = _longest(points, i, last, tolerance)
        out.append((float(points[i, 0]), float(points[i, 1]), bulge))
        i = j
    out.append((float(points[last, 0]), float(points[last, 1]), 0.0))
    return out


def _longest(points: Array, i: int, last: int, tolerance: float) -> tuple[int, float]:
    """The farthest end index that one piece from i can reach, and its bulge. Doubling, then halving the step."""
    best, bulge, step = i + 1, 0.0, 2
    while i + step <= last or best < last:
        j = min(i + step, last)
        b = _piece(points[i : j + 1], tolerance)
        if b is None:
            break
        best, bulge = j, b
        if j == last:
            return best, bulge
        step *= 2
    low, high = best, min(i + step, last)
    while high - low > 1:
        mid = (low + high) // 2
        b = _piece(points[i : mid + 1], tolerance)
        if b is None:
            high = mid
        else:
            low, bulge = mid, b
    return low, bulge


def _piece(p: Array, tolerance: float) -> float | None:
    """Bulge of the one line or arc from p[0] to p[-1] that keeps all points within tolerance, or None."""
    a, b = p[0], p[-1]
    chord = b - a
    length = float(np.hypot(*chord))
    if length < 1e-12:
        return None
    u = chord / length
    off = (p - a) @ np.array([-u[1], u[0]])
    if np.max(np.abs(off)) <= tolerance / 4:
        return 0.0
    m = len(p) // 2
    # sagitta from the middle point: circle through a, p[m], b
    ax = (p[m] - a) @ u
    h = float(off[m])
    if abs(h) < 1e-12:
        return None
    # centre on the chord's bisector: (length/2, c) with |p_m - c| = |a - c|
    c = (float(ax) ** 2 + h * h - float(ax) * length) / (2 * h)
    radius = float(np.hypot(length / 2, c))
    local = np.column_stack([(p - a) @ u - length / 2, off - c])
    local = np.concatenate([local, (local[1:] + local[:-1]) / 2])
    if np.max(np.abs(np.hypot(local[:, 0], local[:, 1]) - radius)) > tolerance:
        return None
    if c * h > 0:
        return None  # more than half a circle: split it
    return -bulge_of(2 * asin(min(1.0, length / (2 * radius)))) * float(np.sign(h))
