"""Flutes of the formed mid-surface: dents of their flanges, nothing at the bend, full at the free edge.

A flute past its edge's ends or pressed outward is left out; findings say so.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

import numpy as np

from ribwright.features.laid import LaidEdge
from ribwright.geometry.midsurface.dents import Dent, fine_at, flute_dent
from ribwright.geometry.midsurface.plans import LoopPlan
from ribwright.geometry.midsurface.side import Side, placed
from ribwright.stages.flutes import PlacedFlute

Flutes = tuple[PlacedFlute, ...]


def flutes_on(flutes: Flutes, edge: LaidEdge) -> Iterator[tuple[float, PlacedFlute]]:
    """(arc length of travel, flute) of the inward flutes that lie wholly on an edge, in rising arc length."""
    length = edge.curve.length
    mine = [f for f in flutes if f.edge == edge.edge.name and f.turn == "down"]
    rows = [(float(edge.at(np.array([f.along]))[0]), f) for f in mine]
    yield from sorted((r for r in rows if r[1].width / 2 < r[0] < length - r[1].width / 2), key=lambda r: r[0])


def breaks_of(flutes: Flutes, edge: LaidEdge) -> tuple[float, ...]:
    """Where the mesh has a column of nodes: middle and sides of each of the edge's flutes."""
    return tuple(s + k * f.width / 2 for s, f in flutes_on(flutes, edge) for k in (-1, 0, 1))


def fine_of(flutes: Flutes, edge: LaidEdge) -> tuple[tuple[float, float, float], ...]:
    """Where its columns stand closer, as `Side.fine` takes it."""
    return tuple(fine_at(s, f.width) for s, f in flutes_on(flutes, edge))


def flute_dents(flutes: Flutes, edges: Iterable[LaidEdge], loops: Iterable[LoopPlan]) -> tuple[Dent, ...]:
    """The dents of every flute; `edges` laid out, by their numbers, and `loops` as planned for the mesh."""
    sides = {e.side.place: e.side for loop in loops for e in loop.edges if e.side is not None}
    made = (
        flute_dent(side, s, _flat_width(side, s, f.width), f.depth)
        for place, edge in enumerate(edges)
        if (side := sides.get(place)) is not None
        for s, f in flutes_on(flutes, edge)
    )
    return tuple(d for d in made if d is not None)


def _flat_width(side: Side, s: float, width: float) -> float:
    """How far apart a flute's sides stand at the free edge of the flat, which is longer than the drawn line where it shrinks [mm]."""
    ends = placed(side, np.array([s - width / 2, s + width / 2]), np.full(2, side.rows, float)).flat
    return float(np.linalg.norm(ends[1] - ends[0]))
