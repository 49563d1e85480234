"""Points that lie near one another: all such pairs, and the groups that they hang together in."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Ints = NDArray[np.int64]


def near_pairs(points: Array, distance: float) -> Ints:
    """Index pairs (k, 2), the smaller first, of points (n, 2) no farther apart than `distance`."""
    import shapely

    if len(points) < 2:
        return np.zeros((0, 2), np.int64)
    made: Any = shapely.points(points)
    i, j = shapely.STRtree(made).query(made, predicate="dwithin", distance=distance)
    return np.column_stack([i, j])[i < j].astype(np.int64)


def groups(n: int, pairs: Ints) -> Ints:
    """A label from 0 on for each of n things: those that hang together by pairs (k, 2) have the same one.

    Every label sinks to the lowest one it is paired with until none moves. Our own few lines, because the library's costs a second
    at every start (docs/decisions/0004).
    """
    label = np.arange(n)
    while True:
        low = np.minimum(label[pairs[:, 0]], label[pairs[:, 1]])
        new = label.copy()
        np.minimum.at(new, pairs[:, 0], low)
        np.minimum.at(new, pairs[:, 1], low)
        new = new[new]
        if np.array_equal(new, label):
            return np.unique(label, return_inverse=True)[1].astype(np.int64).ravel()
        label = new
