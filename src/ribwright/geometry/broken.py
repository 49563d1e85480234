"""An edge interrupted by notches: its pieces, and between two of them the way round the notch."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ribwright.geometry.path import Vertex

Array = NDArray[np.float64]
# (last place before the notch (2,), first place after it (2,), the way between them)
Gap = tuple[Array, Array, tuple[Vertex, ...]]


def broken(edge: Array, gaps: list[Gap]) -> list[tuple[Array, tuple[Vertex, ...]]]:
    """(piece (m, 2), way round the notch after it; empty after the last) of an edge (n, 2) that has a point at every place named."""
    out: list[tuple[Array, tuple[Vertex, ...]]] = []
    start = 0
    for before, after, way in gaps:
        a, b = (int(np.argmin(np.hypot(*(edge - p).T))) for p in (before, after))
        # both places may lie on each other's side only where the edge has no length between: a notch of no width
        out.append((edge[start : a + 1], way))
        start = b
    out.append((edge[start:], ()))
    return out
