"""The drawn part out of the rings of a solid's web: corners where drawn lines meet, edges, flanges by name, holes, cutouts, reliefs."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from math import hypot

import numpy as np
from numpy.typing import NDArray

from ribwright.features.part import Along, Corner, Edge, Flange, Hole, Loop
from ribwright.geometry.curve import curve_from_points
from ribwright.geometry.drawn_shape import ARC, CURVE, LINE, Shape, extended, half_way, meeting
from ribwright.geometry.through_values import few_stations
from ribwright.stages.drawn_edges import fitted, slot_of, started
from ribwright.stages.drawn_segment import Segment
from ribwright.stages.finding import Finding
from ribwright.stages.solid_relief import Relieved, drawn_pieces
from ribwright.stages.solid_ring import SHAPE_MM, Item, Ring, Seen
from ribwright.stages.solid_strip import EVEN_DEG, EVEN_MM, Strip

Array = NDArray[np.float64]
Pair = tuple[float, float]
MEET_MM = 0.05  # ends of drawn lines that run on smoothly lie so near each other
FAR_MM = 60.0  # from a piece's end to the corner it is run on to
SAME_END = 1e-6
STEEPEST_RIM = 80.0  # a hole flange turned more is given by its height: its opening says little of it then [deg]


@dataclass
class DrawnPart:
    """What the solid gives of a part [mm, deg]. `tangents` as the reader of part files takes them; `lost`: rings not understood; `used`:
    the web's edges that are in the part; `strips` by the name of their edge; `curves`: (points of splines, how far they miss)."""

    outer: Loop = field(default_factory=lambda: Loop("web", ()))
    cutouts: list[Loop] = field(default_factory=list)
    holes: list[Hole] = field(default_factory=list)
    flanges: dict[str, Flange] = field(default_factory=dict)
    corners: list[Corner] = field(default_factory=list)
    tangents: dict[str, str] = field(default_factory=dict)
    lost: list[Ring] = field(default_factory=list)
    strips: list[Strip] = field(default_factory=list)
    splines: int = 0
    points: int = 0
    missed: float = 0.0
    why: str = ""


def part_of_rings(view: Seen, rings: list[Ring], fit: float) -> DrawnPart:
    """The part; with `why` it is none. `fit`: how far a spline through points may lie from its curve [mm]."""
    out = DrawnPart()
    names = _Names()
    for k, ring in enumerate(rings):
        if ring.why:
            if k == 0:
                out.why = f"{ring.why}, at ({ring.at[0]:.2f}, {ring.at[1]:.2f}) mm of the web"
                return out
            out.lost.append(ring)
            continue
        if k and (hole := _hole(view, ring, len(out.holes) + 1)) is not None:
            out.holes.append(hole)
            out.strips += [i.strip for i in ring.items if i.strip is not None]
            continue
        why = _add_loop(out, ring, names, fit, k == 0)
        if why and k == 0:
            out.why = why
            return out
        if why:
            out.lost.append(replace(ring, why=why))
    out.flanges = names.flanges
    return out


def curve_findings(part: DrawnPart, fit: float) -> list[Finding]:
    """How well splines through points give the solid's curves."""
    if not part.splines:
        return []
    return [
        Finding(
            "solid-curves",
            "note" if part.missed <= fit else "warn",
            f"{part.splines} curved edges are given by {part.points} points; the part's splines through them stay within "
            f"{part.missed:.4f} mm of the solid's curves.",
            value=part.missed,
            limit=fit,
            unit="mm",
            source="measured at the solid's own curves",
        )
    ]


class _Names:
    """Flanges by name: equal ones share a name, one that varies has its own."""

    def __init__(self) -> None:
        self.flanges: dict[str, Flange] = {}

    def of(self, strip: Strip) -> str:
        angle, width, radius = strip.values
        turn = "up" if strip.up else "down"
        if not strip.varies:
            for name, f in self.flanges.items():
                same = not f.width.varies and not f.bend_angle.varies and f.turn == turn
                if (
                    same
                    and abs(f.width.values[0] - width) <= EVEN_MM
                    and abs(f.bend_angle.values[0] - angle) <= EVEN_DEG
                    and abs(f.bend_radius - radius) <= EVEN_MM
                ):
                    return name
        name = f"F{len(self.flanges) + 1}"
        # what varies gets its stations once its edge has a length
        widths, angles = (_one(strip.width), _one(strip.angle))
        self.flanges[name] = Flange(name, widths, angles, radius, turn)
        return name


