"""Distances of a point, compiled: from the chain of lines and arcs of the tools, and from the line of the sheet's nodes.

The line runs through the nodes as a cubic whose ends lie along theta (Hermite), so its direction has no jumps: on
the kinks of a chain of straight pieces a pressure of 70 MPa would not let the balance be found. Beyond the free edge the
distance is that to the last node: the edge is round.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ribwright.mechanics.compiled import compiled

Array = NDArray[np.float64]
Ints = NDArray[np.int64]

MARGIN = 0.5  # [mm] points within this of the sheet are looked at closely
FEET = 15  # steps towards the foot on the cubic


@compiled
def profile_gap(lines: Array, arcs: Array, x: float, y: float) -> tuple[float, float, float, float]:
    """(gap, normal x, normal y, curvature of the level line): lines (k, 5) start, direction, length; arcs (j, 7) centre, radius,
    +1 edge or -1 fillet, direction to the middle, cosine of half the angle. Positive on the free side."""
    best, nx, ny, bend = np.inf, 0.0, 1.0, 0.0
    for i in range(len(lines)):
        ox, oy, wx, wy = x - lines[i, 0], y - lines[i, 1], lines[i, 2], lines[i, 3]
        along = ox * wx + oy * wy
        if 0.0 <= along <= lines[i, 4]:
            gap = wx * oy - wy * ox
            if abs(gap) < abs(best):
                best, nx, ny, bend = gap, -wy, wx, 0.0
    for i in range(len(arcs)):
        ox, oy, turn = x - arcs[i, 0], y - arcs[i, 1], arcs[i, 3]
        far = max(np.hypot(ox, oy), 1e-12)
        if ox * arcs[i, 4] + oy * arcs[i, 5] >= far * (arcs[i, 6] - 1e-12):
            gap = turn * (far - arcs[i, 2])
            if abs(gap) < abs(best):
                best, nx, ny, bend = gap, turn * ox / far, turn * oy / far, turn / far
    return best, nx, ny, bend


@compiled
def hermite(s: float, order: int) -> tuple[float, float, float, float]:
    """Derivative `order` by s of the four functions: value and slope at 0, value and slope at 1."""
    if order == 0:
        return 1 - 3 * s**2 + 2 * s**3, s - 2 * s**2 + s**3, 3 * s**2 - 2 * s**3, s**3 - s**2
    if order == 1:
        return 6 * s**2 - 6 * s, 1 - 4 * s + 3 * s**2, 6 * s - 6 * s**2, 3 * s**2 - 2 * s
    return 12 * s - 6, 6 * s - 4, 6 - 12 * s, 6 * s - 2


@compiled
def on_cubic(line: Array, length: Array, i: int, s: float, order: int) -> tuple[float, float]:
    """Place (order 0) or derivative by s on segment i of the line (n, 3) with unstrained lengths (n - 1,)."""
    a, b, c, d = hermite(s, order)
    l = length[i]
    ca, sa, cb, sb = np.cos(line[i, 2]), np.sin(line[i, 2]), np.cos(line[i + 1, 2]), np.sin(line[i + 1, 2])
    x = a * line[i, 0] + c * line[i + 1, 0] + l * (b * ca + d * cb)
    y = a * line[i, 1] + c * line[i + 1, 1] + l * (b * sa + d * sb)
    return x, y


@compiled
def beside(line: Array, length: Array, x: float, y: float, near: float) -> tuple[float, int, float, int]:
    """(distance, segment, place on it 0 to 1, side +1 left, -1 right, 0 beyond the free edge) of the nearest place of the sheet.

    Within `near` on the cubic, farther off on the chain of straight pieces.
    """
    m = len(length)
    best, seg, share, raw = np.inf, 0, 0.0, 0.0
    for i in range(m):
        vx, vy = line[i + 1, 0] - line[i, 0], line[i + 1, 1] - line[i, 1]
        ox, oy = x - line[i, 0], y - line[i, 1]
        t = (ox * vx + oy * vy) / (vx * vx + vy * vy)
        s = min(max(t, 0.0), 1.0)
        d2 = (ox - s * vx) ** 2 + (oy - s * vy) ** 2
        if d2 < best:
            best, seg, share, raw = d2, i, s, t
    far = np.sqrt(best)
    if far > near:
        vx, vy = line[seg + 1, 0] - line[seg, 0], line[seg + 1, 1] - line[seg, 1]
        left = vx * (y - line[seg, 1]) - vy * (x - line[seg, 0])
        if seg == m - 1 and raw > 1.0:
            return far, seg, 1.0, 0
        return far, seg, share, 1 if left >= 0.0 else -1
    s = share
    for _ in range(FEET):
        fx, fy = on_cubic(line, length, seg, s, 0)
        c1x, c1y = on_cubic(line, length, seg, s, 1)
        c2x, c2y = on_cubic(line, length, seg, s, 2)
        rx, ry, size = x - fx, y - fy, c1x * c1x + c1y * c1y
        step = (rx * c1x + ry * c1y) / max(size - rx * c2x - ry * c2y, 0.2 * size)
        new = s + min(max(step, -1.0), 1.0)
        if new < 0.0 and seg > 0:
            s = 1.0 + max(new * length[seg] / length[seg - 1], -1.0)
            seg -= 1
        elif new > 1.0 and seg < m - 1:
            s = min((new - 1.0) * length[seg] / length[seg + 1], 1.0)
            seg += 1
        else:
            new = min(max(new, 0.0), 1.0)
            done = abs(new - s) < 1e-13
            s = new
            if done:
                break
    fx, fy = on_cubic(line, length, seg, s, 0)
    c1x, c1y = on_cubic(line, length, seg, s, 1)
    rx, ry = x - fx, y - fy
    if seg == m - 1 and s == 1.0 and rx * c1x + ry * c1y > 0.0:
        return np.hypot(rx, ry), seg, 1.0, 0
    return np.hypot(rx, ry), seg, s, 1 if c1x * ry - c1y * rx >= 0.0 else -1
