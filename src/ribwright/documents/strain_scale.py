"""Steps of a quantity over a picture: round levels, a grey and a letter for each band between them."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, floor, log10

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
MOST_BANDS = 6
LIGHT, DARK = 0.95, 0.32
NEAR = 0.02  # of a step: a level no farther inside the span than this is not drawn
LETTERS = "ABCDEFGHIJ"


@dataclass(frozen=True)
class Scale:
    """levels: rising, between bands. down: the quantity gets more serious downwards (minor strain, thickness), so bands count from the
    highest values down. Band 0 is the lightest."""

    levels: tuple[float, ...]
    down: bool

    @property
    def bands(self) -> int:
        """How many bands."""
        return len(self.levels) + 1

    def band_of(self, values: Array) -> NDArray[np.int64]:
        """Band of each value; -1 where it is NaN."""
        up = np.searchsorted(np.array(self.levels), values, side="right")
        band = len(self.levels) - up if self.down else up
        return np.where(np.isnan(values), -1, band).astype(np.int64)

    def grey(self, band: int) -> float:
        """Grey of a band, 1 white."""
        return LIGHT if self.bands == 1 else LIGHT + (DARK - LIGHT) * band / (self.bands - 1)

    def letter(self, band: int) -> str:
        """Letter of a band: A the lightest."""
        return LETTERS[band]

    def words(self, band: int) -> str:
        """'0.02 to 0.04', 'over 0.08', 'under -0.1'."""
        if self.bands == 1:
            return "all one"
        up = len(self.levels) - band if self.down else band
        digits = _digits(self.levels)
        if up == 0:
            return f"under {self.levels[0]:.{digits}f}"
        if up == len(self.levels):
            return f"over {self.levels[-1]:.{digits}f}"
        return f"{self.levels[up - 1]:.{digits}f} to {self.levels[up]:.{digits}f}"


def scale_of(low: float, high: float, down: bool, least: float, rest: float = 0.0) -> Scale:
    """At most six bands over low..high at round levels, steps of 1, 2, 2.5 or 5; none where the whole span is under `least`. `rest`: what
    sheet that is not strained has; no level is laid on it, or rounding would decide the band of the whole web."""
    span = high - low
    if not span > least:
        return Scale((), down)
    for step in _steps(span):
        first, last = floor(low / step + NEAR) + 1, ceil(high / step - NEAR) - 1
        if last - first + 2 <= MOST_BANDS:
            break
    levels = (round(k * step, 12) + 0.0 for k in range(first, last + 1))
    return Scale(tuple(x for x in levels if abs(x - rest) > NEAR * step), down)


def _steps(span: float) -> list[float]:
    """Round steps from a twentieth of the span up."""
    decade = 10.0 ** (floor(log10(span)) - 2)
    return [decade * 10.0**k * s for k in range(5) for s in (1.0, 2.0, 2.5, 5.0)]


def _digits(levels: tuple[float, ...]) -> int:
    """Decimals that tell all levels apart as they are."""
    return next((d for d in range(6) if all(abs(round(x, d) - x) < 1e-9 for x in levels)), 6)
