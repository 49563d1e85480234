"""A drawn loop as nodes: strips for its runs, plain edges, and the links at flange ends and corners with their reliefs.

At a flange end without relief the web's plain edge starts at the drawn corner, which stands over the flange's cut end. Where that edge
goes back under the flange it trims the end; where it goes on beside it, the sheet is slit along the end of the bend.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from ribwright.geometry.midsurface.nodes import Nodes
from ribwright.geometry.midsurface.outline import Circle, End, Step, cut_by
from ribwright.geometry.midsurface.plans import EdgePlan, LoopPlan
from ribwright.geometry.midsurface.side import Side, foot
from ribwright.geometry.midsurface.sizes import size_along, spaced
from ribwright.geometry.midsurface.strips import Stretch, Strip, make_strip
from ribwright.geometry.midsurface.values import BEND, END, FLANGE, FREE, PLAIN, RELIEF, NoMesh

Array = NDArray[np.float64]
Ints = NDArray[np.int64]
TRIM = 0.25  # a plain edge that leaves no more than this share of a cell beside a flange's end trims it
STRAIGHT = 1e-3  # a straight part that is no more than this is rounding [mm]
BREAK = 0.25  # of an element: a break nearer than this to another or to the end gets no column of its own
SAME = 1e-5  # nodes this near each other are one [mm]


@dataclass(eq=False)
class Run:
    """Neighbouring edges laid out together: a run of flange, or one plain edge. `steps` from its start to its end."""

    edges: tuple[int, ...]
    strip: Strip | None
    steps: list[Step] = field(default_factory=list)


@dataclass(eq=False)
class Bite:
    """A relief circle at one end of a strip: which column it eats from, and the nodes where it crosses rows 0 and `bend`."""

    strip: Strip
    at_end: bool
    circle: Circle
    crossings: dict[int, list[int]]


@dataclass(eq=False)
class LaidOut:
    """A loop as steps, its strips and what bites into them."""

    steps: list[Step]
    strips: list[Strip]
    bites: list[Bite]


@dataclass(frozen=True, eq=False)
class _Leaning:
    """How a flange's end stands to the plain edge beside it: by how much each row reaches past the square cut, and where on
    that edge the web's boundary begins; `ends` None: the sheet is slit."""

    ends: Callable[[Array], Array] | None
    start: float


def relief_size(radius: float, size: float) -> float:
    """How far apart nodes stand on a relief circle [mm]: at most a twelfth of it."""
    return min(size, 2 * np.pi * radius / 12)


def lay_out(nodes: Nodes, loop: LoopPlan, size: float) -> LaidOut | NoMesh:
    """The loop's nodes."""
    for edge in loop.edges:
        if edge.side is not None and _least_straight(edge.side) <= STRAIGHT:
            return NoMesh("no-straight", _at(edge), (edge.place,))
    runs = _runs(loop)
    if len(runs) == 1 and loop.edges[0].side is not None and loop.joins[runs[0][-1]].kind == "smooth":
        strip = make_strip(nodes, _stretches(loop, runs[0], size), closed=True)
        return LaidOut(_free(strip), [strip], [])
    leanings = {i: x for i in range(len(loop.edges)) if (x := _leaning(loop, i, size)) is not None}
    laid = [_run(nodes, loop, r, leanings, size) for r in runs]
    if any(x is None for x in laid):
        k = next(k for k, x in enumerate(laid) if x is None)
        edge = loop.edges[runs[k][0]]
        return NoMesh("used-up", _at(edge), (edge.place,))
    return _joined(nodes, loop, [x for x in laid if x is not None], leanings, size)


def _least_straight(side: Side) -> float:
    """Least straight part along the edge [mm]."""
    return float(np.min(side.section(np.linspace(0.0, side.curve.length, 129))[2]))


def _at(edge: EdgePlan) -> tuple[float, float]:
    p = edge.curve.point(np.array([edge.curve.length / 2]))[0]
    return float(p[0]), float(p[1])


def _runs(loop: LoopPlan) -> list[tuple[int, ...]]:
    """Edges that are laid out together, in travel order."""
    n = len(loop.edges)
    joined = [loop.joins[i - 1].kind == "smooth" for i in range(n)]
    if all(joined):
        return [tuple(range(n))]
    first = joined.index(False)
    out: list[list[int]] = []
    for k in range(n):
        i = (first + k) % n
        if joined[i]:
            out[-1].append(i)
        else:
            out.append([i])
    return [tuple(r) for r in out]


