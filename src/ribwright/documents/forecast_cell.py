"""The forecast of a characteristic in a narrow cell: half band, chance to be inside on a first and on a corrected piece."""

from __future__ import annotations

from ribwright.stages.stack import Stack, show_chance
from ribwright.units import MM_PER_IN, Unit

HEAD = "90 % band, chance inside"
SAYS = (
    "90 % band: how far the first pieces off the block spread about nominal, at the worst place of the feature; >= where only a "
    "part of it is known. Then the chance to lie inside the tolerance: first piece, and once the block or blank is corrected by "
    "a measured piece. Not compared with a real part."
)


def forecast_cell(rows: tuple[Stack, ...], quantity: str, kind: str, name: str, first: Unit) -> str:
    """'± 2.6 deg\\n47 %, 90 %' of one feature; '-' where nothing is known."""
    row = next((r for r in rows if r.quantity == quantity and r.where.get(kind) == name), None)
    if row is None or row.half is None:
        return "-"
    spread = ("" if row.whole else ">= ") + f"± {_size(row, first)}"
    if row.chance_first is None:
        return spread
    later = f", {show_chance(row.chance_corrected)}" if row.chance_corrected is not None else ""
    return f"{spread}\n{_short(show_chance(row.chance_first))}{_short(later)}"


def _size(row: Stack, first: Unit) -> str:
    assert row.half is not None
    if row.unit == "deg":
        return f"{row.half:.1f} deg"
    return f"{row.half / MM_PER_IN:.3f} in" if first == "in" else f"{row.half:.2f} mm"


def _short(chance: str) -> str:
    return chance.replace("over ", ">").replace("under ", "<")
