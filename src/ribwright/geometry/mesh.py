"""Closed surfaces of triangles: reading a binary STL file, whether it closes, and what it encloses."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
_RECORD = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("attribute", "<u2")])
_HEAD = 84


def read_stl(content: bytes) -> Array:
    """Triangles (n, 3, 3) of a binary STL file. ValueError when its length does not fit its count."""
    count = int.from_bytes(content[80:_HEAD], "little")
    if len(content) != _HEAD + count * _RECORD.itemsize:
        raise ValueError("the file is not a whole binary STL file")
    return np.frombuffer(content, _RECORD, count, _HEAD)["corners"].astype(float)


def enclosed(triangles: Array) -> tuple[bool, float]:
    """(whether every edge is used once in each direction, enclosed volume by the divergence theorem).

    Corners count as the same point only when they are equal to the last bit. The volume is positive when the triangles
    turn counter-clockwise seen from outside.
    """
    _, index = np.unique(triangles.reshape(-1, 3), axis=0, return_inverse=True)
    t = index.reshape(-1, 3)
    edges = np.concatenate([t[:, [0, 1]], t[:, [1, 2]], t[:, [2, 0]]])
    n = int(t.max(initial=0)) + 1
    there, back = np.sort(edges[:, 0] * n + edges[:, 1]), np.sort(edges[:, 1] * n + edges[:, 0])
    once = bool(np.all(np.diff(there) > 0)) and bool(np.all(edges[:, 0] != edges[:, 1]))
    closed = once and bool(np.array_equal(there, back))
    a, b, c = triangles[:, 0], triangles[:, 1], triangles[:, 2]
    return closed, float(np.sum(np.einsum("ij,ij->i", a, np.cross(b, c))) / 6)
