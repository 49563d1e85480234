"""The lean of a block's wall from square, in the one set of words that paper and screen use.

IN: the wall leans under the web face, the foot is smaller. OUT: it leans past the web face, the foot is larger.
"""

from __future__ import annotations

from ribwright.documents.entry_table import fine_length
from ribwright.stages.answers import BLOCK_ANGLE_STEP, BLOCK_SETBACK_STEP_IN, round_to
from ribwright.units import MM_PER_IN, Unit, show_angle, show_length


def lean_words(deg: float, digits: int = 1) -> str:
    """'IN 8.5 deg' for a wall that leans under the web face, 'OUT 3.0 deg' for one that leans past it, 'square'. `deg` is
    the wall angle less 90."""
    shown = show_angle(abs(deg), digits)
    if shown == show_angle(0.0, digits):
        return "square"
    return f"{'IN' if deg > 0 else 'OUT'} {shown}"


def sawn_lean(wall_deg: float) -> str:
    """The lean to half a degree, as the saw is set, of a wall angle from the web face."""
    return lean_words(round_to(wall_deg - 90.0, BLOCK_ANGLE_STEP))


def foot_lean(mm: float, first: Unit) -> str:
    """'IN 0.110 in (2.79 mm)', to 0.005 in: how far the foot lies from the outline and which way."""
    rounded = round_to(mm / MM_PER_IN, BLOCK_SETBACK_STEP_IN) * MM_PER_IN
    if abs(rounded) < 1e-9:
        return show_length(0.0, first)
    return f"{'IN' if mm > 0 else 'OUT'} {show_length(abs(rounded), first)}"


def fine_foot(mm: float, first: Unit) -> str:
    """The same as computed: 'IN 0.1103 in (2.801 mm)'."""
    if abs(mm) < 5e-4:
        return fine_length(0.0, first)
    return f"{'IN' if mm > 0 else 'OUT'} {fine_length(abs(mm), first)}"


def from_end(neighbour: str) -> str:
    """'from the FRONT end': where lengths along an edge begin, by the edge that meets it there."""
    return f"from the {neighbour.upper()} end"


def lean_band(low: float, high: float) -> str:
    """'IN 7.8 to IN 12.9 deg', 'OUT 2.9 to IN 2.2 deg': a band of leans, to a tenth."""
    return f"{_way(low)} {abs(low):.1f} to {_way(high)} {show_angle(abs(high))}"


def _way(deg: float) -> str:
    return "OUT" if deg < 0 else "IN"
