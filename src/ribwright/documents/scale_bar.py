"""The bar that proves the scale of a print: 100 mm on one side of it, 4 in on the other, along x or y."""

from __future__ import annotations

from ribwright.documents.page import Item, Line, Stroke, Text
from ribwright.units import MM_PER_IN

BAR = 100.0  # [mm]
INCHES = 4
LENGTH = INCHES * MM_PER_IN  # length of the whole bar [mm]
HALF = 7.0  # room that ticks and figures need on either side of the bar [mm]
_THIN = Stroke(0.18)


def scale_bar(x: float, y: float, upright: bool = False) -> tuple[Item, ...]:
    """A bar that starts at (x, y) [mm] and runs to the right, or upwards. mm ticks stand on the left of its travel, inch
    ticks on its right; the ends of the mm scale are 100 mm apart, those of the inch scale 4 in (101.6 mm)."""
    marks: list[tuple[float, float, str]] = []
    for i in range(11):
        marks.append((10.0 * i, 4.0 if i % 5 == 0 else 2.5, {0: "0", 5: "50", 10: "100 mm"}.get(i, "")))
    for i in range(2 * INCHES + 1):
        figure = ("" if i % 2 else str(i // 2)) + (" in" if i == 2 * INCHES else "")
        marks.append((i * MM_PER_IN / 2, -2.5 if i % 2 else -4.0, figure))
    items: list[Item] = [_line(x, y, upright, 0.0, 0.0, LENGTH, 0.0)]
    for along, tick, figure in marks:
        items.append(_line(x, y, upright, along, 0.0, along, tick))
        if figure:
            items.append(_figure(x, y, upright, along, tick, figure))
    return tuple(items)


def _line(x: float, y: float, upright: bool, a0: float, s0: float, a1: float, s1: float) -> Line:
    """A line between two points given along the bar and to the left of its travel [mm]."""
    (x0, y0), (x1, y1) = _at(x, y, upright, a0, s0), _at(x, y, upright, a1, s1)
    return Line(x0, y0, x1, y1, _THIN)


def _figure(x: float, y: float, upright: bool, along: float, tick: float, figure: str) -> Text:
    # figures stand beyond their tick, read from the side the bar is read from
    px, py = _at(x, y, upright, along, tick + 0.8 if tick > 0 else tick - 2.8)
    return Text(px, py, figure, 8, "regular", "middle", 90.0 if upright else 0.0)


def _at(x: float, y: float, upright: bool, along: float, side: float) -> tuple[float, float]:
    return (x - side, y + along) if upright else (x + along, y + side)
