"""The forecast of a characteristic in a narrow cell: half band, chance to be inside on a first and on a corrected piece."""

from __future__ import annotations

from ribwright.stages.stack import LEFT_OPEN, Stack, show_chance
from ribwright.units import MM_PER_IN, Unit

HEAD = "forecast, inside"
SAYS = (
    "Forecast: the 90 % band, how far first pieces off the block spread about their middle at the worst place of the feature; the number "
    "with a sign before it is how far their middle lies from nominal; OPEN: the press leaves the flange open; >= where only a part of it "
    "is known. Inside: the chance to lie inside the tolerance, first piece / once the block or blank is corrected by a measured piece, "
    "where that helps. Not compared with a real part."
)


def forecast_cell(rows: tuple[Stack, ...], quantity: str, kind: str, name: str, first: Unit) -> str:
    """'± 2.6 deg\\n47 / 90 %' of one feature; '-' where nothing is known, and where no tolerance was typed in: a band beside an
    empty tolerance would be taken for one."""
    row = next((r for r in rows if r.quantity == quantity and r.where.get(kind) == name), None)
    if row is None or row.half is None or row.allowed is None:
        return "-"
    spread = (
        ("" if row.whole else ">= ")
        + f"{_middle(row, first)}± {_size(row, first)}"
        + ("\nOPEN" if row.fixed == LEFT_OPEN else "")
    )
    if row.chance_first is None:
        return spread
    later = row.chance_corrected
    helps = later is not None and later >= row.chance_first - 0.005
    chances = [row.chance_first, *([later] if later is not None and helps else [])]
    return f"{spread}\n{' / '.join(_short(c) for c in chances)} %"


def _middle(row: Stack, first: Unit) -> str:
    """'-2.1 ' [deg or the shop's length]; "" where the middle is the nominal, as printed."""
    shown = (
        f"{row.shift:+.1f}"
        if row.unit == "deg"
        else f"{row.shift / MM_PER_IN:+.3f}"
        if first == "in"
        else f"{row.shift:+.2f}"
    )
    return "" if not float(shown) else f"{shown} "


def _size(row: Stack, first: Unit) -> str:
    assert row.half is not None
    if row.unit == "deg":
        return f"{row.half:.1f} deg"
    return f"{row.half / MM_PER_IN:.3f} in" if first == "in" else f"{row.half:.2f} mm"


def _short(chance: float) -> str:
    return show_chance(chance).removesuffix(" %").replace("over ", ">").replace("under ", "<")
