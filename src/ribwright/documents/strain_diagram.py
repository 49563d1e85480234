"""The strain diagram: minor strain across, major strain up, a point where any of the sheet is, the limit line, and the least room to it.

Nothing else is on it: where a point lies against the line is what it says.
"""

from __future__ import annotations

from math import floor, log10

import numpy as np
from numpy.typing import NDArray

from ribwright.documents.page import Circle, Item, Line, Polyline, Stroke, Text
from ribwright.stages.strain_limit import LINE, LimitLine, NoLine
from ribwright.stages.strain_map import StrainMap
from ribwright.stages.strain_margins import SplitMargin

Array = NDArray[np.float64]
DOT, STEP = 0.35, 0.6  # radius of a point and what one stands for [mm]
LIMIT, RAY, GRID, AXIS = Stroke(0.7), Stroke(0.25, 0.0, (1.6, 1.2)), Stroke(0.1, 0.75), Stroke(0.25)
PT = 9.0
ROOM = 1.12
MOST = 2.0  # times the line in plane strain: as far as the ray to it is followed


def strain_diagram(
    m: StrainMap, line: LimitLine | NoLine, rows: tuple[SplitMargin, ...], width: float, tall: float
) -> tuple[Item, ...]:
    """In a frame of the given size [mm], origin at its lower left; both axes on one scale."""
    mine = m.counted & ~m.web
    minor, major = m.minor[mine], m.major[mine]
    e0 = line.e0 if isinstance(line, LimitLine) else 0.0
    worst = next((r for r in rows if r.by == LINE and r.limit is not None), None)
    met = min(worst.limit or 0.0, MOST * e0) if worst is not None else 0.0
    top = ROOM * max(float(major.max(initial=0.0)), 1.35 * e0, met, 0.02)
    left, right = (
        min(float(minor.min(initial=0.0)) * ROOM, -0.5 * top),
        max(float(minor.max(initial=0.0)) * ROOM, 0.25 * top),
    )
    scale = min(width / (right - left), tall / top)

    def at(x: float, y: float) -> tuple[float, float]:
        return (x - left) * scale, y * scale

    wide, high = (right - left) * scale, top * scale
    items: list[Item] = [*_grid(left, right, top, at)]
    items += [Circle(x, y, DOT, None, 0.45) for x, y in _points(minor, major, left, scale)]
    if isinstance(line, LimitLine):
        reach = min(top, e0 - left)
        ends = ((e0 - reach, reach), (0.0, e0), (right, e0))
        items.append(Polyline(tuple(at(x, y) for x, y in ends), False, LIMIT))
        items += _least(worst, top, at) if worst is not None else []
    items += [Line(0.0, 0.0, wide, 0.0, AXIS), Polyline((at(0.0, 0.0), at(0.0, top)), False, AXIS)]
    items += [
        Text(wide / 2.0, -9.5, "minor true strain", PT, "bold", "middle"),
        Text(-10.5, high / 2.0, "major true strain", PT, "bold", "middle", 90.0),
    ]
    return tuple(items)


def _points(minor: Array, major: Array, left: float, scale: float) -> Array:
    """(n, 2): one point for all that fall into a square of `STEP`."""
    cells = np.unique(np.round(np.column_stack([(minor - left), major]) * scale / STEP).astype(np.int64), axis=0)
    return np.asarray(cells * STEP, np.float64)


def _least(worst: SplitMargin, top: float, at: object) -> list[Item]:
    """The place with the least room to the line: a ring, the ray through it to the line or the frame, and the room in words."""
    assert callable(at)
    assert worst.limit is not None
    assert worst.margin is not None
    x, y = at(worst.minor, worst.major)
    reach = max(worst.major, min(worst.limit, top)) / worst.major
    far = at(worst.minor * reach, worst.major * reach)
    name = f"hole {worst.name}" if worst.kind == "hole" else worst.name
    return [
        Polyline((at(0.0, 0.0), far), False, RAY),
        Circle(x, y, 1.6, Stroke(0.5)),
        Text(x + 2.6, y - 1.2, f"{name}: {100 * worst.margin:.0f} % left", 10.0, "bold"),
    ]


def _grid(left: float, right: float, top: float, at: object) -> list[Item]:
    assert callable(at)
    step = _step(max(top, right - left))
    items: list[Item] = []
    (x0, _), (x1, _) = at(left, 0.0), at(right, 0.0)
    for k in range(1, int(top / step + 1e-9) + 1):
        _, y = at(0.0, k * step)
        items += [Line(x0, y, x1, y, GRID), Text(x0 - 1.0, y - 1.1, f"{round(k * step, 6):g}", PT, anchor="end")]
    for k in range(int(np.ceil(left / step - 1e-9)), int(right / step + 1e-9) + 1):
        x, y = at(k * step, 0.0)
        _, y1 = at(0.0, top)
        items += [Line(x, y, x, y1, GRID), Text(x, y - 4.2, f"{round(k * step, 6):g}", PT, anchor="middle")]
    return items


def _step(span: float) -> float:
    """A round step that cuts a span into at most eight."""
    decade = 10.0 ** floor(log10(span))
    return next(decade * s for s in (0.1, 0.2, 0.25, 0.5, 1.0, 2.0) if span / (decade * s) <= 8.0)