def _one(values: Array) -> Along:
    """The middle of the values; of some that vary two stations, so that it is known to vary."""
    if np.ptp(values) <= EVEN_MM:
        return Along.constant(float(np.median(values)))
    return Along((("fraction", 0.0, float(values[0])), ("fraction", 1.0, float(values[-1]))))


# ---- loops


def _add_loop(out: DrawnPart, ring: Ring, names: _Names, fit: float, outer: bool) -> str:
    """A ring as the outer loop or a cutout; "" or why it is none."""
    drawn, corners = drawn_pieces(ring.items)
    if len(drawn) == 1:
        drawn = _halved(drawn[0])
    joints, why = _joints(drawn, {c.before: c.joint for c in corners if c.joint is not None})
    if why:
        return why
    layers = [names.of(i.strip) if i.strip is not None else "" for i in drawn]
    n = len(drawn)
    ring_ = [_segment(drawn[k].shape, joints[k - 1], joints[k], layers[k]) for k in range(n)]
    prefix = "E" if outer else f"C{len(out.cutouts) + 1}-"
    fine = fitted(started(ring_), fit, prefix, lambda layer: layer)
    loop = Loop("web" if outer else f"C{len(out.cutouts) + 1}", fine.edges)
    out.tangents |= {e.name: t for e, t in zip(fine.edges, fine.tangents, strict=True) if t}
    out.splines, out.points = out.splines + fine.splines, out.points + fine.points
    out.missed = max(out.missed, fine.missed)
    for k, item in enumerate(drawn):
        if item.strip is None:
            continue
        out.strips.append(item.strip)
        if item.strip.varies:
            edge = next(e for e in loop.edges if e.flange == layers[k])
            names.flanges[layers[k]] = _along(names.flanges[layers[k]], item.strip, edge)
    out.corners += [_named(c, joints, loop) for c in corners]
    if outer:
        out.outer = loop
    else:
        out.cutouts.append(loop)
    return ""


def _halved(item: Item) -> list[Item]:
    """A ring of one piece as two."""
    p = item.shape.points
    m = len(p) // 2
    return [replace(item, shape=replace(item.shape, points=q)) for q in (p[: m + 1], p[m:])]


def _joints(drawn: list[Item], known: dict[int, Pair]) -> tuple[list[Pair], str]:
    """Where each piece meets the next, and why that cannot be said; `known`: those that a relief says."""
    out: list[Pair] = []
    for k, a in enumerate(drawn):
        if k in known:
            out.append(known[k])
            continue
        b = drawn[(k + 1) % len(drawn)]
        end, start = a.shape.points[-1], b.shape.points[0]
        gap = float(np.hypot(*(start - end)))
        cos = float(a.shape.way(-1) @ b.shape.way(0))
        if gap < SAME_END or (gap < MEET_MM and cos > 0.999):
            p: Array | None = (end + start) / 2
        else:
            p = meeting(a.shape, b.shape, (end + start) / 2)
            if p is None or max(np.hypot(*(p - end)), np.hypot(*(p - start))) > FAR_MM:
                return [], f"drawn lines that do not meet near ({end[0]:.2f}, {end[1]:.2f}) mm of the web"
        assert p is not None
        out.append((float(p[0]), float(p[1])))
    return out, ""


def _segment(shape: Shape, start: Pair, end: Pair, layer: str) -> Segment:
    if shape.kind == LINE:
        return Segment(LINE, (start, end), layer)
    if shape.kind == ARC:
        return Segment(ARC, (start, half_way(start, end, shape.centre, shape.left), end), layer)
    points = extended(shape, np.array(start), np.array(end))
    return Segment(CURVE, tuple((float(x), float(y)) for x, y in points), layer)


def _named(c: Relieved, joints: list[Pair], loop: Loop) -> Corner:
    """The corner by the names of the edges that meet at its joint."""
    x, y = joints[c.before]
    far = [hypot(e.points[-1][0] - x, e.points[-1][1] - y) for e in loop.edges]
    k = int(np.argmin(far))
    at = (loop.edges[k].name, loop.edges[(k + 1) % len(loop.edges)].name)
    return Corner(at, c.relief, c.diameter, c.set_back, c.gap)


