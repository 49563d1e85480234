"""One entity of a DXF file as lines of a drawing: seen from above, mirrored and tilted coordinate systems undone.

An entity that a mirrored block or an extrusion along -z turns over is given by points, which are mapped; so an arc or a
bulge cannot end up on the wrong side of its chord. What cannot be read raises `NotRead` with the reason.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Sequence
from math import atan, cos, hypot, isfinite, pi, radians, sin
from typing import Any

from ribwright.adapters.dxf_curves import ellipse_pieces, spline_pieces
from ribwright.features.drawn_lines import ARC, CIRCLE, LINE, Piece, Point

# two heights this near are one, in numbers of the drawing, for each number its size across
LEVEL = 1e-6
FARTHEST = 1e12  # numbers of the drawing
# flags of a polyline's vertex: one of a control frame, which is not on the line (DXF reference, VERTEX, group 70)
FRAME_VERTEX = 16


class NotRead(Exception):
    """An entity that could be part of an outline and cannot be read; the text says why."""


def pieces_of(entity: Any, layer: str) -> list[Piece]:
    """The lines of an entity. `layer`: where it counts, which in a block is not always its own."""
    kind = entity.dxftype()
    try:
        out = READERS[kind](entity, layer, f"{kind} {entity.dxf.get('handle') or 'in a block'}")
    except NotRead:
        raise
    except Exception as broken:  # numbers that make no curve: the library raises what its parts raise, of many kinds
        raise NotRead(f"its numbers give no line ({broken})") from broken
    if not all(isfinite(c) for piece in out for p in piece.points for c in p):
        raise NotRead("a coordinate that is no number")
    if any(abs(c) > FARTHEST for piece in out for p in piece.points for c in p):
        raise NotRead("a coordinate that no drawing has")
    return out


def _line(entity: Any, layer: str, source: str) -> list[Piece]:
    a, b = entity.dxf.start, entity.dxf.end
    _level((a, b))
    return [Piece(LINE, ((a.x, a.y), (b.x, b.y)), layer, source)]


def _circle(entity: Any, layer: str, source: str) -> list[Piece]:
    _upright(entity)
    centre, radius = entity.dxf.center, abs(entity.dxf.radius)
    if radius == 0:
        raise NotRead("a circle without size")
    points = _to_world(entity, [(centre.x, centre.y), (centre.x + radius, centre.y)], centre.z)
    return [Piece(CIRCLE, tuple(points), layer, source)]


def _arc(entity: Any, layer: str, source: str) -> list[Piece]:
    sweep = (entity.dxf.end_angle - entity.dxf.start_angle) % 360.0
    # an arc that ends where it starts goes all round (DXF reference, ARC)
    if sweep < 1e-9 or sweep > 360.0 - 1e-9:
        return _circle(entity, layer, source)
    _upright(entity)
    centre, radius, start = entity.dxf.center, abs(entity.dxf.radius), radians(entity.dxf.start_angle)
    turns = (0.0, radians(sweep) / 2, radians(sweep))
    on = [(centre.x + radius * cos(start + t), centre.y + radius * sin(start + t)) for t in turns]
    return [Piece(ARC, tuple(_to_world(entity, on, centre.z)), layer, source)]


def _light_polyline(entity: Any, layer: str, source: str) -> list[Piece]:
    _upright(entity)
    vertices = [(float(x), float(y), float(b)) for x, y, b in entity.get_points("xyb")]
    return _polyline_pieces(entity, vertices, entity.closed, entity.dxf.elevation, layer, source)


def _polyline(entity: Any, layer: str, source: str) -> list[Piece]:
    if not (entity.is_2d_polyline or entity.is_3d_polyline):
        raise NotRead("a mesh")
    on = [v for v in entity.vertices if not v.dxf.flags & FRAME_VERTEX]
    places = [v.dxf.location for v in on]
    _level(places)
    height = places[0].z if places else 0.0
    if entity.is_3d_polyline:
        return _chords([(p.x, p.y) for p in places], entity.is_closed, layer, source)
    _upright(entity)
    vertices = [(p.x, p.y, float(v.dxf.get("bulge", 0.0))) for v, p in zip(on, places, strict=True)]
    return _polyline_pieces(entity, vertices, entity.is_closed, height, layer, source)


def _polyline_pieces(
    entity: Any, vertices: Sequence[tuple[float, float, float]], closed: bool, height: float, layer: str, source: str
) -> list[Piece]:
    out = []
    pairs = list(zip(vertices, [*vertices[1:], vertices[0]] if closed else vertices[1:], strict=False))
    for (x0, y0, bulge), (x1, y1, _) in pairs:
        if bulge == 0.0:
            points: list[Point] = [(x0, y0), (x1, y1)]
        else:
            points = [(x0, y0), _bulged(x0, y0, x1, y1, bulge), (x1, y1)]
        kind = ARC if len(points) == 3 else LINE
        out.append(Piece(kind, tuple(_to_world(entity, points, height)), layer, source))
    return out


def _bulged(x0: float, y0: float, x1: float, y1: float, bulge: float) -> Point:
    """The middle of an arc: the sagitta is bulge times half the chord, on the right of the chord where bulge > 0."""
    if not 0.0 < abs(4 * atan(bulge)) < 2 * pi or hypot(x1 - x0, y1 - y0) == 0.0:
        return (x0 + x1) / 2, (y0 + y1) / 2
    return (x0 + x1) / 2 + bulge * (y1 - y0) / 2, (y0 + y1) / 2 - bulge * (x1 - x0) / 2


def _chords(points: Sequence[Point], closed: bool, layer: str, source: str) -> list[Piece]:
    ring = [*points, points[0]] if closed and points else list(points)
    return [Piece(LINE, (a, b), layer, source) for a, b in itertools.pairwise(ring)]


def _ellipse(entity: Any, layer: str, source: str) -> list[Piece]:
    _upright(entity)
    return ellipse_pieces(entity, layer, source)


def _spline(entity: Any, layer: str, source: str) -> list[Piece]:
    if entity.closed and not entity.control_point_count():
        raise NotRead("a closed spline of fit points alone: how it closes is not said")
    points = entity.control_points if entity.control_point_count() else entity.fit_points
    _level([_Place(*p) for p in points])
    return spline_pieces(entity, layer, source)


class _Place:
    """A point with x, y, z, as the library's own."""

    def __init__(self, x: float, y: float, z: float = 0.0):
        self.x, self.y, self.z = float(x), float(y), float(z)