def _stretches(loop: LoopPlan, run: tuple[int, ...], size: float) -> tuple[Stretch, ...]:
    """Where the columns stand; empty where an edge is used up by what is cut off its ends."""
    out = []
    for k, i in enumerate(run):
        edge, before, after = loop.edges[i], loop.joins[i - 1], loop.joins[i]
        assert edge.side is not None
        s0 = before.sb if k == 0 else 0.0
        s1 = after.sa if k == len(run) - 1 else edge.curve.length
        if s1 - s0 < 1e-3:
            return ()
        bitten = [(s0, before)] * (k == 0) + [(s1, after)] * (k == len(run) - 1)
        fine = [(s, min(relief_size(j.radius, size), _row(edge.side, s)), j.radius) for s, j in bitten if j.radius > 0]
        fine += edge.side.fine
        ends = [s0, *_apart(edge.side.breaks, s0, s1, BREAK * size), s1]
        wanted = size_along(edge.curve, size, fine)
        pieces = [spaced(a, b, wanted)[1:] for a, b in itertools.pairwise(ends)]
        out.append(Stretch(edge.side, np.concatenate([[s0], *pieces])))
    return tuple(out)


def _apart(breaks: tuple[float, ...], s0: float, s1: float, least: float) -> list[float]:
    """The breaks that keep clear of both ends and of the break before."""
    out: list[float] = []
    for b in breaks:
        if b - (out[-1] if out else s0) >= least and s1 - b >= least:
            out.append(b)
    return out


def _row(side: Side, s: float) -> float:
    """Height of a row of the bend at one place [mm]: where a relief bites, cells are to be about square."""
    return float(side.mid_radius * side.section(np.array([s]))[1][0] / side.bend)


def _leaning(loop: LoopPlan, i: int, size: float) -> _Leaning | None:
    """How the flange that ends at join i, without relief, stands to its plain neighbour."""
    join, n = loop.joins[i], len(loop.edges)
    if join.kind not in ("end-before", "end-after") or join.relieved:
        return None
    at_end = join.kind == "end-before"
    own, other = (loop.edges[i], loop.edges[(i + 1) % n]) if at_end else (loop.edges[(i + 1) % n], loop.edges[i])
    side, s = own.side, join.sa if at_end else join.sb
    assert side is not None
    inset = float(side.section(np.array([s]))[0][0])
    begin, way = (0.0, 1.0) if at_end else (other.curve.length, -1.0)
    if abs(inset) < SAME:
        return _Leaning(lambda rows: np.zeros(len(rows)), begin)
    far = np.linspace(0.0, min(6 * abs(inset), other.curve.length), 400)
    at, y = foot(side, other.curve.point(begin + way * far), s)
    under = np.flatnonzero(y <= 0)
    if not len(under) or under[0] == 0:
        return _Leaning(None, begin)
    k = int(under[0])
    share = y[k - 1] / (y[k - 1] - y[k])
    s_foot = at[k - 1] + share * (at[k] - at[k - 1])
    if (s_foot - s) * (1.0 if at_end else -1.0) > TRIM * size:
        return _Leaning(None, begin)
    falling = np.concatenate([np.minimum.accumulate(y[:k]), [0.0]])[::-1]
    behind = np.concatenate([at[:k], [s_foot]])[::-1]

    def ends(rows: Array) -> Array:
        flat = side.flat(np.full(len(rows), s), rows)
        return np.where(flat < inset, np.interp(flat, falling, behind), s) - s

    return _Leaning(ends, float(begin + way * (far[k - 1] + share * (far[k] - far[k - 1]))))


def _run(nodes: Nodes, loop: LoopPlan, run: tuple[int, ...], leanings: dict[int, _Leaning], size: float) -> Run | None:
    edge = loop.edges[run[0]]
    n = len(loop.edges)
    before, after = (run[0] - 1) % n, run[-1]
    if edge.side is not None:
        stretches = _stretches(loop, run, size)
        if not stretches:
            return None
        lean0 = leanings.get(before) if loop.joins[before].kind == "end-after" else None
        lean1 = leanings.get(after) if loop.joins[after].kind == "end-before" else None
        strip = make_strip(nodes, stretches, False, lean0.ends if lean0 else None, lean1.ends if lean1 else None)
        return Run(run, strip, _free(strip))
    lean0 = leanings.get(before) if loop.joins[before].kind == "end-before" else None
    lean1 = leanings.get(after) if loop.joins[after].kind == "end-after" else None
    t0, t1 = lean0.start if lean0 else 0.0, lean1.start if lean1 else edge.curve.length
    if t1 - t0 < 1e-3:
        return None
    t = spaced(t0, t1, size_along(edge.curve, size))
    return Run(run, None, [Step(int(i), PLAIN, edge.place) for i in nodes.on_web(edge.curve.point(t))])


def _free(strip: Strip) -> list[Step]:
    place = [x.side.place for x in strip.stretches]
    owners = [place[k] for k in strip.stretch_of]
    ids = strip.ids[-1]
    if not strip.closed:
        owners.append(owners[-1])
    return [Step(int(i), FREE, p, FLANGE, p) for i, p in zip(ids, owners, strict=True)]


