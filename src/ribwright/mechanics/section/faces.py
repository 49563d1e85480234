"""Where the faces of the strip lie, and how that moves, compiled.

Bending with the volume kept makes the inner half thicker and the outer one thinner, stretch and hoop stretch thin both:

    l z - k z^2/2 = side t/(2 h),    lambda = l - k z the stretch there
    d z = -z/lambda d l + z^2/(2 lambda) d k - side t/(2 h)/lambda d h/h

`l` stretch, `k` bending [1/mm], h hoop stretch, `side` +1 outer face, -1 inner face.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ribwright.mechanics.compiled import compiled
from ribwright.mechanics.section.element import AXIS, LEAST_STRETCH2, RING, SIGN, T, to_nodes

Array = NDArray[np.float64]


Three = tuple[float, float, float]


@compiled
def depth(l: float, k: float, thick: float) -> tuple[float, Three, tuple[Three, Three, Three]]:
    """z [mm] of l z - k z^2/2 = `thick` [mm]; its slopes with l, k and `thick`, and theirs."""
    lam = np.sqrt(max(l * l - 2.0 * k * thick, LEAST_STRETCH2))
    z = 2.0 * thick / (l + lam)
    cube = lam**3
    lk, lt, kt = -z * z * (lam + 0.5 * l) / cube, -l / cube, z * (lam + 0.5 * k * z) / cube
    ll, kk, tt = 2.0 * thick / cube, 0.5 * z * z * (z * lam + thick) / cube, k / cube
    return z, (-z / lam, 0.5 * z * z / lam, 1.0 / lam), ((ll, lk, lt), (lk, kk, kt), (lt, kt, tt))


@compiled
def face(case: Array, arc: Array, q: Array, i: int, side: float, by: Array, twice: Array, second: bool = True) -> float:
    """z of a face at a node [mm], negative inside; l and k of the two elements beside it together.

    Writes `by` (4,): its slopes with x, y and theta of the next node (minus those with the node before), with the node's own x;
    and `twice` (4, 4), theirs, where `second`.
    """
    lo, hi = max(i - 1, 0), min(i + 1, len(arc) - 1)
    dx, dy = q[hi, 0] - q[lo, 0], q[hi, 1] - q[lo, 1]
    long, far = arc[hi] - arc[lo], np.sqrt(dx * dx + dy * dy)
    c, s = dx / far, dy / far
    thick, thin = side * 0.5 * case[T], 0.0
    if case[RING] > 0.0:
        now_r = case[AXIS] + case[SIGN] * q[i, 0]
        thick *= (case[AXIS] + case[SIGN] * arc[i]) / now_r
        thin = -case[SIGN] / now_r
    z, z1, z2 = depth(far / long, (q[hi, 2] - q[lo, 2]) / long, thick)
    # each of the four moves one of l, k and thick, by so much
    moves, much = (0, 0, 1, 2), (c / long, s / long, 1.0 / long, thick * thin)
    for a in range(4):
        by[a] = z1[moves[a]] * much[a]
    if not second:
        return z
    for a in range(4):
        for b in range(4):
            twice[a, b] = z2[moves[a]][moves[b]] * much[a] * much[b]
    turn = z1[0] / (far * long)
    twice[0, 0] += turn * s * s
    twice[1, 1] += turn * c * c
    twice[0, 1] -= turn * s * c
    twice[1, 0] -= turn * s * c
    twice[3, 3] += z1[2] * 2.0 * thick * thin * thin
    return z


@compiled
def face_at(case: Array, arc: Array, q: Array, i: int, side: float) -> float:
    """`face` without its slopes: z [mm] of a face at a node, negative inside."""
    lo, hi = max(i - 1, 0), min(i + 1, len(arc) - 1)
    dx, dy = q[hi, 0] - q[lo, 0], q[hi, 1] - q[lo, 1]
    long = arc[hi] - arc[lo]
    l, k = np.sqrt(dx * dx + dy * dy) / long, (q[hi, 2] - q[lo, 2]) / long
    thick = side * 0.5 * case[T]
    if case[RING] > 0.0:
        thick *= (case[AXIS] + case[SIGN] * arc[i]) / (case[AXIS] + case[SIGN] * q[i, 0])
    return 2.0 * thick / (l + np.sqrt(max(l * l - 2.0 * k * thick, LEAST_STRETCH2)))


@compiled
def face_distance(case: Array, arc: Array, q: Array, i: int, side: float) -> float:
    """Distance of a face from the mid-surface at a node [mm], whichever side it is on."""
    return side * face_at(case, arc, q, i, side)


@compiled
def node_area(case: Array, arc: Array, i: int) -> float:
    """Flat area of a node [mm2 per mm of width, or per radian]."""
    long = 0.0
    if i > 0:
        long += 0.5 * (arc[i] - arc[i - 1])
    if i < len(arc) - 1:
        long += 0.5 * (arc[i + 1] - arc[i])
    return long * (case[AXIS] + case[SIGN] * arc[i]) if case[RING] > 0.0 else long


@compiled
def squeezed(
    case: Array, ends: Array, long: float, flat_x: float, push: float, pressure: float, force: Array, slope: Array
) -> None:
    """Adds what held loads on the faces, `push` inside and `pressure` outside [MPa of flat area], do as the sheet between them thins:
    an energy pressure z_o - push z_i per flat area of the element. To `force` (6,), `slope` (6, 6).

    For loads that stand at a fixed distance from the mid-surface: the pad's. The strip's own are in `balance`, exact.
    """
    dx, dy = ends[3] - ends[0], ends[4] - ends[1]
    th, k = 0.5 * (ends[2] + ends[5]), (ends[5] - ends[2]) / long
    c, s = np.cos(th), np.sin(th)
    l, g = (dx * c + dy * s) / long, (dy * c - dx * s) / long
    half, thin, flat_r = 0.5 * case[T], 0.0, 1.0
    if case[RING] > 0.0:
        flat_r = case[AXIS] + case[SIGN] * flat_x
        now_r = case[AXIS] + case[SIGN] * 0.5 * (ends[0] + ends[3])
        half *= flat_r / now_r
        thin = -case[SIGN] / now_r
    bl = (c / long, s / long, g, 0.0, 0.0)
    kk = np.zeros((5, 6))
    n_, m_, hr = 0.0, 0.0, 0.0
    for side, load in ((-1.0, -push), (1.0, pressure)):
        thick = side * half
        _, z1, z2 = depth(l, k, thick)
        by_x = thick * thin
        n_ += load * z1[0]
        m_ += load * z1[1]
        hr += load * z1[2] * by_x
        for i in range(3):
            for j in range(3):
                kk[i, j] += load * z2[0][0] * bl[i] * bl[j]
            kk[i, 3] += load * z2[0][1] * bl[i]
            kk[3, i] += load * z2[0][1] * bl[i]
            kk[i, 4] += load * z2[0][2] * by_x * bl[i]
            kk[4, i] += load * z2[0][2] * by_x * bl[i]
        kk[3, 3] += load * z2[1][1]
        kk[3, 4] += load * z2[1][2] * by_x
        kk[4, 3] += load * z2[1][2] * by_x
        kk[4, 4] += load * (z2[2][2] * by_x * by_x + 2.0 * z1[2] * by_x * thin)
    kk[0, 2] -= n_ * s / long
    kk[2, 0] -= n_ * s / long
    kk[1, 2] += n_ * c / long
    kk[2, 1] += n_ * c / long
    kk[2, 2] -= n_ * l
    f, own, rows = (n_ * bl[0], n_ * bl[1], n_ * bl[2], m_, hr), np.zeros(6), np.zeros((6, 6))
    to_nodes(f, kk, long, long * flat_r, own, rows)
    for i in range(6):
        force[i] += own[i]
        for j in range(6):
            slope[i, j] += rows[i, j]
