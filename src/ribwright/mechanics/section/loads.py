"""What pushes on the strip, compiled: the pressure on its outer face and cut edge, the block on its inner face.

The block in section is exact: web face y = 0 for x <= 0, edge an arc of radius R about (0, -R), wall the straight line that leaves
the arc at the wall angle w from the web. It pushes at the nodes by a penalty that sets in over a hair of the thickness, and its push
works where the inner face goes, the sheet's thinning counted in.

The pressure on the outer face does the same work as one on the mid-surface: between the two lies half of the sheet's volume, whatever
the sheet does, and a pressure's work is the volume it sweeps. What is left of it stands at the cut edge. With pressure there, as
rubber and fluid have it, it is that of the edge's inner half; without, that of its outer half is taken off again.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ribwright.mechanics.compiled import compiled
from ribwright.mechanics.section.element import AXIS, FRICTION, RADIUS, RING, SIGN, WALL, T

Array = NDArray[np.float64]
HAIR = 1e-4  # of the thickness
REACH = 0.2  # of the thickness: farther from the block a face feels the hair alone, and second slopes of it cost more than they help
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
def pressure_on(case: Array, ends: Array, p: float, force: Array, slope: Array) -> None:
    """Adds minus the pressure's forces on an element's two nodes to `force` (6,), and their slopes to `slope` (6, 6).

    Work p (y1 r1 + y2 r2) dx/2 for a lift of the nodes, its end terms left out: r1, r2 the nodes' radii, 1 in plane strain.
    """
    h, turn = 0.5 * p, 0.0
    dx, dy, r1, r2 = ends[3] - ends[0], ends[4] - ends[1], 1.0, 1.0
    if case[RING] > 0.0:
        turn = h * case[SIGN]
        r1, r2 = case[AXIS] + case[SIGN] * ends[0], case[AXIS] + case[SIGN] * ends[3]
    force[0] -= h * dy * r2
    force[1] += h * dx * r1
    force[3] -= h * dy * r1
    force[4] += h * dx * r2
    slope[0, 1] += h * r2
    slope[0, 4] -= h * r2
    slope[0, 3] -= turn * dy
    slope[3, 1] += h * r1
    slope[3, 4] -= h * r1
    slope[3, 0] -= turn * dy
    slope[1, 0] += turn * dx - h * r1
    slope[1, 3] += h * r1
    slope[4, 0] -= h * r2
    slope[4, 3] += turn * dx + h * r2


@compiled
def edge_on(case: Array, node: Array, at: float, p: float, force: Array, slope: Array, by_at: Array) -> None:
    """Adds minus the force of the pressure that is left at the cut edge to `force` (3,) of the last node and its slopes to `slope`
    (3, 3); writes `by_at` (3,), its slope with `at`, the z of the face: the inner one with pressure on the edge, else the outer."""
    c, s, r, turn = np.cos(node[2]), np.sin(node[2]), 1.0, 0.0
    if case[RING] > 0.0:
        r, turn = case[AXIS] + case[SIGN] * node[0], case[SIGN]
    way = (c, s, -0.5 * at)
    for a in range(3):
        force[a] -= p * at * r * way[a]
        slope[a, 0] -= p * at * turn * way[a]
        by_at[a] = -p * r * way[a]
    by_at[2] *= 2.0
    slope[0, 2] += p * at * r * s
    slope[1, 2] -= p * at * r * c


@compiled
def felt(case: Array, z: float, node: Array) -> bool:
    """Whether a node's inner face, `z` [mm] from the mid-surface, is near enough to the block to be pushed to speak of."""
    g = gap(node[0] - z * np.sin(node[2]), node[1] + z * np.cos(node[2]), case[RADIUS], case[WALL])[0]
    return bool(g < REACH * case[T])


@compiled
def block_on(
    case: Array, half: float, stiff: float, area: float, node: Array, was: Array, force: Array, slope: Array,
    by_half: Array, push_by: Array, half_force: Array,
) -> float:  # fmt: skip
    """Adds minus the block's push on a node of `area` [mm2 per mm or radian] to `force` (3,), `slope` (3, 3); the push [MPa].

    `stiff` [MPa/mm], 0: no block; `was` (3,): the node at the last commit, from which friction counts sliding. Writes `by_half`
    (3,), the force's slope with the distance `half` of the face, `push_by` (4,), the push's with x, y, theta and `half`, and
    `half_force` (5,), minus the force that works as `half` grows and its slopes with the same four.
    """
    by_half[:] = 0.0
    half_force[:] = 0.0
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
    half_force[0] = f * out + drag * by
    for i in range(3):
        half_force[1 + i] = hit * area * out * normal[i] + (f * bend + stick) * by * along[i] + rub * by * normal[i]
    half_force[3] += f * (mx * c + my * s)
    half_force[4] = hit * area * out * out + f * bend * by * by + rub * by * out
    return push
