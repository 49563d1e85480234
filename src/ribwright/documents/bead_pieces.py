"""Beads on the block drawing: the section of each groove drawn true, how it is cut, the table of beads, and what fills them."""

from __future__ import annotations

import numpy as np

from ribwright.documents.bead_marks import bead_table
from ribwright.documents.entry_table import in_cell, whole
from ribwright.documents.layout import Column, Fit, Piece, gap, heading, picture, prose, small, table
from ribwright.documents.page import Item, Line, Polyline, Stroke, Text
from ribwright.geometry.groove_profile import GrooveProfile
from ribwright.stages.bead_demand import BeadDemand
from ribwright.stages.bead_shapes import BeadShape, bead_shapes
from ribwright.stages.block import side_of
from ribwright.stages.plan import Plan
from ribwright.units import Unit, show_length, show_pressure

GROOVE = "Groove in the web face: ball cutter or scraper to the section, ends rounded. Round its edges to the radius given; polish it."
RIDGE = (
    "Ridge, turned against the flanges: a strip fastened to the web face, ends rounded, nothing loose; its top has the bottom radius less "
    "the sheet's thickness, its foot the edge radius and the thickness. The block itself is not cut."
)
EDGE, FINE, SHEET = Stroke(0.5), Stroke(0.15, 0.2), Stroke(0.3, 0.0, (1.6, 0.9))
WOOD, PRINT, HIGH, DEEP = 0.9, 9.0, 34.0, 6.0


def bead_pieces(plan: Plan, first: Unit, width: float) -> list[Piece]:
    """Heading, a section for each kind of bead, table, pressures; nothing where no bead is."""
    made = bead_table(plan, first)
    if made is None:
        return []
    pieces = [*whole([heading("Beads", width), *table(made.columns, made.rows, width, 9.0)])]
    pieces += [p for n in made.under for p in small(n, width)]
    pieces += whole([heading("Middle lines of the beads", width, 10.0), *table(*_places(plan, first), width, 9.0)])
    for alike in _alike(bead_shapes(plan.job)):
        s = alike[0]
        assert s.block is not None
        names = ", ".join(str(x.number) for x in alike)
        words = GROOVE if s.bead.turn == side_of(plan.job) else RIDGE
        title = f"Groove of bead{'s' if len(alike) > 1 else ''} {names}, section square to its middle"
        pieces += whole(
            [heading(title, width, 10.0), groove_picture(s.block, plan.job.t, width, first), *prose(words, width)]
        )
    pieces += [p for b in _asked(plan) for p in prose(_pressure(b, first), width)]
    return [*pieces, gap()]


def _places(plan: Plan, first: Unit) -> tuple[tuple[Column, ...], tuple[tuple[str, ...], ...]]:
    """Every point of every bead's middle line as drawn; its ends are round about the first and the last."""
    columns = (Column("bead", 0.5, font="bold"), Column("point", 0.8), Column("x", 1.2), Column("y", 1.2))
    rows = []
    for s in bead_shapes(plan.job):
        last = len(s.bead.points)
        for i, point in enumerate(s.bead.points, 1):
            word = "first" if i == 1 else "last" if i == last else str(i)
            rows.append((str(s.number), word, *(in_cell(show_length(v, first)) for v in point)))
    return columns, tuple(rows)


def groove_picture(g: GrooveProfile, t: float, width: float, first: Unit) -> Piece:
    """The groove drawn true in both directions, the sheet in it dashed, with its sizes."""
    half = g.line(0.05)
    right = half * [1.0, -1.0]
    line = np.concatenate([right[::-1] * [-1.0, 1.0], right[1:]])[::-1]
    side = 0.35 * g.width
    top = np.concatenate([[[g.width / 2 + side, 0.0]], line, [[-g.width / 2 - side, 0.0]]])
    base = -g.depth - max(DEEP, 0.4 * g.depth)
    body = np.concatenate([top, [[-g.width / 2 - side, base], [g.width / 2 + side, base]]])
    fit = _fitted(g.width + 2 * side, -base + t, width - 60.0)
    high = min((-base + t) * fit.scale + 24.0, 90.0)
    fit = Fit(fit.scale, width / 2, -high + 8.0 - base * fit.scale)
    items: list[Item] = [Polyline(tuple(fit(float(x), float(y)) for x, y in body), True, EDGE, WOOD)]
    sheet = g.lower(-t).line(0.05) if g.bottom > t else half
    other = sheet * [1.0, -1.0] + [0.0, t]
    upper = np.concatenate(
        [[[g.width / 2 + side, t]], other[::-1], (other * [-1.0, 1.0])[1:], [[-g.width / 2 - side, t]]]
    )
    items.append(Polyline(tuple(fit(float(x), float(y)) for x, y in upper), False, SHEET))
    a, b = fit(-g.width / 2, t), fit(g.width / 2, t)
    rise = a[1] + 5.0
    items += [
        Line(a[0], rise, b[0], rise, FINE),
        Line(a[0], a[1], a[0], rise + 1.5, FINE),
        Line(b[0], b[1], b[0], rise + 1.5, FINE),
    ]
    items.append(Text((a[0] + b[0]) / 2, rise + 1.2, f"width {show_length(g.width, first)}", PRINT, "bold", "middle"))
    low, edge = fit(0.0, -g.depth), fit(g.width / 2 + side, 0.0)
    items += [Line(edge[0] + 1, edge[1], edge[0] + 6, edge[1], FINE), Line(low[0], low[1], edge[0] + 6, low[1], FINE)]
    items.append(Text(edge[0] + 1.5, (edge[1] + low[1]) / 2 - 1.2, f"depth {_one(g.depth, first)}", PRINT, "bold"))
    foot = fit(0.0, base)[1] - 4.6
    says = f"bottom R {show_length(g.bottom, first)}   edge R {show_length(g.edge, first)}   flanks {np.degrees(g.turn):.0f} deg"
    items.append(Text(width / 2, foot, says, PRINT, "regular", "middle"))
    return picture(items, high)


def _fitted(wide: float, tall: float, width: float) -> Fit:
    return Fit(min(width / wide, HIGH / tall), 0.0, 0.0)


def _alike(shapes: tuple[BeadShape, ...]) -> list[list[BeadShape]]:
    """Beads of one groove section and turn, those without a section left out."""
    out: dict[object, list[BeadShape]] = {}
    for s in shapes:
        if s.block is not None and not s.why_not:
            out.setdefault((s.block, s.bead.turn), []).append(s)
    return list(out.values())


def _asked(plan: Plan) -> list[BeadDemand]:
    """The bead that asks most."""
    beads = plan.setup.beads if plan.setup else ()
    return [max(beads, key=lambda b: b.need.value)] if beads else []


def _pressure(b: BeadDemand, first: Unit) -> str:
    need = b.need
    return (
        f"Bead {b.shape.number} asks most: {show_pressure(need.value, first)} on the pad (90 %: {show_pressure(need.low, first)} "
        f"to {show_pressure(need.high, first)}), by a strip of sheet over the groove and {show_pressure(b.rubber, first)} that the "
        "rubber takes to follow it; not compared with a real bead."
    )


def _one(mm: float, first: Unit) -> str:
    return show_length(mm, first).partition(" (")[0]
