"""A table of ordinates as a drawing gives it. Lengths in mm, frozen; what was typed is kept."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Ordinate:
    """One typed point [mm]: `line` of the file, `typed` x and y as they stand there, in the units of their columns."""

    x: float
    y: float
    line: int
    typed: tuple[str, str]

    @property
    def point(self) -> tuple[float, float]:
        """(x, y) [mm]."""
        return self.x, self.y


@dataclass(frozen=True)
class Side:
    """One line of points in the order of the file. `name`: "upper", "lower", or "contour" where the table has one line only.
    `step` [mm]: the last digit that the y column was typed to."""

    name: str
    ordinates: tuple[Ordinate, ...]
    step: float


@dataclass(frozen=True)
class OrdinateTable:
    """`sides`: one contour, or upper and lower over stations; `stations`: they are given over a common growing x. `chord` [mm] where
    the table or the person said it; `percent`: some ordinates are shares of it. `unit` of the first length column: what the part file is
    written in."""

    file: str
    sides: tuple[Side, ...]
    stations: bool
    unit: str
    chord: float | None = None
    percent: bool = False