def _level(points: Sequence[Any]) -> None:
    """All at one height: what climbs looks shorter from above than it is."""
    if not points:
        return
    heights = [p.z for p in points]
    size = max(max(abs(p.x), abs(p.y)) for p in points)
    if max(heights) - min(heights) > LEVEL * max(size, 1.0):
        raise NotRead("not level: its points lie at different heights")


def _upright(entity: Any) -> None:
    """Drawn square to the line of sight, from either side."""
    x, y, z = entity.dxf.extrusion if entity.dxf.hasattr("extrusion") else (0.0, 0.0, 1.0)
    if hypot(x, y) > 1e-6 * abs(z):
        raise NotRead("drawn in a tilted plane")


def _to_world(entity: Any, points: Sequence[Point], height: float) -> list[Point]:
    """Points of the entity's own system in that of the drawing. With an extrusion along -z that system has x reversed."""
    if entity.dxf.hasattr("extrusion") and entity.dxf.extrusion.z < 0:
        return [(p.x, p.y) for p in entity.ocs().points_to_wcs([(x, y, height) for x, y in points])]
    return list(points)


READERS: dict[str, Callable[[Any, str, str], list[Piece]]] = {
    "LINE": _line,
    "CIRCLE": _circle,
    "ARC": _arc,
    "LWPOLYLINE": _light_polyline,
    "POLYLINE": _polyline,
    "ELLIPSE": _ellipse,
    "SPLINE": _spline,
}
