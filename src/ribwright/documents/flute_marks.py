"""Flutes on templates and papers: their middle and sides as lines to mark by, and a table with their places and sizes.

On the blank a flute is a V: its middle and both sides run out together where the bend begins, and stand its width apart at the cut
edge. On block and check template short marks show where middle and sides stand.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from ribwright.documents.edge_spots import label_at, one_label
from ribwright.documents.entry_table import in_cell
from ribwright.documents.layout import Column
from ribwright.documents.lean_words import from_end
from ribwright.documents.template_kinds import with_rows
from ribwright.documents.template_values import EdgeLabel, TemplateContent, TemplateLine, TemplateTable
from ribwright.features.laid import LaidEdge, neighbours_at_start
from ribwright.geometry.path import Path
from ribwright.stages.flutes import FlutedRun, PlacedFlute
from ribwright.stages.groove import wall_of_edge
from ribwright.stages.plan import Plan
from ribwright.units import Unit, show_length

Array = NDArray[np.float64]
Reach = Callable[
    [LaidEdge, float], tuple[float, float]
]  # outward of the drawn line, inner and outer end of a mark, at s
LOOK = "flute"
MIDDLE, SIDE = 9.0, 3.0  # of a mark, inward of the line that it stands on [mm]
WORDS_IN = (11.0, 15.0, 19.0)  # of a flute's number, from the bend tangent line inward [mm]
BLANK_ROW = (LOOK, "flute, middle and sides: felt-tip only")
BLOCK_ROW = (LOOK, "flute: middle and sides of its groove")
CHECK_ROW = (LOOK, "flute: middle and sides, free edge")
BY_HAND = (
    "Without a groove in the block a flute is pressed with fluting pliers, after forming: common practice, from the middle of the "
    "curve to both ends, until the web lies flat."
)
PLANNED = "Planned: proposed by this plan, not in the part file."


def blank_lines(plan: Plan) -> list[TemplateLine]:
    """Middle and both sides of every flute on the flat blank."""
    lines = []
    for run, f in _every(plan):
        foot, cut = _on_strip(plan, f.edge, f.along)
        lines.append(_line(foot, cut))
        lines += [_line(foot, _on_strip(plan, *run.gather.line.place(x))[1]) for x in f.reach()]
    return lines


def block_lines(plan: Plan) -> list[TemplateLine]:
    """A mark at the middle and at both sides of every groove, on the web face up to its outline before rounding."""

    def reach(edge: LaidEdge, s: float) -> tuple[float, float]:
        at = np.array([s])
        angle, radius = wall_of_edge(plan.block.walls, edge.edge.name).at(at)
        bend = -float(edge.tangent_inset(at)[0])
        return bend, bend + float(radius[0] * np.tan(angle[0] / 2))

    return _ticks(plan, reach)


def on_blank(plan: Plan, content: TemplateContent) -> TemplateContent:
    """The blank template with its flutes."""
    return _marked(plan, content, blank_lines(plan), BLANK_ROW)


def on_block(plan: Plan, content: TemplateContent) -> TemplateContent:
    """The block template with marks on its web face."""
    return _marked(plan, content, block_lines(plan), BLOCK_ROW)


def on_check(plan: Plan, content: TemplateContent) -> TemplateContent:
    """The check template with marks inside the outside mold line."""

    def reach(edge: LaidEdge, s: float) -> tuple[float, float]:
        at = np.array([s])
        mold = float(edge.setback(at)[0] - edge.tangent_inset(at)[0])
        return mold, mold

    return _marked(plan, content, _ticks(plan, reach), CHECK_ROW)


def flute_table(plan: Plan, first: Unit) -> TemplateTable | None:
    """Every flute from its edge's start as typed; None where there is none."""
    starts = neighbours_at_start(plan.blank.laid)
    columns = (
        Column("flute", 0.6, font="bold"),
        Column("edge", 1.2, font="bold"),
        Column("middle, along the edge", 1.8, font="bold"),
        Column("width at the free edge", 1.2),
        Column("depth at the free edge", 1.2),
        Column("gathers", 1.1),
        Column("by", 0.9),
    )
    rows = tuple(
        (
            str(f.index),
            f.edge,
            f"{show_length(f.along, first)}\n{from_end(starts[f.edge])}",
            *(in_cell(show_length(v, first)) for v in (f.width, f.depth, f.gather)),
            "drawing" if f.by == "drawn" else "plan",
        )
        for _, f in _every(plan)
    )
    if not rows:
        return None
    planned = (PLANNED,) if any(f.by == "plan" for _, f in _every(plan)) else ()
    return TemplateTable(
        "Flutes", columns, rows, (*(_gathered(r, first) for r in plan.fluting.runs if r.flutes), *planned, BY_HAND)
    )


