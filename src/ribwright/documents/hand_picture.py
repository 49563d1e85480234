"""A small plan of the part for the bench: its outline and holes, where each edge starts, and the numbers of the moves at their places."""

from __future__ import annotations

from math import hypot

import numpy as np

from ribwright.documents.badges import R, badge, placed
from ribwright.documents.block_plan_view import room_of
from ribwright.documents.drawn_edges import lines_of
from ribwright.documents.layout import Piece, fit_into, picture
from ribwright.documents.outline_names import START_WORDS, edge_starts, outline_names, points_on, round_it, spot_of
from ribwright.documents.page import Circle, Item, Line, Pair, Polyline, Stroke, Text
from ribwright.features.inspected import PART
from ribwright.stages.hand_list import HandList
from ribwright.stages.plan import Plan

AROUND = 15.0  # room for names, numbers and start marks [mm]
HIGHEST, LOWEST = 112.0, 46.0
OUTLINE, FINE, LEADER = Stroke(0.5), Stroke(0.15), Stroke(0.2)
BEYOND = "stop"
LEGEND = (
    f"{START_WORDS} Numbers in rings: the moves, each at the place of its largest amount. Filled, with a letter: not by hand, a person "
    "decides. Of the web as a whole nothing is marked. Not to scale."
)


def hand_picture(plan: Plan, hands: HandList, width: float) -> Piece:
    """The part as drawn, `width` wide [mm]."""
    lines = lines_of(plan, PART)
    x0, y0, x1, y1 = lines.box
    high = min(HIGHEST, max(LOWEST, (width - 2 * AROUND) * (y1 - y0) / max(x1 - x0, 1e-9) + 2 * AROUND))
    fit = fit_into(lines.box, AROUND, AROUND - high, width - 2 * AROUND, high - 2 * AROUND)
    items: list[Item] = [Polyline(tuple(fit(*map(float, p)) for p in ps), end, OUTLINE) for ps, end in lines.drawn]
    for h in plan.blank.holes:
        x, y = fit(*h.hole.at)
        items.append(Circle(x, y, max((h.tangent_diameter or h.hole.diameter) / 2 * fit.scale, 0.6), FINE))
    over = points_on(items)
    marks = _marks(hands)
    wanted = []
    for k, (_, where, severity) in enumerate(marks):
        spot = spot_of(plan, lines.edges, where)
        if spot is not None:
            wanted.append((k, severity, fit(*spot[0]), spot[1]))
    done, _ = placed(wanted, [], over, (0.0, -high, width, 0.0))
    leaders: list[Item] = [_leader(b.x, b.y, b.anchor) for b in done if b.anchor is not None]
    tips: list[Item] = [Circle(*b.anchor, 0.7, None, 0.0) for b in done if b.anchor is not None]
    badges = [i for b in done for i in badge(b.x, b.y, marks[b.number][0], b.severity)]
    over = np.concatenate([over, points_on([*leaders, *tips])])
    taken = [*(b.box for b in done), *(round_it(c) for c in tips if isinstance(c, Circle))]
    starts = edge_starts(lines.edges.values(), fit, taken, over)
    taken += [room_of(t) for t in starts if isinstance(t, Text)]
    over = np.concatenate([over, points_on(starts)])
    names = outline_names(plan, lines.edges, fit, 5.0, taken, over)
    return picture([*items, *leaders, *tips, *badges, *starts, *names], high)


def _leader(x: float, y: float, tip: Pair) -> Line:
    """From the rim of a badge to its place."""
    dx, dy = tip[0] - x, tip[1] - y
    k = min(1.0, R / max(hypot(dx, dy), 1e-9))
    return Line(x + k * dx, y + k * dy, *tip, LEADER)


def letter_of(k: int) -> str:
    """'A', 'B', ... of what is beyond hands, the first being 0; 'A1' behind 'Z'."""
    return chr(ord("A") + k % 26) + ("" if k < 26 else str(k // 26))


def _marks(hands: HandList) -> list[tuple[str, dict[str, object], str]]:
    """(what stands in the badge, where, severity): the moves by number, then what is beyond hands by letter."""
    rows: list[tuple[str, dict[str, object], str]] = []
    for m in hands.moves:
        rows.append((str(m.order), _spot(m.where, m.along), "note"))
    for k, b in enumerate(hands.beyond):
        rows.append((letter_of(k), _spot(b.where, b.along), BEYOND))
    return rows


def _spot(where: dict[str, object], along: float | None) -> dict[str, object]:
    return {**where, **({} if along is None else {"along_mm": along})}
