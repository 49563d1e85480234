"""Strain circles as somebody measured them on a formed part."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Reading:
    """One circle after forming. name: as printed, "" where it was given by its place; x, y: its centre in the flat [mm], None where it was
    given by name; major, minor: longest and shortest diameter [mm]; thickness [mm], None where it was not measured; line of the file."""

    name: str
    x: float | None
    y: float | None
    major: float
    minor: float
    thickness: float | None = None
    line: int = 0

    @property
    def called(self) -> str:
        """'C12-R7', or '(12.0, 7.5) mm'."""
        return self.name or f"({self.x:g}, {self.y:g}) mm"


@dataclass(frozen=True)
class CircleRecord:
    """diameter: of the circles as printed [mm]; gauge: a diameter is read to within this, either way [mm], `gauge_typed` False where it is
    the usual one; part, measured_by, date: as typed, "" where not."""

    diameter: float
    gauge: float
    gauge_typed: bool
    readings: tuple[Reading, ...]
    part: str = ""
    measured_by: str = ""
    date: str = ""
    file: str = ""
