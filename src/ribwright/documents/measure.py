"""One thing to measure on the formed part, as the inspection sheet lists it."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Measure:
    """One thing to measure. `tolerance` the key of [tolerance]; `owner` the feature that may carry its own."""

    balloon: str
    what: str
    nominal: str
    tolerance: str
    owner: str
    own_only: bool = False
    """Only the feature's own tolerance counts: the drawing's general one is of another kind."""
    place: tuple[str, str] = ("", "")
    """('edge', 'upper'), ('hole', 'L1'): whose forecast stands beside it."""
    fit: float | None = None
    """Hole diameter less pin [mm]: a hole for a pin is never under its pin, whatever the drawing allows."""
