"""Element matrices gathered into one sparse matrix, compiled: by columns, equal places added up, rows in order."""

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
def _order(keys: Ints, size: int) -> tuple[Ints, Ints]:
    """Places sorted stably by keys < size, and where each key begins among them (size + 1,)."""
    start = np.zeros(size + 1, np.int64)
    for key in keys:
        start[key + 1] += 1
    for i in range(size):
        start[i + 1] += start[i]
    out, free = np.empty(len(keys), np.int64), start.copy()
    for k in range(len(keys)):
        out[free[keys[k]]] = k
        free[keys[k]] += 1
    return out, start


@compiled
def compress(rows: Ints, cols: Ints, values: Array, size: int) -> tuple[Array, NDArray[np.int32], NDArray[np.int32]]:
    """(data, row numbers, column starts) by columns, rows rising, equal places added."""
    order, begin = _order(cols, size)
    data, row = np.empty(len(rows)), np.empty(len(rows), np.int32)
    starts, seen, place = np.zeros(size + 1, np.int32), np.full(size, -1), np.empty(size, np.int64)
    n = 0
    for c in range(size):
        first = n
        for k in order[begin[c] : begin[c + 1]]:
            r = rows[k]
            if seen[r] == c:
                data[place[r]] += values[k]
            else:
                seen[r], place[r], row[n], data[n] = c, n, r, values[k]
                n += 1
        for i in range(first + 1, n):  # some twenty rows in a column
            r, v, j = row[i], data[i], i
            while j > first and row[j - 1] > r:
                row[j], data[j] = row[j - 1], data[j - 1]
                j -= 1
            row[j], data[j] = r, v
        starts[c + 1] = n
    return data[:n], row[:n], starts
