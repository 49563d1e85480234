"""Inner nodes of the web: a grid of equal triangles, kept clear of the boundary."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ribwright.geometry.midsurface.plans import Anchor
from ribwright.geometry.midsurface.triangulate import Lines
from ribwright.geometry.midsurface.values import WEB

Array = NDArray[np.float64]
CLEAR = 0.55  # of the element size: the trial's figure; no circle on a boundary edge then holds an inner node


def inside_web(flat: Array, lines: Lines, anchor: Anchor, size: float) -> Array | None:
    """Grid points (n, 2) inside the web, CLEAR x `size` or more from its boundary. None where that boundary crosses itself.

    The grid hangs on the anchor, so that it moves with the part; it is the same seen in a mirror.
    """
    import shapely
    from scipy.spatial import cKDTree

    mine = lines.left[:, 0] == WEB
    a, b = flat[lines.ends[mine, 0]], flat[lines.ends[mine, 1]]
    web = shapely.build_area(shapely.multilinestrings(shapely.linestrings(np.stack([a, b], axis=1))))
    turned = float(np.sum(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]) / 2)
    if abs(web.area - turned) > 1e-6 * max(1.0, abs(turned)):
        return None
    grid = _grid(np.concatenate([a, b]), anchor, size)
    grid = grid[shapely.contains_xy(web, grid[:, 0], grid[:, 1])]
    share = (np.arange(4) + 0.0)[:, None, None] / 4
    near = cKDTree((a + share * (b - a)).reshape(-1, 2))
    return np.asarray(grid[near.query(grid)[0] >= CLEAR * size])


def _grid(points: Array, anchor: Anchor, size: float) -> Array:
    c, s = np.cos(anchor.direction), np.sin(anchor.direction)
    frame = np.array([[c, -s], [s, c]])
    own = (points - np.array(anchor.at)) @ frame
    step = np.array([size, size * np.sqrt(3) / 2])
    low, high = np.floor(own.min(axis=0) / step).astype(int) - 1, np.ceil(own.max(axis=0) / step).astype(int) + 1
    i, j = np.meshgrid(np.arange(low[0], high[0] + 1), np.arange(low[1], high[1] + 1))
    x = (i + 0.5 * (j % 2)) * step[0]
    return np.array(anchor.at) + np.column_stack([x.ravel(), (j * step[1]).ravel()]) @ frame.T
