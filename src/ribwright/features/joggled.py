"""Joggles of one edge put on its line: stretches, the ramps at their ends, the depth at a place.

A stretch runs from `start` to `end`, either way round. At each of its ends that lies inside the edge the line steps over `length`,
inside the stretch; an end of the stretch at an end of the edge has no step there: the whole end of the flange lies deeper.
"""

from __future__ import annotations

from collections.abc import Sequence

from ribwright.features.part import Joggle, along_of
from ribwright.geometry.curve import Curve
from ribwright.geometry.stepped import Ramp, Stepped

SAME_MM = 1e-6  # places along an edge this near each other are one


def stretch_of(joggle: Joggle, length: float) -> tuple[float, float]:
    """The stretch in rising arc length as typed, on an edge of this length [mm]."""
    low, high = sorted(along_of(p, length) for p in (joggle.start, joggle.end))
    return low, high


def steps_of(joggle: Joggle, length: float) -> tuple[tuple[float, float], ...]:
    """(from, to) of each step in rising arc length as typed [mm]: none at an end of the edge."""
    low, high = stretch_of(joggle, length)
    first = [(low, low + joggle.length)] if low > SAME_MM else []
    return (*first, *([(high - joggle.length, high)] if high < length - SAME_MM else []))


def depth_at_ends(joggles: Sequence[Joggle], length: float) -> tuple[float, float]:
    """Depth at the edge's start and end as typed [mm]."""
    ends = [(j.depth, *stretch_of(j, length)) for j in joggles]
    return sum(d for d, low, _ in ends if low <= SAME_MM), sum(d for d, _, high in ends if high >= length - SAME_MM)


def moved_inward(drawn: Curve, joggles: Sequence[Joggle], turned: bool) -> Stepped:
    """The edge's line with its joggles, in the direction of travel."""
    length, ramps = drawn.length, []
    for j in joggles:
        begins = stretch_of(j, length)[0]
        for low, high in steps_of(j, length):
            # a stretch from the edge's start has its one step at the end, also where that takes the whole of it
            rising = SAME_MM < low <= begins + SAME_MM
            start = length - high if turned else low
            ramps.append(Ramp(start, j.length, j.depth if rising != turned else -j.depth))
    return Stepped(drawn, sorted(ramps, key=lambda r: r.start), depth_at_ends(joggles, length)[1 if turned else 0])
