"""Strain of a web that is held and yet not flat: beads, whose sheet is stretched in place.

Of a triangle whose corners lie held in the flat the strain is that from its flat place to its formed one, h = 1/2 ln C in the axes of the
flat: all of a bead's length comes out of its own width, which is the most it can be.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
FLAT = 1e-9


def in_place(flat: Array, formed: Array, triangles: NDArray[np.int64]) -> Array:
    """(T, 3): h11, h22, h12, true, of triangles from flat (N, 2) to formed (N, 3) places [mm]; exactly 0 where nothing is stretched."""
    a, b, c = (flat[triangles[:, k]] for k in range(3))
    p, q, r = (formed[triangles[:, k]] for k in range(3))
    before = np.stack([b - a, c - a], axis=2)
    after = np.stack([q - p, r - p], axis=2)
    grad = after @ np.linalg.inv(before)
    stretch = np.swapaxes(grad, 1, 2) @ grad
    value, way = np.linalg.eigh(stretch)
    h = np.einsum("tij,tj,tkj->tik", way, np.log(value) / 2, way)
    out = np.stack([h[:, 0, 0], h[:, 1, 1], h[:, 0, 1]], axis=1)
    return np.where(np.abs(out) > FLAT, out, 0.0)
