"""Flutes on the block drawing: how their grooves are cut, and the table of their places."""

from __future__ import annotations

from ribwright.documents.entry_table import whole
from ribwright.documents.flute_marks import flute_table
from ribwright.documents.layout import Piece, gap, heading, prose, small, table
from ribwright.stages.plan import Plan
from ribwright.units import Unit

GROOVE = (
    "Groove in the wall for each: half-round file or cone, straight down the wall; nothing where the rounding of the edge ends, full width "
    "and depth (square to the wall) where the free edge of the flange lies, and on to the foot. Ease its edges by hand."
)


def flute_pieces(plan: Plan, first: Unit, width: float) -> list[Piece]:
    """Heading, how to cut the grooves, table and notes; nothing where no flute is."""
    made = flute_table(plan, first)
    if made is None:
        return []
    top = [heading("Flutes", width), *prose(GROOVE, width), *table(made.columns, made.rows, width, 9.0)]
    return [*whole(top), *(p for n in made.under for p in small(n, width)), gap()]
