"""Loops of a part file: edges head to tail, closed, each a proper curve, the loop turned the house's way.

A spline with `tangent` takes the direction of its neighbour's own curve at the join. When that neighbour is
a spline too, its curve is settled first; splines that take their direction from each other in a ring are
refused, for neither has a direction to give.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass, replace
from math import hypot, isfinite
from pathlib import Path
from typing import TYPE_CHECKING

from ribwright.adapters.ordinates import read_ordinates
from ribwright.adapters.part_features import Tolerances, own_tolerances
from ribwright.adapters.reading import Notebook, Point, Reader
from ribwright.features.part import Edge, Loop

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from ribwright.geometry.curve import Curve

CLOSED_MM = 0.001
CHORD_ERROR_MM = 0.01
TANGENTS = ("start", "end", "both")


@dataclass(frozen=True)
class DrawnEdge:
    """An edge as typed, where it stands in the file, and at which ends it takes its neighbour's direction."""

    edge: Edge
    path: str
    tangent: str = ""

    @property
    def end_key(self) -> str:
        """Path of the key that holds the edge's last point."""
        keys = {"line": "to", "arc": "to", "spline": "ordinates" if self.edge.ordinates else "spline"}
        return f"{self.path}.{keys[self.edge.kind]}"


@dataclass(frozen=True)
class DrawnLoop:
    """A loop as typed. `sound` is False once a fault makes its geometry meaningless."""

    name: str
    path: str
    edges: tuple[DrawnEdge, ...]
    sound: bool


def read_loop(reader: Reader, name: str, base: Path | None, notes: list[str], tolerances: Tolerances) -> DrawnLoop:
    """The loop of a [web] or [[cutout]] table, checked by itself: closed, no zero edge, true arcs, splines settled."""
    start = reader.point("start")
    pen, edges = start, []
    for row in reader.tables("edge", required=True):
        edges.append(_read_edge(row, pen, base, notes, tolerances))
        pen = edges[-1].edge.points[-1]
    if reader.has("edge") and reader.table["edge"] == []:
        reader.fault("edge", "no edges", "one [[edge]] or more")
    finite = bool(edges) and all(isfinite(c) for e in edges for p in e.edge.points for c in p)
    loop = DrawnLoop(name, reader.path, tuple(edges), finite)
    return _settled(_proper(_closed(loop, reader.book), reader.book), reader.book) if finite else loop


def curve_of(edge: Edge) -> Curve:
    """The edge's curve."""
    from ribwright.geometry.curve import curve_from_points

    return curve_from_points(edge.kind, edge.points, edge.start_dir, edge.end_dir)


def chords(loop: DrawnLoop) -> NDArray[np.float64]:
    """Points (n, 2) [mm] along a sound loop, the closing point not repeated."""
    import numpy as np

    from ribwright.geometry.curve import samples

    curves = [curve_of(e.edge) for e in loop.edges]
    return np.concatenate([c.point(samples(c, CHORD_ERROR_MM))[:-1] for c in curves])


def turned_loop(loop: DrawnLoop, counter_clockwise: bool, notes: list[str]) -> Loop:
    """The loop with its edges in the house's direction. A turned loop is reported in `notes`."""
    edges = tuple(e.edge for e in loop.edges)
    if not loop.sound or (_area(loop) > 0) == counter_clockwise:
        return Loop(loop.name, edges)
    way = "counter-clockwise" if counter_clockwise else "clockwise"
    notes.append(
        f"The loop {loop.name!r} was typed the other way round and is turned {way}; "
        "places along its edges still count from each edge's start as typed."
    )
    return Loop(loop.name, tuple(_reversed(e) for e in reversed(edges)), turned=True)


def _read_edge(reader: Reader, pen: Point, base: Path | None, notes: list[str], tolerances: Tolerances) -> DrawnEdge:
    name, flange = reader.text("name"), reader.text("flange", "") or None
    tangent = reader.choice("tangent", TANGENTS, "") if reader.has("tangent") else ""
    balloon = reader.text("balloon", "")
    tolerances.update(own_tolerances(reader, f"edge.{name}"))
    given = [k for k in ("to", "spline", "ordinates") if reader.has(k)]
    through = reader.has("through")
    if len(given) != 1:
        reader.fault("to", " and ".join(given) or "nothing", "exactly one of to, spline, ordinates")
    if through and "to" not in given:
        reader.fault("through", "through without to", "through together with to: an arc")
    if tangent and not {"spline", "ordinates"} & set(given):
        reader.fault("tangent", f'"{tangent}" on an edge that is no spline', "tangent on a spline only")
    kind, rest = _rest(reader, given[0] if given else "", through, base, pen, notes)
    reader.unknown_keys()
    table = str(reader.table.get("ordinates", ""))
    edge = Edge(name, kind, (pen, *rest), flange, ordinates=table, balloon=balloon)
    return DrawnEdge(edge, reader.path, tangent)


def _rest(
    reader: Reader, key: str, through: bool, base: Path | None, pen: Point, notes: list[str]
) -> tuple[str, tuple[Point, ...]]:
    """(kind, the points after the edge's start)."""
    unread = ((float("nan"), float("nan")),)
    if key == "to":
        return ("arc", (reader.point("through"), reader.point("to"))) if through else ("line", (reader.point("to"),))
    if key == "spline":
        return "spline", reader.points("spline") or unread
    if key == "ordinates":
        return "spline", _ordinates(reader, base, pen, notes) or unread
    return "line", unread


