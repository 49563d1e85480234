"""Names on an outline and marks where its edges start, clear of what is drawn there already."""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Sequence
from math import hypot

import numpy as np
from numpy.typing import NDArray

from ribwright.documents.badges import Box
from ribwright.documents.block_plan_view import room_of
from ribwright.documents.drawn_edges import SHARES, DrawnEdge
from ribwright.documents.layout import Fit, rectangle
from ribwright.documents.lettering import fitted
from ribwright.documents.page import Circle, Item, Line, Pair, Polyline, Stroke, Text
from ribwright.stages.found import Where
from ribwright.stages.plan import Plan

Array = NDArray[np.float64]
PRINT = 8.5
ARROW, TIP = 7.0, 1.7  # length of a start mark's arrow and of its head [mm]
SHORTEST_ARROW = 3.0
CLEAR_OF_CORNER = 1.5  # from where on another edge counts as between [mm]
DOT = 0.8
ALONG, AWAY = (
    (0.0, 3.0, 7.0),
    (2.4, 4.0, 6.0, 8.5, 11.0),
)  # where the arrow may stand: from the dot along its edge, and off it [mm]
SHAFT, LEADER = Stroke(0.35), Stroke(0.15)
START_WORDS = 'Dot, "0" and arrow: where an edge starts and the way that lengths along it run.'


def edge_starts(edges: Iterable[DrawnEdge], fit: Fit, taken: Sequence[Box], over: Array) -> list[Item]:
    """Dot, "0" and arrow of every edge; off the boxes of `taken`, over as few of the points `over` (n, 2) as there is room for."""
    room, lines, items = list(taken), over, []
    every = list(edges)
    outlines = {e.name: _outline(e, fit) for e in every}
    for e in every:
        others = np.concatenate([np.zeros((0, 2)), *(p for name, p in outlines.items() if name != e.name)])
        mark, box = _start(e, fit, room, lines, others)
        items += mark
        room.append(box)
        lines = np.concatenate([lines, points_on(mark)])
    return items


def _start(e: DrawnEdge, fit: Fit, room: Sequence[Box], over: Array, others: Array) -> tuple[list[Item], Box]:
    """The cheapest place of one start mark: near its dot, off other print, over few lines, not beyond another edge."""
    p, n = e.place(np.array([0.0, min(1.0, 0.02 * e.length)]))
    a, b = (np.array(fit(*map(float, q))) for q in p)
    way = (b - a) / max(hypot(*(b - a)), 1e-9)
    long = min(ARROW, max(SHORTEST_ARROW, 0.5 * e.length * fit.scale))

    def cost(spot: tuple[float, float]) -> tuple[int, float]:
        side, along = spot[1] * n[0], spot[0]
        box = _arrow_box(a, way, side, along, long)
        hit = sum(meet(box, other) for other in room) + sum(
            _runs_over(a, a + side + along * way, other) for other in room
        )
        crossed = 3.0 * _crossed(box, over) + 15.0 * _behind(a, a + side + along * way, others)
        return hit, crossed + spot[0] + 2.0 * abs(spot[1])

    along, off = min(((x, side * y) for y in AWAY for side in (-1.0, 1.0) for x in ALONG), key=cost)
    side = off * n[0]
    zero, tail = a + side + along * way, a + side + (along + 1.6) * way
    tip = tail + long * way
    across = np.array([-way[1], way[0]])
    wings = [tip - TIP * way + k * 0.4 * TIP * across for k in (1.0, -1.0)]
    x, y = (float(v) for v in zero)
    items: list[Item] = [
        Circle(float(a[0]), float(a[1]), DOT, None, 0.0),
        _line(a, a + (side + along * way) * max(0.0, 1.0 - 1.8 / max(hypot(*(zero - a)), 1e-9)), LEADER),
        _line(tail, tip, SHAFT),
        Polyline(tuple((float(q[0]), float(q[1])) for q in (tip, *wings)), True, None, 0.0),
        Text(x, y - 1.0, "0", PRINT, "bold", "middle"),
    ]
    return items, _arrow_box(a, way, side, along, long)


def _outline(e: DrawnEdge, fit: Fit) -> Array:
    return points_on([Polyline(tuple(fit(*map(float, q)) for q in e.place(e.along)[0]), False, SHAFT)])


def _behind(a: Array, b: Array, others: Array) -> bool:
    """Whether another edge lies between a place on an edge and what is told of it."""
    size = hypot(*(b - a))
    if size <= CLEAR_OF_CORNER or not len(others):
        return False
    on = a + np.arange(CLEAR_OF_CORNER, size, 0.5)[:, None] / size * (b - a)
    return bool(np.min(np.hypot(*(on[:, None, :] - others[None, :, :]).transpose(2, 0, 1))) < 0.7)


def _runs_over(a: Array, b: Array, box: Box) -> bool:
    """Whether the line from a to b runs through a box."""
    x, y = np.linspace(a, b, 2 + int(2 * hypot(*(b - a)))).T
    return bool(np.any((box[0] < x) & (x < box[2]) & (box[1] < y) & (y < box[3])))


def _arrow_box(a: Array, way: Array, side: Array, along: float, long: float) -> Box:
    """What "0" and arrow cover."""
    zero = a + side + along * way
    x, y = np.stack([zero - 1.1, zero + 1.1, zero + (long + 1.6) * way - 0.7, zero + (long + 1.6) * way + 0.7]).T
    return float(x.min()), float(y.min()), float(x.max()), float(y.max())


def _line(a: Array, b: Array, stroke: Stroke) -> Line:
    return Line(float(a[0]), float(a[1]), float(b[0]), float(b[1]), stroke)


