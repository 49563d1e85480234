"""A flange in a solid, section by section: angle, inside radius, width and outside mold line out of the edges of its faces.

A section stands square to the drawn (outside mold) line. In it the face that was found has three places: P0 where it leaves the web, P1
where the bend ends, P2 the free edge; with c = |P1 - P0| and L = |P2 - P1|

    bend angle     a = angle of P2 - P1 to the web
    bend radius    r = c / (2 sin(a/2)) of that face; the inside radius R is r less how deep the inside face lies below it
    width          W = L + (R + t) tan(a/2), since the rim stands square to the sheet L is that of either face
    mold line      O = P0 + d N, d = (R + t) tan(a/2)

N stands square to the mold line, not to the bend tangent line T: where d varies along it, sin(b) = dd/ds along T and
N = cos(b) N_T + sin(b) T.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ribwright.features.solid_faces import SolidEdge
from ribwright.geometry.edge_curve import crossings, hermite, hermite_slope

Array = NDArray[np.float64]
STATIONS = 65
DENSE = 401  # of the drawn line
CLEAR = 0.004  # of the edge's length, left out at either end: cuts and reliefs begin there
EVEN_DEG, EVEN_MM = 0.02, 0.01  # a value that varies less along an edge is one value
FEW = 5
ALONG = float(np.cos(np.radians(2.0)))
ROUND_OFF = 0.02  # of the radius: a section whose bend is off by more is cut into there


@dataclass(frozen=True, eq=False)
class Strip:
    """One flange along one edge of the web. Plan coordinates, lengths mm, angles deg; arrays in travel order, metal on the left.

    tangent   (DENSE, 2) bend tangent line;  drawn  (DENSE, 2) outside mold line
    along     (DENSE,) arc length of the tangent line
    at        (k,) the same where sections were taken;  angle, width  (k,) there
    radius    inside bend radius
    out       (DENSE, 2) outward normal of the drawn line
    ends      (2, 2) free edge's two ends in plan
    faces     numbers of its faces on this side;  edge  the web's edge
    goes_on   the flange does not end at its free edge: another face follows
    """

    edge: int
    up: bool
    tangent: Array
    drawn: Array
    along: Array
    at: Array
    angle: Array
    width: Array
    radius: float
    out: Array
    ends: Array
    faces: frozenset[int]
    goes_on: bool

    @property
    def varies(self) -> bool:
        """Whether angle or width are no single value."""
        return bool(np.ptp(self.angle) > EVEN_DEG or np.ptp(self.width) > EVEN_MM)

    @property
    def values(self) -> tuple[float, float, float]:
        """(angle, width, inside radius), the middle of each."""
        return float(np.median(self.angle)), float(np.median(self.width)), self.radius


@dataclass(frozen=True, eq=False)
class Bend:
    """What is known of a bend before it is measured: the web's edge in the part's frame in travel order, the face across, the edges of
    every face (in the part's frame), faces on either side of an edge, faces of the sheet, what to add to a radius of the face found to
    have the inside one, thickness."""

    edge: SolidEdge
    face: int
    up: bool
    edges_of: dict[int, list[SolidEdge]]
    sheet: frozenset[int]
    web: frozenset[int]
    inside: float
    thickness: float
    other: Callable[[SolidEdge, int], int]


def measured(bend: Bend) -> tuple[Strip | None, str]:
    """(the strip, ""), or (None, why the face beside the web is no bend with a flange behind it)."""
    rows = np.linspace(0, len(bend.edge.points) - 1, DENSE)
    tangent = hermite(bend.edge.points, bend.edge.slopes, rows)[:, :2]
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(tangent, axis=0).T))])
    way = _ways(bend.edge, rows)
    normal = np.column_stack([way[:, 1], -way[:, 0]])
    sit = np.linspace(CLEAR, 1 - CLEAR, STATIONS) * along[-1]
    row_at = np.interp(sit, along, rows)
    cut_at, cut_way = hermite(bend.edge.points, bend.edge.slopes, row_at)[:, :2], _ways(bend.edge, row_at)
    lean = np.zeros(DENSE)
    for _ in range(3):
        cuts = zip(cut_at, cut_way, np.interp(sit, along, lean), strict=True)
        found = [_section(bend, at, way_at, float(slope)) for at, way_at, slope in cuts]
        good = [k for k, f in enumerate(found) if f is not None]
        if len(good) < FEW:
            return None, "no bend with a straight flange behind it"
        rows_of = np.array([found[k][:3] for k in good])  # type: ignore[index]
        radius = float(np.median(rows_of[:, 0]))
        keep = np.abs(rows_of[:, 0] - radius) <= ROUND_OFF * radius + 0.01
        rows_of, good = rows_of[keep], [k for k, fine in zip(good, keep, strict=True) if fine]
        if len(good) < FEW:
            return None, "a bend whose radius is not one"
        inside = radius + bend.inside
        if inside <= 0:
            return None, "a bend tighter than the sheet is thick"
        at, angle = sit[good], rows_of[:, 1]
        reach = (inside + bend.thickness) * np.tan(np.radians(_over(at, angle, along)) / 2)
        before = lean
        lean = np.zeros(DENSE) if np.ptp(angle) <= EVEN_DEG else np.gradient(reach, along)
        if np.max(np.abs(lean - before)) < 1e-9:
            break
    out = np.sqrt(1 - lean**2)[:, None] * normal + lean[:, None] * way
    width = rows_of[:, 2] + (inside + bend.thickness) * np.tan(np.radians(angle) / 2)
    kept = [found[k] for k in good]
    faces = frozenset({bend.face}) | frozenset(f for x in kept for f in x[3])  # type: ignore[index]
    goes_on = any(x[4] for x in kept)  # type: ignore[index]
    free = {x[5] for x in kept}  # type: ignore[index]
    ends = _ends_of([e for k in faces for e in bend.edges_of[k] if e.number in free], way)
    return Strip(
        bend.edge.number, bend.up, tangent, tangent + reach[:, None] * out, along, at, angle, width, inside, out, ends,
        faces, goes_on,
    ), ""  # fmt: skip


# ---- inside


def _ways(edge: SolidEdge, rows: Array) -> Array:
    """Unit directions of travel in plan (n, 2)."""
    way = hermite_slope(edge.points, edge.slopes, rows)[:, :2]
    return np.asarray(way / np.hypot(*way.T)[:, None])


Section = tuple[float, float, float, tuple[int, ...], bool, int]
"""(radius of the face, angle [deg], straight part, faces past the bend, goes on, number of the free edge)."""


def _section(bend: Bend, at: Array, way: Array, lean: float) -> Section | None:
    """The section through a place of the tangent line, square to the mold line there; None where something cuts into it."""
    normal = np.array([way[1], -way[0]])
    square = np.sqrt(1 - lean * lean) * way - lean * normal
    start = np.array([*at, 0.0])
    outward = np.array([square[1], -square[0]])
    found = _found(bend, bend.face, at, square, {bend.edge.number})
    if not found:
        return None
    p1, edge1 = min(found, key=lambda x: float(np.linalg.norm(x[0] - start)))
    flange = bend.other(edge1, bend.face)
    if flange < 0 or flange not in bend.sheet or flange in bend.web:
        return None
    # an arc that leaves the web smoothly has its chord at half the angle that it ends at
    chord = p1 - start
    half = float(np.arctan2(chord[2] if bend.up else -chord[2], chord[:2] @ outward))
    beyond = np.array([*(np.cos(2 * half) * outward), np.sin(2 * half) * (1 if bend.up else -1)])
    found = [x for x in _found(bend, flange, at, square, {edge1.number}) if _points_along(x[0] - p1, beyond)]
    if not found:
        return None
    p2, edge2 = max(found, key=lambda x: float(np.linalg.norm(x[0] - p1)))
    after = bend.other(edge2, flange)
    goes_on = after >= 0 and after in bend.sheet
    leg = p2 - p1
    length = float(np.linalg.norm(leg))
    if length < 1e-9:
        return None
    angle = float(np.arctan2(leg[2] if bend.up else -leg[2], leg[:2] @ outward))
    if not 0.01 < angle < 3.1:
        return None
    radius = float(np.linalg.norm(chord)) / (2 * np.sin(angle / 2))
    return radius, float(np.degrees(angle)), length, (flange,), goes_on, edge2.number


def _found(bend: Bend, face: int, at: Array, square: Array, gone: set[int]) -> list[tuple[Array, SolidEdge]]:
    """Where the section crosses the edges of a face but those `gone`."""
    return [
        (p, edge)
        for edge in bend.edges_of[face]
        if edge.number not in gone
        for p in crossings(edge.points, edge.slopes, at, square)
    ]


def _points_along(v: Array, way: Array) -> bool:
    """Whether a vector points along a unit direction, within 2 deg."""
    size = float(np.linalg.norm(v))
    return size > 1e-6 and float(v @ way) > ALONG * size


def _over(at: Array, values: Array, along: Array) -> Array:
    """Values over the whole edge: one value, or through those found, straight on at its ends."""
    if np.ptp(values) <= EVEN_DEG:
        return np.full(len(along), float(np.median(values)))
    inner = np.interp(along, at, values)
    low, high = np.polyfit(at[:8], values[:8], 1), np.polyfit(at[-8:], values[-8:], 1)
    inner = np.where(along < at[0], np.polyval(low, along), inner)
    return np.asarray(np.where(along > at[-1], np.polyval(high, along), inner))


def _ends_of(edges: list[SolidEdge], way: Array) -> Array:
    """The first and the last end of the free edge in plan (2, 2), in the direction of travel."""
    tips = np.array([p for e in edges for p in (e.points[0], e.points[-1])])[:, :2]
    first = tips[int(np.argmin(tips @ way[0]))]
    last = tips[int(np.argmax(tips @ way[-1]))]
    return np.array([first, last])
