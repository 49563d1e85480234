"""Strips without a block, driven by what a test prescribes: end couples, end rotations, pressure. The compiled forces and slopes
are the model's own; the Newton steps are not."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq

from ribwright.mechanics.section.balance import out_of_balance
from ribwright.mechanics.section.band import ROW, WIDE
from ribwright.mechanics.section.element import element
from ribwright.mechanics.section.faces import face_distance
from ribwright.mechanics.section.loads import edge_on, pressure_on
from ribwright.mechanics.section.strip import State, Strip, at_rest
from ribwright.mechanics.sheet_law import SheetLaw

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Load:
    """What acts besides the clamp at the first node: pressure on the outer face [MPa], couple on the last node [N, or N mm per
    radian of a ring], positive the way a flange turns; or the angle [rad] to which the last node is turned instead."""

    pressure: float = 0.0
    couple: float = 0.0
    angle: float | None = None


def free_strip(
    law: SheetLaw, length: float, t: float, elements: int, axis: float | None = None, sign: float = 1.0,
    layers: int = 10, through: bool = False, beside_clamp: float = 1.0,
) -> Strip:  # fmt: skip
    """A strip of equal elements held at its first node; `beside_clamp` > 1 crowds them there."""
    arc = length * np.linspace(0.0, 1.0, elements + 1) ** beside_clamp
    return Strip(law, arc, t, 1.0, 1.0, axis, sign, 0.0, layers, through, edge=False)


def settle(s: Strip, state: State, load: Load, most: int = 60) -> State:
    """The strip in balance under `load`, from `state`; AssertionError where Newton's steps do not get there."""
    n, q = len(s.arc), state.q.copy()
    zeta, weight = s.gauss()
    now, push = state.history.copy(), np.zeros(n)
    force, rows = np.zeros((n, 3)), np.zeros((3 * n, ROW))
    out, stress = np.zeros((n - 1, 2)), np.zeros((n - 1, s.layers))
    elastic = state.history.copy()
    if load.angle is None:
        elastic[..., 5] *= 1e9  # the first step: where the sheet was left it yields, let go it does not
    held = [0, 1, 2] + ([3 * n - 1] if load.angle is not None else [])
    if load.angle is not None:
        q[:, 2] += (-load.angle - q[-1, 2]) * s.arc / s.arc[-1]
        way = np.diff(s.arc) * np.hypot(*np.diff(state.q[:, :2], axis=0).T) / np.diff(s.arc)
        mean = 0.5 * (q[1:, 2] + q[:-1, 2])
        q[1:, 0] = q[0, 0] + np.cumsum(way * np.cos(mean))
        q[1:, 1] = q[0, 1] + np.cumsum(way * np.sin(mean))
    enough = max(1e-8 * s.law.e * s.t**3 / s.arc[-1] ** 2, 1e-13 * s.law.e * s.t) * (s.axis or 1.0)
    for count in range(most):
        solved = out_of_balance(
            s.case(), s.law.row(), s.law.points(), zeta, weight, s.arc, 0.0, load.pressure, q, state.q,
            elastic if count == 0 else state.history, now, push, force, rows, out, stress,
        )  # fmt: skip
        right = -force.ravel()
        right[3 * n - 1] -= load.couple
        full = unbanded(rows)
        right[held] = 0.0
        full[held] = np.eye(3 * n)[held]
        if count > 0 and solved and np.abs(right).max() < enough:
            return replace(
                state,
                q=q,
                history=now.copy(),
                moment=out[:, 0],
                normal=out[:, 1],
                stress=stress,
                pressure=load.pressure,
            )
        step = np.linalg.solve(full, right).reshape(n, 3)
        q += step / max(1.0, np.abs(step[:, 2]).max() / 0.3)
    raise AssertionError(f"no balance under {load}: {np.abs(right).max():.2e} left over")


def unbanded(rows: Array) -> Array:
    """The square matrix that `rows` of the band hold."""
    n = len(rows)
    full = np.zeros((n, n))
    for i in range(n):
        first, last = max(0, i - WIDE), min(n, i + WIDE + 1)
        full[i, first:last] = rows[i, WIDE + first - i : WIDE + last - i]
    return full