def _along(flange: Flange, strip: Strip, edge: Edge) -> Flange:
    """The flange with stations along its edge, from its start as written."""
    curve = curve_from_points(edge.kind, edge.points)
    s = np.linspace(0.0, curve.length, 4001)
    line = curve.point(s)
    at = np.interp(strip.at, strip.along, np.arange(len(strip.along)))
    drawn = np.column_stack([np.interp(at, np.arange(len(strip.drawn)), strip.drawn[:, i]) for i in (0, 1)])
    nearest = np.array([int(np.argmin(np.hypot(*(line - p).T))) for p in drawn])
    way = curve.tangent(s[nearest])
    place = s[nearest] + np.sum((drawn - line[nearest]) * way, axis=1)

    def stations(values: Array, even: float) -> Along:
        if np.ptp(values) <= even:
            return Along.constant(float(np.median(values)))
        rows = few_stations(place, values, curve.length, even / 4)
        made = [("mm", x, v) for x, v in rows[1:-1]]
        return Along((("fraction", 0.0, rows[0][1]), *made, ("fraction", 1.0, rows[-1][1])))

    return replace(flange, width=stations(strip.width, EVEN_MM), bend_angle=stations(strip.angle, EVEN_DEG))


# ---- holes


def _hole(view: Seen, ring: Ring, number: int) -> Hole | None:
    """The ring as a hole: plain, flanged all round, or a slot; None where it is a cutout."""
    flanged = [i for i in ring.items if i.strip is not None]
    if not flanged:
        round_ = _circle([i.shape for i in ring.items])
        if round_ is not None:
            return Hole(f"H{number}", "plain", round_[0], 2 * round_[1])
        return _slot(ring, number)
    lines = [i.tangent for i in flanged if i.tangent is not None]
    round_ = _circle(lines) if len(flanged) == len(ring.items) else None
    strips = [i.strip for i in flanged if i.strip is not None]
    if round_ is None or any(s.varies for s in strips):
        return None
    first = strips[0].values
    if any(max(abs(a - b) for a, b in zip(s.values, first, strict=True)) > EVEN_DEG for s in strips):
        return None
    return _flanged(view.web.thickness, f"H{number}", round_, first, strips[0].up)


def _flanged(t: float, name: str, circle: tuple[Pair, float], values: tuple[float, float, float], up: bool) -> Hole:
    """A flanged hole by its rim's opening, or by its height where it is turned nearly square or past it.

    L = W - (R + t) tan(a/2), opening 2 (Rt - (R + t/2) sin a - L cos a) - t sin a, height of the rim's farthest point above the heel face
    H = t/2 + (R + t/2)(1 - cos a) + L sin a + (t/2)|cos a|, of a flange turned up less t (mechanics/hole.py).
    """
    at, r = circle
    angle, width, radius = values
    a = np.radians(angle)
    leg, mid = width - (radius + t) * np.tan(a / 2), radius + t / 2
    if angle <= STEEPEST_RIM:
        given = ("rim_diameter", float(2 * (r - mid * np.sin(a) - leg * np.cos(a)) - t * np.sin(a)))
    else:
        height = t / 2 + mid * (1 - np.cos(a)) + leg * np.sin(a) + t / 2 * abs(np.cos(a))
        given = ("flange_height", float(height - (t if up else 0.0)))
    return Hole(
        name, "lightening", at, 2 * r, given=given, bend_angle=angle, bend_radius=radius, turn="up" if up else "down"
    )


def _circle(shapes: list[Shape]) -> tuple[Pair, float] | None:
    """(centre, radius) of pieces that make one whole circle."""
    if not shapes or any(s.kind != ARC for s in shapes):
        return None
    (cx, cy), r = shapes[0].centre, shapes[0].radius
    if any(hypot(s.centre[0] - cx, s.centre[1] - cy) > SHAPE_MM or abs(s.radius - r) > SHAPE_MM for s in shapes):
        return None
    length = sum(float(np.sum(np.hypot(*np.diff(s.points, axis=0).T))) for s in shapes)
    return ((cx, cy), r) if abs(length / (2 * np.pi * r) - 1) < 0.01 else None


def _slot(ring: Ring, number: int) -> Hole | None:
    n = len(ring.items)
    ends = [i.shape.points[-1] for i in ring.items]
    joints = [(float(p[0]), float(p[1])) for p in ends]
    if any(i.shape.kind == CURVE for i in ring.items) or n != 4:
        return None
    slot = slot_of([_segment(ring.items[k].shape, joints[k - 1], joints[k], "") for k in range(n)])
    if slot is None:
        return None
    at, diameter, length, angle = slot
    return Hole(f"H{number}", "tooling", at, diameter, slot=length, slot_angle=angle)