def _gathered(run: FlutedRun, first: Unit) -> str:
    """What a run's flutes take of what it must lose."""
    low, high, taken = (show_length(v, first) for v in (run.least, run.most, run.taken))
    vee = show_length(sum(f.vee for f in run.flutes), first)
    return f"{', '.join(run.edges)}: to lose {low} to {high}; the flutes take {taken} (as plain vees {vee})."


def _every(plan: Plan) -> list[tuple[FlutedRun, PlacedFlute]]:
    return [(run, f) for run in plan.fluting.runs for f in run.flutes]


def _marked(plan: Plan, content: TemplateContent, lines: list[TemplateLine], row: tuple[str, str]) -> TemplateContent:
    made = flute_table(plan, content.units)
    if made is None:
        return content
    return replace(
        content,
        kind=with_rows(content.kind, row),
        lines=(*content.lines, *lines),
        edge_labels=(*content.edge_labels, *(_label(plan, f) for _, f in _every(plan))),
        tables=(*content.tables, made),
    )


def _on_strip(plan: Plan, edge: str, along: float) -> tuple[Array, Array]:
    """(place on the bend tangent line, place on the cut edge) at a length along an edge as typed, (2,) each."""
    strip, i = plan.blank.strip_of(edge)
    mine = np.flatnonzero(strip.at.edge == i)
    mine = mine[np.argsort(strip.at.along[mine], kind="stable")]
    at = strip.at.along[mine]
    foot, cut = (np.array([np.interp(along, at, p[mine, k]) for k in (0, 1)]) for p in (strip.at.tangent, strip.flat))
    return foot, cut


def _ticks(plan: Plan, reach: Reach) -> list[TemplateLine]:
    """A long mark at the middle and short ones at the sides, across the drawn line."""
    out = []
    for run, f in _every(plan):
        for x, inward in ((f.x, MIDDLE), *((side, SIDE) for side in f.reach())):
            edge, s = _laid(plan, *run.gather.line.place(x))
            p, _, n = edge.tangent_line.frame(np.array([s]))
            a, b = reach(edge, s)
            out.append(_line(p[0] + (a - inward) * n[0], p[0] + b * n[0]))
    return out


def _laid(plan: Plan, name: str, along: float) -> tuple[LaidEdge, float]:
    edge = next(e for loop in plan.blank.laid for e in loop.edges if e.edge.name == name)
    s = float(edge.at(np.array([along]))[0])
    return edge, min(max(s, 0.0), edge.curve.length)


def _label(plan: Plan, f: PlacedFlute) -> EdgeLabel:
    edge, s = _laid(plan, f.edge, f.along)
    p, t, n = edge.tangent_line.frame(np.array([s]))
    inset = float(edge.tangent_inset(np.array([s]))[0])
    return one_label([label_at(f"F{f.index}", p[0] - (inset + d) * n[0], t[0]) for d in WORDS_IN])


def _line(a: Array, b: Array) -> TemplateLine:
    return TemplateLine(Path(((float(a[0]), float(a[1]), 0.0), (float(b[0]), float(b[1]), 0.0)), False), LOOK)
