"""What this press closes: every flange with what it needs, what there is, how far it turns, the shortest it can bend."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from ribwright.documents.entry_table import in_cell
from ribwright.documents.layout import Column, Piece, gap, heading, prose, small, table
from ribwright.documents.readings import band_words
from ribwright.documents.what_sets import detail_rows
from ribwright.mechanics import pad
from ribwright.stages.forecast_section import WITHIN_DEG
from ribwright.stages.plan import Plan
from ribwright.stages.reach import Reach
from ribwright.stages.setup import Setup
from ribwright.units import Unit, show_length, show_pressure

COLUMNS = (
    Column("flange", 1.0),
    Column("needs on the pad, 90 % band", 2.05),
    Column("gets on the pad", 0.75),
    Column("what it does", 1.6, font="bold"),
    Column("shortest it bends", 1.3),
)
MANY = 5
SOURCE = (
    "Angles under load, before springback, of a strip of sheet bent over the block's edge. They agree with the closing "
    "pressure; below it they were compared with nothing, and no formed part was."
)
BY_SECTION = (
    "Angles under load, before springback, and shortest flanges by the section model, one section a flange; compared with a "
    "continuum solver on straight flanges, and with no formed part."
)


def what_closes(plan: Plan, s: Setup, first: Unit, width: float) -> list[Piece]:
    """The table, the flanges that stay open first; a sentence where the temper is not known."""
    pieces = [heading("What this press closes", width)]
    if not s.reached:
        return [*pieces, *prose("The part has no flange.", width), gap(1.0)]
    if all(r.closes is None for r in s.reached):
        words = f"I do not know for this temper: no flow curve for {plan.job.formed_name}."
        return [*pieces, *prose(words, width), gap(1.0)]
    rows = sorted(s.reached, key=lambda r: (r.margin if r.margin is not None else 9.0, str(r.flange.where)))
    return [
        *pieces,
        *table(COLUMNS, [*_rows(rows, plan.job.t, s, first), *detail_rows(s, first)], width, 9.0),
        gap(0.8),
        *small(BY_SECTION if any(r.quick_shortest is not None for r in s.reached) else SOURCE, width),
        gap(1.5),
    ]


def _rows(rows: Sequence[Reach], t: float, s: Setup, first: Unit) -> list[tuple[str, ...]]:
    """A row for all flanges that do the same."""
    same: dict[tuple[str, ...], list[str]] = {}
    for r in rows:
        named = " ".join(f"{k} {v}" for k, v in r.flange.where.items() if k != "along_mm")
        same.setdefault(_row(r, t, s, first), []).append(named)
    return [(named_flanges([r.flange.where for r in rows], names), *key) for key, names in same.items()]


def named_flanges(places: Sequence[dict[str, object]], names: list[str]) -> str:
    """The flanges of a row; 'all 12 edges' where they are all that there are of their kind and too many to read."""
    if len(names) < MANY:
        return ", ".join(names)
    for kind in ("edge", "hole"):
        every = [f"{kind} {where[kind]}" for where in places if kind in where]
        if len(every) >= MANY and set(every) <= set(names):
            rest = [n for n in names if n not in every]
            return ", ".join([f"all {len(every)} {kind}s", *rest])
    return ", ".join(names)


def _row(r: Reach, t: float, s: Setup, first: Unit) -> tuple[str, ...]:
    if r.demand is None:
        return ("not known", in_cell(show_pressure(r.pressure, first)), "not known", "not known")
    need = r.demand.need
    needs = f"{show_pressure(need.value, first)}\n{band_words(need.low, need.high, first)}"
    return needs, in_cell(show_pressure(r.pressure, first)), what_it_does(r, s), _shortest(r, t, first)


def what_it_does(r: Reach, s: Setup) -> str:
    """'closes', 'should close; may stay open by up to 12 deg', 'STAYS OPEN by about 32 deg: turns 1 of 33 deg (0 to 33)'; where less than
    half a degree is wanting 'JUST SHORT of closing: ...'."""
    if r.closes is None or r.demand is None or r.under_load is None or r.left_open is None:
        return "not known"
    sure = s.available if s.spread_pressure is None else s.spread_pressure
    if r.closes and r.demand.need.high <= sure * (1 + 1e-9):
        return "closes"
    if r.closes:
        loose = "" if s.spread_pressure is None else " if the pad spreads"
        return f"should close; may stay open by up to {r.left_open.high:.0f} deg{loose}"
    if r.left_open.value < WITHIN_DEG:
        turned = f"turns {r.under_load.value:.1f} of {r.wall:.1f} deg"
        return f"JUST SHORT of closing: {turned}; may stay open by up to {r.left_open.high:.0f} deg"
    band = f"{r.under_load.low:.0f} to {r.under_load.high:.0f}"
    return (
        f"STAYS OPEN by about {r.left_open.value:.0f} deg: turns {r.under_load.value:.0f} of {r.wall:.0f} deg ({band})"
    )


def _shortest(r: Reach, t: float, first: Unit) -> str:
    """Flange width from the outside mold line; of a hole flange the straight part."""
    if r.shortest_straight is None or not np.isfinite(r.shortest_straight):
        return "bends none"
    if r.shortest_flange is None:
        here = show_length(r.flange.straight, first).split(" (")[0]
        return f"{show_length(r.shortest_straight, first)}\nstraight; here {here}"
    width = float(pad.shortest_flange(r.flange.radius, t, r.flange.angle, r.flange.straight))
    return f"{show_length(r.shortest_flange, first)}\nhere {show_length(width, first).split(' (')[0]}"
