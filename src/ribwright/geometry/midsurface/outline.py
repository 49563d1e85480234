"""A boundary as a path of nodes, and a relief circle cut out of it.

A step is a node with the stretch of boundary from it to the next. The circle takes away what the path has inside it and puts
its own far side there, travelled clockwise; nodes are set where that arc crosses the bend tangent line and the end of the bend.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from ribwright.geometry.midsurface.nodes import Nodes
from ribwright.geometry.midsurface.side import Side, foot, located, placed
from ribwright.geometry.midsurface.values import BEND, FLANGE, RELIEF, WEB

Array = NDArray[np.float64]
ON = 1e-5  # a place this near a circle counts as on it [mm]
TOUCH = 1e-3  # a circle that is over a row for no longer than this only touches it [mm]
SAME = 0.05  # nearer to one by this share of the circle's spacing, and it is the node there
NEAR = 0.3  # a node this share of the circle's spacing from where it enters or leaves may go
PROBES = 181
PASSES, WITHIN = 6, 32  # the place where a circle crosses a line is sought in ever finer steps: 32^6


@dataclass(frozen=True)
class Step:
    """Node `id`; the stretch to the next is of `kind` and belongs to `place`; left of it lies `part`, of edge or hole `owner`
    (-1 on the web)."""

    id: int
    kind: int
    place: int
    part: int = WEB
    owner: int = -1


@dataclass(frozen=True)
class Circle:
    """A relief: centre and radius in the flat, and how far apart its nodes stand [mm]."""

    centre: tuple[float, float]
    radius: float
    size: float


@dataclass(frozen=True, eq=False)
class End:
    """The end of a strip that a relief may cut: its side, s of its last column, and on which side of that it lies (-1: before)."""

    side: Side
    s: float
    way: float


@dataclass(eq=False)
class Cut:
    """The path after the cut; `crossings[k]` = {row: nodes} where the circle crosses rows 0 and `bend` of end k."""

    steps: list[Step]
    crossings: tuple[dict[int, list[int]], ...] = field(default=())


def cut_by(nodes: Nodes, steps: list[Step], circle: Circle, ends: tuple[End | None, ...]) -> Cut | None:
    """The open path with the circle cut out: first entry to last exit. None where the path misses the circle, or begins or ends
    inside it."""
    p = nodes.get("flat")[[x.id for x in steps]]
    c, r = np.array(circle.centre), circle.radius
    u, f = np.diff(p, axis=0), p[:-1] - c
    uu = np.maximum(np.sum(u * u, axis=1), 1e-30)
    near = np.clip(-np.sum(u * f, axis=1) / uu, 0.0, 1.0)
    reaches = np.flatnonzero(np.linalg.norm(f + near[:, None] * u, axis=1) < r - ON)
    if not len(reaches) or min(np.linalg.norm(p[0] - c), np.linalg.norm(p[-1] - c)) < r - ON:
        return None
    i, j = int(reaches[0]), int(reaches[-1])
    first, last = _root(u[i], f[i], r, -1.0), _root(u[j], f[j], r, 1.0)
    entry = _on_path(nodes, steps, i, first, ends, replace(steps[i], kind=RELIEF), circle.size)
    exit_ = _on_path(nodes, steps, j, last, ends, steps[j], circle.size)
    arc, crossings = _arc(nodes, circle, entry, exit_, ends)
    head = steps[: i + (0 if entry.id == steps[i].id else 1)]
    tail = steps[j + 1 :]
    if tail and exit_.id == tail[0].id:
        exit_, tail = tail[0], tail[1:]
    flat, row = nodes.get("flat"), nodes.get("row")
    lines = {e.side.place: e.side.bend for e in ends if e is not None}

    def spare(step: Step, before: Step, by: int) -> bool:
        """A node almost on the circle, in the middle of a stretch, that no row of the bend's ends hangs on."""
        close = float(np.linalg.norm(flat[step.id] - flat[by])) < NEAR * circle.size
        return (
            close and (step.kind, step.place) == (before.kind, before.place) and row[step.id] != lines.get(step.owner)
        )

    while len(head) > 1 and spare(head[-1], head[-2], entry.id):
        head.pop()
    while len(tail) > 1 and spare(tail[0], exit_, exit_.id):
        tail = tail[1:]
    return Cut([*head, *arc, exit_, *tail], crossings)


