"""Ellipses and splines of a DXF file as dense points that lie exactly on them; what is straight or round in truth becomes
a line or an arc. The library evaluates the curves (rational ones too)."""

from __future__ import annotations

from math import ceil, pi
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ribwright.features.drawn_lines import ARC, CIRCLE, CURVE, LINE, Piece
from ribwright.geometry.recognise import ends_meet, is_straight, round_arc

Array = NDArray[np.float64]
# points to a whole ellipse, and to one span between two knots of a spline
ELLIPSE_POINTS, SPAN_POINTS, MOST_POINTS = 720, 96, 60_000
# how often the first and last step of a curve are halved: a natural spline leaves the curve most beside its ends
HALVED = 5
# a knot where the direction jumps by more than this is a corner, and the curve ends there
CORNER_RAD = 1e-3


def ellipse_pieces(entity: Any, layer: str, source: str) -> list[Piece]:
    """The ellipse or the part of it that is drawn."""
    tool = entity.construction_tool()
    span = (tool.end_param - tool.start_param) % (2 * pi) or 2 * pi
    n = max(16, ceil(ELLIPSE_POINTS * span / (2 * pi)))
    points = _array(tool.vertices(tool.start_param + span * steps(n)))
    return [as_piece(points, layer, source)]


def spline_pieces(entity: Any, layer: str, source: str) -> list[Piece]:
    """The spline, parted where it has a corner."""
    tool = entity.construction_tool()
    knots = np.unique(np.asarray(tool.knots(), float))
    first, last = knots[0] + 0.0, knots[-1]
    if tool.degree > 0 and len(tool.knots()) > 2 * tool.degree + 1:
        # an unclamped spline is defined between its degree-th knots from either end only
        raw = sorted(tool.knots())
        first, last = raw[tool.degree], raw[-tool.degree - 1]
    spans = knots[(knots >= first) & (knots <= last)]
    return [as_piece(_dense(tool, part), layer, source) for part in _parted(tool, spans)]


def _parted(tool: Any, knots: Array) -> list[Array]:
    """The knots in runs that have no corner inside."""
    cuts = [0]
    for i in range(1, len(knots) - 1):
        step = 1e-7 * min(knots[i] - knots[i - 1], knots[i + 1] - knots[i])
        before, after = (_array(tool.derivative(knots[i] + s, 1)[1:2])[0] for s in (-step, step))
        turn = np.arctan2(before[0] * after[1] - before[1] * after[0], before @ after)
        if tool.degree == 1 or abs(turn) > CORNER_RAD:
            cuts.append(i)
    return [knots[a : b + 1] for a, b in zip(cuts, [*cuts[1:], len(knots) - 1], strict=True)]


def _dense(tool: Any, knots: Array) -> Array:
    n = max(4, min(SPAN_POINTS, MOST_POINTS // max(len(knots) - 1, 1)))
    # the share of each knot span, as one number that counts the spans
    along = steps(n * (len(knots) - 1)) * (len(knots) - 1)
    points = _array(tool.points(np.interp(along, np.arange(len(knots)), knots)))
    step = np.hypot(*np.diff(points, axis=0).T)
    return np.concatenate([points[:1], points[1:][step > 1e-12 * max(float(np.ptp(points)), 1e-300)]])


def steps(n: int) -> Array:
    """Shares from 0 to 1 in n even steps, the first and the last of them halved towards the ends."""
    even = np.linspace(0.0, 1.0, n + 1)
    close = 0.5 ** np.arange(1, HALVED + 1) / n
    return np.unique(np.concatenate([even, close, 1.0 - close]))


def as_piece(points: Array, layer: str, source: str) -> Piece:
    """Dense points (n, 2) of a curve as what they are: a line, an arc, a circle, or the curve."""
    if len(points) < 2:
        return Piece(LINE, (_pair(points[0]), _pair(points[0])), layer, source)
    if is_straight(points):
        return Piece(LINE, (_pair(points[0]), _pair(points[-1])), layer, source)
    arc = round_arc(points)
    if arc is not None and ends_meet(points):
        return Piece(CIRCLE, (_pair(arc[0]), _pair(points[0])), layer, source)
    if arc is not None:
        return Piece(ARC, (_pair(points[0]), _pair(arc[1]), _pair(points[-1])), layer, source)
    rows = [_pair(p) for p in points]
    return Piece(CURVE, (*rows[:-1], rows[0] if ends_meet(points) else rows[-1]), layer, source)


def _pair(p: Array) -> tuple[float, float]:
    return float(p[0]), float(p[1])


def _array(points: Any) -> Array:
    return np.array([(p.x, p.y) for p in points], float)
