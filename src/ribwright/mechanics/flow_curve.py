"""Flow curves of a sheet: true stress against true plastic strain, and its slope. One class a kind, one contract.

Swift (1952): K (e0 + p)^n.   Voce (1948): Y + Q (1 - exp(-C p)).   Table: straight between points, held after the last.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


class FlowCurve(Protocol):
    """What every kind of flow curve answers."""

    def stress(self, p: Array) -> Array:
        """True stress [MPa] at plastic strain p >= 0 of any shape."""
        ...

    def slope(self, p: Array) -> Array:
        """d stress/d p [MPa]."""
        ...

    def scaled(self, factor: float) -> FlowCurve:
        """The curve `factor` times as high, at every strain."""
        ...

    def constants(self) -> tuple[float, float, float, float, float]:
        """(kind, three constants, factor) as the compiled law takes them."""
        ...


@dataclass(frozen=True)
class Swift:
    """sigma = K (e0 + p)^n; K [MPa], 0 <= n < 1, e0 > 0."""

    k: float
    n: float
    e0: float

    def stress(self, p: Array) -> Array:
        return np.asarray(self.k * (self.e0 + p) ** self.n)

    def slope(self, p: Array) -> Array:
        return np.asarray(self.k * self.n * (self.e0 + p) ** (self.n - 1.0))

    def scaled(self, factor: float) -> Swift:
        return replace(self, k=self.k * factor)

    def constants(self) -> tuple[float, float, float, float, float]:
        return 0.0, self.k, self.n, self.e0, 1.0


@dataclass(frozen=True)
class Voce:
    """sigma = Y + Q (1 - exp(-C p)); Y, Q [MPa], C [-]. Q = 0: perfectly plastic."""

    y: float
    q: float
    c: float

    def stress(self, p: Array) -> Array:
        return np.asarray(self.y + self.q * (1.0 - np.exp(-self.c * p)))

    def slope(self, p: Array) -> Array:
        return np.asarray(self.q * self.c * np.exp(-self.c * p))

    def scaled(self, factor: float) -> Voce:
        return replace(self, y=self.y * factor, q=self.q * factor)

    def constants(self) -> tuple[float, float, float, float, float]:
        return 1.0, self.y, self.q, self.c, 1.0


@dataclass(frozen=True, eq=False)
class Table:
    """Straight between measured points: `p` rising from 0, `sigma` [MPa] not falling; held at its last stress beyond."""

    p: Array
    sigma: Array
    factor: float = 1.0

    def stress(self, p: Array) -> Array:
        return np.asarray(self.factor * np.interp(p, self.p, self.sigma))

    def slope(self, p: Array) -> Array:
        rise = np.append(np.diff(self.sigma) / np.diff(self.p), 0.0)
        return np.asarray(self.factor * rise[np.searchsorted(self.p, p, side="right") - 1])

    def scaled(self, factor: float) -> Table:
        return replace(self, factor=self.factor * factor)

    def constants(self) -> tuple[float, float, float, float, float]:
        return 2.0, 0.0, 0.0, 0.0, self.factor
