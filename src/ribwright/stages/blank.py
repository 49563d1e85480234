"""The flat blank: outline, cutouts, holes, tangent lines, and the numbers of each flanged edge."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ribwright.features.laid import LaidEdge, LaidLoop, Run, lay
from ribwright.geometry.broken import Gap, broken
from ribwright.geometry.curve import samples
from ribwright.geometry.fit import lines_and_arcs, missed
from ribwright.geometry.offset import SMOOTH, sewn
from ribwright.geometry.path import Path, Vertex
from ribwright.stages.corners import Join, cut_by_circle, joins, outside
from ribwright.stages.develop import DECAY, METHODS, Strip, develop
from ribwright.stages.flat_holes import FlatHole, flat_holes
from ribwright.stages.job import Job
from ribwright.stages.notches import LaidNotch, gaps_of, lay_notches
from ribwright.stages.stations import Stations, stations

Array = NDArray[np.float64]
Pair = tuple[float, float]
Cuts = dict[int, tuple[LaidNotch, ...]]
FIT = 0.01  # true lines and arcs stay within this of the computed edge [mm]
MOST_STATIONS = 1500


@dataclass(frozen=True, eq=False)
class RunStrip:
    """A run with its stations and its developed strip. `flat` is the cut edge in the plane of the web, (n, 2)."""

    loop: int
    run: Run
    at: Stations
    strip: Strip
    flat: Array

    @property
    def outlines(self) -> tuple[Array, ...]:
        """The flat of each piece between notches and ends: along the tangent line and back along the cut edge, (m, 2)."""
        return tuple(np.concatenate([self.at.tangent[k], self.flat[k][::-1]]) for k in self.at.petals)


@dataclass(frozen=True)
class FlatLoop:
    """One closed cut line: `path` of true lines and arcs, `points` with chord error at most 0.02 mm; `fit` how far the computed line
    lies from the path at most [mm]."""

    name: str
    path: Path
    points: tuple[Pair, ...]
    fit: float = 0.0


@dataclass(frozen=True, eq=False)
class Blank:
    """The developed part. `loops[0]` is the outline, the others are cutouts; `tangents` the bend tangent lines."""

    method: str
    loops: tuple[FlatLoop, ...]
    laid: tuple[LaidLoop, ...]
    joins: tuple[tuple[Join, ...], ...]
    strips: tuple[RunStrip, ...]
    holes: tuple[FlatHole, ...]
    tangents: tuple[tuple[str, tuple[Pair, ...]], ...]
    notches: tuple[LaidNotch, ...] = ()

    @property
    def outline(self) -> FlatLoop:
        """The outer cut line."""
        return self.loops[0]

    @property
    def size(self) -> Pair:
        """Extent in x and y [mm]."""
        p = np.array(self.outline.points)
        return float(np.ptp(p[:, 0])), float(np.ptp(p[:, 1]))

    @property
    def fit(self) -> float:
        """How far the computed cut lines, holes included, lie from the lines and arcs that are cut [mm]."""
        return max([loop.fit for loop in self.loops] + [h.out_of_round for h in self.holes])

    @property
    def area(self) -> float:
        """Area net of cutouts and holes [mm2]."""
        return sum(loop.path.area() for loop in self.loops) - sum(h.cut_area for h in self.holes)

    def strip_of(self, edge: str) -> tuple[RunStrip, int]:
        """The run strip an edge belongs to and the edge's index in its loop."""
        for s in self.strips:
            for i in s.run.edges:
                if self.laid[s.loop].edges[i].edge.name == edge:
                    return s, i
        raise KeyError(edge)


