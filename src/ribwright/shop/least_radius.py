"""The least bend radius of a table for a temper and a thickness."""

from __future__ import annotations

from ribwright.shop.sheet import RadiusTable


def entry(rows: tuple[tuple[float, float], ...], thickness: float, multiples: bool) -> float | None:
    """Radius [mm] of the first entry at least as thick as the sheet; None when the table has none."""
    for t, radius in rows:
        if thickness <= t * (1 + 1e-6):
            return radius * thickness if multiples else radius
    return None


def radii_of(table: RadiusTable, row: str, thickness: float) -> tuple[float, float] | None:
    """(radius to meet, radius the source does not go under) [mm]; equal where the source prints no range."""
    meet = entry(table.rows.get(row, ()), thickness, table.multiples)
    if meet is None:
        return None
    least = entry(table.least.get(row, ()), thickness, table.multiples)
    return meet, meet if least is None else least
