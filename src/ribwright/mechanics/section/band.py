"""A chain of 3 x 3 node blocks solved as a banded system, compiled: LU with row pivoting, row after row in memory.

`rows` (n, 3 WIDE + 1): rows[i, WIDE + j - i] holds K[i, j]; the last WIDE columns are room for rows that change places. The same
numbers as scipy.linalg.solve_banded, which cannot be called from compiled code (tests hold them together).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ribwright.mechanics.compiled import compiled

Array = NDArray[np.float64]
WIDE = 8  # diagonals on either side: the stress through an element comes from the nodes beside its own
ROW = 3 * WIDE + 1


@compiled
def solve_band(rows: Array, b: Array) -> bool:
    """x in place of `b`; `rows` is used up. False: singular to working precision, `b` is then worthless."""
    n = rows.shape[0]
    for j in range(n):
        last = min(j + WIDE, n - 1)
        best, row = abs(rows[j, WIDE]), j
        for i in range(j + 1, last + 1):
            size = abs(rows[i, WIDE + j - i])
            if size > best:
                best, row = size, i
        if not best > 1e-300:
            return False
        if row != j:
            for k in range(2 * WIDE + 1):
                at = WIDE + j - row + k
                rows[j, WIDE + k], rows[row, at] = rows[row, at], rows[j, WIDE + k]
            b[j], b[row] = b[row], b[j]
        pivot = rows[j, WIDE]
        for i in range(j + 1, last + 1):
            at = WIDE + j - i
            f = rows[i, at] / pivot
            if f != 0.0:
                for k in range(1, 2 * WIDE + 1):
                    rows[i, at + k] -= f * rows[j, WIDE + k]
                b[i] -= f * b[j]
    for j in range(n - 1, -1, -1):
        total = b[j]
        for k in range(1, min(2 * WIDE, n - 1 - j) + 1):
            total -= rows[j, WIDE + k] * b[j + k]
        b[j] = total / rows[j, WIDE]
    return True
