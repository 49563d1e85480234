"""Where lengths along an edge begin: a dot with "0" and an arrow the way they run, as the edge was typed."""

from __future__ import annotations

from math import hypot

import numpy as np

from ribwright.documents.layout import Fit
from ribwright.documents.page import Circle, Item, Line, Pair, Polyline, Stroke, Text
from ribwright.features.laid import LaidEdge
from ribwright.stages.plan import Plan

MARK = Stroke(0.3)
OFF, LONG = 3.4, 9.0  # arrow beside its edge, and its length on the page [mm]


def varying_edges(plan: Plan) -> list[LaidEdge]:
    """Edges of the block whose wall changes along them or steps in: the ones that have lengths along them on every sheet."""
    changing = {e.edge for e in plan.block.edges if float(np.ptp(e.under.wall)) > 1e-6}
    return [e for loop in plan.blank.laid for e in loop.edges if e.edge.name in changing or e.joggles]


def start_of(edge: LaidEdge) -> tuple[Pair, Pair]:
    """(place, unit direction) where lengths along the edge are 0, on the web's bend tangent line, part coordinates."""
    near = edge.at(np.array([0.0, 0.02 * edge.drawn.length]))
    p, _, _ = edge.tangent_line.frame(near)
    d = p[1] - p[0]
    size = max(hypot(*d), 1e-12)
    return (float(p[0][0]), float(p[0][1])), (float(d[0]) / size, float(d[1]) / size)


def start_marks(plan: Plan, fit: Fit, outward: float = 0.0) -> list[Item]:
    """Dot, "0" and arrow of every edge that varies; the arrow stands inside the edge, or `outward` [mm] outside it."""
    items: list[Item] = []
    for edge in varying_edges(plan):
        (x, y), (dx, dy) = start_of(edge)
        # the outside lies to the right of the way round the outer loop, to the left of it against that way
        side = (-1.0 if edge.edge.turned else 1.0) * (outward if outward else -OFF)
        px, py = fit(x, y)
        ax, ay = px + side * dy, py - side * dx
        tip = (ax + LONG * dx, ay + LONG * dy)
        wings = tuple((tip[0] - 2.0 * dx + k * 0.8 * dy, tip[1] - 2.0 * dy - k * 0.8 * dx) for k in (1, -1))
        items += [Circle(px, py, 0.9, None, 0.0), Line(px, py, ax, ay, Stroke(0.15)), Line(ax, ay, *tip, MARK)]
        items += [Polyline((tip, *wings), True, None, 0.0)]
        items.append(Text(ax - 2.2 * dx, ay - 2.2 * dy - 1.1, "0", 9.0, "bold", "middle"))
    return items
