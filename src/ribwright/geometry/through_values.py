"""Few stations through which straight lines pass by many measured values."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
MOST = 60


def few_stations(at: Array, values: Array, length: float, tolerance: float) -> list[tuple[float, float]]:
    """(place, value) from 0 to `length`: linear between them, within `tolerance` of the values (n,) at places `at` (n,), rising.

    Where one line does, it is that of least squares; else the stretch is parted where it is missed most (Douglas and Peucker 1973).
    Before the first place and after the last the line goes on.
    """
    slope, base = np.polyfit(at, values, 1)
    if np.max(np.abs(base + slope * at - values)) <= tolerance:
        return [(0.0, float(base)), (float(length), float(base + slope * length))]
    chosen = [0, len(at) - 1]
    while len(chosen) < MOST:
        off = np.abs(np.interp(at, at[chosen], values[chosen]) - values)
        worst = int(np.argmax(off))
        if off[worst] <= tolerance:
            break
        chosen = sorted([*chosen, worst])
    x, v = at[chosen].copy(), values[chosen].copy()
    for i, j, end in ((0, 1, 0.0), (-1, -2, length)):
        v[i] += (end - x[i]) * (v[i] - v[j]) / (x[i] - x[j])
        x[i] = end
    return list(zip(x.tolist(), v.tolist(), strict=True))