def _cut_end(strip: Strip, at_end: bool) -> list[Step]:
    """Steps along a cut end: from the free edge to the tangent line at the strip's end, outward at its start. The free edge's
    own node belongs to the free edge at the start of the run."""
    side = strip.last if at_end else strip.first
    column = strip.ids[:, -1] if at_end else strip.ids[:, 0]
    parts = [BEND if j < side.bend else FLANGE for j in range(side.rows)]
    if at_end:
        return [Step(int(column[j]), END, side.place, parts[j - 1], side.place) for j in range(side.rows, 0, -1)]
    return [Step(int(column[j]), END, side.place, parts[j], side.place) for j in range(side.rows)]


def _straight(nodes: Nodes, a: Array, b: Array, size: float, place: int) -> list[Step]:
    """Web steps from a up to b, b left out."""
    n = max(1, int(np.ceil(float(np.linalg.norm(b - a)) / size - 1e-6)))
    p = a + np.linspace(0.0, 1.0, n + 1)[:-1, None] * (b - a)
    return [Step(int(i), RELIEF, place) for i in nodes.on_web(p)]


def _link(
    nodes: Nodes, loop: LoopPlan, i: int, before: Run, after: Run, leanings: dict[int, _Leaning], size: float
) -> list[Step]:
    """Steps from the end of the run before to the start of the one after."""
    join, place = loop.joins[i], loop.edges[i].place
    flat = nodes.get("flat")
    out: list[Step] = []
    begin, end = flat[after.steps[0].id], flat[before.steps[-1].id]
    if before.strip is not None:
        out += _cut_end(before.strip, True)
        end = flat[before.strip.ids[0, -1]]
        out.append(Step(int(before.strip.ids[0, -1]), RELIEF, place))
    if after.strip is not None:
        begin = flat[after.strip.ids[0, 0]]
    slit = leanings.get(i)
    if join.kind != "plain" and (slit is None or slit.ends is None):
        meeting = np.array(join.meeting)
        out += _straight(nodes, end, meeting, size, place) + _straight(nodes, meeting, begin, size, place)
    if after.strip is not None:
        out += _cut_end(after.strip, False)
    return out


def _joined(
    nodes: Nodes, loop: LoopPlan, runs: list[Run], leanings: dict[int, _Leaning], size: float
) -> LaidOut | NoMesh:
    """The closed path through all runs, reliefs cut out."""
    links = [_link(nodes, loop, r.edges[-1], r, runs[(k + 1) % len(runs)], leanings, size) for k, r in enumerate(runs)]
    halves = [[r.steps[: len(r.steps) // 2 + 1], r.steps[len(r.steps) // 2 + 1 :]] for r in runs]
    bites: list[Bite] = []
    for k, r in enumerate(runs):
        join, nxt = loop.joins[r.edges[-1]], (k + 1) % len(runs)
        if join.radius <= 0:
            continue
        circle = Circle(join.centre, join.radius, relief_size(join.radius, size))
        own, other = r.strip, runs[nxt].strip
        ends = (
            None if own is None else End(own.last, join.sa, -1.0),
            None if other is None else End(other.first, join.sb, 1.0),
        )
        path = _without_repeats(nodes, halves[k][1] + links[k] + halves[nxt][0])
        cut = cut_by(nodes, path, circle, ends)
        if cut is None:
            return NoMesh("relief", join.centre, (loop.edges[r.edges[-1]].place, loop.edges[runs[nxt].edges[0]].place))
        halves[k][1], links[k], halves[nxt][0] = [], [], cut.steps
        for at_end, strip, found in ((True, own, cut.crossings[0]), (False, other, cut.crossings[1])):
            if strip is not None:
                bites.append(Bite(strip, at_end, circle, found))
    # begun in the middle of a run, so that no two nodes at one place are parted by the list's ends
    order = [x for k in range(len(runs)) for x in [*(halves[k][0] if k else []), *halves[k][1], *links[k]]]
    steps = _without_repeats(nodes, [*order, *halves[0][0]])
    return LaidOut(steps, [r.strip for r in runs if r.strip is not None], bites)


def _without_repeats(nodes: Nodes, steps: list[Step]) -> list[Step]:
    """Of two nodes at one place that follow each other the later step stays, on a flange's node where there is one; the other is
    known as the same from then on."""
    flat, mid = nodes.get("flat"), nodes.get("mid")
    out: list[Step] = []
    for x in steps:
        if out and np.max(np.abs(flat[out[-1].id] - flat[x.id])) < SAME:
            before = out.pop().id
            keep, drop = (before, x.id) if mid[before] > 0 else (x.id, before)
            nodes.unite(keep, drop)
            x = replace(x, id=keep)
        out.append(x)
    return out
