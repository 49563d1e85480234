"""From one pressure to the next, compiled: Newton's steps, smaller changes of pressure, and drag where neither settles.

A step that turns the sheet by more than `TURN` at once, or does not settle, is taken again over less of the change of pressure;
where that does not help, with a drag c (x - x_committed): the sheet is let go a little way, committed, and the drag shrinks until it
is nothing. So a flange that snaps over is followed, not jumped.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ribwright.mechanics.compiled import compiled
from ribwright.mechanics.section.balance import out_of_balance
from ribwright.mechanics.section.band import ROW, WIDE, solve_band
from ribwright.mechanics.section.element import AXIS, RING, T
from ribwright.mechanics.section.faces import node_area
from ribwright.mechanics.section.moves import moved, strains_between, strains_of

Array = NDArray[np.float64]
TURN = 0.12  # rad, the most a commit may turn the sheet
NEWTONS = 14
TOLERANCE = 1e-6  # of yield stress times thickness
SMALLEST = 0.05  # of the change of pressure: below, drag is tried
LOST = 10.0  # times the largest force left over at first: Newton's steps lead away
PATIENCE, SLACK = 7, 0.05  # what so many steps have not brought under that share of it, more will not
FIRST_DRAG, LEAST_DRAG, FADE = 1e-5, 1e-9, 6.0  # of E/t per area and movement; how much it may grow or shrink at once
STILL = 1e-5  # rad: a commit that turns the sheet by less ends a creep
DRAGS, CREEPS = 40, 300  # attempts with drag that fail, and that succeed, at one pressure
LONG_TURN, LONG_MOVE = 0.3, 20.0  # rad, thicknesses: the most one Newton step may move


@compiled
def _hold(rows: Array, right: Array) -> None:
    """The first node is held: the web goes on there."""
    for a in range(3):
        rows[a, :] = 0.0
        rows[a, WIDE] = 1.0
        right[a] = 0.0
        for i in range(3, min(a + WIDE + 1, len(rows))):
            rows[i, WIDE + a - i] = 0.0


@compiled
def _settle(
    case: Array, law: Array, points: Array, zeta: Array, weight: Array, arc: Array, block: float, pressure: float, drag: float,
    trial: Array, q: Array, was: Array, now: Array, push: Array, out: Array, stress: Array,
) -> tuple[bool, int]:  # fmt: skip
    """Newton's steps from `trial` to balance at a pressure; (settled, steps). `q`, `was`: the last commit."""
    n = len(arc)
    force, rows, right, way = np.empty((n, 3)), np.zeros((3 * n, ROW)), np.empty(3 * n), np.zeros((n, 3))
    tol = TOLERANCE * _yield(law, points) * case[T] * (abs(case[AXIS]) if case[RING] > 0.0 else 1.0)
    first = tol
    for count in range(NEWTONS + 1):
        fine = out_of_balance(
            case, law, points, zeta, weight, arc, block, pressure, trial, q, was, now, push, force, rows, out, stress
        )  # fmt: skip
        miss = _add_drag(case, arc, drag, trial, q, force, rows)
        if fine and miss < tol and count > 0:
            return True, count
        if count < 3:
            first = max(first, miss)
        if not miss <= LOST * first or (count >= PATIENCE and miss > SLACK * first) or count == NEWTONS:
            return False, count
        for i in range(3 * n):
            right[i] = -force[i // 3, i % 3]
        _hold(rows, right)
        if not solve_band(rows, right):
            return False, count
        far = 1.0
        for i in range(n):
            far = max(far, abs(right[3 * i + 2]) / LONG_TURN)
            far = max(far, max(abs(right[3 * i]), abs(right[3 * i + 1])) / (LONG_MOVE * case[T]))
        if not np.isfinite(far):
            return False, count
        strains_of(arc, trial, right.reshape(n, 3), way)
        moved(arc, trial, way, 1.0 / far, trial)
    return False, NEWTONS


@compiled
def advance(
    case: Array, law: Array, points: Array, zeta: Array, weight: Array, arc: Array, block: float, start: float, goal: float,
    q: Array, was: Array, push: Array, gone: Array, over: float, out: Array, stress: Array,
) -> tuple[bool, float, float, int, int]:  # fmt: skip
    """Take a strip in balance at pressure `start` to `goal` [MPa]; positions, history, push, `out` and `stress` are renewed.

    `gone`, `over`: the last commit's move (see `moves`) and the change of pressure it went with. Answers (arrived, pressure
    reached, over, commits, Newton steps).
    """
    trial, now, pushed = q.copy(), was.copy(), np.empty_like(push)
    p, commits, newtons, failed = start, 0, 0, 0
    whole = goal - start
    step = whole if over == 0.0 else min(1.0, 1.5 * abs(over) / max(abs(whole), 1e-300)) * whole
    while True:
        last = abs(p + step - goal) <= 1e-12 * abs(whole) or abs(step) >= abs(goal - p)
        target = goal if last else p + step
        ahead = 0.0
        if over * (target - p) > 0.0:
            ahead = min((target - p) / over, 0.8 * TURN / max(np.max(np.abs(gone[:, 2])), 1e-9))
        moved(arc, q, gone, ahead, trial)
        settled, count = _settle(
            case, law, points, zeta, weight, arc, block, target, 0.0, trial, q, was, now, pushed, out, stress
        )  # fmt: skip
        newtons += count
        turned = np.max(np.abs(trial[:, 2] - q[:, 2])) if settled else np.inf
        if turned <= TURN:
            strains_between(arc, q, trial, gone)
            over = target - p
            q[:] = trial
            was[:] = now
            push[:] = pushed
            commits += 1
            p, failed = target, 0
            if last:
                return True, p, over, commits, newtons
            step = (1.0 if count > 6 else 1.5) * over
        elif abs(target - p) > SMALLEST * abs(whole):
            step = (target - p) * min(max(0.8 * TURN / turned, 0.25), 0.8)
            if not settled:
                failed += 1
                if failed > 1:
                    over = 0.0  # a guess that failed twice is not tried again
        else:
            arrived, more, steps = _creep(
                case, law, points, zeta, weight, arc, block, target, q, was, push, trial, now, pushed, out, stress
            )  # fmt: skip
            commits, newtons = commits + more, newtons + steps
            if not arrived:
                return False, p, 0.0, commits, newtons
            step, over, p = target - p, 0.0, target
            if last:
                return True, p, over, commits, newtons


@compiled
def _creep(
    case: Array, law: Array, points: Array, zeta: Array, weight: Array, arc: Array, block: float, pressure: float, q: Array,
    was: Array, push: Array, trial: Array, now: Array, pushed: Array, out: Array, stress: Array,
) -> tuple[bool, int, int]:  # fmt: skip
    """At a pressure where Newton's steps do not settle: with a drag that is made as large as it must be, and then fades.
    (arrived, commits, Newton steps)."""
    unit = law[0] / case[T]
    drag, least, commits, newtons, failed = FIRST_DRAG * unit, 0.0, 0, 0, 0
    while failed < DRAGS and commits < CREEPS:
        trial[:] = q
        settled, count = _settle(
            case, law, points, zeta, weight, arc, block, pressure, drag, trial, q, was, now, pushed, out, stress
        )  # fmt: skip
        newtons += count
        turned = np.max(np.abs(trial[:, 2] - q[:, 2])) if settled else np.inf
        if turned <= TURN:
            q[:] = trial
            was[:] = now
            push[:] = pushed
            commits += 1
            if drag == 0.0:
                return True, commits, newtons
            # so much less that the next one turns it as far as it may, were it a creep at an even pace; and above what failed
            drag = max(drag * min(max(turned / (0.6 * TURN), 1.0 / FADE), 1.5), least)
            least *= 0.6
            if drag < LEAST_DRAG * unit or turned < STILL:
                drag = 0.0
        else:
            failed += 1
            least = 1.8 * drag
            drag = max(drag * FADE, LEAST_DRAG * unit)
    return False, commits, newtons


@compiled
def _yield(law: Array, points: Array) -> float:
    """Flow stress of the sheet as it came, the measure of a force that is small."""
    if law[5] == 0.0:
        return law[9] * law[6] * law[8] ** law[7]
    if law[5] == 1.0:
        return law[9] * law[6]
    return law[9] * points[1, 0]


@compiled
def _add_drag(case: Array, arc: Array, drag: float, trial: Array, q: Array, force: Array, rows: Array) -> float:
    """Adds the drag; the largest force left over [N/mm, moments over the thickness], the held node left out."""
    t, miss = case[T], 0.0
    for i in range(len(arc)):
        c = drag * node_area(case, arc, i) if drag > 0.0 else 0.0
        for a in range(3):
            w = c * t * t if a == 2 else c
            force[i, a] += w * (trial[i, a] - q[i, a])
            rows[3 * i + a, WIDE] += w
            if i > 0:
                size = abs(force[i, a]) / t if a == 2 else abs(force[i, a])
                if not size <= miss:
                    miss = size
    return miss
