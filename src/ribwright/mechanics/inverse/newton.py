"""Newton's method down a ladder of regularised laws.

With eps_r large the sheet is nearly linear and every start leads home. A rung is left as soon as a whole step moves nothing further than
`near`; the last one goes on until it is in balance. A step is cut until nothing is turned over and the forces out of balance shrink. Where
Newton's would have to be cut below a quarter, steps with the secant standing still (Kachanov's method) go first: slow near the
end, but they come home from far off, also where the sheet hardens little.
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
SHARE = 0.05  # of the forces that a linear step may leave
GOOD_ENOUGH = 0.3  # the same where no better factors are to be had
STALE = 8  # linear steps after which the factors are made anew
MOST_LINEAR = 30
FEW_LINEAR = 15  # with the sheet's thinning: more are needed only near to necking
MOST_STEPS = 60
LEAST_PART = 1.0 / 1024.0
CUT = 0.25  # of a step of Newton's: cut below it, Kachanov's steps go first
SETTLED = 1e-8  # mm: a step that moves nothing further ends it
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

    def step(self, x: Array, at: Balance, regular: float, thin: float, soften: float) -> Array | None:
        """Newton's step, inexact; None where no factors could be made."""
        p, b = self.system.edge_pattern, -at.off.ravel()
        fresh = self.stale or self.lu is None
        while True:
            if fresh:
                made = self.system.factors(x, regular, soften)
                self.factors += 1
                self.lu = made if made is not None else self.lu
                if self.lu is None:
                    break
            way, steps, left = solve(
                lambda v: times(at.data, p.rows, p.starts, v),
                self.lu.solve,
                b,
                SHARE,
                FEW_LINEAR if thin > 0.0 else MOST_LINEAR,
            )
            self.linear += steps
            self.stale = steps > STALE
            if left <= (GOOD_ENOUGH if fresh else SHARE):
                return way
            if fresh:
                break
            fresh = True
        if thin > 0.0:
            return None  # a sheet near to necking: no factors would help
        lu = self.system.own_factors(at)
        self.factors += 1
        return None if lu is None else np.asarray(lu.solve(b))


def settle(
    system: System, x: Array, rungs: tuple[float, ...], thin: float, near: float, most: int = MOST_STEPS
) -> Found:
    """Flat places in balance from x (N, 2) on, down the rungs, in at most `most` steps.

    thin: see `assemble`; near [mm]: about half an edge of a triangle."""
    way, rung, steps, soften = _Way(system), 0, 0, 1.0
    regular = rungs[0]
    at = system.at(x, regular, thin)
    settled = system.number.max(initial=-1) < 0
    while not settled and at.least > 0.0 and steps < most:
        last = rung == len(rungs) - 1
        d = way.step(x, at, regular, thin, soften)
        steps += 1
        if d is None or not np.isfinite(d).all():
            break
        longest = float(np.abs(d).max())
        part, size, newton = 1.0, at.size, soften == 1.0
        while True:
            to = system.moved(x, d, part)
            there = system.at(to, regular, thin, slopes=last and newton)
            if there.size <= (1.0 - FALL * part) * size or (part * longest < SETTLED and there.least > 0.0):
                break
            part *= 0.5
            if part < (CUT if newton and thin == 0.0 else LEAST_PART):
                break
        if newton and thin == 0.0 and part < CUT:
            soften, way.stale = 0.0, True
            at = system.at(x, regular, thin, soften=0.0)
            continue
        if part < LEAST_PART:
            break
        x = to
        whole = part == 1.0
        if not newton and whole and longest < near:
            soften = 1.0
        if newton and not last and whole and longest < near:
            rung += 1
        elif newton and last and whole:
            settled = longest < SETTLED
        regular = rungs[rung]
        at = there if last and newton else system.at(x, regular, thin, soften=soften)
    return _found(x, settled, at, way, steps)


def _found(x: Array, settled: bool, at: Balance, way: _Way, steps: int) -> Found:
    worst = float(np.abs(at.off).max(initial=0.0)) if at.least > 0.0 else float("inf")
    return Found(x, settled, at.least, steps, way.factors, way.linear, worst)
