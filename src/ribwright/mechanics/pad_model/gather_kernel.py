"""Element matrices gathered into one sparse matrix, compiled: two counting sorts, then equal places added up."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ribwright.mechanics.compiled import compiled

Array = NDArray[np.float64]
Ints = NDArray[np.int64]


@compiled
def spread(
    index: Ints, stiff: Array, force: Array, at: int, rows: Ints, cols: Ints, values: Array, slope: Array
) -> int:
    """Writes elements with unknowns `index` (m, d), -1 held, from place `at` on; adds forces to `slope`; the next free place."""
    m, d = index.shape
    for e in range(m):
        for i in range(d):
            a = index[e, i]
            if a < 0:
                continue
            slope[a] += force[e, i]
            for j in range(d):
                b = index[e, j]
                if b >= 0:
                    rows[at], cols[at], values[at] = a, b, stiff[e, i, j]
                    at += 1
    return at


@compiled
def _order(keys: Ints, size: int, was: Ints) -> Ints:
    """`was` sorted stably by keys[was] < size."""
    start = np.zeros(size + 1, np.int64)
    for k in was:
        start[keys[k] + 1] += 1
    for i in range(size):
        start[i + 1] += start[i]
    out = np.empty_like(was)
    for k in was:
        out[start[keys[k]]] = k
        start[keys[k]] += 1
    return out


@compiled
def compress(rows: Ints, cols: Ints, values: Array, size: int) -> tuple[Array, NDArray[np.int32], NDArray[np.int32]]:
    """(data, row numbers, column starts) by columns, rows rising, equal places added."""
    order = _order(cols, size, _order(rows, size, np.arange(len(rows))))
    data, row = np.empty(len(rows)), np.empty(len(rows), np.int32)
    starts = np.zeros(size + 1, np.int32)
    n, last_row, last_col = 0, -1, -1
    for k in order:
        if rows[k] == last_row and cols[k] == last_col:
            data[n - 1] += values[k]
        else:
            last_row, last_col = rows[k], cols[k]
            data[n], row[n] = values[k], last_row
            n += 1
            starts[last_col + 1] += 1
    for i in range(size):
        starts[i + 1] += starts[i]
    return data[:n], row[:n], starts
