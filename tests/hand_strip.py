"""A strip of layers bent to and fro in plane strain, to hold the closed forms of hand setting against: none of the program's mechanics.

Each layer at the height z has the strain z c at the curvature c, an elastic modulus E' and the power law S = k (e0 + p)^n of the plastic
strain p summed up, mixed hardening: `share` of the growth of the yield stress moves it (kinematic), the rest widens it (isotropic).
Return mapping of one dimension; Bernoulli's bending, no pressure, no force along the strip.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


@dataclass
class Strip:
    """Half the layers suffice: the strip is symmetric. Thickness t [mm], E', k' [MPa], n; `share` kinematic, 0 to 1."""

    t: float
    modulus: float
    k: float
    n: float
    share: float = 0.0
    layers: int = 200
    c: float = 0.0
    z: Array = field(init=False)
    plastic: Array = field(init=False)
    summed: Array = field(init=False)
    back: Array = field(init=False)

    def __post_init__(self) -> None:
        self.z = (np.arange(self.layers) + 0.5) / self.layers * self.t / 2
        self.plastic, self.summed, self.back = (np.zeros(self.layers) for _ in range(3))

    def _flow(self, p: Array) -> Array:
        return self.k * (1e-4 + p) ** self.n

    def to(self, c: float) -> None:
        """Bend to the curvature c [1/mm], in one step: one sense of bending makes each layer's return mapping exact."""
        self._step(c)

    def _step(self, c: float) -> None:
        trial = self.modulus * (self.z * c - self.plastic) - self.back
        start = self._flow(np.zeros(self.layers))
        size = start + (1.0 - self.share) * (self._flow(self.summed) - start)
        sign, over = np.sign(trial), np.abs(trial) - size
        low, high = np.zeros(self.layers), np.maximum(over, 0.0) / self.modulus
        for _ in range(60):  # |trial| - E' dp - share dS = size + (1 - share) dS, rising in dp
            dp = (low + high) / 2
            grown = self._flow(self.summed + dp) - self._flow(self.summed)
            short = over - self.modulus * dp - grown > 0.0
            low, high = np.where(short, dp, low), np.where(short, high, dp)
        dp = np.where(over > 0.0, (low + high) / 2, 0.0)
        self.back += sign * self.share * (self._flow(self.summed + dp) - self._flow(self.summed))
        self.plastic += sign * dp
        self.summed += dp
        self.c = c

    @property
    def moment(self) -> float:
        """Per width [N]."""
        stress = self.modulus * (self.z * self.c - self.plastic)
        return float(2 * np.sum(stress * self.z) * self.t / 2 / self.layers)

    def copy(self) -> Strip:
        """The same strip, to be bent on by itself."""
        other = Strip(self.t, self.modulus, self.k, self.n, self.share, self.layers, self.c)
        other.plastic, other.summed, other.back = self.plastic.copy(), self.summed.copy(), self.back.copy()
        return other

    def let_go(self) -> None:
        """Back to no moment, by Newton's steps with the elastic stiffness, which overshoot nothing while layers yield."""
        for _ in range(60):
            m = self.moment
            if abs(m) < 1e-9 * self.k * self.t**2:
                return
            self.to(self.c - 12.0 * m / (self.modulus * self.t**3))
