"""The inspection sheet: what to measure on the blank and on the formed part, nominal and tolerance, boxes to fill in.

A tolerance comes from the part file or is missing; a missing one is never replaced by a custom of the trade.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from ribwright.documents import filled_sheet as filled
from ribwright.documents.block_sheet import laid_edge
from ribwright.documents.characteristics import Row, characteristics
from ribwright.documents.detail_measures import on_blank
from ribwright.documents.edge_ends import all_starts, ends_of
from ribwright.documents.entry_table import entry_table, fine_length, in_cell, named, whole
from ribwright.documents.forecast_cell import HEAD, SAYS, forecast_cell
from ribwright.documents.identity import Identity
from ribwright.documents.layout import (
    Column,
    Piece,
    content_width,
    fill_boxes,
    gap,
    heading,
    prose,
    sheet_document,
    small,
    table,
)
from ribwright.documents.measures import CANNOT, Measure, measures, tolerance_words
from ribwright.documents.page import Document
from ribwright.documents.reading_boxes import formed_boxes, gap_boxes
from ribwright.features.inspected import BLANK
from ribwright.stages.checks.tolerance import NAMES
from ribwright.stages.found import Judged
from ribwright.stages.inspection import Inspection
from ribwright.stages.judged import plan_tolerances
from ribwright.stages.measured_places import clear_place
from ribwright.stages.plan import Plan
from ribwright.units import Unit, show_length

PRINT = 9.0
SAME = 1e-6  # mm

Array = NDArray[np.float64]


def document(plan: Plan, identity: Identity, paper: str, inspection: Inspection | None = None) -> Document:
    """The inspection sheet on `paper` ("letter" or "a4"): an empty form, or filled in with what was found of one piece."""
    width, first = content_width(paper), identity.first
    if inspection is None:
        pieces = [
            *_how(plan, first, width),
            *_blank(plan, first, width),
            *formed_boxes(first, width),
            *_formed(plan, first, width),
            *gap_boxes(plan, first, width),
            *_gauges(plan, width),
            *_sign_off(width),
        ]
    else:
        formed = () if inspection.said.what == BLANK else inspection.judged
        rows = characteristics(plan, formed, first)
        pieces = [
            *_how(plan, first, width, filled_in=True),
            *filled.head(inspection, width),
            *_blank(plan, first, width, inspection),
            *filled.of_blank(inspection, first, width),
            *([] if inspection.said.what == BLANK else formed_boxes(first, width, inspection.said)),
            *_formed(plan, first, width, rows),
            *filled.reasons(rows, width),
            *filled.gauges(plan, inspection, width),
            *filled.sign_off(inspection, width),
        ]
    return sheet_document("inspection-sheet", identity, "Inspection sheet", paper, pieces)


def _how(plan: Plan, first: Unit, width: float, filled_in: bool = False) -> list[Piece]:
    fill = "" if filled_in else "Fill in measured value, gauge and verdict; the"
    text = (
        "Nominal values are the drawing's, as typed into the part file; those marked (computed) are this plan's. "
        f"{fill or 'The'} verdict is one of: inside, outside, cannot tell (the gauge's uncertainty reaches over the limit)."
    )
    part = plan.job.part
    lost = [m for m in measures(plan, first) if tolerance_words(part, m, first) == CANNOT]
    keys = sorted({_told(m) for m in lost})
    if not keys:
        return [*prose(text, width), gap(2.0)]
    says = f"No tolerance given on the drawing data: {named(keys, 12)}. Judge these by the drawing."
    return [*prose(text, width), *prose(says, width, 9.5, "bold"), gap(2.0)]


def _told(measure: Measure) -> str:
    """'L1 flange width' of one that only its own feature can have, else 'flange width'; 'sizes of notches' of details."""
    kind, numbered, _ = measure.owner.partition("[")
    if numbered:
        return f"sizes of {kind}{'es' if kind == 'notch' else 's'}"
    of = f"{measure.owner.partition('.')[2]} " if measure.own_only else ""
    return f"{of}{NAMES[measure.tolerance]}"


def _blank(plan: Plan, first: Unit, width: float, inspection: Inspection | None = None) -> list[Piece]:
    """Cut edges to verify before the sheet is formed: after that they cannot be seen any more."""
    x, y = plan.blank.size
    rows = [["1", "whole blank: longest extent along x", in_cell(show_length(x, first))]]
    rows += [["2", "whole blank: longest extent along y", in_cell(show_length(y, first))]]
    for loop in plan.job.part.loops:
        for edge in loop.edges:
            if edge.flange:
                rows.append(_flat_row(plan, edge.name, len(rows) + 1, first))
    found = filled.cut_holes(inspection)
    at: dict[int, Judged] = {}
    for h in plan.blank.holes:
        if h.hole.name in found and abs(found[h.hole.name].found.nominal - h.cut_diameter) < SAME:
            at[len(rows)] = found[h.hole.name]
        pin = next((p.diameter for p in plan.block.pins if p.name == h.hole.name), None)
        least = "" if pin is None else f"\nnot under its pin, {fine_length(pin, first)}"
        what = f"{h.hole.name}: diameter as cut{least}"
        rows.append([str(len(rows) + 1), what, in_cell(fine_length(h.cut_diameter, first))])
    columns = [
        Column("no.", 0.5),
        Column("check on the blank, before forming", 3.4),
        Column("nominal", 1.3, font="bold"),
    ]
    columns += [Column("measured", 1.3), Column("gauge", 0.9), Column("verdict", 1.2)]
    says = "Flat width: bend tangent line to cut edge, square to that line, at the middle of the edge or beside what is there"
    says += f", trim {show_length(plan.job.part.trim, first)} included." if plan.job.part.trim > 0 else "."
    says += f" By: blank developed by the {plan.blank.method} method. The limit on a cut edge is the shop's own."
    for joins in plan.blank.joins:
        for j in joins:
            if j.diameter > 0.0:
                what = f"relief at {j.before}/{j.after}: diameter as cut"
                rows.append([str(len(rows) + 1), what, in_cell(fine_length(j.diameter, first))])
    rows += [[str(len(rows) + 1 + i), what, nominal] for i, (what, nominal) in enumerate(on_blank(plan, first))]
    cells: list[Sequence[str]] = []
    if inspection is not None:
        cells = [filled.one(at[k], first) if k in at else filled.NOTHING for k in range(len(rows))]
    table_ = entry_table(columns, rows, width, 3, PRINT, cells)
    if at:
        table_ = filled.marked(table_, [at[k].verdict if k in at else "" for k in range(len(rows))], columns, width)
    return [
        heading("Blank: verify before forming", width),
        *(replace(p, keep=True) for p in small(says, width)),
        *whole(table_, 25),
        gap(),
    ]


def _flat_row(plan: Plan, name: str, number: int, first: Unit) -> list[str]:
    strip, i = plan.blank.strip_of(name)
    edge = laid_edge(plan, name)
    mine = np.flatnonzero(strip.at.edge == i)
    k = int(mine[np.argmin(np.abs(strip.at.s[mine] - edge.curve.length / 2))])
    clear = clear_place(plan, name, float(strip.at.along[k]))
    k = int(mine[np.argmin(np.abs(strip.at.along[mine] - clear))])
    flat = float(strip.strip.flat_width[k]) + plan.job.part.trim
    return [
        str(number),
        f"{name}: flat width at {show_length(float(strip.at.along[k]), first)}",
        in_cell(show_length(flat, first)),
    ]


def _formed(plan: Plan, first: Unit, width: float, found: Sequence[Row] = ()) -> list[Piece]:
    columns = [Column("no.", 0.5), Column("balloon", 0.8), Column("measure on the formed part, released", 2.55)]
    columns += [Column("nominal", 1.15, font="bold"), Column("tolerance", 1.2), Column(HEAD, 1.3)]
    columns += [Column("measured", 1.3), Column("gauge", 0.75), Column("verdict", 1.0)]
    stacks = plan_tolerances(plan)
    asked = measures(plan, first)
    rows = [
        [
            str(i),
            m.balloon,
            m.what,
            m.nominal,
            tolerance_words(plan.job.part, m, first),
            forecast_cell(stacks, m.tolerance, *m.place, first),
        ]
        for i, m in enumerate(asked, 1)
    ]
    rows += [[str(r.number), r.balloon, r.what, r.nominal, r.tolerance, "-"] for r in found[len(asked) :]]
    starts = all_starts(ends_of(plan))
    counted = f": {starts}" if starts else ""
    says = (
        f"Stations are measured along the edge from its start{counted}. They lie 1.5 flange widths clear of free ends and notches "
        "(less where a piece is short), out of flutes and steps of joggles."
    )
    under = [replace(p, keep=True) for p in small(f"{says} {SAYS}", width)]
    cells = [filled.cells(r, first) for r in found]
    table_ = entry_table(columns, rows, width, 3, PRINT, cells)
    if found:
        table_ = filled.marked(table_, [r.verdict for r in found], columns, width)
    return [heading("Formed part", width), *under, *table_, gap()]


def _gauges(plan: Plan, width: float) -> list[Piece]:
    if not plan.job.shop.gauges:
        return [
            heading("Gauges", width),
            *prose("shop.toml lists no measuring gauges: write in which were used.", width),
            gap(),
        ]
    columns = [
        Column("gauge", 1.0, font="bold"),
        Column("kind", 2.0),
        Column("uncertainty", 1.5),
        Column("calibration due: look before use", 2.0),
    ]
    rows = [[g.id, g.kind, g.uncertainty or "not given", g.due or "not given"] for g in plan.job.shop.gauges]
    return [heading("Gauges of the shop", width), *whole(table(columns, rows, width, PRINT)), gap()]


def _sign_off(width: float) -> list[Piece]:
    serial = fill_boxes(("serial or quantity", "lot of sheet", "block number"), width)
    person = fill_boxes(("measured by", "signature", "date"), width)
    accepted = fill_boxes(("disposition by an authorised person", "signature", "date"), width)
    return [heading("Sign-off", width), *whole([serial, person, accepted])]