def bent(law: SheetLaw, t: float, curvature: float, steps: int = 40, layers: int = 12) -> tuple[Strip, State]:
    """One element bent by end couples to `curvature` [1/mm], positive like a flange's, in equal steps, no normal force."""
    s = free_strip(law, 0.1 * t, t, 1, layers=layers)
    state = at_rest(s)
    for k in np.linspace(0.0, curvature, steps + 1)[1:]:
        state = round_element(s, state, k)
    return s, state


def let_go(s: Strip, state: State) -> State:
    """One element of `bent` after its couples are taken off."""
    k, soft = curvature(s, state)[0], 12.0 / (s.law.e * s.t**3)
    return round_element(
        s, state, brentq(lambda x: round_element(s, state, x).moment[0], k + 2.0 * state.moment[0] * soft, k)
    )


def round_element(s: Strip, state: State, curvature: float) -> State:
    """One element taken to a curvature [1/mm], its stretch such that no normal force is left."""
    zeta, weight = s.gauss()
    turn, long = curvature * s.arc[-1], s.arc[-1]
    now, spare, rows = state.history.copy(), np.zeros((2, 3)), np.zeros((6, ROW))
    out, stress, none = np.zeros((1, 2)), np.zeros((1, s.layers)), np.zeros(2)
    q = state.q.copy()

    def pull(stretch: float) -> float:
        q[1] = q[0] + [stretch * long * np.cos(turn / 2), -stretch * long * np.sin(turn / 2), -turn]
        assert out_of_balance(
            s.case(), s.law.row(), s.law.points(), zeta, weight, s.arc, 0.0, 0.0, q, state.q, state.history, now, none,
            spare, rows, out, stress,
        )  # fmt: skip
        return float(out[0, 1])

    was = float(np.hypot(*(state.q[1, :2] - state.q[0, :2]))) / long
    pull(brentq(pull, was - 0.02, was + 0.02, xtol=1e-15))
    return replace(
        state, q=q, history=now.copy(), moment=out[:, 0].copy(), normal=out[:, 1].copy(), stress=stress.copy()
    )


def stretch(s: Strip, state: State) -> Array:
    """Of the mid-surface of each element."""
    return np.hypot(*np.diff(state.q[:, :2], axis=0).T) / np.diff(s.arc)


def curvature(s: Strip, state: State) -> Array:
    """Of each element [1/mm]."""
    return -np.diff(state.q[:, 2]) / np.diff(s.arc)


@dataclass(frozen=True)
class Piece:
    """Forces (6,) on an element's two nodes (x, y, theta each), their slopes (6, 6), the history (layers, 6) it would leave; the
    forces' slopes with the push (6,)."""

    force: Array
    slope: Array
    history: Array
    stress: Array
    by_push: Array


def element_at(s: Strip, ends: Array, history: Array, push: float = 0.0, pressure: float = 0.0) -> Piece:
    """The only element of a strip of two nodes, `ends` (6,), with stress through it from `push` to `pressure` [MPa]."""
    zeta, weight = s.gauss()
    now, force, slope, by_push = history.copy(), np.zeros(6), np.zeros((6, 6)), np.zeros(6)
    out, stress = np.zeros(2), np.zeros(s.layers)
    assert element(
        s.case(), s.law.row(), s.law.points(), zeta, weight, ends, s.arc[1] - s.arc[0], 0.5 * (s.arc[0] + s.arc[1]),
        push, pressure, history, now, force, slope, by_push, out, stress,
    )  # fmt: skip
    return Piece(force, slope, now, stress, by_push)


def pressure_on_nodes(s: Strip, state: State) -> Array:
    """Forces and couples (N, 3) of the pressure on the nodes, what it does through the thickness at the cut edge left out."""
    total = np.zeros((len(s.arc), 3))
    for e in range(len(s.arc) - 1):
        force = np.zeros(6)
        pressure_on(s.case(), state.q[e : e + 2].ravel(), state.pressure, force, np.zeros((6, 6)))
        total[e : e + 2] -= force.reshape(2, 3)
    edge, room = np.zeros(3), (np.zeros((3, 3)), np.zeros(3))
    side = -1.0 if s.edge else 1.0
    at = side * face_distance(s.case(), s.arc, state.q, len(s.arc) - 1, side)
    edge_on(s.case(), state.q[-1], at, state.pressure, edge, *room)
    total[-1] -= edge
    return total
