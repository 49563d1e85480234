"""The cut list: what to fetch and saw for the blank, the block, its pins and rings before the work begins."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil

import numpy as np

from ribwright.documents.block_plan_view import block_box
from ribwright.documents.entry_table import fine_length, in_cell, whole
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
    split_units,
    table,
)
from ribwright.documents.page import Document
from ribwright.shop.shop import Stock
from ribwright.stages.block import RECESS_FLOOR_MM, Recess
from ribwright.stages.plan import Plan
from ribwright.units import MM_PER_IN, Unit, show_angle, show_length, show_pressure

PRACTICE = "common practice"
HUNDREDTH = MM_PER_IN / 100
BOX_HIGH = 9.5  # of a box to write in [mm]: what has no recess keeps to one page
EDGE_NOTES = (
    "Deburr every edge and hole, both faces; polish the edges of flanges, along the edge.",
    "No scriber and no pencil on the part: mark with a felt-tip marker, off the bends.",
    "Cut lightening and pin holes to the size written; drill rivet holes as pilots, finish them at assembly.",
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
        *_block(plan, first, width),
        *_pins(plan, first, width),
        *_tools("Recesses: tools to bring", plan.block.recesses, first, width),
        *_rings(plan, first, width),
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


def rough(mm: float, first: Unit) -> float:
    """A finished size plus 1/4 in (6 mm), up to the next 1/4 in (5 mm): a sawing size, common practice."""
    more, step = (MM_PER_IN / 4, MM_PER_IN / 4) if first == "in" else (6.0, 5.0)
    return ceil((mm + more) / step - 1e-9) * step


def _size_box(label: str, mm: float, first: Unit, by: str = "") -> NumberBox:
    big, other = split_units(show_length(mm, first))
    return NumberBox(label, big, other, by)


def _blank(plan: Plan, identity: Identity, width: float) -> list[Piece]:
    rect, first, trim = rectangle_of(plan), identity.first, plan.job.part.trim
    sides = ("Along the grain", "Across the grain") if rect.grain_given else ("Along x", "Along y")
    boxes = [_size_box(w, mm, first) for w, mm in zip(sides, (rect.along, rect.across), strict=True)]
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


def _block(plan: Plan, first: Unit, width: float) -> list[Piece]:
    x0, y0, x1, y1 = block_box(plan.block)
    m = plan.block.material
    finished = (x1 - x0, y1 - y0, plan.block.height)
    words = " x ".join(show_length(v, first) for v in finished)
    boxes = [
        _size_box(f"{n}, rough", rough(v, first), first) for n, v in zip(("Length", "Width"), finished[:2], strict=True)
    ]
    boxes.append(_size_box("Height, finished", plan.block.height, first))
    what = (
        "Material not known: name one in shop.toml."
        if m is None
        else f"{m.name} ({m.id}), stands {show_pressure(m.pressure_limit_mpa, first)}; by: {m.source}."
    )
    step = "1/4 in, up to the next 1/4 in" if first == "in" else "6 mm, up to the next 5 mm"
    out = [heading("Form block", width), *prose(what, width, 10.5, "bold"), number_boxes(boxes, width, 16.0)]
    says = (
        f"Finished length x width x height: {words}. Rough: finished plus {step} ({PRACTICE}); stock thicker than the "
    )
    return [*out, *small(says + "height is planed to it.", width), gap(0.6)]


def _pins(plan: Plan, first: Unit, width: float) -> list[Piece]:
    pins = plan.block.pins
    if not pins:
        return [heading("Pins: none", width), *prose("No tooling hole is drawn.", width), gap(0.6)]
    alike: dict[float, list[str]] = {}
    for p in pins:
        alike.setdefault(round(p.diameter, 4), []).append(p.name)
    rows = []
    for d, names in sorted(alike.items()):
        proud = plan.job.t + d
        # a length to saw to: no finer than a hundredth of an inch
        length = round((plan.block.height + proud) / HUNDREDTH) * HUNDREDTH
        rows.append([str(len(names)), fine_length(d, first), show_length(length, first), ", ".join(names)])
    columns = [
        Column("count", 0.6, font="bold"),
        Column("diameter", 1.6, font="bold"),
        Column("length, suggested", 1.6),
        Column("pins", 2.2),
    ]
    says = "Length: through the block's height, standing proud of it by the sheet and one diameter, its end rounded "
    says += f"({PRACTICE}; the pad must not be cut)."
    return [
        heading(f"Pins: {len(pins)}", width),
        *whole([*table(columns, rows, width, 9.5), *small(says, width)]),
        gap(0.6),
    ]


def _tools(says: str, recesses: tuple[Recess, ...], first: Unit, width: float) -> list[Piece]:
    if not recesses:
        return []
    columns = [
        Column("name", 0.8, font="bold"),
        Column("Ø at face", 1.1),
        Column("Ø at floor", 1.1),
        Column("depth", 1.1),
    ]
    columns += [Column("wall from face", 1.1), Column("cutter, included angle", 1.3), Column("rim radius", 1.1)]
    rows = [
        [
            r.name,
            *(in_cell(show_length(v, first)) for v in (r.diameter, r.bottom_diameter, r.depth)),
            show_angle(r.wall_angle, 2),
            # a cone whose side leans w from the face is 90 - w from its axis
            show_angle(180.0 - 2.0 * r.wall_angle, 2) if r.wall_angle < 90.0 else "straight or undercut: bore",
            in_cell(show_length(r.edge_radius, first)),
        ]
        for r in recesses
    ]
    return [heading(says, width), *whole(table(columns, rows, width, 9.0)), gap(0.6)]


def _rings(plan: Plan, first: Unit, width: float) -> list[Piece]:
    rings = plan.block.rings
    if not rings:
        return []
    least = max(r.depth for r in rings) + RECESS_FLOOR_MM
    count = "1 loose upper ring" if len(rings) == 1 else f"{len(rings)} loose upper rings"
    says = f"{count}, stock at least {show_length(least, first)} thick: deepest recess plus "
    says += f"{show_length(RECESS_FLOOR_MM, first)} ({PRACTICE})."
    return [*_tools("Loose upper rings", rings, first, width), *prose(says, width), gap(0.6)]


def _drawn(width: float) -> list[Piece]:
    return [heading("Fetched and checked", width), fill_boxes(("by", "signature", "date"), width, BOX_HIGH)]
