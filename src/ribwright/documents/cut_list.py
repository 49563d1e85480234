"""The cut list: what to fetch and saw for the blank, the block, its pins and rings before the work begins."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ribwright.documents.cut_list_block import (
    PRACTICE,
    block_pieces,
    pin_pieces,
    plate_stock,
    recess_tools,
    ring_pieces,
    size_box,
)
from ribwright.documents.entry_table import in_cell, whole
from ribwright.documents.identity import Identity
from ribwright.documents.layout import (
    Column,
    NumberBox,
    Piece,
    content_width,
    fill_boxes,
    gap,
    heading,
    listed,
    number_boxes,
    prose,
    sheet_document,
    small,
    table,
)
from ribwright.documents.page import Document
from ribwright.shop.shop import Stock
from ribwright.stages.plan import Plan
from ribwright.units import MM_PER_IN, Unit, show_length

BOX_HIGH = 9.5  # of a box to write in [mm]: what has no recess keeps to one page
EDGE_NOTES = (
    "Deburr every edge and hole, both faces; polish the edges of flanges, along the edge.",
    "No scriber and no pencil on the part: mark with a felt-tip marker, off the bends.",
    "Cut lightening and pin holes to the size written.",
    "Routed in a stack: about ten sheets a stack, clamped close.",
)


@dataclass(frozen=True)
class Rectangle:
    """Sides of the rectangle a blank is cut from [mm]: along and across the grain, where the drawing gives one, else along
    x and y. `trim` is part of it, hand trimming is not."""

    along: float
    across: float
    grain_given: bool


def document(plan: Plan, identity: Identity, paper: str) -> Document:
    """The cut list on `paper` ("letter" or "a4")."""
    width, first = content_width(paper), identity.first
    pieces = [
        *_blank(plan, identity, width),
        *_lots(plan, first, width),
        *_edges(width),
        *block_pieces(plan, first, width),
        *pin_pieces(plan, first, width),
        *recess_tools("Recesses: tools to bring", plan.block.recesses, first, width),
        *ring_pieces(plan, first, width),
        *plate_stock(plan, first, width),
        *_drawn(width),
    ]
    return sheet_document("cut-list", identity, "Cut list", paper, pieces)


def rectangle_of(plan: Plan) -> Rectangle:
    """The least rectangle round the blank with one side along the grain."""
    grain = plan.job.part.sheet.grain
    points = np.array(plan.blank.outline.points)
    a = np.radians(grain or 0.0)
    turned = points @ np.array([[np.cos(a), -np.sin(a)], [np.sin(a), np.cos(a)]])
    along, across = np.ptp(turned, axis=0)
    return Rectangle(float(along), float(across), grain is not None)


def lots_that_fit(plan: Plan, extra: float) -> tuple[Stock, ...]:
    """Lots of the right sheet, in stock, that hold the rectangle plus `extra` on every side [mm] with its grain right."""
    rect = rectangle_of(plan)
    need = (rect.along + 2 * extra, rect.across + 2 * extra)
    bought = plan.job.bought
    names = {bought.name, *bought.aliases}
    return tuple(
        s
        for s in plan.job.shop.stock
        if s.material in names
        and abs(s.thickness_mm - plan.job.t) < 1e-6
        and s.count > 0
        and _holds(s, need, rect.grain_given)
    )


def _holds(lot: Stock, need: tuple[float, float], grain_given: bool) -> bool:
    length, breadth = lot.sheet_mm
    straight = need[0] <= length and need[1] <= breadth
    turned = need[1] <= length and need[0] <= breadth
    if not grain_given or lot.grain == "any":
        return straight or turned
    return straight if lot.grain == "length" else turned


def hand_trim(plan: Plan) -> float:
    """Metal left on for trimming by hand [mm]; 0 where the catalogue does not know the practice."""
    fact = plan.job.catalogue.practice.get("hand_trim_excess")
    if fact is None:
        return 0.0
    return fact.value * MM_PER_IN if fact.unit == "in" else fact.value


def _blank(plan: Plan, identity: Identity, width: float) -> list[Piece]:
    rect, first, trim = rectangle_of(plan), identity.first, plan.job.part.trim
    sides = ("Along the grain", "Across the grain") if rect.grain_given else ("Along x", "Along y")
    boxes = [size_box(w, mm, first) for w, mm in zip(sides, (rect.along, rect.across), strict=True)]
    boxes += [NumberBox("Sheet", identity.thickness, identity.material, share=1.3)]
    grain = "either way: the drawing does not care" if not rect.grain_given else f"{identity.grain} of the part"
    says = f"Grain {grain}. "
    says += (
        f"Trim of {show_length(trim, first)} all round, as typed, is included."
        if trim > 0
        else "No trim is typed in: the rectangle is the net blank's."
    )
    out = [heading("Blank", width), number_boxes(boxes, width, 18.0), *prose(says, width)]
    fact = plan.job.catalogue.practice.get("hand_trim_excess")
    if fact is not None:
        more = show_length(hand_trim(plan), first)
        out += small(
            f"Trimmed by hand: leave about {more} more on the edges to be trimmed. By: {fact.source} ({fact.standing()}).",
            width,
        )
    out += small(f"By: extent of the flat outline, {plan.blank.method} method. One part needs one blank.", width)
    return [
        *out,
        fill_boxes(("blanks to cut (count)", "cut (count)", "scrapped (count)", "by", "date"), width, BOX_HIGH),
    ]


def _lots(plan: Plan, first: Unit, width: float) -> list[Piece]:
    extra = hand_trim(plan)
    lots = lots_that_fit(plan, 0.0)
    out = [heading("Sheet to take it from", width)]
    if not lots:
        return [
            *out,
            *prose(
                "No lot in shop.toml fits: material, thickness, size and grain are all looked at.", width, 10.5, "bold"
            ),
            fill_boxes(("lot taken", "certificate seen by"), width, BOX_HIGH),
        ]
    roomy = {s.lot for s in lots_that_fit(plan, extra)}
    columns = [
        Column("lot", 1.0, font="bold"),
        Column("sheet", 1.6),
        Column("thickness", 1.2),
        Column("grain along", 1.0),
        Column("sheets", 0.7),
    ]
    columns += [Column("certificate", 1.0), Column("hand trim fits too", 1.1)]
    rows = [
        [
            s.lot,
            " x ".join(show_length(v, first).partition(" (")[0] for v in s.sheet_mm),
            in_cell(show_length(s.thickness_mm, first)),
            s.grain,
            str(s.count),
            "yes" if s.certificate else "NO",
            "yes" if s.lot in roomy else "no",
        ]
        for s in lots
    ]
    return [
        *out,
        *table(columns, rows, width, 9.0),
        gap(0.6),
        fill_boxes(("lot taken", "certificate seen by"), width, BOX_HIGH),
    ]


def _edges(width: float) -> list[Piece]:
    notes = [p for n in EDGE_NOTES for p in listed("-", n, width, indent=4.0)]
    return [
        heading("Edges", width),
        *whole([*notes, *small(f"By: {PRACTICE}; the shop's own procedure goes first.", width)]),
        gap(0.6),
    ]


def _drawn(width: float) -> list[Piece]:
    return [heading("Fetched and checked", width), fill_boxes(("by", "signature", "date"), width, BOX_HIGH)]
