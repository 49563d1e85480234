"""The boundary of a web in a solid as rings of pieces: which are bends with a flange behind them, which stand free.

Rings run with the metal on their left: the outer one counter-clockwise seen on the heel face, openings clockwise.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ribwright.features.solid_faces import CIRCLE, LINE, SolidEdge, SolidFile
from ribwright.geometry.drawn_shape import LINE as STRAIGHT
from ribwright.geometry.drawn_shape import Shape, shape_of
from ribwright.stages.solid_strip import Bend, Strip, measured
from ribwright.stages.solid_web import Frame, Web

Array = NDArray[np.float64]
SHAPE_MM = 0.002  # a drawn line that strays less from a straight one or an arc is taken for it
TANGENT = 0.98  # cosine: a face that leaves the web no steeper is a bend
SQUARE = 0.1  # cosine: a face that stands steeper on the web is an edge of the sheet
LEVEL = 1e-3  # of points on the web's face [mm]
HEEL, INNER, MID = "heel", "inner", "mid"


@dataclass(frozen=True, eq=False)
class Item:
    """A piece of a ring: its shape (of a flange's the outside mold line, of its bend tangent line `tangent`), its strip if it has one,
    the number of the web's edge."""

    shape: Shape
    strip: Strip | None = None
    tangent: Shape | None = None
    edge: int = -1


@dataclass(frozen=True, eq=False)
class Ring:
    """The pieces in travel order; `why` they are not understood, "" where they are, `at` where [mm]; `edges` all of the web's."""

    items: tuple[Item, ...]
    edges: tuple[int, ...]
    area: float
    why: str = ""
    at: tuple[float, float] = (0.0, 0.0)


@dataclass(frozen=True, eq=False)
class Seen:
    """The solid in the part's frame. `edges_of`: edges by face; `face`: which face of a surface was given."""

    solid: SolidFile
    web: Web
    frame: Frame
    edges: tuple[SolidEdge, ...]
    edges_of: dict[int, list[SolidEdge]]
    face: str

    def other(self, edge: SolidEdge, face: int) -> int:
        """The face across an edge; -1 where there is none."""
        return next((f for f in edge.faces if f != face), -1)

    def points(self, face: int) -> Array:
        """Points of a face in the part's frame (n, 3)."""
        return self.frame.local(self.solid.faces[face].points)


def seen(solid: SolidFile, web: Web, frame: Frame, face: str) -> Seen:
    """The solid's edges in the part's frame."""
    edges = tuple(replace(e, points=frame.local(e.points), slopes=frame.turned(e.slopes)) for e in solid.edges)
    edges_of: dict[int, list[SolidEdge]] = {f.number: [] for f in solid.faces}
    for e in edges:
        for k in e.faces:
            edges_of[k].append(e)
    return Seen(solid, web, frame, edges, edges_of, face)


def bends(view: Seen) -> list[tuple[SolidEdge, int, bool]]:
    """(edge of the web, the face across it, whether it turns up) of every bend."""
    out = []
    for edge in _boundary(view):
        face = next((f for f in edge.faces if f not in view.web.top), -1)
        if face < 0 or face not in view.web.sheet:
            continue
        f = view.solid.faces[face]
        local = view.frame.local(f.points)
        on_web = np.abs(local[:, 2]) < LEVEL
        if not on_web.any():
            continue
        steep = np.abs(view.frame.turned(f.normals[on_web])[:, 2])
        if float(np.median(steep)) > TANGENT:
            out.append((edge, face, bool(local[:, 2].mean() > 0)))
    return out


def rings_of_web(view: Seen) -> tuple[list[Ring], str]:
    """(the rings, the outer one first, ""), or ([], why the web has no closed boundary)."""
    loops, why = _loops(_boundary(view))
    if why:
        return [], why
    sized = sorted(((_area(loop), loop) for loop in loops), key=lambda x: -abs(x[0]))
    of_bend = {edge.number: (face, up) for edge, face, up in bends(view)}
    out = []
    for k, (area, loop) in enumerate(sized):
        if (area > 0) != (k == 0):
            loop = [_reversed(e) for e in reversed(loop)]
        out.append(_ring(view, loop, of_bend, area))
    return out, ""


# ---- inside


def _boundary(view: Seen) -> list[SolidEdge]:
    """Edges with the web on one side only."""
    return [e for e in view.edges if sum(f in view.web.top for f in e.faces) == 1]


def _loops(edges: list[SolidEdge]) -> tuple[list[list[SolidEdge]], str]:
    """Closed chains of edges by their vertices, each edge in the direction of the chain."""
    left = {e.number: e for e in edges}
    at: dict[int, list[int]] = {}
    for e in edges:
        for v in set(e.ends):
            at.setdefault(v, []).append(e.number)
    loops = []
    while left:
        first = left.pop(next(iter(left)))
        loop = [first]
        while loop[-1].ends[1] != first.ends[0]:
            v = loop[-1].ends[1]
            following = [n for n in at[v] if n in left]
            if len(following) != 1:
                x, y, _ = loop[-1].points[-1]
                return [], f"a web whose boundary does not go round at ({x:.2f}, {y:.2f}) mm"
            e = left.pop(following[0])
            loop.append(e if e.ends[0] == v else _reversed(e))
        loops.append(loop)
    return loops, "" if loops else "a web without a boundary"


def _reversed(e: SolidEdge) -> SolidEdge:
    return replace(e, ends=(e.ends[1], e.ends[0]), points=e.points[::-1], slopes=-e.slopes[::-1])


def _area(loop: list[SolidEdge]) -> float:
    p = np.concatenate([e.points[:-1, :2] for e in loop])
    q = np.roll(p, -1, axis=0)
    return float(np.sum(p[:, 0] * q[:, 1] - p[:, 1] * q[:, 0]) / 2)


def _ring(view: Seen, loop: list[SolidEdge], of_bend: dict[int, tuple[int, bool]], area: float) -> Ring:
    items: list[Item] = []
    numbers = tuple(e.number for e in loop)
    for e in loop:
        if e.number not in of_bend:
            if _creased(view, e):
                x, y, _ = e.points[len(e.points) // 2]
                return Ring(tuple(items), numbers, area, "a sharp crease, no bend and no edge", (float(x), float(y)))
            items.append(Item(_plain(e), edge=e.number))
            continue
        face, up = of_bend[e.number]
        strip, why = measured(_bend(view, e, face, up))
        if strip is None:
            x, y, _ = e.points[len(e.points) // 2]
            return Ring(tuple(items), numbers, area, why, (float(x), float(y)))
        items.append(Item(shape_of(strip.drawn, SHAPE_MM), strip, shape_of(strip.tangent, SHAPE_MM), e.number))
    return Ring(tuple(_merged(items)), numbers, area)


def _creased(view: Seen, edge: SolidEdge) -> bool:
    """Whether the sheet goes on across an edge of the web in a face that is neither smooth with it nor square to it."""
    face = next((f for f in edge.faces if f not in view.web.top), -1)
    if face < 0 or face not in view.web.sheet:
        return False
    f = view.solid.faces[face]
    on_web = np.abs(view.frame.local(f.points)[:, 2]) < LEVEL
    return bool(on_web.any() and np.median(np.abs(view.frame.turned(f.normals[on_web])[:, 2])) > SQUARE)


def _bend(view: Seen, edge: SolidEdge, face: int, up: bool) -> Bend:
    t = view.web.thickness
    # the face found is the heel where the flange turns away from it, the inner one where it turns towards the viewer
    inside = {HEEL: 0.0 if up else -t, INNER: -t if up else 0.0, MID: -t / 2}[view.face]
    return Bend(edge, face, up, view.edges_of, view.web.sheet, view.web.top, inside, t, view.other)


def _plain(e: SolidEdge) -> Shape:
    p = e.points[:, :2]
    if e.kind == LINE:
        return Shape(STRAIGHT, p[[0, -1]])
    return shape_of(p, 1e-5 if e.kind == CIRCLE else SHAPE_MM)


def _merged(items: list[Item]) -> list[Item]:
    """Free pieces that go on in one another on the same line or circle made one; the first of a ring stays the first."""
    out: list[Item] = []
    for item in items:
        last = out[-1] if out else None
        both = last is not None and last.strip is None and item.strip is None and last.shape.kind == item.shape.kind
        if last is None or not both or not _same(last.shape, item.shape):
            out.append(item)
            continue
        points = np.concatenate([last.shape.points, item.shape.points[1:]])
        whole = replace(last.shape, points=points[[0, -1]] if item.shape.kind == STRAIGHT else points)
        out[-1] = replace(last, shape=whole)
    return out


def _same(a: Shape, b: Shape) -> bool:
    if a.kind == STRAIGHT:
        return float(a.way(-1) @ b.way(0)) > 1 - 1e-9
    if a.kind == "arc":
        off = float(np.hypot(a.centre[0] - b.centre[0], a.centre[1] - b.centre[1]))
        return a.left == b.left and off < SHAPE_MM and abs(a.radius - b.radius) < SHAPE_MM
    return False
