"""Holes of the web as nodes: circles and slots as cut, flanged holes as closed strips round their tangent circle."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ribwright.geometry.midsurface.loops import LaidOut, relief_size
from ribwright.geometry.midsurface.nodes import Nodes
from ribwright.geometry.midsurface.outline import Step
from ribwright.geometry.midsurface.plans import HolePlan
from ribwright.geometry.midsurface.sizes import size_along, spaced
from ribwright.geometry.midsurface.strips import Stretch, make_strip
from ribwright.geometry.midsurface.values import FLANGE, FREE, HOLE

Array = NDArray[np.float64]


def lay_hole(nodes: Nodes, hole: HolePlan, size: float, direction: float) -> LaidOut:
    """The hole's nodes, clockwise; those of a plain one counted from `direction` [rad]."""
    if hole.side is not None:
        s = spaced(0.0, hole.side.curve.length, size_along(hole.side.curve, size))
        strip = make_strip(nodes, (Stretch(hole.side, s),), closed=True)
        steps = [Step(int(i), FREE, hole.place, FLANGE, hole.place) for i in strip.ids[-1]]
        return LaidOut(steps, [strip], [])
    ids = nodes.on_web(_slot(hole, size) if hole.slot > 0 else _circle(hole, size, direction))
    return LaidOut([Step(int(i), HOLE, hole.place) for i in ids], [], [])


def _circle(hole: HolePlan, size: float, direction: float) -> Array:
    n = _even(2 * np.pi * hole.radius / relief_size(hole.radius, size))
    angle = direction - np.linspace(0.0, 2 * np.pi, n + 1)[:-1]
    return np.array(hole.centre) + hole.radius * np.column_stack([np.cos(angle), np.sin(angle)])


def _slot(hole: HolePlan, size: float) -> Array:
    """Two straight sides and two half circles."""
    step, r = relief_size(hole.radius, size), hole.radius
    c, s = np.cos(hole.slot_angle), np.sin(hole.slot_angle)
    turn, half = np.array([[c, s], [-s, c]]), hole.slot / 2
    round_, along = _even(np.pi * r / step), _even(hole.slot / step)
    out = []
    for sign in (1.0, -1.0):
        angle = np.pi / 2 - np.linspace(0.0, np.pi, round_ + 1)[:-1]
        end = np.column_stack([half + r * np.cos(angle), r * np.sin(angle)])
        x = np.linspace(half, -half, along + 1)[:-1]
        out.append(sign * np.concatenate([end, np.column_stack([x, np.full(along, -r)])]))
    return np.array(hole.centre) + np.concatenate(out) @ turn


def _even(count: float) -> int:
    return max(2, 2 * int(np.ceil(count / 2 - 1e-6)))
