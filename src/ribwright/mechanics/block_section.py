"""The block in section, in plain arrays: which of its three sides a point lies by, and how far it is off it.

Web face y = 0 for x <= 0, edge an arc of radius R about (0, -R), wall the straight line that leaves the arc at the wall angle w from
the web: the block that the section model pushes with (`mechanics/section/loads.gap`, which is compiled). An undercut wall runs back
under the web face: below its edge a point belongs to the side whose plane is farther behind it, the wall or the web face.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]


def sides(points: Array, radius: float, wall: float) -> tuple[Mask, Mask, Mask]:
    """Which of the points (N, 2) [mm] lie over the web face, over the rounded edge, beside the wall: three masks (N,), each point in
    one. `wall` [rad], 0 to under pi."""
    x, v, beside = _by_wall(points, radius, wall)
    edge = (x > 0.0) & (x * np.cos(wall) < v * np.sin(wall))
    past = ~edge & (beside > points[:, 1])
    return ~edge & ~past, edge, past


def distance(points: Array, radius: float, wall: float) -> Array:
    """Distance of the points (N, 2) from the block [mm], negative inside (N,)."""
    web, edge, _ = sides(points, radius, wall)
    x, v, beside = _by_wall(points, radius, wall)
    return np.asarray(np.where(web, points[:, 1], np.where(edge, np.hypot(x, v) - radius, beside)))


def _by_wall(points: Array, radius: float, wall: float) -> tuple[Array, Array, Array]:
    """From the middle of the rounded edge: x, y; distance from the wall's plane [mm]."""
    x, v = points[:, 0], points[:, 1] + radius
    return x, v, x * np.sin(wall) + v * np.cos(wall) - radius
