"""How a stretch of an edge is drawn: the pattern of the line says what may be done about it, without colour."""

from __future__ import annotations

from collections.abc import Sequence
from math import hypot

import numpy as np
from numpy.typing import NDArray

from ribwright.documents.page import Circle, Item, Line, Pair, Polyline, Stroke, Text

Array = NDArray[np.float64]
OK, CARE, FLUTE, UNKNOWN, PRESS, NOTCH, CHANGE = "ok", "care", "flute", "unknown", "press", "notch", "change"
# the weakest first: where two meet, the stronger one is drawn
STRENGTH = (OK, CARE, UNKNOWN, FLUTE, PRESS, NOTCH, CHANGE)
PATTERN_WORDS = {
    OK: "nothing found",
    CARE: "look here: a warning",
    FLUTE: "flutes could take it",
    UNKNOWN: "not known",
    PRESS: "stays open, press short",
    NOTCH: "relief notch needed",
    CHANGE: "softer temper or another drawing",
}
THIN, MIDDLE, HEAVY = Stroke(0.3), Stroke(0.45), Stroke(1.0)
DASHED = Stroke(0.5, 0.0, (2.4, 1.4))
REACH = 3.2  # how far a pattern stands off its line [mm]
STAND_OFF = (UNKNOWN, NOTCH)


def drawn(points: Sequence[Pair], pattern: str) -> list[Item]:
    """A line through `points` on the page [mm] in a pattern; teeth stand on the right of its travel (outside the part)."""
    p = np.asarray(points, float)
    line = tuple((float(x), float(y)) for x, y in p)
    if pattern == OK:
        return [Polyline(line, False, THIN)]
    if pattern == CARE:
        return [Polyline(line, False, HEAVY)]
    if pattern == PRESS:
        return [Polyline(_beside(p, d), False, MIDDLE) for d in (-0.6, 0.6)]
    if pattern == UNKNOWN:
        marks = [Text(x, y - 1.1, "?", 8.5, "bold", "middle") for (x, y), _ in _every(set_off(p, 2.2), 18.0)]
        return [Polyline(line, False, DASHED), *marks]
    items: list[Item] = [Polyline(line, False, MIDDLE)]
    if pattern == FLUTE:
        items += [Circle(x, y, 0.8, None, 0.0) for (x, y), _ in _every(p, 3.4)]
    if pattern == NOTCH:
        items += [Line(x, y, x + 2.2 * nx, y + 2.2 * ny, MIDDLE) for (x, y), (nx, ny) in _every(p, 1.8)]
    if pattern == CHANGE:
        for (x, y), (nx, ny) in _every(p, 4.0):
            for sign in (1.0, -1.0):
                dx, dy = 0.9 * (nx - sign * ny), 0.9 * (ny + sign * nx)
                items.append(Line(x - dx, y - dy, x + dx, y + dy, MIDDLE))
    return items


def _arc(p: Array) -> Array:
    return np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(p, axis=0).T))])


def _every(p: Array, step: float) -> list[tuple[Pair, Pair]]:
    """(point, unit normal to the right of travel) about every `step` along a line, at least one [mm]."""
    s = _arc(p)
    n = max(1, int(s[-1] / step))
    out = []
    for at in (np.arange(n) + 0.5) * s[-1] / n:
        k = min(int(np.searchsorted(s, at, side="right")) - 1, len(p) - 2)
        d = p[k + 1] - p[k]
        size = max(hypot(*d), 1e-12)
        x, y = (float(np.interp(at, s, p[:, i])) for i in (0, 1))
        out.append(((x, y), (float(d[1]) / size, -float(d[0]) / size)))
    return out


def _normals(p: Array) -> Array:
    d = np.gradient(p, axis=0)
    size = np.maximum(np.hypot(d[:, 0], d[:, 1]), 1e-12)
    return np.stack([d[:, 1] / size, -d[:, 0] / size], axis=1)


def set_off(p: Array, distance: float) -> Array:
    """The line set off to the right of its travel."""
    return np.asarray(p + distance * _normals(p))


def _beside(p: Array, distance: float) -> tuple[Pair, ...]:
    return tuple((float(x), float(y)) for x, y in set_off(p, distance))
