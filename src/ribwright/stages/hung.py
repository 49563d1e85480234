"""How surely a template hung on a part's pin holes lies on the drawing: the play of every pin, shift and turn together.

Every move that all pins allow counts as equally likely: each hole may lie off its pin by half its play along x and along y, a slot across
its long axis alone. The covariance is that of a grid over those moves, told about the middle of the pins. Pins that stand close leave the
far end of an edge free to swing.
"""

from __future__ import annotations

import itertools
from math import hypot

import numpy as np

from ribwright.features.part import Hole, Part
from ribwright.stages.found import Fit

NO_PLAY = "play of the pins is not given (pin_fit of {}): what the template's place adds is not known"
NO_PINS = "the part has no two pin holes that a template could hang on: say # template = hand"
GRID = 31  # steps of each of the three moves
LEAST = 1e-6  # mm of play: a pin that is pressed in


def hung(part: Part) -> Fit | str:
    """The move that the play leaves open, as its covariance; or why nobody knows."""
    pins = [h for h in part.holes if h.kind == "tooling"]
    bare = [h.name for h in pins if h.pin_fit is None]
    if bare:
        return NO_PLAY.format(", ".join(bare))
    far = max((hypot(a.at[0] - b.at[0], a.at[1] - b.at[1]) for a, b in itertools.combinations(pins, 2)), default=0.0)
    if far <= 0.0 or all(h.slot > 0 for h in pins):
        return NO_PINS
    about = (float(np.mean([h.at[0] for h in pins])), float(np.mean([h.at[1] for h in pins])))
    half = max(max((h.pin_fit or 0.0) for h in pins) / 2, LEAST)
    line = np.linspace(-1.0, 1.0, GRID)
    x, y, turn = (v.ravel() for v in np.meshgrid(2 * half * line, 2 * half * line, 4 * half / far * line))
    may = np.ones(len(x), bool)
    for h in pins:
        ax, ay = h.at[0] - about[0], h.at[1] - about[1]
        for wx, wy in _ways(h):
            off = wx * (x - turn * ay) + wy * (y + turn * ax)
            may &= np.abs(off) <= max((h.pin_fit or 0.0) / 2, LEAST)
    moves = np.column_stack([x, y, turn])[may]
    return Fit(0.0, 0.0, 0.0, 0.0, "none", np.asarray(moves.T @ moves / len(moves)), about)


def _ways(hole: Hole) -> tuple[tuple[float, float], ...]:
    """Along which its pin holds it."""
    if hole.slot <= 0.0:
        return (1.0, 0.0), (0.0, 1.0)
    a = np.radians(hole.slot_angle)
    return ((float(-np.sin(a)), float(np.cos(a))),)
