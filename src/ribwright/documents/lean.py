"""How a wall of the block leans, in the words of the saw: IN, OUT or square."""

from __future__ import annotations

from ribwright.stages.answers import BLOCK_ANGLE_STEP, round_to
from ribwright.units import show_angle


def wall_lean(deg: float) -> str:
    """'IN 8.5 deg' (foot smaller), 'OUT 8.0 deg' (foot larger) or 'square': wall angle less 90 deg, to half a degree."""
    rounded = round_to(deg, BLOCK_ANGLE_STEP)
    if abs(rounded) < BLOCK_ANGLE_STEP / 2:
        return "square"
    return f"{'IN' if rounded > 0 else 'OUT'} {show_angle(abs(rounded))}"


def lean_band(low: float, high: float) -> str:
    """'IN 7.8 to IN 12.9 deg', 'OUT 2.9 to IN 2.2 deg': a band of leans, to a tenth."""
    return f"{_way(low)} {abs(low):.1f} to {_way(high)} {show_angle(abs(high))}"


def _way(deg: float) -> str:
    return "OUT" if deg < 0 else "IN"