def _ordinates(reader: Reader, base: Path | None, pen: Point, notes: list[str]) -> tuple[Point, ...]:
    name = reader.text("ordinates")
    if not name:
        return ()
    if base is None:
        reader.fault(
            "ordinates", f'"{name}"', "points in the text itself: a text without a folder has no files beside it"
        )
        return ()
    # a path typed on another system may part its folders with backslashes
    points, faults = read_ordinates(base / name.replace("\\", "/"), reader.book.units)
    reader.book.faults.extend(faults)
    if faults:
        return ()
    if len(points) > 1 and _gap(points[0], pen) < CLOSED_MM:
        notes.append(f"The first row of {name} is the end of the edge before it and is taken once.")
        points = points[1:]
    return points


def _gap(a: Point, b: Point) -> float:
    return hypot(b[0] - a[0], b[1] - a[1])


def _closed(loop: DrawnLoop, book: Notebook) -> DrawnLoop:
    """The loop with its last point on its start; a fault when the gap is too wide."""
    start, last = loop.edges[0].edge.points[0], loop.edges[-1]
    gap = _gap(last.edge.points[-1], start)
    if gap > CLOSED_MM:
        found = f"{book.place(last.edge.points[-1])}, {book.show(gap)} from the start"
        book.fault(last.end_key, found, f"the loop's start {book.place(start)} within {CLOSED_MM} mm: edges close")
        return replace(loop, sound=False)
    edge = replace(last.edge, points=(*last.edge.points[:-1], start))
    return replace(loop, edges=(*loop.edges[:-1], replace(last, edge=edge)))


def _proper(loop: DrawnLoop, book: Notebook) -> DrawnLoop:
    """Faults for edges without length and arcs through three points in a line."""
    sound = loop.sound
    for drawn in loop.edges:
        twice = next((b for a, b in itertools.pairwise(drawn.edge.points) if _gap(a, b) <= CLOSED_MM), None)
        if twice is not None:
            book.fault(
                drawn.end_key, f"the point before it again, {book.place(twice)}", "points apart: no edge without length"
            )
            sound = False
        elif drawn.edge.kind == "arc" and (why := _no_arc(drawn.edge)):
            places = ", ".join(book.place(p) for p in drawn.edge.points)
            book.fault(f"{drawn.path}.through", f"{why}: {places}", "a point off the straight line, or no `through`")
            sound = False
    return replace(loop, sound=sound)


def _no_arc(edge: Edge) -> str:
    if _gap(edge.points[0], edge.points[2]) <= CLOSED_MM:
        return "an arc that ends where it starts"
    try:
        curve_of(edge)
    except ValueError:
        return "three points in a line"
    return ""


class _RingError(Exception):
    """Splines that take their direction from each other."""


def _settled(loop: DrawnLoop, book: Notebook) -> DrawnLoop:
    """The loop with each spline's end directions filled in."""
    if not loop.sound:
        return loop
    edges: list[DrawnEdge] = []
    known: dict[int, Edge] = {}
    for i, drawn in enumerate(loop.edges):
        try:
            edges.append(replace(drawn, edge=_with_directions(loop, i, (), known)))
        except _RingError:
            allowed = "a direction taken from a line, an arc, or a spline that does not take its own from here"
            book.fault(f"{drawn.path}.tangent", "splines that take their direction from each other", allowed)
            return replace(loop, sound=False)
    return replace(loop, edges=tuple(edges))


def _with_directions(loop: DrawnLoop, i: int, asking: tuple[int, ...], known: dict[int, Edge]) -> Edge:
    if i in known:
        return known[i]
    if i in asking:
        raise _RingError
    drawn, n, chain = loop.edges[i], len(loop.edges), (*asking, i)
    edge = drawn.edge
    if drawn.tangent in ("start", "both"):
        before = _with_directions(loop, (i - 1) % n, chain, known)
        edge = replace(edge, start_dir=_direction(before, at_end=True))
    if drawn.tangent in ("end", "both"):
        after = _with_directions(loop, (i + 1) % n, chain, known)
        edge = replace(edge, end_dir=_direction(after, at_end=False))
    known[i] = edge
    return edge


def _direction(edge: Edge, at_end: bool) -> Point:
    import numpy as np

    curve = curve_of(edge)
    x, y = curve.tangent(np.array([curve.length if at_end else 0.0]))[0]
    return float(x), float(y)


def _area(loop: DrawnLoop) -> float:
    """Signed area [mm2], positive counter-clockwise."""
    import numpy as np

    p = chords(loop)
    q = np.roll(p, -1, axis=0)
    return float(np.sum(p[:, 0] * q[:, 1] - q[:, 0] * p[:, 1]) / 2)


def _reversed(edge: Edge) -> Edge:
    """The same edge travelled backwards; directions point along the new travel."""
    return replace(
        edge,
        points=edge.points[::-1],
        start_dir=_opposite(edge.end_dir),
        end_dir=_opposite(edge.start_dir),
        turned=True,
    )


def _opposite(direction: Point | None) -> Point | None:
    return None if direction is None else (-direction[0], -direction[1])
