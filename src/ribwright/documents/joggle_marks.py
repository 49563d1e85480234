"""Joggles on 1:1 templates: a short line across the edge where a step begins and where it ends, its number, and a table."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from ribwright.documents.edge_spots import label_at, one_label
from ribwright.documents.entry_table import in_cell
from ribwright.documents.layout import Column
from ribwright.documents.lean_words import from_end
from ribwright.documents.template_kinds import with_rows
from ribwright.documents.template_starts import SIGNS, start_sign
from ribwright.documents.template_values import EdgeLabel, TemplateContent, TemplateLine, TemplateTable
from ribwright.features.laid import LaidEdge, neighbours_at_start
from ribwright.geometry.path import Path
from ribwright.stages.joggles import Step, steps
from ribwright.stages.plan import Plan
from ribwright.units import Unit, show_length

Array = NDArray[np.float64]
ROW = ("step", "short line: a step of a joggle begins or ends")
INSIDE, OUTSIDE = 5.0, 2.0  # of the short line, from the stepped line [mm]
WORDS_IN = (9.0, 14.0, 19.0, 24.0)  # of the number, from the stepped line inward [mm]
TITLE = "Joggles: where the flange steps in"


def with_joggles(content: TemplateContent, plan: Plan) -> TemplateContent:
    """The template with its joggles; as it was where the part has none."""
    found = steps(plan.job, plan.blank)
    if not found:
        return content
    laid = {e.edge.name: e for loop in plan.blank.laid for e in loop.edges}
    lines = [line for s in found for line in _ends(laid[s.edge], s)]
    labels = [_number(laid[s.edge], called(found, s), s, content.units) for s in found]
    for name in dict.fromkeys(s.edge for s in found):
        signs, zero = start_sign(laid[name])
        if signs[0] not in content.lines:
            lines += signs
            labels.append(zero)
    return replace(
        content,
        kind=with_rows(content.kind, *(() if content.kind.has("sign") else (SIGNS,)), ROW),
        lines=(*content.lines, *lines),
        edge_labels=(*content.edge_labels, *labels),
        tables=(*content.tables, TemplateTable(TITLE, columns(), rows(plan, found, content.units), (UNDER,))),
    )


UNDER = (
    "Depth: how far the flange is set in, to the heel side. Each step is two equal arcs over its length, of the radius given at the "
    "outside mold line. In the blank the cut edge steps in more softly than the bend line: cut to the line, do not sharpen it."
)


def columns() -> tuple[Column, ...]:
    """Heads of the table."""
    return (
        Column("step", 0.5, font="bold"),
        Column("edge", 1.0, font="bold"),
        Column("from - to, along the edge", 1.9),
        Column("depth", 1.1, font="bold"),
        Column("length", 1.1),
        Column("radius of both arcs", 1.2),
    )


def rows(plan: Plan, found: tuple[Step, ...], first: Unit) -> tuple[tuple[str, ...], ...]:
    """A row a step."""
    starts = neighbours_at_start(plan.blank.laid)
    return tuple(
        (
            called(found, s),
            s.edge,
            f"{_one(s.start, first)} - {_one(s.end, first)}\n{from_end(starts[s.edge])}",
            in_cell(show_length(s.depth, first)),
            in_cell(show_length(s.length, first)),
            in_cell(show_length(s.radius, first)),
        )
        for s in found
    )


def called(found: tuple[Step, ...], step: Step) -> str:
    """'J1' for the only step of joggle 1, 'J1a' and 'J1b' where it has two."""
    own = [s for s in found if s.number == step.number]
    return f"J{step.number}" + ("" if len(own) == 1 else "ab"[own.index(step)])


def deeper_after(edge: LaidEdge, step: Step) -> bool:
    """Whether the flange is deep beyond the step's end, along as typed."""
    before, after = edge.depth(edge.at(np.array([step.start, step.end])))
    return bool(after > before)


def _ends(edge: LaidEdge, s: Step) -> tuple[TemplateLine, ...]:
    p, _, n = edge.tangent_line.frame(edge.at(np.array([s.start, s.end])))
    return tuple(
        TemplateLine(Path((_vertex(a - INSIDE * b), _vertex(a + OUTSIDE * b)), False), "step")
        for a, b in zip(p, n, strict=True)
    )


def _vertex(p: Array) -> tuple[float, float, float]:
    return float(p[0]), float(p[1]), 0.0


def _number(edge: LaidEdge, name: str, s: Step, first: Unit) -> EdgeLabel:
    """The depth beside the step, on the web; moved along it where something else stands there."""
    words = f"{name}: in {_one(s.depth, first)}"
    spots = []
    for away in WORDS_IN:
        for along in ((s.start + s.end) / 2, s.end + 12.0, s.start - 12.0):
            p, t, n = edge.tangent_line.frame(np.clip(edge.at(np.array([along])), 0.0, edge.curve.length))
            spots.append(label_at(words, p[0] - away * n[0], t[0]))
    return one_label(spots)


def _one(mm: float, first: Unit) -> str:
    """The shop's unit alone."""
    return show_length(mm, first).partition(" (")[0]
