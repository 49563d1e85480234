"""The lowest energy near a start: Newton's method that always goes down.

Three things make it answer where plain Newton does not. The stiffness takes stresses that are carried along as unknowns of
their own (`System.duals`): what a nearly incompressible element would answer to a small error of volume is no stress to
believe in. Where the stiffness still has a direction that does not rise, a multiple of a fixed diagonal is added until
it has none: the signs of the pivots tell. And a step is cut until the energy does fall.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ribwright.mechanics.pad_model.system import System

Array = NDArray[np.float64]

LEAST = 0.01
RELAX, PANEL = 10, 1  # of SuperLU: 1500 to 3000 unknowns are factored in 4.1 ms with these, in 6.0 with its own


@dataclass(frozen=True, eq=False)
class Found:
    """Where it stopped (n,), whether the force there is under the tolerance, steps, factorisations, largest force left."""

    x: Array
    settled: bool
    steps: int
    factors: int
    worst: float


def _factor(matrix: Any) -> tuple[Any, int]:
    """Factors of a symmetric matrix without interchanges, and its count of directions that do not rise."""
    from scipy.sparse.linalg import splu

    try:
        lu = splu(
            matrix, permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, relax=RELAX, panel_size=PANEL,
            options={"SymmetricMode": True, "Equil": False},
        )  # fmt: skip
    except RuntimeError:  # a pivot of nought
        return None, 1
    return lu, int((lu.U.diagonal() <= 0.0).sum())


def settle(
    system: System, x: Array, tolerance: float, weight: Array, longest: Array, most: int, watch: Any = None
) -> Found:
    """Go down from x until no component of the gradient exceeds the tolerance [N].

    weight (n,) > 0: the diagonal that is added where the stiffness does not rise; longest (n,): no component moves more in a step.
    """
    from scipy.sparse import diags

    at = system.tangent(x)
    duals, beside = system.duals(at), system.beside(x)
    shift, factors, stiffen = 0.0, 0, 0.0
    for step in range(most):
        worst = float(np.abs(at.slope).max())
        if worst < tolerance:
            return Found(x, True, step, factors, worst)
        while True:
            factors += 1
            lu, below = _factor(at.stiffness if shift == 0.0 else (at.stiffness + diags(shift * weight)).tocsc())
            if below == 0:
                break
            shift = max(4.0 * shift, 1e-2)
        way = -lu.solve(at.slope)
        fall = float(at.slope @ way)
        part = min(1.0, 1.0 / max(float((np.abs(way) / longest).max()), 1e-300))
        cuts = 0
        while True:
            change, there = system.climb(x, at, part * way, beside)
            if change <= 1e-4 * part * fall + 1e-12 * abs(at.energy):
                break
            part *= 0.5
            cuts += 1
            if cuts > 30:
                return Found(x, False, step, factors, worst)
        if watch is not None:
            watch(step, at.energy, worst, fall, part, shift, below)
        stiffen = (
            min(max(4.0 * stiffen, LEAST), 0.5)
            if cuts > 1
            else (stiffen if cuts else (0.25 * stiffen if stiffen > LEAST else 0.0))
        )
        duals = duals.towards(system.duals(at, part * way), part)
        x, beside = x + part * way, there
        at = system.tangent(x, duals, stiffen)
        shift = 0.0 if shift < 2e-2 else (shift / 4.0 if cuts == 0 else shift)
    return Found(x, False, most, factors, float(np.abs(at.slope).max()))
