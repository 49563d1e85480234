"""Joggles on the block drawing: marks in the view from above, the step drawn large with its sizes, and a table of all steps."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from ribwright.documents.joggle_marks import called, columns, deeper_after, rows
from ribwright.documents.layout import Fit, Piece, gap, heading, picture, prose, small, table
from ribwright.documents.page import Item, Line, Pair, Polyline, Stroke, Text
from ribwright.features.laid import LaidEdge
from ribwright.geometry.curve import Line as Straight
from ribwright.geometry.stepped import Ramp, Stepped
from ribwright.mechanics.joggle import HELD, SLIDES
from ribwright.stages.finding import Predicted
from ribwright.stages.joggles import Step, steps
from ribwright.stages.plan import Plan
from ribwright.units import Unit, show_length, show_pressure

FINE, WALL = Stroke(0.15), Stroke(0.5)
PRINT = 8.5
WIDE, ROOM, LEFT = (
    56.0,
    18.0,
    16.0,
)  # of the enlarged step, room above it, and how far left of the middle it stands [mm]


def step_marks(plan: Plan, fit: Fit) -> list[Item]:
    """A short line across the web face's edge at both ends of each step, and its number inside."""
    found = steps(plan.job, plan.blank)
    laid = {e.edge.name: e for loop in plan.blank.laid for e in loop.edges}
    items: list[Item] = []
    for s in found:
        edge = laid[s.edge]
        ends = edge.at(np.array([s.start, s.end]))
        p, _, n = edge.tangent_line.frame(ends)
        for a, b in zip(p, n, strict=True):
            x, y = fit(float(a[0]), float(a[1]))
            items.append(Line(x + 1.5 * b[0], y + 1.5 * b[1], x - 4.0 * b[0], y - 4.0 * b[1], Stroke(0.3)))
        at, normal = p.mean(axis=0), n[0]
        x, y = fit(float(at[0]), float(at[1]))
        items.append(Text(x - 6.5 * normal[0], y - 6.5 * normal[1] - 1.0, called(found, s), PRINT, "bold", "middle"))
    return items


def joggle_pieces(plan: Plan, first: Unit, width: float) -> list[Piece]:
    """Heading, one step large, the table and what sets them; nothing where the part has no joggle."""
    found = steps(plan.job, plan.blank)
    if not found:
        return []
    laid = {e.edge.name: e for loop in plan.blank.laid for e in loop.edges}
    one = found[0]
    words = (
        "The walls step in with the flange, at every depth: rounding, undercut and foot run square to the stepped line. Cut each "
        "step as two equal arcs; leave no corner that would print the sheet."
    )
    share = plan.setup.share if plan.setup else None
    needs = [n for s in found if (n := s.needs(share)) is not None]
    out = [heading("Joggles: steps in the walls", width), *prose(words, width)]
    out += [replace(_large(laid[one.edge], one, called(found, one), first, width), keep=True)]
    out += table(columns(), rows(plan, found, first), width, 9.0)
    if needs:
        worst = max(needs, key=lambda n: n.value)
        out += small(_sets(worst, plan.setup is not None, first), width)
    return [*out, gap()]


def _sets(need: Predicted, pressed: bool, first: Unit) -> str:
    on = "on the pad" if pressed else "on the sheet"
    low, told, high = (show_pressure(p, first) for p in (need.low, need.value, need.high))
    return (
        f"The step that asks most takes about {told} {on} to lie in the block ({low} to {high}): a strip across the step, {SLIDES:g} to "
        f"{HELD:g} M/L^2, an estimate that was not compared with a formed part. Look at the first piece; set what stands off by hand."
    )


def _large(edge: LaidEdge, s: Step, name: str, first: Unit, width: float) -> Piece:
    """The outside mold line over one step, enlarged alike both ways, with length, depth and radius."""
    after = deeper_after(edge, s)
    line = Stepped(
        Straight((0.0, 0.0), (3 * s.length, 0.0)),
        (Ramp(s.length, s.length, s.depth if after else -s.depth),),
        0.0 if after else s.depth,
    )
    p = line.point(line.of_drawn(np.linspace(s.length * 0.5, s.length * 2.5, 121)))
    scale = WIDE / s.length
    x0 = width / 2 - 1.5 * s.length * scale - LEFT

    def at(x: float, y: float) -> Pair:
        # outward is up: a step inward goes down
        return x0 + x * scale, -ROOM - y * scale

    points = tuple(at(float(x), float(y)) for x, y in p)
    (a, _), (b, _) = at(s.length, 0.0), at(2 * s.length, 0.0)
    top = max(y for _, y in points)
    base = min(y for _, y in points)
    items: list[Item] = [Polyline(points, False, WALL)]
    over = top + 9.0
    items += _dimension((a, over), (b, over))
    items += [Line(x, base - 1.5, x, over + 1.5, FINE) for x in (a, b)]
    items.append(Text((a + b) / 2, over + 1.6, f"length {show_length(s.length, first)}", PRINT, "bold", "middle"))
    side = points[-1][0] + 6.0
    items += _dimension((side, base), (side, top))
    items += [
        Line(points[0][0] if abs(y - points[0][1]) < abs(y - points[-1][1]) else points[-1][0], y, side + 1.5, y, FINE)
        for y in (base, top)
    ]
    items.append(Text(side + 3.0, (base + top) / 2 - 1.0, f"depth {show_length(s.depth, first)}", PRINT, "bold"))
    radius = show_length(s.radius, first)
    words = (
        f"{name} on {s.edge}: outside mold line seen from above, web below it, enlarged; two arcs of radius {radius}"
    )
    items.append(Text(width / 2, base - 8.0, words, PRINT, "regular", "middle"))
    return picture(items, -base + 11.0)


def _dimension(a: Pair, b: Pair) -> list[Item]:
    ticks = [Line(x - 1.0, y - 1.0, x + 1.0, y + 1.0, Stroke(0.35)) for x, y in (a, b)]
    return [Line(*a, *b, FINE), *ticks]
