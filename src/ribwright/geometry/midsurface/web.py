"""Inner nodes of the web: a grid of equal triangles kept clear of the boundary, twice as wide each time the boundary is twice as far.

The web is flat and held or nearly so: what strain there is dies away from its boundary, so its middle needs few nodes. The wider
grids are parts of the finest one, every second point of it each way.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ribwright.geometry.midsurface.plans import Anchor
from ribwright.geometry.midsurface.triangulate import Lines
from ribwright.geometry.midsurface.values import WEB

Array = NDArray[np.float64]
Ints = NDArray[np.int64]
CLEAR = 0.55  # of the element size: the trial's figure; no circle on a boundary edge then holds an inner node
FINE = 3.0  # element sizes from the boundary within which the grid is finest
NONE = np.zeros((0, 2))
LEVELS = 3  # times the grid is doubled at most


def inside_web(flat: Array, lines: Lines, anchor: Anchor, size: float, rows: Array = NONE) -> Array | None:
    """Grid points (n, 2) inside the web, CLEAR x `size` or more from its boundary. None where that boundary crosses itself.

    The grid hangs on the anchor, so that it moves with the part; it is the same seen in a mirror. `rows` (m, 2): nodes of dents, which
    the grid keeps as clear of as of the boundary.
    """
    import shapely
    from scipy.spatial import cKDTree

    mine = lines.left[:, 0] == WEB
    a, b = flat[lines.ends[mine, 0]], flat[lines.ends[mine, 1]]
    sides = np.asarray(shapely.linestrings(np.stack([a, b], axis=1)))
    web = shapely.build_area(shapely.GeometryCollection(list(sides)))
    turned = float(np.sum(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]) / 2)
    if abs(float(shapely.area(web)) - turned) > 1e-6 * max(1.0, abs(turned)):
        return None
    grid, level = _grid(np.concatenate([a, b]), anchor, size)
    inside = shapely.contains_xy(web, grid[:, 0], grid[:, 1])
    grid, level = grid[inside], level[inside]
    share = np.arange(4)[:, None, None] / 4
    away = cKDTree((a + share * (b - a)).reshape(-1, 2)).query(grid)[0] / size
    if len(rows):
        away = np.minimum(away, cKDTree(rows).query(grid)[0] / size)
    wanted = np.floor(np.log2(np.maximum(away / FINE, 0.5))) + 1
    return np.concatenate([grid[(away >= CLEAR) & (level >= np.minimum(wanted, LEVELS))], rows])


def _grid(points: Array, anchor: Anchor, size: float) -> tuple[Array, Ints]:
    """Grid points over the points' extent, and how often the grid may be doubled with each still on it."""
    c, s = np.cos(anchor.direction), np.sin(anchor.direction)
    frame = np.array([[c, -s], [s, c]])
    own = (points - np.array(anchor.at)) @ frame
    step = np.array([size, size * np.sqrt(3) / 2])
    low, high = np.floor(own.min(axis=0) / step).astype(int) - 1, np.ceil(own.max(axis=0) / step).astype(int) + 1
    i, j = (x.ravel() for x in np.meshgrid(np.arange(low[0], high[0] + 1), np.arange(low[1], high[1] + 1)))
    along = i - j // 2  # the point is `along` (1, 0) + j (1/2, sqrt(3)/2), in element sizes
    level = np.zeros(len(i), dtype=np.int64)
    for n in range(1, LEVELS + 1):
        level += (along % 2**n == 0) & (j % 2**n == 0)
    x = np.column_stack([(i + 0.5 * (j % 2)) * step[0], j * step[1]])
    return np.array(anchor.at) + x @ frame.T, level
