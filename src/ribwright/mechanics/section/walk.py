"""From one pressure to the next, compiled: Newton's steps, smaller changes of pressure, and drag where neither settles.

A step that turns the sheet by more than `TURN` at once, or does not settle, is taken again over less of the change of pressure;
where that does not help, with a drag c (x - x_committed): the sheet is let go a little way, committed, and the drag shrinks until it
is nothing. So a flange that snaps over is followed, not jumped.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ribwright.mechanics.compiled import compiled
from ribwright.mechanics.section.band import MIDDLE, ROWS, WIDE, solve_band
from ribwright.mechanics.section.element import AXIS, RING, SIGN, THROUGH, T, element
from ribwright.mechanics.section.loads import block_on, edge_on, pressure_on

Array = NDArray[np.float64]
import os
TURN = float(os.environ.get("TURN","0.12"))  # rad, the most a commit may turn the sheet
NEWTONS = 14
TOLERANCE = 1e-6  # of yield stress times thickness
SMALLEST = 0.1  # of the change of pressure: below, drag is tried
LOST = 10.0  # times the largest force left over at first: Newton's steps lead away
DRAGS = 60  # times that drag may be raised at one pressure
LONG_TURN, LONG_MOVE = 0.3, 20.0  # rad, thicknesses: the most one Newton step may move


@compiled
def out_of_balance(
    case: Array, law: Array, points: Array, zeta: Array, weight: Array, arc: Array, block: float, pressure: float,
    q: Array, was_q: Array, was: Array, now: Array, push: Array, force: Array, ab: Array, out: Array, stress: Array,
) -> bool:  # fmt: skip
    """Forces (N, 3) left over at positions `q`, their slopes in `ab`, the history and push that go with them. The slope of the
    pressure with the faces' distance, small, is left out of `ab`."""
    n = len(arc)
    force[:] = 0.0
    ab[:] = 0.0
    f, k, ends, by_push = np.zeros(6), np.zeros((6, 6)), np.zeros(6), np.zeros(6)
    fn, kn, by_half, push_by = np.zeros(3), np.zeros((3, 3)), np.zeros(3), np.zeros(4)
    half_by, pushes = np.zeros(4), np.zeros((n, 9))
    solved = True
    stiff = block * law[0] / case[T]
    for i in range(n):
        fn[:] = 0.0
        kn[:] = 0.0
        lo, hi = max(i - 1, 0), min(i + 1, n - 1)
        half = face(case, arc, q, i, -1.0, half_by)
        push[i] = block_on(case, half, stiff, _area(case, arc, i), q[i], was_q[i], fn, kn, by_half, push_by)
        for b in range(3):
            pushes[i, 3 + b] += push_by[b]
            pushes[i, 3 * (lo - i + 1) + b] -= push_by[3] * half_by[b]
            pushes[i, 3 * (hi - i + 1) + b] += push_by[3] * half_by[b]
        pushes[i, 3] += push_by[3] * half_by[3]
        if i == n - 1:
            edge_on(case, q[i], pressure, fn, kn)
        for a in range(3):
            force[i, a] += fn[a]
            for b in range(3):
                ab[MIDDLE + a - b, 3 * i + b] += kn[a, b]
                ab[MIDDLE + 3 * (i - lo) + a - b, 3 * lo + b] -= by_half[a] * half_by[b]
                ab[MIDDLE + 3 * (i - hi) + a - b, 3 * hi + b] += by_half[a] * half_by[b]
            ab[MIDDLE + a, 3 * i] += by_half[a] * half_by[3]
    through = 0.5 * case[THROUGH] * block
    outer = face(case, arc, q, 0, 1.0, half_by)
    for e in range(n - 1):
        for i in range(3):
            ends[i], ends[3 + i] = q[e, i], q[e + 1, i]
        fine = element(
            case, law, points, zeta, weight, ends, arc[e + 1] - arc[e], 0.5 * (arc[e] + arc[e + 1]),
            0.5 * (was_q[e, 0] + was_q[e + 1, 0]), through * (push[e] + push[e + 1]), case[THROUGH] * pressure,
            was[e], now[e], f, k, by_push, out[e], stress[e],
        )  # fmt: skip
        solved = solved and fine
        next_outer = face(case, arc, q, e + 1, 1.0, half_by)
        pressure_on(case, ends, outer, next_outer, pressure, f, k)
        outer = next_outer
        for i in range(6):
            force[e + i // 3, i % 3] += f[i]
            for j in range(6):
                ab[MIDDLE + i - j, 3 * e + j] += k[i, j]
            if through > 0.0:
                for j in range(9):
                    if e > 0 or j >= 3:
                        ab[MIDDLE + i - j + 3, 3 * e - 3 + j] += through * by_push[i] * pushes[e, j]
                    if e < n - 2 or j < 6:
                        ab[MIDDLE + i - j, 3 * e + j] += through * by_push[i] * pushes[e + 1, j]
    return solved


@compiled
def face(case: Array, arc: Array, q: Array, i: int, side: float, by: Array) -> float:
    """Distance of a face (`side` +1 outer, -1 inner) from the mid-surface at a node [mm]: bending with the volume kept makes
    the inner half thicker and the outer one thinner, hoop stretch thins both. z - k z^2/2 = half the thickness over l.

    Writes `by` (4,): its slopes with x, y and theta of the next node (minus those with the node before), with the node's own x.
    """
    lo, hi = max(i - 1, 0), min(i + 1, len(arc) - 1)
    dx, dy = q[hi, 0] - q[lo, 0], q[hi, 1] - q[lo, 1]
    long = arc[hi] - arc[lo]
    far = np.sqrt(dx * dx + dy * dy)
    l, k = far / long, (q[hi, 2] - q[lo, 2]) / long
    z, thin = side * 0.5 * case[T], 0.0
    if case[RING] > 0.0:
        now_r = case[AXIS] + case[SIGN] * q[i, 0]
        z *= (case[AXIS] + case[SIGN] * arc[i]) / now_r
        thin = -case[SIGN] / now_r
    lam = np.sqrt(max(l * l - 2.0 * k * z, 0.04))
    both = l + lam
    at = side * 2.0 * z / both
    by_l = -at / both * (1.0 + l / lam)
    by[0], by[1], by[2] = by_l * dx / far / long, by_l * dy / far / long, at / both * z / lam / long
    by[3] = at * (1.0 + k * z / (both * lam)) * thin
    return at


@compiled
def face_distance(case: Array, arc: Array, q: Array, i: int, side: float) -> float:
    """`face` without its slopes."""
    return face(case, arc, q, i, side, np.zeros(4))


@compiled
def _area(case: Array, arc: Array, i: int) -> float:
    """Flat area of a node [mm2 per mm of width, or per radian]."""
    long = 0.0
    if i > 0:
        long += 0.5 * (arc[i] - arc[i - 1])
    if i < len(arc) - 1:
        long += 0.5 * (arc[i + 1] - arc[i])
    return long * (case[AXIS] + case[SIGN] * arc[i]) if case[RING] > 0.0 else long


@compiled
def _hold(ab: Array, right: Array) -> None:
    """The first node is held: the web goes on there."""
    for a in range(3):
        for k in range(ab.shape[1]):
            if abs(a - k) <= WIDE:
                ab[MIDDLE + a - k, k] = 0.0
                ab[MIDDLE + k - a, a] = 0.0
        ab[MIDDLE, a] = 1.0
        right[a] = 0.0


@compiled
def advance(
    case: Array, law: Array, points: Array, zeta: Array, weight: Array, arc: Array, block: float, start: float, goal: float,
    q: Array, was: Array, push: Array, gone: Array, over: float, out: Array, stress: Array,
) -> tuple[bool, float, float, int, int]:  # fmt: skip
    """Take a strip in balance at pressure `start` to `goal` [MPa]; positions, history, push, `out` and `stress` are renewed.

    `gone`, `over`: the last commit's move and the change of pressure it went with. Answers (arrived, pressure reached, over,
    commits, Newton steps).
    """
    n = len(arc)
    trial, now, pushed = q.copy(), np.empty_like(was), np.empty_like(push)
    force, ab, right, way = np.empty((n, 3)), np.zeros((ROWS, 3 * n)), np.empty(3 * n), np.zeros((n, 3))
    tol = TOLERANCE * _yield(law, points) * case[T] * (abs(case[AXIS]) if case[RING] > 0.0 else 1.0)
    soft = law[0] * case[T]
    p, drag, drags, failed, commits, newtons = start, 0.0, 0, 0, 0, 0
    whole = goal - start
    step = whole if over == 0.0 else min(1.0, 1.5 * abs(over) / max(abs(whole), 1e-300)) * whole
    while True:
        change = step if abs(p + step - goal) > 1e-12 * abs(whole) else goal - p
        ahead = 0.0
        if drag == 0.0 and over * change > 0.0:
            ahead = min(change / over, 0.8 * TURN / max(np.max(np.abs(gone[:, 2])), 1e-9))
        moved(arc, q, gone, ahead, trial)
        target = goal if change == goal - p else p + change
        settled, first, count = False, 0.0, 0
        while count <= NEWTONS:
            fine = out_of_balance(
                case, law, points, zeta, weight, arc, block, target, trial, q, was, now, pushed, force, ab, out, stress
            )  # fmt: skip
            miss = _add_drag(case, arc, drag, trial, q, force, ab)
            if count < 3:
                first = max(first, miss)
            if not np.isfinite(miss) or miss > LOST * max(first, tol):
                break
            if fine and miss < tol and count > 0:
                settled = True
                break
            for i in range(3 * n):
                right[i] = -force[i // 3, i % 3]
            _hold(ab, right)
            newtons += 1
            count += 1
            if not solve_band(ab, right):
                break
            far = 1.0
            for i in range(n):
                far = max(far, abs(right[3 * i + 2]) / LONG_TURN)
                far = max(far, max(abs(right[3 * i]), abs(right[3 * i + 1])) / (LONG_MOVE * case[T]))
            if not np.isfinite(far):
                break
            strains_of(arc, trial, right.reshape(n, 3), way)
            moved(arc, trial, way, 1.0 / far, trial)
        turned = np.max(np.abs(trial[:, 2] - q[:, 2])) if settled else np.inf
        if settled and turned <= TURN:
            strains_between(arc, q, trial, gone)
            over = 0.0 if drag > 0.0 else target - p
            q[:] = trial
            was[:] = now
            push[:] = pushed
            commits += 1
            if drag > 0.0:
                drag = drag / 4.0 if drag > 1e-6 * soft else 0.0
                # stays at `target`: it is reached when the drag is gone
                if p != target:
                    p = target
                step = 0.0
                continue
            p, drags, failed = target, 0, 0
            if p == goal:
                return True, p, over, commits, newtons
            step = (1.0 if count > 6 else 1.5) * over if over != 0.0 else whole
            if abs(step) > abs(goal - p):
                step = goal - p
        elif drag == 0.0 and abs(step) > SMALLEST * abs(whole):
            step *= min(max(0.8 * TURN / turned, 0.25), 0.8)
            if not settled and failed > 0:
                over = 0.0  # a guess that failed twice is not tried again
            failed = 0 if settled else failed + 1
        else:
            drag = drag * 6.0 if drag > 0.0 else 1e-3 * soft
            drags += 1
            over = 0.0
            if drags > DRAGS:
                return False, p, 0.0, commits, newtons


@compiled
def strains_of(arc: Array, q: Array, step: Array, way: Array) -> None:
    """What a small step of the nodes (N, 3) is as changes of stretch and shear of the elements and of the slopes: `way` (N, 3),
    an element's in the row of its second node."""
    way[0, 0] = way[0, 1] = 0.0
    way[0, 2] = step[0, 2]
    for e in range(len(arc) - 1):
        long, th = arc[e + 1] - arc[e], 0.5 * (q[e, 2] + q[e + 1, 2])
        c, s = np.cos(th), np.sin(th)
        dx, dy = (q[e + 1, 0] - q[e, 0]) / long, (q[e + 1, 1] - q[e, 1]) / long
        sx, sy = (step[e + 1, 0] - step[e, 0]) / long, (step[e + 1, 1] - step[e, 1]) / long
        turn = 0.5 * (step[e, 2] + step[e + 1, 2])
        way[e + 1, 0] = c * sx + s * sy + (c * dy - s * dx) * turn
        way[e + 1, 1] = c * sy - s * sx - (c * dx + s * dy) * turn
        way[e + 1, 2] = step[e + 1, 2]


@compiled
def strains_between(arc: Array, q: Array, new: Array, way: Array) -> None:
    """The same between two positions far apart."""
    way[0, 0] = way[0, 1] = 0.0
    way[0, 2] = new[0, 2] - q[0, 2]
    for e in range(len(arc) - 1):
        long = arc[e + 1] - arc[e]
        for side, at in ((-1.0, q), (1.0, new)):
            th = 0.5 * (at[e, 2] + at[e + 1, 2])
            c, s = np.cos(th), np.sin(th)
            dx, dy = (at[e + 1, 0] - at[e, 0]) / long, (at[e + 1, 1] - at[e, 1]) / long
            if side < 0.0:
                way[e + 1, 0], way[e + 1, 1] = -(c * dx + s * dy), -(c * dy - s * dx)
            else:
                way[e + 1, 0] += c * dx + s * dy
                way[e + 1, 1] += c * dy - s * dx
        way[e + 1, 2] = new[e + 1, 2] - q[e + 1, 2]


@compiled
def moved(arc: Array, q: Array, way: Array, share: float, to: Array) -> None:
    """Nodes `to` (N, 3) that `share` of `way` leads to from `q`: slopes first, then the elements laid end to end, so that a sheet
    that turns is not stretched by the step. `to` may be `q`."""
    x, y, th0 = q[0, 0], q[0, 1], q[0, 2]
    x0, y0, was = x, y, th0
    to[0, 2] = th0 + share * way[0, 2]
    for e in range(len(arc) - 1):
        long = arc[e + 1] - arc[e]
        x1, y1, th1 = q[e + 1, 0], q[e + 1, 1], q[e + 1, 2]
        th = 0.5 * (was + th1)
        c, s = np.cos(th), np.sin(th)
        dx, dy = (x1 - x0) / long, (y1 - y0) / long
        l, g = c * dx + s * dy + share * way[e + 1, 0], c * dy - s * dx + share * way[e + 1, 1]
        th += 0.5 * share * (way[e, 2] + way[e + 1, 2])
        c, s = np.cos(th), np.sin(th)
        x, y = x + long * (l * c - g * s), y + long * (l * s + g * c)
        to[e + 1, 0], to[e + 1, 1], to[e + 1, 2] = x, y, th1 + share * way[e + 1, 2]
        x0, y0, was = x1, y1, th1


@compiled
def _yield(law: Array, points: Array) -> float:
    """Flow stress of the sheet as it came, the measure of a force that is small."""
    if law[5] == 0.0:
        return law[9] * law[6] * law[8] ** law[7]
    if law[5] == 1.0:
        return law[9] * law[6]
    return law[9] * points[1, 0]


@compiled
def _add_drag(case: Array, arc: Array, drag: float, trial: Array, q: Array, force: Array, ab: Array) -> float:
    """Adds the drag; the largest force left over [N/mm, moments over the thickness], the held node left out."""
    t, miss = case[T], 0.0
    for i in range(len(arc)):
        c = drag * _area(case, arc, i) if drag > 0.0 else 0.0
        for a in range(3):
            w = c * t * t if a == 2 else c
            force[i, a] += w * (trial[i, a] - q[i, a])
            ab[MIDDLE, 3 * i + a] += w
            if i > 0:
                size = abs(force[i, a]) / t if a == 2 else abs(force[i, a])
                if not size <= miss:
                    miss = size
    return miss
