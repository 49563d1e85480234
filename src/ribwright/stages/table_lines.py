"""The lines of an ordinate table as they are travelled: counter-clockwise round the part, a section's two sides joined at its nose.

Joined, the nose is a point within a line like any other, where either side alone would end in it with an upright tangent.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ribwright.features.ordinate_table import OrdinateTable, Side

Array = NDArray[np.float64]
CONTOUR = "contour"


@dataclass(frozen=True)
class TableLine:
    """`points` (n, 2) [mm] in travel; `source` of each: (side, index of its ordinate). `nose`: index of the point where upper turns
    into lower, None where the line is one side or has no sides. `step` [mm]: last digit typed."""

    name: str
    points: Array
    source: tuple[tuple[str, int], ...]
    step: float
    nose: int | None = None


def table_lines(table: OrdinateTable) -> tuple[TableLine, ...]:
    """One line, or "lower" and "upper" where the sides do not meet at one end. Travel: upper towards the nose, lower away from it."""
    if not table.stations:
        line = _line(table.sides[0], CONTOUR)
        return (line if _area(line.points) >= 0 else _reversed(line),)
    sides = {s.name: _forward(_line(s, s.name)) for s in table.sides}
    if set(sides) != {"upper", "lower"}:
        return tuple(sides.values())
    upper, lower = sides["upper"], sides["lower"]
    near = max(upper.step, lower.step)
    if _nose_behind(upper.points, lower.points, near):
        # drawn with the nose at large x: travel still runs counter-clockwise, lower towards the nose and upper away from it
        return (_joined(lower, _reversed(upper)),)
    if np.hypot(*(upper.points[0] - lower.points[0])) <= near * 1.01:
        return (_joined(_reversed(upper), lower),)
    return lower, _reversed(upper)


def _line(side: Side, name: str) -> TableLine:
    points = np.array([o.point for o in side.ordinates])
    return TableLine(name, points, tuple((side.name, i) for i in range(len(points))), side.step)


def _forward(line: TableLine) -> TableLine:
    return line if line.points[0, 0] <= line.points[-1, 0] else _reversed(line)


def _reversed(line: TableLine) -> TableLine:
    return TableLine(line.name, line.points[::-1], line.source[::-1], line.step, line.nose)


def _joined(to_nose: TableLine, from_nose: TableLine) -> TableLine:
    points = np.concatenate([to_nose.points, from_nose.points[1:]])
    source = (*to_nose.source, *from_nose.source[1:])
    return TableLine(CONTOUR, points, source, min(to_nose.step, from_nose.step), len(to_nose.points) - 1)


def _nose_behind(upper: Array, lower: Array, near: float) -> bool:
    """True when the sides meet at their far end in a wider angle than at their near one."""
    if np.hypot(*(upper[-1] - lower[-1])) > near * 1.01:
        return False
    ahead = np.hypot(*(upper[0] - lower[0])) <= near * 1.01
    return not ahead or _opening(upper[::-1], lower[::-1]) > _opening(upper, lower)


def _opening(upper: Array, lower: Array) -> float:
    u, v = upper[1] - upper[0], lower[1] - lower[0]
    return float(np.arccos(np.clip(u @ v / np.hypot(*u) / np.hypot(*v), -1.0, 1.0)))


def _area(p: Array) -> float:
    q = np.roll(p, -1, axis=0)
    return float(np.sum(p[:, 0] * q[:, 1] - q[:, 0] * p[:, 1]) / 2)
