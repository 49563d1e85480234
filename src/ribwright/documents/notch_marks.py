"""Notches on the papers: the table of them, their line on check and block templates and on the block drawing.

The block goes straight through under a notch: its wall and web face stay whole, so that the pad cannot push the sheet's edge into a
hole; where a notch lies is marked on it.
"""

from __future__ import annotations

from dataclasses import replace

from ribwright.documents.entry_table import in_cell, whole
from ribwright.documents.layout import Column, Fit, Piece, gap, heading, prose, table
from ribwright.documents.lean_words import from_end
from ribwright.documents.page import Item, Polyline, Stroke
from ribwright.documents.template_kinds import with_rows
from ribwright.documents.template_values import TemplateContent, TemplateLine, TemplateTable
from ribwright.features.laid import neighbours_at_start
from ribwright.geometry.path import Path
from ribwright.stages.notches import LaidNotch
from ribwright.stages.plan import Plan
from ribwright.units import Unit, show_length

LOOK = "notch"
CHECK_ROW = (LOOK, "notch in the web: its sides and floor")
BLOCK_ROW = (LOOK, "notch of the part: mark only, do NOT cut")
DASH = Stroke(0.25, 0.0, (1.2, 0.8))
STRAIGHT_THROUGH = (
    "Notches are cut in the sheet only: the block goes straight through under them, wall and web face whole. Their lines are marked on the "
    "web face to look at when the blank is laid on."
)
FLANGE_ENDS = (
    "Sides are parallel, square to the edge at the notch's middle; depth is from the drawn line. On a flanged edge the flange is cut off "
    "square to the edge, the gap away from where the sides meet the bend tangent line."
)
ROUND_FIRST = (
    "Drill the round corners of notches first, then cut down to them; polish them, a scratch there starts a crack."
)


def standing(plan: Plan, in_block: bool = False) -> list[LaidNotch]:
    """The notches that the blank has; those on the loops of the block alone."""
    return [n for n in plan.blank.notches if n.stands and (not in_block or plan.blank.laid[n.loop].in_block)]


def notch_lines(plan: Plan, in_block: bool = False) -> list[TemplateLine]:
    """Each notch in the web, from edge to edge."""
    return [TemplateLine(Path(n.cut.path.vertices, False), LOOK) for n in standing(plan, in_block) if n.cut]


def on_blank(plan: Plan, content: TemplateContent) -> TemplateContent:
    """The blank template, whose cut line has them already, with their table."""
    made = notch_table(plan, content.units)
    if made is None:
        return content
    return replace(content, tables=(*content.tables, made), lay=(*content.lay, ROUND_FIRST))


def on_check(plan: Plan, content: TemplateContent) -> TemplateContent:
    """The check template with the sides and floors of notches and their table."""
    made = notch_table(plan, content.units)
    if made is None:
        return content
    return replace(
        content,
        kind=with_rows(content.kind, CHECK_ROW),
        lines=(*content.lines, *notch_lines(plan)),
        tables=(*content.tables, made),
    )


def on_block(plan: Plan, content: TemplateContent) -> TemplateContent:
    """The block template with the places of notches."""
    lines = notch_lines(plan, in_block=True)
    if not lines:
        return content
    return replace(
        content,
        kind=with_rows(content.kind, BLOCK_ROW),
        lines=(*content.lines, *lines),
        lay=(*content.lay, STRAIGHT_THROUGH),
    )


def plan_marks(plan: Plan, fit: Fit) -> list[Item]:
    """The same in the block drawing's view from above."""
    return [
        Polyline(tuple(fit(x, y) for x, y in n.cut.path.chords(0.05)), False, DASH)
        for n in standing(plan, in_block=True)
        if n.cut
    ]


def notch_table(plan: Plan, first: Unit) -> TemplateTable | None:
    """Every notch from its edge's start as typed; None where there is none."""
    starts = neighbours_at_start(plan.blank.laid)
    columns = (
        Column("notch", 0.6, font="bold"),
        Column("edge", 1.2, font="bold"),
        Column("middle, along the edge", 1.8, font="bold"),
        Column("width", 1.1),
        Column("depth", 1.1),
        Column("corner radius", 1.1),
        Column("flange ends before it by", 1.1),
    )
    rows = tuple(
        (
            str(n.number),
            n.notch.edge,
            f"{show_length(n.along, first)}\n{from_end(starts[n.notch.edge])}",
            *(in_cell(show_length(v, first)) for v in (n.notch.width, n.notch.depth, n.notch.corner_radius)),
            _gap(n, first),
        )
        for n in standing(plan)
    )
    return TemplateTable("Notches", columns, rows, (FLANGE_ENDS,)) if rows else None


def _gap(n: LaidNotch, first: Unit) -> str:
    if not n.flanged:
        return "no flange"
    return in_cell(show_length(n.notch.flange_gap, first)) if n.notch.flange_gap > 0.0 else "at its sides"


def notch_pieces(plan: Plan, first: Unit, width: float) -> list[Piece]:
    """Notches on the block drawing: what the block does under them, and their table; nothing where there is none."""
    made = notch_table(plan, first)
    if made is None or not standing(plan, in_block=True):
        return []
    top = [heading("Notches", width), *prose(STRAIGHT_THROUGH, width), *table(made.columns, made.rows, width, 9.0)]
    return [*whole(top), gap()]


__all__ = ["notch_lines", "notch_pieces", "notch_table", "on_blank", "on_block", "on_check", "plan_marks", "standing"]
