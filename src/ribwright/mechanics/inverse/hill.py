"""Deformation theory of an anisotropic sheet: stress from the whole strain, Hill's (1948) measure in plane stress.

Axes 1, 2 lie along and across the rolling direction. With r0, r45, r90 the plastic strain ratios at 0, 45, 90 degrees from it

    s^2 = s1^2 - 2 H/(G + H) s1 s2 + (F + H)/(G + H) s2^2 + 2 N/(G + H) s12^2 = s . P s
    G = 1, H = r0, F = r0/r90, N = (r45 + 1/2)(F + G)
    e = (ebar/s) P sigma,   sigma = (s/ebar) P^-1 e,   ebar^2 = e . P^-1 e,   e = (e1, e2, 2 e12)

s is the stress, ebar the strain of a test piece cut along the rolling direction, so the flow curve is that test's. With one r in all
directions this is  sigma = (s/ebar) [(1 - k) e + k tr(e) I]/(1 - k^2),  k = r/(1 + r).

Hill, The Mathematical Theory of Plasticity (1950), ch. II (deformation theory) and XII (anisotropy).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Anisotropy:
    """Plastic strain ratios r [-] at 0, 45, 90 degrees from the rolling direction, all > 0, and that direction in the flat blank
    [deg from +x]."""

    r0: float
    r45: float
    r90: float
    rolling_deg: float = 0.0

    @classmethod
    def normal(cls, r: float) -> Anisotropy:
        """One r in all directions of the sheet."""
        return cls(r, r, r)

    def compliance(self) -> Array:
        """P (3, 3) [-]: strain per stress but for ebar/s, in the rolling frame."""
        h, f = self.r0, self.r0 / self.r90
        n = (self.r45 + 0.5) * (f + 1.0)
        return np.array([[1.0 + h, -h, 0.0], [-h, f + h, 0.0], [0.0, 0.0, 2.0 * n]]) / (1.0 + h)

    def stiffness(self) -> Array:
        """P^-1 (3, 3) [-]: stress per strain but for s/ebar; positive definite, since F, G, H, N are positive."""
        return np.asarray(np.linalg.inv(self.compliance()))
