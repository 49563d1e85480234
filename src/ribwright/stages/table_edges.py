"""The edges that a part file gets from a table: as typed, faired, or lines and arcs; cut off at two stations; less the skin's thickness."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ribwright.errors import Fault, InputError
from ribwright.geometry.fair import Fair
from ribwright.geometry.path import Path, Vertex
from ribwright.geometry.skin import set_in
from ribwright.geometry.tangent_arcs import tangent_arcs
from ribwright.stages.known_length import at_x, side_range
from ribwright.stages.table_lines import TableLine
from ribwright.units import show_length

Array = NDArray[np.float64]
TYPED, FAIRED, ARCS = "typed", "faired", "arcs"
KINDS = (TYPED, FAIRED, ARCS)
SPLINE_ERROR = 0.002  # mm from a faired or set-in curve to the spline through the points written
SAME_PLACE = 1e-3  # mm: edges that end here meet


@dataclass(frozen=True)
class CurveOrder:
    """`within` [mm] of every typed point runs the faired curve, `deviation` [mm] of that the lines and arcs; `skin` [mm] is taken off;
    `first`, `last` [mm]: stations at which the part ends, None where the table does."""

    kind: str = TYPED
    within: float = 0.05
    deviation: float = 0.05
    skin: float = 0.0
    first: float | None = None
    last: float | None = None


@dataclass(frozen=True)
class TableEdge:
    """`kind` "line" (points: its ends), "spline" (points from end to end), "arcs" (vertices). `error` [mm]: how far it may be off the
    faired, set-in curve that it stands for; nan for a spline through typed points, which stands for itself."""

    name: str
    kind: str
    points: Array
    vertices: tuple[Vertex, ...] = ()
    error: float = 0.0


@dataclass(frozen=True)
class _Stretch:
    """A line from arc length `s0` to `s1`; `cut0`, `cut1`: it was cut off there."""

    name: str
    line: TableLine
    fair: Fair
    s0: float
    s1: float
    cut0: bool
    cut1: bool


def table_edges(
    lines: tuple[TableLine, ...], curves: tuple[Fair, ...], order: CurveOrder, file: str
) -> tuple[TableEdge, ...]:
    """The loop, head to tail and closed. InputError where a station is not on the line, or the loop would cross itself."""
    stretches, gaps = _stretches(lines, curves, order, file)
    edges = [_edge(s, order, file) for s in stretches]
    loop: list[TableEdge] = []
    for i, edge in enumerate(edges):
        end, start = edge.points[-1], edges[(i + 1) % len(edges)].points[0]
        if np.hypot(*(start - end)) > SAME_PLACE:
            loop += [edge, TableEdge(gaps[i], "line", np.array([end, start]))]
        else:
            loop.append(_ending_at(edge, start))
    _check_crossing(loop, order, file)
    return tuple(loop)


def chords_of(edge: TableEdge) -> Array:
    """Points (n, 2) along an edge, for pictures and checks."""
    if edge.kind == "line":
        return edge.points
    if edge.kind == "arcs":
        return np.array(Path(edge.vertices, closed=False).chords())
    from ribwright.geometry.curve import Spline, samples

    curve = Spline([(float(x), float(y)) for x, y in edge.points], None, None)
    return np.asarray(curve.point(samples(curve, 0.01)))


def _stretches(
    lines: tuple[TableLine, ...], curves: tuple[Fair, ...], order: CurveOrder, file: str
) -> tuple[list[_Stretch], list[str]]:
    """The stretches in travel, and the name of the straight edge after each."""
    if len(lines) == 1 and lines[0].nose is None:
        return [_whole(lines[0], curves[0], order, file)], ["closing"]
    if len(lines) == 2:
        by = {line.name: (line, f) for line, f in zip(lines, curves, strict=True)}
        return [_between(*by[side], side, order, file) for side in ("lower", "upper")], ["rear", "front"]
    line, f = lines[0], curves[0]
    sides = (line.source[0][0], line.source[-1][0])
    ahead = sides[0] == "upper"  # travel comes from the tail at large x: the nose is at small x
    at_nose = order.first if ahead else order.last
    if at_nose is not None:
        # lower first: from there the loop runs counter-clockwise whichever way the nose points
        return [_between(line, f, side, order, file) for side in ("lower", "upper")], (
            ["rear", "front"] if ahead else ["front", "rear"]
        )
    at_tail = order.last if ahead else order.first
    if at_tail is None:
        return [_Stretch(line.name, line, f, 0.0, f.curve.length, False, False)], ["rear"]
    s0, s1 = (_cut(line, f, side, at_tail, order.skin, "--to" if ahead else "--from", file) for side in sides)
    return [_Stretch(line.name, line, f, s0, s1, True, True)], ["rear"]


def _whole(line: TableLine, f: Fair, order: CurveOrder, file: str) -> _Stretch:
    if line.name in ("upper", "lower"):
        return _between(line, f, line.name, order, file)
    if order.first is not None or order.last is not None:
        key = "--from" if order.first is not None else "--to"
        raise InputError(
            [Fault("command line", key, f"with {file}, a line of points", "a table with stations, upper and lower")]
        )
    return _Stretch(line.name, line, f, 0.0, f.curve.length, False, False)


def _between(line: TableLine, f: Fair, side: str, order: CurveOrder, file: str) -> _Stretch:
    s0, s1 = side_range(line, f, side)
    rising = side == "lower"  # counter-clockwise, the lower side runs towards larger x
    at0, at1 = (order.first, order.last) if rising else (order.last, order.first)
    key0, key1 = ("--from", "--to") if rising else ("--to", "--from")
    a = s0 if at0 is None else _cut(line, f, side, at0, order.skin, key0, file)
    b = s1 if at1 is None else _cut(line, f, side, at1, order.skin, key1, file)
    if b <= a:
        raise InputError([Fault("command line", "--from", "a station that is not before --to", "--from before --to")])
    return _Stretch(side, line, f, a, b, at0 is not None, at1 is not None)


def _cut(line: TableLine, f: Fair, side: str, x: float, skin: float, key: str, file: str) -> float:
    places = at_x(f, x, *side_range(line, f, side), skin)
    if len(places) != 1:
        how = "not" if not places else f"{len(places)} times"
        least, most = line.points[:, 0].min(), line.points[:, 0].max()
        allowed = (
            f"a station between {show_length(float(least))} and {show_length(float(most))} that each side passes once"
        )
        raise InputError(
            [Fault("command line", key, f"x = {show_length(x)}, which {side} of {file} passes {how}", allowed)]
        )
    return places[0]


def _edge(s: _Stretch, order: CurveOrder, file: str) -> TableEdge:
    if order.kind == TYPED and not order.skin:
        inside = (s.fair.at > s.s0 + SAME_PLACE) & (s.fair.at < s.s1 - SAME_PLACE)
        ends = s.fair.curve.point(np.array([s.s0, s.s1]))
        first = ends[:1] if s.cut0 else s.line.points[[int(np.argmin(np.abs(s.fair.at - s.s0)))]]
        last = ends[1:] if s.cut1 else s.line.points[[int(np.argmin(np.abs(s.fair.at - s.s1)))]]
        return TableEdge(s.name, "spline", np.concatenate([first, s.line.points[inside], last]), error=float("nan"))
    if order.kind == ARCS and not order.skin:
        arcs = tangent_arcs(s.fair.curve, order.deviation, s.s0, s.s1)
        return TableEdge(s.name, "arcs", np.array([v[:2] for v in arcs.vertices]), arcs.vertices, arcs.deviation)
    line = set_in(s.fair.curve, order.skin, SPLINE_ERROR, s.s0, s.s1)
    if line.curve is None:
        assert line.folds is not None  # one or the other
        x, y = line.folds
        found = f"{show_length(order.skin)} off a surface that turns tighter than that at ({x:.4g}, {y:.4g}) mm"
        raise InputError(
            [Fault("command line", "--skin", found, "a thinner skin, or --from and --to that leave the place out")]
        )
    if order.kind != ARCS:
        return TableEdge(s.name, "spline", line.points, error=line.error)
    arcs = tangent_arcs(line.curve, order.deviation)
    vertices = arcs.vertices
    return TableEdge(s.name, "arcs", np.array([v[:2] for v in vertices]), vertices, arcs.deviation + line.error)


def _ending_at(edge: TableEdge, place: Array) -> TableEdge:
    """The edge with its last point on the next one's first, a thousandth of a millimetre away at the most."""
    points = np.concatenate([edge.points[:-1], place[None]])
    last = (float(place[0]), float(place[1]), 0.0)
    return replace(edge, points=points, vertices=(*edge.vertices[:-1], last) if edge.vertices else ())


def _check_crossing(loop: list[TableEdge], order: CurveOrder, file: str) -> None:
    from shapely import LinearRing, Polygon
    from shapely.validation import explain_validity

    ring = np.concatenate([chords_of(e)[:-1] for e in loop])
    if len(ring) > 2 and LinearRing(ring).is_simple:
        return
    where = explain_validity(Polygon(ring)).partition("[")[2].rstrip("]").split()
    place = f" near ({float(where[0]):.4g}, {float(where[1]):.4g}) mm" if len(where) >= 2 else ""
    key = ("command line", "--skin") if order.skin else (file, "the points")
    thick = f"{show_length(order.skin)} off, " if order.skin else ""
    allowed = "a line that does not cross itself" + (
        "; --from and --to leave out where the section is too thin" if order.skin else ""
    )
    raise InputError([Fault(*key, f"{thick}the line crosses itself{place}", allowed)])
