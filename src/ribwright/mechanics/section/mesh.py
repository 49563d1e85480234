"""Where the nodes of a strip lie: fine over the bend and beside it, growing away from it."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
WEB, BEND, FLANGE = 18, 42, 18  # elements; docs/SECTION.md has the study
BESIDE = 2.5  # thicknesses on either side of the bend that are as fine as the bend


def strip_nodes(web: float, arc: float, straight: float, t: float, fine: float = 1.0) -> Array:
    """Flat x of the nodes [mm] from -web to arc + straight; x = 0 where the bend begins. `fine` multiplies the elements."""
    nw, nb, nf = (max(4, round(fine * n)) for n in (WEB, BEND, FLANGE))
    left = -min(BESIDE * t, 0.5 * web)
    right = arc + min(BESIDE * t, 0.6 * straight)
    middle = np.linspace(left, right, nb + 1)
    h = middle[1] - middle[0]
    outward = left - _graded(web + left, nw, h)[::-1]
    inward = right + _graded(arc + straight - right, nf, h)
    return np.concatenate([outward[:-1], middle, inward[1:]])


def _graded(length: float, n: int, h: float) -> Array:
    """0 to `length` in n steps that begin with h and grow evenly; equal ones where h n would already be more."""
    if n * h >= length:
        return np.linspace(0.0, length, n + 1)
    low, high = 1.0 + 1e-9, 10.0
    for _ in range(80):
        m = 0.5 * (low + high)
        low, high = (m, high) if h * (m**n - 1.0) / (m - 1.0) < length else (low, m)
    steps = np.cumsum(h * low ** np.arange(n))
    return np.concatenate([[0.0], steps * length / steps[-1]])
