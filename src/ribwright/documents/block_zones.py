"""Saw zones on the block drawing: what is cut at one tilt of the table, and which way the cut must lean."""

from __future__ import annotations

from dataclasses import replace
from math import atan2, cos, sin

from ribwright.documents.entry_table import all_or_named, in_cell, named, span
from ribwright.documents.layout import Column, Piece, caution, gap, heading, picture, prose, small, table
from ribwright.documents.lean_words import foot_lean, from_end, lean_words
from ribwright.documents.page import Item, Line, Pair, Polyline, Stroke, Text
from ribwright.features.laid import neighbours_at_start
from ribwright.stages.plan import Plan
from ribwright.stages.zones import Stretch, Zone
from ribwright.units import Unit, show_length

BLOCK, SCRAP, TABLE, CUT = 0.88, 1.0, Stroke(0.9), Stroke(0.7)
SQUARE, FINE = Stroke(0.2, 0.0, (3.0, 0.8, 0.6, 0.8)), Stroke(0.2)
HIGH = 40.0
SAW_CAUTION = (
    "A leaning cut can pinch the offcut against the blade: let it fall free, guard on, block held down by a fence or clamp, "
    "hands clear. The shop's rules for its saw go first. Cut a trial corner in scrap and lay a protractor on it."
)


def zone_pieces(plan: Plan, first: Unit, width: float) -> list[Piece]:
    """The picture, the table of zones and the caution; nothing where no undercut is known or nothing is flanged."""
    zones = plan.making.zones
    if not zones or not all(e.under.known for e in plan.block.edges):
        return []
    columns = [
        Column("tilt from square", 1.1, font="bold"),
        Column("edges", 2.2),
        Column("from - to, along the edge", 2.0),
        Column("foot as sawn, from the outline, to 0.005 in", 1.6, font="bold"),
        Column("angle error as sawn, deg", 1.2),
    ]
    rows = [row for z in zones for row in _rows(z, plan, first)]
    step = plan.job.catalogue.practice["saw_tilt_step"]
    by = (
        f"Tilts in steps of {step.value:g} deg, no wall farther than that from its tilt. By: {step.source} "
        f"({step.standing()}). Angle error: the part's angle less the drawing's if the wall stays as sawn; minus is open. The "
        "foot is that of the tilt; the undercut table has that of the wall itself."
    )
    out = [heading("Saw table: one tilt for each zone", width), replace(_tilt_picture(zones, width), keep=True)]
    out += [replace(caution(SAW_CAUTION, width), keep=True)]
    out += [*table(columns, rows, width, 9.0), *small(by, width)]
    if any(not s.whole for z in zones for s in z.stretches):
        out += prose(
            "Where a wall changes along its edge, saw each stretch at its tilt, then work the wall smooth from one to the "
            "next, to the undercut table.",
            width,
        )
    return [*out, gap()]


def _rows(zone: Zone, plan: Plan, first: Unit) -> list[list[str]]:
    """Whole edges with equal errors share a row; each stretch of a changing wall has its own."""
    alike: dict[tuple[str, str], list[str]] = {}
    starts = neighbours_at_start(plan.blank.laid)
    for s in zone.stretches:
        ends = f"{_one(s.start, first)} - {_one(s.end, first)}"
        place = "whole length" if s.whole else f"{ends}\n{from_end(starts[s.edge])}"
        alike.setdefault((place, _left(s)), []).append(s.edge)
    rows = []
    for (place, left), edges in alike.items():
        whole = "whole length" in place
        names = all_or_named(edges, [e.edge for e in plan.block.edges]) if whole else named(edges)
        rows.append([lean_words(zone.tilt), names, place, in_cell(foot_lean(zone.setback, first)), left])
    return rows


def _left(s: Stretch) -> str:
    if s.remaining is None:
        return "not known"
    return span(*s.remaining, 2).replace("-0.00", "0.00")


def _one(mm: float, first: Unit) -> str:
    return show_length(mm, first).partition(" (")[0]


# ------------------------------------------------------------ which way to lean


def _tilt_picture(zones: tuple[Zone, ...], width: float) -> Piece:
    """Two sections: the leans of this block; where it leans one way only, the other way crossed out."""
    tilts = [z.tilt for z in zones]
    inward, outward = any(t > 0 for t in tilts), any(t < 0 for t in tilts)
    if not inward and not outward:
        return picture((), 0.0)
    half = width / 2
    items = [*_panel(6.0, half - 10.0, True, inward), *_panel(half + 6.0, half - 10.0, False, outward)]
    return picture(items, HIGH)


def _panel(x: float, wide: float, inward: bool, asked: bool) -> list[Item]:
    """The block on the saw table, web face up, and the cut; crossed out where this block has no such wall."""
    low, top = -HIGH + 9.0, -11.0
    lean = 9.0 if inward else -9.0
    edge = x + 0.52 * wide
    foot = edge - lean
    block = ((x, low), (foot, low), (edge, top), (x, top))
    scrap = ((foot, low), (foot + 24.0 + lean, low), (foot + 24.0 + lean, top), (edge, top))
    over = 0.28
    cut = ((edge + over * lean * 0.9, top + over * (top - low)), (foot - 0.12 * lean, low - 0.12 * (top - low)))
    items: list[Item] = [
        Polyline(scrap, True, Stroke(0.2, 0.0, (1.2, 0.8)), SCRAP),
        Polyline(block, True, Stroke(0.4), BLOCK),
        Line(x - 4.0, low, x + wide - 8.0, low, TABLE),
        Line(edge, top + 4.0, edge, low, SQUARE),
        Line(*cut[0], *cut[1], CUT),
        Polyline(_arc_of_tilt(edge, top, low, lean), False, FINE),
        Text(x + 2.0, top + 1.6, "web face up, line on it", 9.0),
        Text(x + 2.0, (low + top) / 2 - 1.0, "BLOCK", 10.0, "bold"),
        Text(max(edge, foot) + 3.5, (low + top) / 2 - 1.0, "scrap", 9.0),
        Text(x - 4.0, low - 5.0, "saw table", 9.0),
        Text(x + wide - 8.0, low - 5.0, "tilt: from square to the cut", 9.0, "regular", "end"),
        Text(x + wide - 8.0, -4.0, "IN: foot SMALLER" if inward else "OUT: foot LARGER", 11.0, "bold", "end"),
    ]
    if not asked:
        items += _crossed((x - 3.0, low + 1.0), (x + wide - 10.0, top + 2.0))
        items.append(Text(x + 2.0, -4.0, "NOT THIS BLOCK", 11.0, "bold"))
    return items


def _arc_of_tilt(x: float, top: float, low: float, lean: float) -> tuple[Pair, ...]:
    """From square to the cut, about the corner of web face and wall."""
    r, whole = 0.62 * (top - low), atan2(lean, top - low)
    turns = [whole * k / 8 for k in range(9)]
    return tuple((x - r * sin(a), top - r * cos(a)) for a in turns)


def _crossed(a: Pair, b: Pair) -> list[Item]:
    bar = Stroke(1.0)
    return [Line(*a, *b, bar), Line(a[0], b[1], b[0], a[1], bar)]
