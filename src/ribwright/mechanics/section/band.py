"""A chain of 3 x 3 node blocks solved as a banded system, compiled: LU with row pivoting in LAPACK's band layout.

`ab` (3 wide + 1, n): row 2 wide + i - j, column j holds K[i, j]. The same numbers as scipy.linalg.solve_banded, which cannot be
called from compiled code (tests hold them together).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ribwright.mechanics.compiled import compiled

Array = NDArray[np.float64]
WIDE = 8  # diagonals on either side: three neighbours of three unknowns each
ROWS = 3 * WIDE + 1
MIDDLE = 2 * WIDE


@compiled
def solve_band(ab: Array, b: Array) -> bool:
    """x in place of `b`; `ab` is used up. False: singular to working precision, `b` is then worthless."""
    n = ab.shape[1]
    for j in range(n):
        last = min(j + WIDE, n - 1)
        best, row = abs(ab[MIDDLE, j]), j
        for i in range(j + 1, last + 1):
            size = abs(ab[MIDDLE + i - j, j])
            if size > best:
                best, row = size, i
        if not best > 1e-300:
            return False
        right = min(j + 2 * WIDE, n - 1)
        if row != j:
            for k in range(j, right + 1):
                ab[MIDDLE + j - k, k], ab[MIDDLE + row - k, k] = ab[MIDDLE + row - k, k], ab[MIDDLE + j - k, k]
            b[j], b[row] = b[row], b[j]
        pivot = ab[MIDDLE, j]
        for i in range(j + 1, last + 1):
            f = ab[MIDDLE + i - j, j] / pivot
            if f != 0.0:
                for k in range(j + 1, right + 1):
                    ab[MIDDLE + i - k, k] -= f * ab[MIDDLE + j - k, k]
                b[i] -= f * b[j]
    for j in range(n - 1, -1, -1):
        total = b[j]
        for k in range(j + 1, min(j + 2 * WIDE, n - 1) + 1):
            total -= ab[MIDDLE + j - k, k] * b[k]
        b[j] = total / ab[MIDDLE, j]
    return True