def make_blank(job: Job, method: str = "strain-corrected") -> Blank:
    """Develop the part. ValueError for an unknown method; every fault of the part itself is a finding of `check`."""
    if method not in METHODS:
        raise ValueError(method)
    laid = lay(job.part)
    all_joins = tuple(joins(job.part, loop, job.relief_rule) for loop in laid)
    notches = lay_notches(job.part, laid, all_joins)
    strips: list[RunStrip] = []
    loops, tangents = [], []
    for k, (loop, js) in enumerate(zip(laid, all_joins, strict=True)):
        cuts = {i: gaps_of(notches, k, i) for i in range(len(loop.edges))}
        mine = [_strip(job, loop, k, run, js, method, cuts) for run in loop.runs if run.flange]
        strips += mine
        loops.append(_flat_loop(loop, js, mine, cuts))
        for s in mine:
            name = loop.edges[s.run.edges[0]].edge.name
            tangents.append((name, tuple(map(tuple, s.at.tangent.tolist()))))
    return Blank(
        method, tuple(loops), laid, all_joins, tuple(strips), flat_holes(job, method), tuple(tangents), notches
    )


def ends_of(loop: LaidLoop, js: tuple[Join, ...]) -> dict[int, tuple[float, float]]:
    """Where the strip of each edge starts and ends after its corners."""
    return {i: (js[i - 1].sb, js[i].sa) for i in range(len(loop.edges))}


def _strip(job: Job, loop: LaidLoop, k: int, run: Run, js: tuple[Join, ...], method: str, cuts: Cuts) -> RunStrip:
    assert run.flange is not None
    ends = {i: e if e[1] > e[0] else (0.0, loop.edges[i].curve.length) for i, e in ends_of(loop, js).items()}
    interrupted = {i: tuple(n.cut.cuts for n in cuts[i] if n.cut) for i in run.edges}
    at = stations(loop, run, ends, _spacing(loop, run, method), interrupted)
    strip = develop(job, at, run.flange, method)
    # trim is extra metal beyond the net edge: cut, but not part of the flat width
    flat = at.tangent + (strip.flat_width + job.part.trim)[:, None] * at.across
    return RunStrip(k, run, at, strip, flat)


def _spacing(loop: LaidLoop, run: Run, method: str) -> float:
    """Cells fine enough for the smoothing kernel; a straight run needs only a few."""
    total = sum(loop.edges[i].curve.length for i in run.edges)
    assert run.flange is not None
    straight = all(loop.edges[i].straight for i in run.edges)
    fixed = not (run.flange.bend_angle.varies or run.flange.width.varies)
    if straight and fixed and len(run.edges) == 1:
        return total / 8
    kernel = DECAY * min(run.flange.width.values) / 3 if method == "strain-corrected" else total / 40
    return max(kernel, total / MOST_STATIONS)


def _flat_loop(loop: LaidLoop, js: tuple[Join, ...], strips: list[RunStrip], cuts: Cuts) -> FlatLoop:
    """Chain strips, plain edges and reliefs into one closed cut line."""
    of_edge = {i: s for s in strips for i in s.run.edges}
    pieces = [_edge_points(edge, of_edge.get(i), i, cuts[i]) for i, edge in enumerate(loop.edges)]
    n = len(pieces)
    for i, j in enumerate(js):
        # an end relief also bites into the plain edge beside it
        if j.kind == "end-before" and j.diameter > 0:
            pieces[(i + 1) % n] = outside(pieces[(i + 1) % n][::-1], j.centre, j.diameter / 2)[::-1]
        if j.kind == "end-after" and j.diameter > 0:
            pieces[i] = outside(pieces[i], j.centre, j.diameter / 2)
        if j.kind == "smooth" and n > 1:
            pieces[i], pieces[(i + 1) % n] = sewn(pieces[i], pieces[(i + 1) % n])
    vertices: list[Vertex] = []
    points: list[Pair] = []
    fit = 0.0
    for i, piece in enumerate(pieces):
        for part, round_notch in broken(piece, _cut_out(loop.edges[i], of_edge.get(i), i, cuts[i])):
            fitted = lines_and_arcs(part, FIT)
            fit = max(fit, missed(part, fitted))
            vertices += [*fitted, *round_notch]
            points += _thinned(part) + (Path(round_notch, False).chords(FIT) if round_notch else [])
        link = _link(js[i], i, (i + 1) % n, of_edge, pieces)
        if link:
            vertices += link
            points += Path(tuple(link), False).chords(FIT)
    return FlatLoop(loop.loop.name, Path(tuple(_without_repeats(vertices))), tuple(_distinct(points)), fit)


