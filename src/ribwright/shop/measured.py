"""A springback that somebody measured or reported, with what is not known about it."""

from __future__ import annotations

from dataclasses import dataclass

# how the figure came about: read off a part with an instrument named, told by a builder, said of sheet in general, reckoned
KINDS = ("measured", "report", "rule of thumb", "estimate")
SHOWN = KINDS[:2]


@dataclass(frozen=True)
class Measured:
    """A springback found in print, from `low` to `high` [deg], `said` in the words of its source.

    alloy, temper        "" where the source does not say
    thickness_mm, radius_mm  of the sheet and of the bend's inside; None where the source does not say
    process              how it was bent
    unknown              what a comparison would need and the source does not give
    status               as of a `Fact`
    """

    id: str
    alloy: str
    temper: str
    process: str
    kind: str
    said: str
    low: float
    high: float
    thickness_mm: float | None
    radius_mm: float | None
    unknown: tuple[str, ...]
    source: str
    status: str

    def fits(self, alloy: str, temper: str) -> bool:
        """Whether it may stand beside a forecast for that alloy and temper: it names both, and was not reckoned."""
        return self.kind in SHOWN and bool(self.temper) and (self.alloy, self.temper) == (alloy, temper)
