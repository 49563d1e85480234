"""Margins and tolerances in words, the same on screen and on paper."""

from __future__ import annotations

import re
from typing import Any

from ribwright.stages.checks.tolerance import NAMES, SEEN
from ribwright.stages.stack import show_chance
from ribwright.units import MM_PER_IN, Unit, show_angle, show_length, show_pressure

QUANTITY_WORDS = {
    "bend_radius": "bend radius",
    "flange_width": "flange width past its bend",
    "edge_stretch": "stretch of the free edge",
    "edge_shrink": "shrink of the free edge",
    "hole_edge_stretch": "stretch of the rim",
    "sheet_stretch": "stretch of the sheet away from its edge",
    "hole_to_bend": "distance to the bend",
    "flute_to_rivet": "flute from a rivet",
    "flute_to_detail": "flute from an end or detail",
    "bead_stretch": "stretch across the bead",
    "bead_pressure": "pressure that fills it",
    "joggle_runout": "run-out of the step",
    "joggle_pressure": "pressure that sets the step",
    "pressure": "pressure to close",
    "pad_margin": "pad past the block",
    "daylight": "stack in the daylight",
    "block_pressure": "pressure on the block",
}
ADDRESS = r"[\w-]+(?:\.[\w-]+)+(?:/\S*)?"
STANDS_WORDS = {"yes": "yes", "no": "NO", "cannot-tell": "cannot tell"}


def value_words(value: float, unit: str, first: Unit) -> str:
    """A value of a finding or a margin with its unit, as the shop reads it."""
    if unit == "mm":
        return show_length(value, first)
    if unit == "MPa":
        return show_pressure(value, first)
    if unit == "engineering strain":
        return f"{100 * value:.1f} %"
    if unit == "deg":
        return show_angle(value)
    if unit == "chance":
        return show_chance(value)
    return f"{value:.4g} {unit}".strip()


def margin_words(margin: float | None) -> str:
    """'+0.45', '-0.12'; 'not judged' without one."""
    return "not judged" if margin is None else f"{margin + 0.0:+.2f}"


def cited(source: str) -> str:
    """A source as it is printed: book and table, without the address of a copy on the net, which stays in the facts file.

    >>> cited("FAA-H-8083-31 vol 1 ch 4, copy at flight-mechanic.com (layout, part four)")
    'FAA-H-8083-31 vol 1 ch 4 (layout, part four)'
    """
    whole = re.sub(rf"; [^;]*\balso at {ADDRESS}", "", source)
    return re.sub(rf",? (?:public )?copy at {ADDRESS}", "", whole)


def place_words(where: dict[str, Any], first: Unit = "mm") -> str:
    """'edge upper, at 12 mm (0.5 in)', 'corner lower/rear', 'holes P1, P2', 'part file: approval'; 'whole job' without a place. The
    drawing line that a hole lies near and the tolerance meant are left out: the sentence beside it says them."""
    kept = {k: v for k, v in where.items() if k not in ("along_mm", "at_mm", "at", "tolerance") and v is not None}
    if "hole" in kept:
        kept.pop("edge", None)
    words = ", ".join(_one_place(k, v) for k, v in kept.items()) or "whole job"
    along = where.get("along_mm")
    if along is None:
        return words
    inch, metric = f"{along / MM_PER_IN:.1f} in", f"{along:.0f} mm"
    return f"{words}, at {inch} ({metric})" if first == "in" else f"{words}, at {metric} ({inch})"


def _one_place(kind: str, name: Any) -> str:
    if kind == "corner":
        return f"corner {'/'.join(map(str, name))}"
    if isinstance(name, list):
        return f"{kind.removesuffix('s')}s {', '.join(map(str, name))}"
    if kind == "key":
        return f"part file: {name}"
    return "web" if (kind, name) == ("loop", "web") else f"{kind.replace('_', ' ')} {name}"


def spread_words(half: float, unit: str, first: Unit) -> str:
    """'± 2.6 deg' or '± 0.014 in (0.34 mm)'."""
    return f"± {half:.1f} deg" if unit == "deg" else f"± {show_length(half, first)}"


def limit_words(minus: float, plus: float, unit: str, first: Unit) -> str:
    """'± 1 deg', '- 0.030 / + 0.010 in' in the shop's first unit."""
    if unit == "deg":
        return f"± {minus:g} deg" if minus == plus else f"- {minus:g} / + {plus:g} deg"
    k, d = (MM_PER_IN, 3) if first == "in" else (1.0, 2)
    one = f"± {minus / k:.{d}f} {first}"
    return one if minus == plus else f"- {minus / k:.{d}f} / + {plus / k:.{d}f} {first}"


def margin_lines(rows: list[dict[str, Any]], first: Unit) -> list[str]:
    """The governing margin of each place, the least first."""
    seen: set[str] = set()
    out = []
    for row in rows:
        place = place_words({k: v for k, v in row["where"].items() if k != "along_mm"})
        if place in seen:
            continue
        seen.add(place)
        limit = f" / {value_words(row['limit'], row['unit'], first)}" if row["limit"] is not None else ""
        value = value_words(row["value"], row["unit"], first)
        out.append(f"  {margin_words(row['margin']):>10}  {place}: {QUANTITY_WORDS[row['quantity']]} {value}{limit}")
    return ["Least margin of each place (value / limit; negative is bad):", *out] if out else []


def tolerance_lines(rows: list[dict[str, Any]], first: Unit) -> list[str]:
    """Each tolerance of the drawing at the place with the least room, against the forecast; nothing where none was typed."""
    out = []
    for quantity in NAMES:
        mine = [r for r in rows if r["quantity"] == quantity and r["tolerance"]]
        if mine:
            worst = min(mine, key=lambda r: (_first(r), r["ratio"] if r["ratio"] is not None else 1e9))
            out.append(f"  {NAMES[quantity]}, {_tolerance(worst, first)}")
    return ["Drawing's tolerances against the forecast (90 % band), worst place:", *out] if out else []


def _first(row: dict[str, Any]) -> float:
    return row["chance_inside"]["first_piece"] if row["chance_inside"] else 2.0


def _tolerance(row: dict[str, Any], first: Unit) -> str:
    t = row["tolerance"]
    drawn = f"{place_words(row['where'], first)}: {limit_words(t['minus'], t['plus'], row['unit'], first)}"
    band = row["forecast"] or row["known_part"]
    if band is None:
        return f"{drawn}; no forecast for this yet: {row['left_out']}"
    spread = spread_words((band["high"] - band["low"]) / 2, row["unit"], first)
    off = (band["high"] + band["low"]) / 2 - row["nominal"]
    if abs(off) > SEEN[row["unit"]]:
        spread += f" about {spread_words(abs(off), row['unit'], first)[2:]} {'over' if off > 0 else 'under'} nominal"
    stands = STANDS_WORDS[row["stands"]]
    chance = row["chance_inside"]
    if chance is None:
        return f"{drawn}; what is known makes {spread}, stands: {stands} ({row['left_out']})"
    later = f", {show_chance(chance['corrected'])} once corrected" if chance["corrected"] is not None else ""
    return (
        f"{drawn}; forecast {spread}, stands: {stands}; inside {show_chance(chance['first_piece'])} first piece{later}"
    )
