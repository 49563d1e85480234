"""Strain of every triangle at flat places: the mean of what its three edges have, laid in the axes of the flat blank."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ribwright.mechanics.compiled import compiled
from ribwright.mechanics.inverse.element import strain
from ribwright.mechanics.inverse.patches import Patches
from ribwright.mechanics.inverse.system import Sheet

Array = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class Strains:
    """Per triangle (T,): major and minor true strain in the sheet [-], direction (T, 2) of the major one in the flat blank (unit; either
    sense), thickness [mm], equivalent strain [-]. The sheet keeps its volume."""

    major: Array
    minor: Array
    direction: Array
    thickness: Array
    equivalent: Array


def patch_strains(x: Array, patches: Patches) -> Array:
    """(P, 3): h11, h22, 2 h12 of each patch in the flat axes; NaN where it is turned over."""
    return _strains(x, patches.corners, patches.gradients)


def principal(h: Array, sheet: Sheet) -> Strains:
    """Principal strains of h (T, 3) = h11, h22, 2 h12."""
    middle, half, shear = (h[:, 0] + h[:, 1]) / 2.0, (h[:, 0] - h[:, 1]) / 2.0, h[:, 2] / 2.0
    rho = np.hypot(half, shear)
    angle = np.arctan2(shear, half) / 2.0
    direction = np.stack([np.cos(angle), np.sin(angle)], axis=1)
    thickness = sheet.thickness * np.exp(-2.0 * middle)
    return Strains(middle + rho, middle - rho, direction, thickness, _equivalent(h, sheet))


def _equivalent(h: Array, sheet: Sheet) -> Array:
    """ebar of `hill`."""
    return np.asarray(np.sqrt(np.einsum("ti,ij,tj->t", h, sheet.stiffness, h)))


@compiled
def _strains(x: Array, corners: Ints, gradients: Array) -> Array:
    count, m = corners.shape
    out, slopes = np.full((count, 3), np.nan), np.empty((3, 4))
    for e in range(count):
        g11, g12, g21, g22 = 0.0, 0.0, 0.0, 0.0
        for i in range(m):
            node = corners[e, i]
            g11 += x[node, 0] * gradients[e, i, 0]
            g12 += x[node, 0] * gradients[e, i, 1]
            g21 += x[node, 1] * gradients[e, i, 0]
            g22 += x[node, 1] * gradients[e, i, 1]
        if g11 * g22 - g12 * g21 > 0.0:
            out[e, 0], out[e, 1], out[e, 2], _ = strain(g11, g12, g21, g22, slopes)
    return out
