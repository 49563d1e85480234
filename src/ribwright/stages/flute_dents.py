"""Drawn flutes of the formed mid-surface: dents of their flanges, nothing at the bend, full at the free edge.

Flutes that are only planned are not of the drawing, and the formed part is the drawing's. A flute past its edge's ends or pressed
outward is left out; findings say so.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

import numpy as np

from ribwright.features.laid import LaidEdge
from ribwright.features.part import Flute, Part, along_of
from ribwright.geometry.midsurface.dents import Dent, fine_at, flute_dent
from ribwright.geometry.midsurface.plans import LoopPlan
from ribwright.geometry.midsurface.side import Side, placed


def flutes_on(part: Part, edge: LaidEdge) -> Iterator[tuple[float, Flute]]:
    """(arc length of travel, flute) of the inward flutes that lie wholly on an edge, in rising arc length."""
    length = edge.curve.length
    rows = []
    for flute in part.flutes:
        if flute.edge == edge.edge.name and flute.turn == "down" and edge.flange is not None:
            along = along_of(flute.at, length)
            if flute.width / 2 < along < length - flute.width / 2:
                rows.append((length - along if edge.edge.turned else along, flute))
    yield from sorted(rows, key=lambda r: r[0])


def breaks_of(part: Part, edge: LaidEdge) -> tuple[float, ...]:
    """Where the mesh has a column of nodes: middle and sides of each of the edge's flutes."""
    return tuple(s + k * flute.width / 2 for s, flute in flutes_on(part, edge) for k in (-1, 0, 1))


def fine_of(part: Part, edge: LaidEdge) -> tuple[tuple[float, float, float], ...]:
    """Where its columns stand closer, as `Side.fine` takes it."""
    return tuple(fine_at(s, flute.width) for s, flute in flutes_on(part, edge))


def flute_dents(part: Part, edges: Iterable[LaidEdge], loops: Iterable[LoopPlan]) -> tuple[Dent, ...]:
    """The dents of every flute; `edges` laid out, in the order of their place numbers, and `loops` as planned for the mesh, where an
    edge parted by notches stands several times."""
    sides: dict[int, Side] = {e.place: e.side for loop in loops for e in loop.edges if e.side is not None}
    made = (
        flute_dent(side, s, _flat_width(side, s, flute.width), flute.depth)
        for place, edge in enumerate(edges)
        if (side := sides.get(place)) is not None
        for s, flute in flutes_on(part, edge)
    )
    return tuple(d for d in made if d is not None)


def _flat_width(side: Side, s: float, width: float) -> float:
    """How far apart a flute's sides stand at the free edge of the flat, which is longer than the drawn line where it shrinks [mm]."""
    ends = placed(side, np.array([s - width / 2, s + width / 2]), np.full(2, side.rows, float)).flat
    return float(np.linalg.norm(ends[1] - ends[0]))
