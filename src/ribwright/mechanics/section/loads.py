"""What pushes on the strip, compiled: the pressure on its outer face, the block on its inner face.

The block in section is exact: web face y = 0 for x <= 0, edge an arc of radius R about (0, -R), wall the straight line that leaves
the arc at the wall angle w from the web. The pressure follows the outer face, half a thickness out, and has that face's area.
It stands on the cut edge too, as rubber and fluid do. The block pushes at the nodes by a penalty as stiff as half the sheet's
thickness, setting in over a hair of the thickness.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ribwright.mechanics.compiled import compiled
from ribwright.mechanics.section.element import AXIS, EDGE, FRICTION, RADIUS, RING, SIGN, WALL, T

Array = NDArray[np.float64]
HAIR = 1e-4  # of the thickness
SLIDE = 1e-4  # of the thickness: sliding by more than this is resisted by the whole friction


@compiled
def gap(x: float, y: float, radius: float, wall: float) -> tuple[float, float, float, float]:
    """(g, mx, my, bend): distance to the block [mm], negative inside, its unit normal, curvature of the level line [1/mm]."""
    v = y + radius
    s, c = np.sin(wall), np.cos(wall)
    if x > 0.0 and x * c < v * s:
        far = np.hypot(x, v)
        return far - radius, x / far, v / far, 1.0 / far
    beside = x * s + v * c - radius
    if beside > y:
        return beside, s, c, 0.0
    return y, 0.0, 1.0, 0.0


@compiled
def pressure_on(case: Array, ends: Array, half1: float, half2: float, p: float, force: Array, slope: Array) -> None:
    """Adds minus the pressure's forces on an element's two nodes to `force` (6,), and their slopes to `slope` (6, 6)."""
    ring, sign = case[RING] > 0.0, case[SIGN]
    c1, s1, c2, s2 = np.cos(ends[2]), np.sin(ends[2]), np.cos(ends[5]), np.sin(ends[5])
    x1, y1, x2, y2 = ends[0] - half1 * s1, ends[1] + half1 * c1, ends[3] - half2 * s2, ends[4] + half2 * c2
    dx, dy, r = x2 - x1, y2 - y1, 1.0
    if ring:
        r = case[AXIS] + sign * 0.5 * (x1 + x2)
    h = 0.5 * p
    fx, fy = -h * dy * r, h * dx * r
    # by the outer points (x1, y1, x2, y2)
    d = np.zeros((2, 4))
    d[0, 1], d[0, 3], d[1, 0], d[1, 2] = h * r, -h * r, -h * r, h * r
    if ring:
        d[0, 0] -= 0.5 * h * dy * sign
        d[0, 2] -= 0.5 * h * dy * sign
        d[1, 0] += 0.5 * h * dx * sign
        d[1, 2] += 0.5 * h * dx * sign
    # outer points by the nodes
    dj = np.zeros((2, 6))
    for i in range(2):
        dj[i, 0], dj[i, 1], dj[i, 3], dj[i, 4] = d[i, 0], d[i, 1], d[i, 2], d[i, 3]
        dj[i, 2] = -half1 * (c1 * d[i, 0] + s1 * d[i, 1])
        dj[i, 5] = -half2 * (c2 * d[i, 2] + s2 * d[i, 3])
    for o, c, s, half in ((0, c1, s1, half1), (3, c2, s2, half2)):
        force[o] += fx
        force[o + 1] += fy
        force[o + 2] -= half * (c * fx + s * fy)
        for j in range(6):
            slope[o, j] += dj[0, j]
            slope[o + 1, j] += dj[1, j]
            slope[o + 2, j] -= half * (c * dj[0, j] + s * dj[1, j])
        slope[o + 2, o + 2] += half * (s * fx - c * fy)


@compiled
def edge_on(case: Array, node: Array, p: float, force: Array, slope: Array) -> None:
    """Adds minus the pressure's force on the cut edge, p t along the sheet, to `force` (3,) of the last node and its slopes."""
    if case[EDGE] == 0.0:
        return
    c, s, r = np.cos(node[2]), np.sin(node[2]), 1.0
    if case[RING] > 0.0:
        r = case[AXIS] + case[SIGN] * node[0]
        slope[0, 0] += p * case[T] * case[SIGN] * c
        slope[1, 0] += p * case[T] * case[SIGN] * s
    w = p * case[T] * r
    force[0] += w * c
    force[1] += w * s
    slope[0, 2] -= w * s
    slope[1, 2] += w * c


@compiled
def block_on(
    case: Array, half: float, stiff: float, area: float, node: Array, was: Array, force: Array, slope: Array,
    by_half: Array, push_by: Array,
) -> float:  # fmt: skip
    """Adds minus the block's push on a node of `area` [mm2 per mm or radian] to `force` (3,), `slope` (3, 3); the push [MPa].

    `stiff` [MPa/mm], 0: no block; `was` (3,): the node at the last commit, from which friction counts sliding. Writes `by_half`
    (3,), the force's slope with the distance `half` of the face, and `push_by` (4,), the push's with x, y, theta and `half`.
    """
    by_half[:] = 0.0
    push_by[:] = 0.0
    if stiff == 0.0:
        return 0.0
    mu = case[FRICTION]
    c, s = np.cos(node[2]), np.sin(node[2])
    x, y = node[0] + half * s, node[1] - half * c
    g, mx, my, bend = gap(x, y, case[RADIUS], case[WALL])
    root = np.hypot(g, HAIR * case[T])
    push = stiff * 0.5 * (root - g)
    hit = stiff * 0.5 * (1.0 - g / root)  # -d push/d g
    f = -push * area
    normal = (mx, my, half * (mx * c + my * s))
    along = (my, -mx, half * (my * c - mx * s))
    drag, stick, rub = 0.0, 0.0, 0.0
    if mu > 0.0:
        x0, y0 = was[0] + half * np.sin(was[2]), was[1] - half * np.cos(was[2])
        slid, hair = along[0] * (x - x0) + along[1] * (y - y0), SLIDE * case[T]
        size = np.hypot(slid, hair)
        drag, stick, rub = -mu * f * slid / size, -mu * f * hair**2 / size**3, -mu * hit * area * slid / size
    for i in range(3):
        force[i] += f * normal[i] + drag * along[i]
        push_by[i] = -hit * normal[i]
        for j in range(3):
            slope[i, j] += hit * area * normal[i] * normal[j] + (f * bend + stick) * along[i] * along[j]
            slope[i, j] += rub * along[i] * normal[j]
    slope[2, 2] += f * half * (my * c - mx * s)
    # the face moves by (s, -c) a unit of `half`
    out, by = mx * s - my * c, my * s + mx * c
    push_by[3] = -hit * out
    for i in range(3):
        by_half[i] = hit * area * out * normal[i] + f * bend * by * along[i] + rub * out * along[i]
    by_half[2] += f * (mx * c + my * s)
    return push