def outline_names(
    plan: Plan, edges: dict[str, DrawnEdge], fit: Fit, longest: float, taken: Sequence[Box], over: Array
) -> list[Item]:
    """Edge names beside their edges clear of ticks, which reach `longest` [mm] off them, holes' names beside the holes; a name that finds
    no room is left out."""
    room = list(taken)
    out: list[Item] = []
    for h in plan.blank.holes:
        r = max((h.tangent_diameter or h.hole.diameter) / 2 * fit.scale, 0.6)
        out += _hole_name(fitted(h.hole.name, PRINT, 24.0), fit(*h.hole.at), r + 1.2, room, over)
    outlines = {e.name: _outline(e, fit) for e in edges.values()}
    for name, e in edges.items():
        words = fitted(name, PRINT, 40.0, "bold")
        free = [(t, foot) for t, foot in _beside(e, words, fit, longest) if _clear(room_of(t), room, over)]
        others = np.concatenate([np.zeros((0, 2)), *(p for other, p in outlines.items() if other != name)])
        # a name beyond another edge would be read as that one's
        mine = next((t for t, foot in free if not _behind(foot, np.array([t.x, t.y + 1.0]), others)), None)
        found = mine if mine is not None else next((t for t, _ in free), None)
        if found is not None:
            out.append(found)
            room.append(room_of(found))
    return out


def _hole_name(words: str, at: Pair, away: float, room: list[Box], over: Array) -> list[Item]:
    """A hole's name beside it, off other print and marks, over as few lines as there are and on white; the box is added to `room`."""
    x, y = at
    tried = []
    for r in (away + d for d in (0.0, 1.5, 3.0, 5.0, 8.0)):
        tried += [Text(x + r, y - 1.0, words, PRINT), Text(x - r, y - 1.0, words, PRINT, anchor="end")]
        tried += [Text(x, y + r, words, PRINT, anchor="middle"), Text(x, y - r - 2.2, words, PRINT, anchor="middle")]
        d = 0.8 * r
        tried += [Text(x + d, y + s * d - 1.0, words, PRINT) for s in (1, -1)]
        tried += [Text(x - d, y + s * d - 1.0, words, PRINT, anchor="end") for s in (1, -1)]
    apart = [t for t in tried if not any(meet(room_of(t), b) for b in room)] or tried
    found = min(apart, key=lambda t: _crossed(room_of(t), over))
    box = room_of(found)
    room.append(box)
    if not _crossed(box, over):
        return [found]
    patch = rectangle(box[0] - 0.3, box[1], box[2] - box[0] + 0.6, box[3] - box[1], None, 1.0)
    return [patch, found]


def round_it(c: Circle) -> Box:
    return c.cx - c.r, c.cy - c.r, c.cx + c.r, c.cy + c.r


def meet(a: Box, b: Box) -> bool:
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


def _crossed(box: Box, over: Array) -> int:
    """How many points of what is drawn lie in the box."""
    x, y = over[:, 0], over[:, 1]
    return int(np.sum((box[0] < x) & (x < box[2]) & (box[1] < y) & (y < box[3])))


def _beside(e: DrawnEdge, words: str, fit: Fit, longest: float) -> list[tuple[Text, Array]]:
    """Level places for the name of an edge, each with the foot on the edge: inside it first, then outside, near its middle first."""
    out = []
    for side in (-1.0, 1.0):
        for away in (3.0, longest / 2 + 2.0, longest + 3.0, longest + 6.0):
            for share in SHARES:
                p, n = e.place(np.array([share * e.length]))
                (x, y), (nx, ny) = fit(*p[0]), side * n[0]
                anchor = "start" if nx > 0.6 else "end" if nx < -0.6 else "middle"
                at = (float(x + away * nx), float(y + away * ny - 1.0))
                out.append((Text(*at, words, PRINT, "bold", anchor), np.array([x, y])))
    return out


def _clear(box: Box, taken: Sequence[Box], over: Array) -> bool:
    wide = (box[0] - 0.4, box[1] - 0.4, box[2] + 0.4, box[3] + 0.4)
    return not any(meet(wide, b) for b in taken) and not _crossed(wide, over)


def points_on(items: Sequence[Item]) -> Array:
    """Points on everything drawn, no more than 1 mm apart (n, 2)."""
    out = [np.zeros((0, 2))]
    for i in items:
        if isinstance(i, Line):
            out.append(_along(np.array([(i.x0, i.y0), (i.x1, i.y1)])))
        elif isinstance(i, Polyline):
            out.append(_along(np.array([*i.points, *(i.points[:1] if i.closed else ())])))
        elif isinstance(i, Circle):
            a = np.linspace(0.0, 2 * np.pi, max(8, int(7 * i.r)))
            out.append(np.stack([i.cx + i.r * np.cos(a), i.cy + i.r * np.sin(a)], axis=1))
    return np.concatenate(out)


def _along(p: Array) -> Array:
    return np.concatenate([np.linspace(a, b, 2 + int(hypot(*(b - a)))) for a, b in itertools.pairwise(p)])


def spot_of(plan: Plan, edges: dict[str, DrawnEdge], where: Where) -> tuple[Pair, Pair] | None:
    """(place on the drawing, direction out of the metal) of what is told at an edge or a hole; None of the web as a whole."""
    if "hole" in where:
        h = next((h for h in plan.blank.holes if h.hole.name == where["hole"]), None)
        return None if h is None else (h.hole.at, (1.0, 1.0))
    e = edges.get(where.get("edge", ""))
    if e is None:
        return None
    p, n = (a[0] for a in e.place(np.array([float(where.get("along_mm", e.length / 2))])))
    return (float(p[0]), float(p[1])), (float(n[0]), float(n[1]))