def _root(u: Array, f: Array, r: float, sign: float) -> float:
    """Share of the segment where it crosses the circle, the first (-1) or last (+1) of the two."""
    a, b, c = float(u @ u), 2 * float(u @ f), float(f @ f) - r * r
    return float(np.clip((-b + sign * np.sqrt(max(b * b - 4 * a * c, 0.0))) / (2 * a), 0.0, 1.0))


def _on_path(
    nodes: Nodes, steps: list[Step], k: int, t: float, ends: tuple[End | None, ...], like: Step, size: float
) -> Step:
    """The node at share t of stretch k: one that is there, or a new one on the flange or the web."""
    flat = nodes.get("flat")
    a, b = flat[steps[k].id], flat[steps[k + 1].id]
    length = float(np.linalg.norm(b - a))
    for share, step in ((0.0, steps[k]), (1.0, steps[k + 1])):
        if abs(t - share) * length < SAME * size:
            return replace(like, id=step.id) if share == 0.0 else replace(step, id=step.id)
    p = (a + t * (b - a))[None]
    owner = next((e for e in ends if e is not None and steps[k].part != WEB and e.side.place == steps[k].owner), None)
    if owner is None:
        return replace(like, id=int(nodes.on_web(p)[0]))
    s, q = located(owner.side, p, owner.s)
    return replace(like, id=_on_side(nodes, owner.side, p, s, np.clip(q, 0.0, owner.side.rows)))


def _on_side(nodes: Nodes, side: Side, flat: Array, s: Array, q: Array) -> int:
    """A new node of a flange that keeps its place in the flat to the last bit."""
    ids = nodes.on_side(side, placed(side, s, q), q)
    nodes.move_flat(ids, flat)
    return int(ids[0])


def _arc(
    nodes: Nodes, circle: Circle, entry: Step, last: Step, ends: tuple[End | None, ...]
) -> tuple[list[Step], tuple[dict[int, list[int]], ...]]:
    """Steps from the entry along the circle's far side, the exit left out, and the crossings of each end."""
    flat = nodes.get("flat")
    c = np.array(circle.centre)
    a, b = flat[entry.id] - c, flat[last.id] - c
    start = float(np.arctan2(a[1], a[0]))
    sweep = (start - float(np.arctan2(b[1], b[0]))) % (2 * np.pi) or 2 * np.pi
    crossings: tuple[dict[int, list[int]], ...] = tuple({} for _ in ends)
    near = 2 * SAME * circle.size / circle.radius
    stops: list[tuple[float, Step]] = [(0.0, entry)]
    tail: list[tuple[int, int]] = []
    for at, end, row in _marks(circle, start, sweep, ends):
        # a crossing next to where the circle enters or leaves is that node itself
        if at > sweep - near:
            tail.append((end, row))
            continue
        if at > near:
            stops.append((at, replace(entry, id=_node(nodes, circle, start - at, ends, end, row))))
        crossings[end].setdefault(row, []).append(stops[-1][1].id)
    for end, row in tail:
        crossings[end].setdefault(row, []).append(last.id)
    steps: list[Step] = []
    for (begin, step), stop in zip(stops, [x for x, _ in stops[1:]] + [sweep], strict=True):
        owner, part = (int(x) for x in _where(circle, start, np.array([(begin + stop) / 2]), ends)[0])
        own = ends[owner] if owner >= 0 else None
        step = replace(step, kind=RELIEF, part=part, owner=own.side.place if own is not None else -1)
        n = max(1, int(np.ceil((stop - begin) * circle.radius / _spacing(circle, own, part) - 1e-6)))
        inner = [_node(nodes, circle, start - x, ends, owner) for x in np.linspace(begin, stop, n + 1)[1:-1]]
        steps += [step, *(replace(step, id=x) for x in inner)]
    return steps, crossings


