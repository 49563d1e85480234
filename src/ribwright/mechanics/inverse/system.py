"""The equations of one mesh: forces out of balance at flat places, their slopes, and factors of a nearby matrix.

Strains are taken over edges (`patches`), whose matrix couples each node with two rings of neighbours. The matrix of the plain
triangles couples one ring, is factorised in a third of the time, and is so like it that a few steps of `krylov` make up the
difference.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ribwright.mechanics.inverse.assemble import assemble, drag
from ribwright.mechanics.inverse.patches import Patches
from ribwright.mechanics.inverse.pattern import Pattern

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Sheet:
    """What the equations know of the sheet: the law's numbers and table, P^-1 of `hill`, thickness [mm]."""

    law: Array
    points: Array
    stiffness: Array
    thickness: float


@dataclass(frozen=True, eq=False)
class Drag:
    """Friction on the web: pull (N,) [N], area times traction; easing [mm]; home (N, 2), where the nodes lie in the formed part."""

    pull: Array
    easing: float
    home: Array


@dataclass(frozen=True, eq=False)
class Balance:
    """least J over the patches (not positive: nothing else is filled), off (n, 2) [N], data of the matrix [N/mm]."""

    least: float
    off: Array
    data: Array

    @property
    def size(self) -> float:
        """Root of the sum of squares of the forces out of balance [N]; infinite where a patch is turned over."""
        return float(np.sqrt(np.sum(self.off**2))) if self.least > 0.0 else float("inf")


@dataclass(frozen=True, eq=False)
class System:
    """Edges with their pattern, plain triangles with theirs (the same numbers of nodes), sheet; drag where the web is held by
    friction; thins (E,): which edges thin with their strain (1) and which never (0)."""

    edges: Patches
    edge_pattern: Pattern
    plain: Patches
    plain_pattern: Pattern
    sheet: Sheet
    drag: Drag | None
    thins: Array

    @property
    def number(self) -> NDArray[np.int64]:
        """Number of each node among the unknown, -1 where it stands."""
        return self.edge_pattern.number

    def at(self, x: Array, regular: float, thin: float, slopes: bool = True, soften: float = 1.0) -> Balance:
        """Balance at flat places x (N, 2) [mm], strains over edges; soften: see `element`."""
        return self._balance(self.edges, self.edge_pattern, x, regular, thin, slopes, soften)

    def moved(self, x: Array, way: Array, part: float) -> Array:
        """x with `part` of the way (2 n,) gone."""
        free = self.number >= 0
        out = x.copy()
        out[free] += part * way.reshape(-1, 2)[self.number[free]]
        return out

    def factors(self, x: Array, regular: float, soften: float) -> Any:
        """Factors of the plain triangles' matrix, with the sheet's thickness: where a sheet is near to necking its own matrix is near
        to singular, and no help. None where a triangle is turned over or a pivot is nought."""
        at = self._balance(self.plain, self.plain_pattern, x, regular, 0.0, True, soften)
        return factored(self.plain_pattern.matrix(at.data)) if at.least > 0.0 else None

    def own_factors(self, at: Balance) -> Any:
        """Factors of the matrix itself."""
        return factored(self.edge_pattern.matrix(at.data))

    def _balance(
        self,
        patches: Patches,
        pattern: Pattern,
        x: Array,
        regular: float,
        thin: float,
        slopes: bool,
        soften: float,
    ) -> Balance:
        off, data = np.empty((pattern.size // 2, 2)), np.empty(len(pattern.rows) if slopes else 0)
        s = self.sheet
        volume = s.thickness * patches.area
        thins = thin * self.thins if patches is self.edges else np.zeros(len(volume))
        p = pattern
        least = assemble(
            x, patches.corners, patches.gradients, volume, patches.turn, s.law, s.points, s.stiffness, regular, thins, soften,
            p.number, p.slot, p.width, off, data, slopes,
        )  # fmt: skip
        if self.drag is not None and least > 0.0:
            d = self.drag
            drag(x, d.home, d.pull, d.easing, p.number, p.own, p.width, off, data, slopes)
        return Balance(float(least), off, data)


def factored(matrix: Any) -> Any:
    """Factors of a matrix whose unknowns are already in a good order, which interchanges would spoil; None where a pivot is nought."""
    from scipy.sparse.linalg import splu

    try:
        return splu(
            matrix, permc_spec="NATURAL", diag_pivot_thresh=0.0, options={"SymmetricMode": True, "Equil": False}
        )
    except RuntimeError:
        return None