def _edge_points(edge: LaidEdge, strip: RunStrip | None, i: int, cuts: tuple[LaidNotch, ...]) -> Array:
    if strip is not None:
        return strip.flat[strip.at.edge == i]
    at = samples(edge.curve, 0.004)
    return np.asarray(edge.curve.point(np.unique(np.concatenate([at, *(n.cut.cuts for n in cuts if n.cut)]))))


def _cut_out(edge: LaidEdge, strip: RunStrip | None, i: int, cuts: tuple[LaidNotch, ...]) -> list[Gap]:
    """Of each notch the places on the cut edge before and after it, and the way round it."""
    out: list[Gap] = []
    for cut in (n.cut for n in cuts if n.cut):
        if strip is None:
            a, b = edge.curve.point(np.array(cut.cuts))
        else:
            mine = np.flatnonzero(strip.at.edge == i)
            a, b = (strip.flat[mine[np.argmin(np.abs(strip.at.s[mine] - x))]] for x in cut.cuts)
        out.append((a, b, cut.path.vertices))
    return out


def _link(join: Join, i: int, j: int, of_edge: dict[int, RunStrip], pieces: list[Array]) -> list[Vertex]:
    """Vertices from the end of edge i's piece to the start of edge j's: square cuts, drawn corner, relief circle."""
    if join.kind in ("smooth", "plain"):
        return []
    before, after = of_edge.get(i), of_edge.get(j)
    start, end = _pair(pieces[i][-1]), _pair(pieces[j][0])
    feet_before = [_last(before.at.tangent, before.at.edge == i)] if before else []
    feet_after = [_first(after.at.tangent, after.at.edge == j)] if after else []
    if join.kind == "corner" and abs(join.turn) < SMOOTH and join.relief == "none":
        chain = [start, end]
    elif join.kind == "corner":
        chain = (
            [start, join.drawn, end] if join.relief == "none" else [start, *feet_before, join.meeting, *feet_after, end]
        )
    elif join.diameter == 0.0:
        chain = [start, join.drawn, end]
    elif join.kind == "end-before":
        chain = [start, *feet_before, join.meeting, end]
    else:
        chain = [start, join.meeting, *feet_after, end]
    return cut_by_circle(chain, join.centre, join.diameter / 2)


def _pair(p: Array) -> Pair:
    return float(p[0]), float(p[1])


def _last(points: Array, mask: NDArray[np.bool_]) -> Pair:
    p = points[mask][-1]
    return float(p[0]), float(p[1])


def _first(points: Array, mask: NDArray[np.bool_]) -> Pair:
    p = points[mask][0]
    return float(p[0]), float(p[1])


def _thinned(p: Array) -> list[Pair]:
    """The points, only the ends of a piece that is straight within 1e-9 mm."""
    u = p[-1] - p[0]
    size = float(np.hypot(*u))
    if size > 0 and np.max(np.abs((p - p[0]) @ np.array([-u[1], u[0]]) / size)) < 1e-9:
        p = p[[0, -1]]
    return [(float(x), float(y)) for x, y in p]


def _without_repeats(vertices: list[Vertex]) -> list[Vertex]:
    """Drop a vertex that repeats the one before it; the later one carries the bulge of what follows."""
    out: list[Vertex] = []
    for v in vertices:
        if out and abs(out[-1][0] - v[0]) < 1e-9 and abs(out[-1][1] - v[1]) < 1e-9:
            out.pop()
        out.append(v)
    if len(out) > 1 and abs(out[-1][0] - out[0][0]) < 1e-9 and abs(out[-1][1] - out[0][1]) < 1e-9:
        out.pop()
    return out


def _distinct(points: list[Pair]) -> list[Pair]:
    out: list[Pair] = []
    for p in points:
        if not out or abs(out[-1][0] - p[0]) > 1e-9 or abs(out[-1][1] - p[1]) > 1e-9:
            out.append(p)
    if len(out) > 1 and abs(out[-1][0] - out[0][0]) < 1e-9 and abs(out[-1][1] - out[0][1]) < 1e-9:
        out.pop()
    return out
