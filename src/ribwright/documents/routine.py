"""Dwell, hits, lubricant and cover plate: what the shop file says, or a box to fill in. Nothing here is invented."""

from __future__ import annotations

from dataclasses import replace

from ribwright.documents.layout import Piece, fill_boxes
from ribwright.stages.setup import Setup
from ribwright.units import show_time

SHARES = (0.9, 0.85, 1.4, 1.5)


def routine_boxes(s: Setup, width: float) -> Piece:
    """One row of boxes; an empty one is for the shop's practice to be written in."""
    routine = s.press.routine
    known = (
        show_time(routine.dwell_s) if routine.dwell_s is not None else "",
        str(routine.hits) if routine.hits is not None else "",
        routine.lubricant,
        routine.cover_plate,
    )
    names = ("dwell", "hits", "lubricant", "cover plate")
    labels = [f"{n}, shop's {'choice' if k else 'practice:'}" for n, k in zip(names, known, strict=True)]
    return replace(fill_boxes(labels, width, 10.0, SHARES, known), keep=True)
