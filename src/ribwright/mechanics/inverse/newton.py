"""Newton's method down a ladder of regularised laws.

With eps_r large the sheet is nearly linear and every start leads home; each rung takes one step at its own eps_r, the last one goes on until it
is in balance. A step is cut until nothing is turned over and the forces out of balance shrink; a rung whose step was cut is taken again.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ribwright.mechanics.inverse.krylov import solve, times
from ribwright.mechanics.inverse.system import Balance, System

Array = NDArray[np.float64]
RUNGS = (0.2, 0.066, 0.022, 0.0073, 0.002)  # eps_r: the first nearly linear, the last the sheet's
SHARE = 1e-2  # of the forces that a linear step may leave
STALE = 8  # linear steps after which the factors are made anew
MOST_LINEAR = 30
MOST_STEPS = 60
LEAST_PART = 1.0 / 1024.0
SETTLED = 1e-9  # mm: a step that moves nothing further ends it
FALL = 1e-4  # share of a step's part by which the forces must shrink


@dataclass(frozen=True, eq=False)
class Found:
    """Flat places (N, 2) [mm], whether they are in balance, least J met at the end, steps, factorisations, linear steps, largest
    force out of balance left [N]."""

    x: Array
    settled: bool
    least: float
    steps: int
    factors: int
    linear: int
    worst: float


@dataclass
class _Way:
    """Directions and their costs: keeps the factors until they are stale."""

    system: System
    lu: Any = None
    factors: int = 0
    linear: int = 0
    stale: bool = True

    def step(self, x: Array, at: Balance, regular: float, thin: float) -> Array | None:
        """Newton's step, inexact; None where no factors could be made."""
        p, b = self.system.edge_pattern, -at.off.ravel()
        fresh = self.stale or self.lu is None
        while True:
            if fresh:
                made = self.system.factors(x, regular, thin)
                self.factors += 1
                self.lu = made if made is not None else self.lu
                if self.lu is None:
                    break
            way, steps, left = solve(
                lambda v: times(at.data, p.rows, p.starts, v), self.lu.solve, b, SHARE, MOST_LINEAR
            )
            self.linear += steps
            self.stale = steps > STALE
            if left <= SHARE:
                return way
            if fresh:
                break
            fresh = True
        lu = self.system.own_factors(at)
        self.factors += 1
        return None if lu is None else np.asarray(lu.solve(b))


def settle(
    system: System, x: Array, rungs: tuple[float, ...], thin: float, most: int = MOST_STEPS, farthest: float = np.inf
) -> Found:
    """Flat places in balance from x (N, 2) on, down the rungs; thin: see `assemble`. At most `most` steps; given up where a node is
    `farthest` [mm] or more from where it began."""
    way, rung, steps, start = _Way(system), 0, 0, x
    regular = rungs[0]
    at = system.at(x, regular, thin)
    settled = system.number.max(initial=-1) < 0
    while not settled and at.least > 0.0 and steps < most:
        d = way.step(x, at, regular, thin)
        steps += 1
        last = rung == len(rungs) - 1
        if d is None or not np.isfinite(d).all():
            break
        part, size = 1.0, at.size
        while True:
            to = system.moved(x, d, part)
            there = system.at(to, regular, thin, slopes=last)
            if there.size <= (1.0 - FALL * part) * size or (part * np.abs(d).max() < SETTLED and there.least > 0.0):
                break
            part *= 0.5
            if part < LEAST_PART:
                return _found(x, False, at, way, steps)
        x, at = to, there
        if np.abs(x - start).max() >= farthest:
            return _found(x, False, at, way, steps)
        if not last:
            rung += part == 1.0
            regular = rungs[rung]
            at = system.at(x, regular, thin)
        elif part == 1.0:
            settled = float(np.abs(d).max()) < SETTLED
    return _found(x, settled, at, way, steps)


def _found(x: Array, settled: bool, at: Balance, way: _Way, steps: int) -> Found:
    worst = float(np.abs(at.off).max(initial=0.0)) if at.least > 0.0 else float("inf")
    return Found(x, settled, at.least, steps, way.factors, way.linear, worst)
