"""How much wider an uncertainty is that was itself estimated from few readings.

Coverage factor for 95.45 % of Student's t over that of the normal distribution, 2, by degrees of freedom: JCGM 100:2008 (GUM), table G.2,
from memory; checked against a library's t distribution in the tests. Linear in 1/degrees between the rows.
"""

from __future__ import annotations

import numpy as np

# degrees of freedom -> t for 95.45 %
TABLE = (
    (1, 13.97), (2, 4.53), (3, 3.31), (4, 2.87), (5, 2.65), (6, 2.52), (7, 2.43), (8, 2.37), (10, 2.28), (15, 2.18), (20, 2.13), (50, 2.05),
)  # fmt: skip


def widened(free: float) -> float:
    """t(95.45 %, free)/2 [-]; 1 for many, 7 for a single degree of freedom and fewer."""
    if not np.isfinite(free):
        return 1.0
    x, y = [0.0, *(1.0 / n for n, _ in reversed(TABLE))], [2.0, *(t for _, t in reversed(TABLE))]
    return float(np.interp(1.0 / max(free, 1.0), x, y)) / 2.0
