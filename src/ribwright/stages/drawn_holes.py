"""Circles about one centre that are one hole of the part: what is cut for a flanged hole, and a hole with its locating pin."""

from __future__ import annotations

from dataclasses import replace
from math import hypot

from ribwright.features.part import Hole

# centres nearer than this are one [mm]
SAME_MM = 1e-3
# a circle about a pin no wider than this many pins is the hole that it goes into
PIN_ROOM = 1.2


def paired(holes: list[Hole]) -> list[Hole]:
    """The holes with those about one centre put together, named L1, P1, H1 and on.

    A plain hole inside a `lightening` one is its `cut_diameter`. A plain hole a little wider than a `tooling` one is the hole itself and
    the other its pin: the hole takes its diameter, `pin_fit` the difference.
    """
    plain = [h for h in holes if h.kind == "plain"]
    out = []
    for hole in holes:
        here = [h for h in plain if hypot(h.at[0] - hole.at[0], h.at[1] - hole.at[1]) < SAME_MM]
        if hole.kind == "lightening":
            inside = [h for h in here if h.diameter < hole.diameter]
            if len(inside) == 1:
                hole, plain = replace(hole, given=("cut_diameter", inside[0].diameter)), _without(plain, inside[0])
        elif hole.kind == "tooling" and not hole.slot:
            about = [h for h in here if hole.diameter < h.diameter <= PIN_ROOM * hole.diameter]
            if len(about) == 1:
                fit = about[0].diameter - hole.diameter
                hole, plain = replace(hole, diameter=about[0].diameter, pin_fit=fit), _without(plain, about[0])
        if hole.kind != "plain":
            out.append(hole)
    return _named("L", "lightening", out) + _named("P", "tooling", out) + _named("H", "plain", plain)


def _without(holes: list[Hole], gone: Hole) -> list[Hole]:
    return [h for h in holes if h is not gone]


def _named(letter: str, kind: str, holes: list[Hole]) -> list[Hole]:
    """Those of a kind, from left to right."""
    ordered = sorted((h for h in holes if h.kind == kind), key=lambda h: (round(h.at[0], 3), round(h.at[1], 3)))
    return [replace(h, name=f"{letter}{n}") for n, h in enumerate(ordered, 1)]