def _marks(circle: Circle, start: float, sweep: float, ends: tuple[End | None, ...]) -> list[tuple[float, int, int]]:
    """(angle turned, end, row) where the circle crosses a row between web, bend and flange; not where it only just reaches over."""
    turned = np.linspace(0.0, sweep, PROBES)
    where = _where(circle, start, turned, ends)
    out: list[tuple[float, int, int]] = []
    for k in np.flatnonzero(np.any(where[1:] != where[:-1], axis=1)):
        (one, before), (two, after) = where[k].tolist(), where[k + 1].tolist()
        end = max(one, two)
        row = _row_between(before, after, ends[end])
        if row is None:
            continue
        at = _change(circle, start, turned[k], turned[k + 1], where[k], ends)
        if out and out[-1][1:] == (end, row) and (at - out[-1][0]) * circle.radius < TOUCH:
            out.pop()
        else:
            out.append((at, end, row))
    return out


def _spacing(circle: Circle, end: End | None, part: int) -> float:
    """How far apart nodes stand on the circle [mm]: across a bend no further than its rows, whose turn a triangle must not pass over."""
    if end is None or part != BEND:
        return circle.size
    first, last = end.side.flat(np.full(2, end.s), np.array([0.0, float(end.side.bend)]))
    return min(circle.size, float(last - first) / end.side.bend)


def _row_between(one: int, two: int, end: End | None) -> int | None:
    """The row that lies between two parts."""
    if WEB in (one, two):
        return 0
    return end.side.bend if end is not None and {one, two} == {BEND, FLANGE} else None


def _point(circle: Circle, angle: float) -> Array:
    return np.array(circle.centre) + circle.radius * np.array([np.cos(angle), np.sin(angle)])


def _where(circle: Circle, start: float, turned: Array, ends: tuple[End | None, ...]) -> NDArray[np.int64]:
    """(end, part) on the circle at each angle turned, (n, 2); end -1 on the web."""
    angle = start - turned
    p = np.array(circle.centre) + circle.radius * np.column_stack([np.cos(angle), np.sin(angle)])
    out = np.tile([-1, WEB], (len(p), 1))
    for k, e in enumerate(ends):
        if e is None:
            continue
        s, y = foot(e.side, p, e.s)
        mine = np.flatnonzero((y > 1e-7) & (e.way * (s - e.s) > -1.2 * SAME * circle.size))
        if not len(mine):
            continue
        bent, edge = (e.side.flat(s[mine], np.full(len(mine), float(q))) for q in (e.side.bend, e.side.rows))
        inside = y[mine] < edge + ON
        out[mine[inside]] = np.column_stack([np.full(len(mine), k), np.where(y[mine] < bent, BEND, FLANGE)])[inside]
    return out


def _change(
    circle: Circle, start: float, low: float, high: float, before: NDArray[np.int64], ends: tuple[End | None, ...]
) -> float:
    """Angle turned at which the region changes."""
    for _ in range(PASSES):
        at = np.linspace(low, high, WITHIN + 1)
        k = int(np.argmax(np.any(_where(circle, start, at, ends) != before, axis=1)))
        low, high = at[max(k - 1, 0)], at[max(k, 1)]
    return float((low + high) / 2)


def _node(
    nodes: Nodes, circle: Circle, angle: float, ends: tuple[End | None, ...], end: int, row: int | None = None
) -> int:
    p = _point(circle, angle)[None]
    at = ends[end] if end >= 0 else None
    if at is None or row == 0:
        return int(nodes.on_web(p)[0])
    s, q = located(at.side, p, at.s)
    return _on_side(nodes, at.side, p, s, np.full(1, float(row)) if row is not None else np.clip(q, 0.0, at.side.rows))
