"""Beads on templates and papers: middle line and rim as lines to mark by, and a table with their sizes."""

from __future__ import annotations

from dataclasses import replace

from ribwright.documents.entry_table import in_cell
from ribwright.documents.layout import Column
from ribwright.documents.template_kinds import with_rows
from ribwright.documents.template_values import EdgeLabel, TemplateContent, TemplateLine, TemplateTable
from ribwright.geometry import grooved_path
from ribwright.geometry.path import Path
from ribwright.stages.bead_shapes import BeadShape, bead_shapes
from ribwright.stages.plan import Plan
from ribwright.units import Unit, show_length

LOOK = "bead"
ROWS = {
    "blank": (LOOK, "bead: middle and rim. Felt-tip marker, no scriber"),
    "block": (LOOK, "bead: middle and rim of its groove"),
    "check": (LOOK, "bead: middle and rim"),
}
INSIDE = (
    "Radii are inside the sheet; the block's groove has the edge's radius as it is and the bottom's with the sheet's thickness "
    "more."
)


def bead_lines(plan: Plan) -> list[TemplateLine]:
    """Middle line and rim of every bead that has a section; the web does not move, so blank, block and part have the same."""
    out = []
    for s in _drawn(plan):
        out.append(TemplateLine(Path(tuple((float(x), float(y), 0.0) for x, y in s.path), False), LOOK))
        out.append(TemplateLine(Path(grooved_path.rim(s.path, s.bead.width / 2)), LOOK))
    return out


def marked(plan: Plan, content: TemplateContent, kind: str) -> TemplateContent:
    """A template with the beads on it."""
    table = bead_table(plan, content.units)
    if table is None:
        return content
    labels = tuple(EdgeLabel(f"B{s.number}", *_beside(s)) for s in _drawn(plan))
    return replace(
        content,
        kind=with_rows(content.kind, ROWS[kind]),
        lines=(*content.lines, *bead_lines(plan)),
        edge_labels=(*content.edge_labels, *labels),
        tables=(*content.tables, table),
    )


def bead_table(plan: Plan, first: Unit) -> TemplateTable | None:
    """Every bead with its sizes as drawn; None where there is none."""
    shapes = bead_shapes(plan.job)
    columns = (
        Column("bead", 0.6, font="bold"),
        Column("section", 0.9),
        Column("width", 1.1, font="bold"),
        Column("depth", 1.1, font="bold"),
        Column("bottom radius", 1.2),
        Column("edge radius", 1.2),
        Column("overall length", 1.3),
        Column("turned", 0.8),
    )
    rows = tuple(
        (
            str(s.number),
            s.bead.section,
            *(in_cell(show_length(v, first)) for v in (s.bead.width, s.bead.depth, s.radius, s.edge_radius, s.length)),
            s.bead.turn,
        )
        for s in shapes
    )
    return TemplateTable("Beads", columns, rows, (INSIDE,)) if rows else None


def _drawn(plan: Plan) -> list[BeadShape]:
    return [s for s in bead_shapes(plan.job) if not s.why_not]


def _beside(s: BeadShape) -> tuple[float, float]:
    """Where its number stands: outside its rim, past its start."""
    p, q = s.path[0], s.path[1]
    u = (q - p) / float((u2 := q - p) @ u2) ** 0.5
    at = p - (s.bead.width / 2 + 5.0) * u
    return float(at[0]), float(at[1]) - 1.5
