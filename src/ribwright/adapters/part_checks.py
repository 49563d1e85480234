"""What the tables of a part file must agree on: names that exist once, loops and holes that fit in the web.

Shapes are compared as chords within 0.01 mm of the curves (`part_loops.CHORD_ERROR_MM`). Loops that already
carry a fault are left out, so that one mistake is reported once.
"""

from __future__ import annotations

import itertools
import re
from collections import Counter
from collections.abc import Iterable
from math import cos, isfinite, radians, sin, tan
from typing import TYPE_CHECKING

from ribwright.adapters.part_loops import CLOSED_MM, DrawnLoop, chords
from ribwright.adapters.reading import Notebook, Point
from ribwright.errors import nearest
from ribwright.features.part import Corner, Flange, Flute, Hole, Rivets

if TYPE_CHECKING:
    from shapely import Polygon
    from shapely.geometry.base import BaseGeometry

_PLACE = re.compile(r"\[([-+0-9.eE]+) ([-+0-9.eE]+)\]")


def check_names(book: Notebook, kind: str, named: Iterable[tuple[str, str]]) -> None:
    """A fault for each (key, name) whose name an earlier one carries."""
    seen: dict[str, str] = {}
    for key, name in named:
        if name and name in seen:
            book.fault(key, f'"{name}", the name of {seen[name]} too', f"{kind} names that each stand once")
        seen.setdefault(name, key.rpartition(".")[0])


def check_edge_names(book: Notebook, loops: list[DrawnLoop]) -> None:
    """Edge names are unique over all loops."""
    check_names(book, "edge", [(f"{e.path}.name", e.edge.name) for loop in loops for e in loop.edges])


def check_flange_names(book: Notebook, loops: list[DrawnLoop], flanges: dict[str, Flange]) -> None:
    """Each edge's flange has its table."""
    for drawn in (e for loop in loops for e in loop.edges if e.edge.flange):
        known_name(book, f"{drawn.path}.flange", str(drawn.edge.flange), tuple(flanges), "a flange table")


def known_name(book: Notebook, key: str, name: str, known: tuple[str, ...], what: str) -> bool:
    """True when the name is one of those known; else a fault with the nearest of them."""
    if not name or name in known:
        return bool(name)
    listed = ", ".join(f'"{k}"' for k in known[:30]) or "there is none"
    book.fault(key, f'"{name}"', f"the name of {what}: {listed}", nearest(name, known))
    return False


def check_rivets(book: Notebook, rivets: Iterable[tuple[str, Rivets]], loops: list[DrawnLoop]) -> None:
    """Each row's edge exists, and carries a flange when the row stands on one."""
    edges = {e.edge.name: e.edge for loop in loops for e in loop.edges}
    for path, row in rivets:
        found = known_name(book, f"{path}.edge", row.edge, tuple(edges), "an edge")
        if found and row.on == "flange" and edges[row.edge].flange is None:
            book.fault(
                f"{path}.on", f'"flange" on the edge "{row.edge}", which has none', '"web", or an edge with a flange'
            )


def travel_corner(book: Notebook, path: str, corner: Corner, loops: list[DrawnLoop]) -> tuple[str, str]:
    """The corner's edges in the order typed along their loop; a fault when they are not neighbours there.

    Between two edges that meet twice (a loop of two) the order typed says which join is meant.
    """
    names = tuple(e.edge.name for loop in loops for e in loop.edges)
    known = [known_name(book, f"{path}.at", name, names, "an edge") for name in corner.at]
    if not all(known):
        return corner.at
    pairs = (zip(loop.edges, loop.edges[1:] + loop.edges[:1], strict=True) for loop in loops)
    joins = {(a.edge.name, b.edge.name) for loop_pairs in pairs for a, b in loop_pairs}
    for pair in (corner.at, corner.at[::-1]):
        if pair in joins:
            return pair
    beside = sorted({b for a, b in joins if a == corner.at[0]} | {a for a, b in joins if b == corner.at[0]})
    allowed = f'"{corner.at[0]}" with an edge beside it: {" or ".join(beside)}'
    book.fault(f"{path}.at", f'"{corner.at[0]}" and "{corner.at[1]}", which do not meet', allowed)
    return corner.at


def check_corners_once(book: Notebook, corners: list[tuple[str, Corner]]) -> None:
    """One table a corner."""
    counts = Counter(c.at for _, c in corners)
    for path, corner in corners:
        if all(corner.at) and counts[corner.at] > 1:
            book.fault(
                f"{path}.at", f'"{corner.at[0]}" and "{corner.at[1]}" more than once', "one [[corner]] table a corner"
            )
            counts[corner.at] = 0


def check_width(book: Notebook, flange: Flange, thickness: float) -> None:
    """A flange is wider than its own bend takes, somewhere at least: w > (R + t) tan(a/2)."""
    widest, least = max(flange.width.values), min(flange.bend_angle.values)
    setback = (flange.bend_radius + thickness) * tan(radians(least) / 2)
    if 0 < widest <= setback:
        allowed = f"more than (radius + thickness) tan(angle / 2) = {book.show(setback)}, which the bend itself takes"
        book.fault(f"flange.{flange.name}.width", book.show(widest), allowed)


