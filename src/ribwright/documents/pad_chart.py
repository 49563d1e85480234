"""Charts of a place under the pad: stroke and force, pressure on the flange and angle over ram pressure; pressure along the flange."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, floor, log10

import numpy as np
from numpy.typing import NDArray

from ribwright.documents.layout import Piece, picture
from ribwright.documents.lettering import text_width
from ribwright.documents.page import Circle, Item, Line, Pair, Polyline, Stroke, Text
from ribwright.documents.section_curve import round_values

Array = NDArray[np.float64]
LEFT, RIGHT, TOP, BOTTOM = 15.0, 3.0, 11.0, 13.0
GRID, FULL, DASHED, DOTTED = (
    Stroke(0.1, 0.7),
    Stroke(0.55),
    Stroke(0.45, 0.0, (3.0, 1.2)),
    Stroke(0.25, 0.0, (0.5, 1.0)),
)
PT = 8.0
TICKS = 5  # about so many on a straight scale


@dataclass(frozen=True)
class Axes:
    """A frame of a given size [mm] with its scales. `log`, `log_y`: by the logarithm. Points are in the units that are printed."""

    x: Pair
    y: Pair
    size: Pair
    log: bool = True
    bottom: float = BOTTOM
    log_y: bool = False

    def __call__(self, x: float, y: float) -> Pair:
        """Place on paper, y from 0 down to -height; held inside the frame."""
        x, y = min(max(x, self.x[0]), self.x[1]), min(max(y, self.y[0]), self.y[1])
        wide, tall = self.size[0] - LEFT - RIGHT, self.size[1] - self.bottom - TOP
        across, up = _share(x, self.x, self.log), _share(y, self.y, self.log_y)
        return LEFT + across * wide, -self.size[1] + self.bottom + up * tall


def _share(value: float, ends: Pair, log: bool) -> float:
    """Where a value lies between the ends of its scale, 0 to 1."""
    if log:
        return log10(value / ends[0]) / log10(ends[1] / ends[0])
    return (value - ends[0]) / (ends[1] - ends[0])


def steps_of(low: float, high: float) -> list[float]:
    """Round values between the ends of a straight scale, about TICKS of them."""
    raw = (high - low) / TICKS
    ten = 10.0 ** floor(log10(raw))
    step = min((m * ten for m in (1.0, 2.0, 5.0, 10.0)), key=lambda s: abs(s - raw))
    return [k * step for k in range(ceil(low / step - 1e-9), floor(high / step + 1e-9) + 1)]


def frame(axes: Axes, title: str, x_name: str, y_name: str, under: tuple[float, str] | None = None) -> list[Item]:
    """Title, grid, numbers and names. `under` (factor, name): a second row of numbers below the first, of x times the factor."""
    items: list[Item] = [Text(0.0, -4.0, title, 9.0, "bold")]
    (x0, y0), (x1, y1) = axes(axes.x[0], axes.y[0]), axes(axes.x[1], axes.y[1])
    for v in round_values(*axes.y) if axes.log_y else steps_of(*axes.y):
        y = axes(axes.x[0], v)[1]
        items += [Line(x0, y, x1, y, GRID), Text(x0 - 1.0, y - 1.0, f"{v:g}", PT, anchor="end")]
    last = -99.0
    for v in round_values(*axes.x) if axes.log else steps_of(*axes.x):
        x = axes(v, axes.y[0])[0]
        items.append(Line(x, y0, x, y1, GRID))
        words = [f"{v:g}", *([f"{v * under[0]:.3g}"] if under else [])]
        half = max(text_width(w, PT) for w in words) / 2.0
        if x - half > last + 1.0 and x + half < axes.size[0] + 1.0:
            items += [Text(x, y0 - 3.8 - 3.6 * k, w, PT, anchor="middle") for k, w in enumerate(words)]
            last = x + half
    names = [x_name, *([under[1]] if under else [])]
    low = y0 - 3.8 - 3.6 * len(names)
    items.append(Text((x0 + x1) / 2.0, low, "; second row: ".join(names), PT, anchor="middle"))
    items.append(Text(x0 - 10.5, (y0 + y1) / 2.0, y_name, PT, anchor="middle", angle_deg=90.0))
    return [*items, Line(x0, y0, x1, y0), Line(x0, y0, x0, y1)]


def curve(axes: Axes, x: Sequence[float] | Array, y: Sequence[float] | Array, stroke: Stroke = FULL) -> list[Item]:
    """The line through the points that lie within the x scale."""
    inside = [(float(a), float(b)) for a, b in zip(x, y, strict=True) if axes.x[0] <= a <= axes.x[1] * (1 + 1e-9)]
    return [Polyline(tuple(axes(*p) for p in inside), False, stroke)] if len(inside) > 1 else []


def rings(axes: Axes, points: Sequence[Pair], filled: bool = False) -> list[Item]:
    """Marks at the points that lie within the x scale."""
    inside = [p for p in points if axes.x[0] <= p[0] <= axes.x[1]]
    return [Circle(*axes(*p), 0.9, Stroke(0.3), 0.0 if filled else 1.0) for p in inside]


def level(axes: Axes, y: float) -> list[Item]:
    """A dotted line across at y."""
    return [Line(*axes(axes.x[0], y), *axes(axes.x[1], y), DOTTED)]


def upright(axes: Axes, x: float) -> list[Item]:
    """A dotted line up at x."""
    return [Line(*axes(x, axes.y[0]), *axes(x, axes.y[1]), DOTTED)]


def key_lines(rows: Sequence[tuple[str, str]], width: float) -> Piece:
    """What the lines of a chart are: (kind, words) one beside or under the other; kinds full, dashed, dotted, ring, dot."""
    items: list[Item] = []
    x, y = LEFT - 4.0, -3.2
    for kind, words in rows:
        wide = 9.0 + text_width(words, PT) + 4.0
        if x + wide > width and x > LEFT - 4.0:
            x, y = LEFT - 4.0, y - 3.8
        items += [*_sample(kind, x, y + 1.0), Text(x + 8.5, y, words, PT)]
        x += wide
    return picture(items, -y + 1.2)


def _sample(kind: str, x: float, y: float) -> list[Item]:
    if kind in ("ring", "dot"):
        return [Circle(x + 3.5, y, 0.9, Stroke(0.3), 1.0 if kind == "ring" else 0.0)]
    return [Line(x, y, x + 7.0, y, {"full": FULL, "dashed": DASHED, "dotted": DOTTED}[kind])]


def round_top(value: float) -> float:
    """A round number at or a little over a value, for the end of a scale that starts at 0."""
    if value <= 0.0:
        return 1.0
    ten = 10.0 ** floor(log10(value))
    return next(
        m * ten for m in (1.0, 1.2, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0) if m * ten >= value * (1 - 1e-9)
    )
