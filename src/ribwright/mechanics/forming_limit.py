"""The strain at which a sheet necks locally, as a line in minor and major true strain, and the room left to it.

    left of plane strain    major + minor = e0       Hill (1952): a neck along the direction of no extension
    right of it             major = e0               level
    e0                      major strain of that line in plane strain (minor 0)

Where minor <= -major the sheet does not thin and no neck can form. Right of plane strain Hill's condition has no answer. Swift's (1952)
diffuse neck of an isotropic power-law sheet is e0 in plane strain, e0 again in equal stretching and up to 17 % more between, and a local
neck comes no earlier: so the level line is the low one. Straight paths only: a sheet that was strained one way and then another has
another limit.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


def used(major: Array, minor: Array) -> Array:
    """The strain that is held against e0 [-]: major + minor left of plane strain, not below 0; major right of it. True strains."""
    return np.asarray(np.maximum(major + np.minimum(minor, 0.0), 0.0))


def limit_major(e0: float, major: Array, minor: Array) -> Array:
    """Major true strain of the line on the ray from the origin through (minor, major); infinite where nothing thins."""
    held = used(major, minor)
    return np.asarray(np.divide(e0 * major, held, out=np.full(np.shape(held), np.inf), where=held > 0.0))


def margin(e0: float, major: Array, minor: Array) -> Array:
    """(limit - major)/limit at the same ratio of minor to major, = 1 - used/e0: 1 unstrained or thickening, 0 on the line. e0 > 0."""
    return np.asarray(1.0 - used(major, minor) / e0)