def check_flutes(
    book: Notebook, flutes: Iterable[tuple[str, Flute]], loops: list[DrawnLoop], flanges: dict[str, Flange]
) -> None:
    """Each drawn flute stands on a flange that says its flutes are drawn."""
    edges = {e.edge.name: e.edge for loop in loops for e in loop.edges}
    for path, flute in flutes:
        edge = edges.get(flute.edge)
        if edge is None:
            continue
        if edge.flange is None:
            book.fault(f"{path}.edge", f'the edge "{flute.edge}", which has no flange', "an edge with a flange")
        elif edge.flange in flanges and flanges[edge.flange].flutes != "drawn":
            own = flanges[edge.flange]
            book.fault(
                f"flange.{own.name}.flutes",
                f'"{own.flutes}" with a [[flute]] on "{flute.edge}"',
                '"drawn", or no [[flute]] there',
            )


def check_beads(book: Notebook, beads: list[tuple[str, tuple[Point, ...]]]) -> None:
    """Beads that cross are refused until they are built."""
    from shapely import LineString

    lines = [(path, LineString(points)) for path, points in beads if len(points) > 1 and _finite(points)]
    for (first, a), (second, b) in itertools.combinations(lines, 2):
        if a.intersects(b):
            book.fault(f"{second}.points", f"a bead across {first}", "beads apart: crossing beads are not built yet")


def check_places(book: Notebook, loops: list[DrawnLoop], holes: list[tuple[str, Hole]]) -> None:
    """Loops do not cross themselves or one another; cutouts and holes lie inside the web and apart."""
    shapes = [(loop, _polygon(book, loop)) for loop in loops]
    web = next((p for loop, p in shapes if loop.path == "web"), None)
    cutouts = [(loop, p) for loop, p in shapes if loop.path != "web" and p is not None]
    if web is not None:
        for loop, cutout in cutouts:
            _check_cutout(book, loop, cutout, web)
    for (first, a), (second, b) in itertools.combinations(cutouts, 2):
        if a.distance(b) <= CLOSED_MM:
            book.fault(second.path, f"a cutout that meets {_of_loop(first)} at {_meeting(book, a, b)}", "cutouts apart")
    _check_holes(book, web, cutouts, [(k, h) for k, h in holes if _finite([h.at, (h.diameter, h.slot)])])


def _finite(points: Iterable[Point]) -> bool:
    return all(isfinite(c) for p in points for c in p)


def _polygon(book: Notebook, loop: DrawnLoop) -> Polygon | None:
    """The loop's area, or None after a fault."""
    from shapely import Polygon
    from shapely.validation import explain_validity

    if not loop.sound:
        return None
    points = chords(loop)
    shape = Polygon(points) if len(points) > 2 else None
    if shape is not None and shape.is_valid:
        return shape
    hit = _PLACE.search(explain_validity(shape)) if shape is not None else None
    at = f" at {book.place((float(hit[1]), float(hit[2])))}" if hit else ""
    book.fault(
        loop.path, f"a loop that crosses or touches itself{at}", "a loop that goes round once without meeting itself"
    )
    return None


def _of_loop(loop: DrawnLoop) -> str:
    return f'the cutout "{loop.name}"'


def _meeting(book: Notebook, a: BaseGeometry, b: BaseGeometry) -> str:
    from shapely.ops import nearest_points

    point = nearest_points(a, b)[1]
    return book.place((point.x, point.y))


def _check_cutout(book: Notebook, loop: DrawnLoop, cutout: Polygon, web: Polygon) -> None:
    if web.exterior.distance(cutout.exterior) <= CLOSED_MM:
        at = _meeting(book, web.exterior, cutout.exterior)
        book.fault(loop.path, f"a cutout that crosses or touches the outline at {at}", "a cutout inside the web")
    elif not web.contains(cutout):
        at = book.place(loop.edges[0].edge.points[0])
        book.fault(loop.path, f"a cutout outside the web, its start {at}", "a cutout inside the web")


def _check_holes(
    book: Notebook, web: Polygon | None, cutouts: list[tuple[DrawnLoop, Polygon]], holes: list[tuple[str, Hole]]
) -> None:
    cores = [(key, hole, _core(hole)) for key, hole in holes]
    for key, hole, core in cores:
        radius = hole.diameter / 2
        if web is not None:
            _check_inside(book, key, hole, core, web)
        for loop, cutout in cutouts:
            if cutout.distance(core) < radius:
                book.fault(f"{key}.at", f"{book.place(hole.at)}, over {_of_loop(loop)}", "a hole clear of cutouts")
    for (_, one, a), (key, two, b) in itertools.combinations(cores, 2):
        if a.distance(b) < (one.diameter + two.diameter) / 2:
            found = f'{book.place(two.at)}, over the hole "{one.name}" at {book.place(one.at)}'
            book.fault(f"{key}.at", found, "holes that do not overlap")


def _core(hole: Hole) -> BaseGeometry:
    """The hole's centre, or the line between the two centres of a slot."""
    from shapely import LineString
    from shapely import Point as ShapelyPoint

    if not hole.slot or not isfinite(hole.slot_angle):
        return ShapelyPoint(hole.at)
    dx, dy = (hole.slot / 2 * f(radians(hole.slot_angle)) for f in (cos, sin))
    return LineString([(hole.at[0] - dx, hole.at[1] - dy), (hole.at[0] + dx, hole.at[1] + dy)])


def _check_inside(book: Notebook, key: str, hole: Hole, core: BaseGeometry, web: Polygon) -> None:
    gap = web.exterior.distance(core)
    if not web.contains(core):
        book.fault(f"{key}.at", f"{book.place(hole.at)}, outside the web", "a centre inside the web's outline")
    elif gap < hole.diameter / 2:
        found = f"{book.place(hole.at)}, {book.show(gap)} from the outline at {_meeting(book, core, web.exterior)}"
        book.fault(f"{key}.at", found, f"more than the radius {book.show(hole.diameter / 2)} from the outline")
