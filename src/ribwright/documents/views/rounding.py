"""Numbers for a screen: rounded to a tenth of a micrometre, no minus before a zero."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import ArrayLike

PLACES = 4


def listed(values: ArrayLike, places: int = PLACES) -> list[Any]:
    """Nested lists of an array's numbers."""
    return list((np.round(np.asarray(values, np.float64), places) + 0.0).tolist())


def number(value: float | None, places: int = PLACES) -> float | None:
    """One number; None where there is none, or none that is finite."""
    return None if value is None or not np.isfinite(value) else round(float(value), places) + 0.0
