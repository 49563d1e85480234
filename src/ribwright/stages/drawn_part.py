"""The contour, cutouts and holes of a part out of the lines of a drawing, once their layers have roles and their numbers a unit."""

from __future__ import annotations

from dataclasses import dataclass, field
from math import hypot
from typing import TYPE_CHECKING

from ribwright.errors import Fault
from ribwright.features.drawn_lines import CIRCLE, CURVE, LINE, DrawnFile, Piece, Point
from ribwright.features.part import Edge, Hole, Loop
from ribwright.stages import drawn_roles as roles_
from ribwright.stages.drawn_edges import (
    Fitted,
    area,
    chords_joined,
    circle_of,
    fitted,
    inside_out,
    reversed_ring,
    slot_of,
    started,
)
from ribwright.stages.drawn_holes import paired
from ribwright.stages.drawn_rings import MOST_NAMED, Placer, circle_radius, circles_once, rings_of, scaled
from ribwright.stages.drawn_roles import Role
from ribwright.stages.drawn_segment import Segment, chords_of
from ribwright.stages.drawn_unit import Confirmed
from ribwright.stages.finding import Finding
from ribwright.units import MM_PER_IN, Unit

if TYPE_CHECKING:
    from shapely import Polygon

MANY_LINES, SHORT_SHARE = 30, 0.02
MOST_EDGES = 2000
FAR_MM = 100_000.0  # what the part file takes for a length


@dataclass(frozen=True)
class Order:
    """How far ends may lie apart to be joined, how well splines are to lie [mm], whether what looks like a slip is taken as drawn, and
    runs of short lines as the curves that they are chords of."""

    join: float = 0.01
    fit: float = 0.005
    as_drawn: bool = False
    curves: bool = False


@dataclass
class Drawing:
    """What the drawing gives of a part [mm]. `line`: what its contour is, "" where the drawing cannot say. `tangents`: edge name ->
    "start", "end" or "both" for its splines. `flanges`: names in the order they appear."""

    outer: Loop = field(default_factory=lambda: Loop("web", ()))
    cutouts: list[Loop] = field(default_factory=list)
    holes: list[Hole] = field(default_factory=list)
    line: str = ""
    flanges: tuple[str, ...] = ()
    tangents: dict[str, str] = field(default_factory=dict)
    findings: list[Finding] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)


def drawing_of(drawn: DrawnFile, roles: dict[str, Role], unit: Confirmed, order: Order) -> Drawing:
    """The part's geometry; with `faults` it is not to be used."""
    out = Drawing()
    place = Placer(drawn.file, file_unit(unit.name))
    pieces = [scaled(p, unit.mm) for p in drawn.pieces if p.layer in roles]
    by_role = {word: [p for p in pieces if roles[p.layer].word == word] for word in roles_.ROLES}
    contour = [p for word in roles_.CONTOUR for p in by_role[word]]
    lightening, contour = _take_lightening(by_role, contour, order, place, out)
    rings = _rings(contour, order, "the contour", place, out)
    rings = [started(r if area(r) > 0 else reversed_ring(r)) for r in rings]
    outer, inner = _nested(rings, place, out)
    if outer is None:
        return out
    flange_of = {layer: role.flange for layer, role in roles.items()}
    words = {role.word for role in roles.values()}
    out.line = (
        "bend-tangent-line" if roles_.TANGENT in words else ("" if roles_.FLANGE in words else "outside-mold-line")
    )
    out.faults += _far(outer, place)
    _turned_over([outer, *inner], order, place, out)
    if order.curves:
        outer = _joined_chords(outer, flange_of, place, out)
    if len(outer) > MOST_EDGES:
        found = f"{len(outer)} lines and arcs in the outline"
        out.faults.append(
            Fault(place.file, "the contour", found, f"at most {MOST_EDGES}; --curves joins chords of a curve")
        )
        return out
    fits = [fitted(outer, order.fit, "E", lambda layer: flange_of.get(layer, ""))]
    out.outer = Loop("web", fits[0].edges)
    _add_inner(inner, roles_.HOLE, flange_of, order, out, fits)
    for word in (roles_.HOLE, roles_.TOOLING):
        _add_inner(
            _rings(by_role[word], order, f"the layers of {word} lines", place, out), word, flange_of, order, out, fits
        )
    out.holes += [Hole("", "lightening", c.points[0], 2 * circle_radius(c)) for c in lightening]
    out.holes = paired(out.holes)
    _inside(outer, place, out)
    out.flanges = tuple(dict.fromkeys(e.flange for loop in (out.outer, *out.cutouts) for e in loop.edges if e.flange))
    _said_of_fits(fits, order, place, out)
    _said_of_chords(out.outer, place, out)
    return out


def file_unit(name: str) -> Unit:
    """The unit of the part file: the drawing's where it is one of the two, else that of its system."""
    return "in" if name in ("in", "ft") else "mm"


# ---- rings


def _rings(pieces: list[Piece], order: Order, what: str, place: Placer, out: Drawing) -> list[list[Segment]]:
    rings, findings, faults = rings_of(pieces, order.join, what, place)
    out.findings += findings
    out.faults += faults
    return rings


def _take_lightening(
    by_role: dict[str, list[Piece]], contour: list[Piece], order: Order, place: Placer, out: Drawing
) -> tuple[list[Piece], list[Piece]]:
    """(the circles of flanged holes, what is left of the contour): circles of their own role, and on layers of bend tangent lines
    unless these are all of the contour."""
    circles = [p for p in by_role[roles_.TANGENT] if p.kind == CIRCLE]
    if len(circles) < len(contour):
        gone = {id(circle) for circle in circles}
        contour = [p for p in contour if id(p) not in gone]
    else:
        circles = []
    own = by_role[roles_.LIGHTENING]
    for piece in [p for p in own if p.kind != CIRCLE][:1]:
        found = f"a {piece.kind} at {place.at(piece.points[0])} on a layer of lightening holes"
        out.faults.append(Fault(place.file, "the lightening holes", found, "circles"))
    kept, said = circles_once(circles + [p for p in own if p.kind == CIRCLE], order.join, place)
    out.findings += said
    return kept, contour


def _nested(
    rings: list[list[Segment]], place: Placer, out: Drawing
) -> tuple[list[Segment] | None, list[list[Segment]]]:
    """(the outline, the rings inside it). Faults for a ring that crosses itself and for a second outline."""
    from shapely import Point as ShapelyPoint

    if not rings:
        if not out.faults:
            out.faults.append(Fault(place.file, "the contour", "no closed line", "a line that closes round the web"))
        return None, []
    shapes = [_polygon(ring, place, out) for ring in rings]
    if any(s is None for s in shapes):
        return None, []
    whole = [s for s in shapes if s is not None]
    first = max(range(len(rings)), key=lambda i: whole[i].area)
    inner = [i for i in range(len(rings)) if i != first]
    outside = [i for i in inner if not whole[first].contains(ShapelyPoint(*rings[i][0].start))]
    if outside:
        clauses = [_box_words(rings[i], place) for i in (first, *outside)]
        allowed = "one outline; what is not part of it on a layer of its own, out by --role LAYER=ignore"
        out.faults.append(Fault(place.file, "the contour", f"{len(clauses)} outlines: {place.some(clauses)}", allowed))
        return None, []
    return rings[first], [rings[i] for i in inner]


def _polygon(ring: list[Segment], place: Placer, out: Drawing) -> Polygon | None:
    import re

    from shapely import Polygon
    from shapely.validation import explain_validity

    points = chords_of(ring)
    shape = Polygon(points) if len(points) > 2 else None
    if shape is not None and shape.is_valid:
        return shape
    hit = re.search(r"\[(\S+) (\S+)\]", explain_validity(shape)) if shape is not None else None
    at = f" at {place.at((float(hit[1]), float(hit[2])))}" if hit else f", from {place.at(ring[0].start)}"
    found = f"a line that crosses or touches itself{at}"
    out.faults.append(Fault(place.file, "the contour", found, "a line that goes round once without meeting itself"))
    return None


def _box_words(ring: list[Segment], place: Placer) -> str:
    low, high = chords_of(ring).min(axis=0), chords_of(ring).max(axis=0)
    return f"one from {place.at(low)} to {place.at(high)}"


def _far(ring: list[Segment], place: Placer) -> list[Fault]:
    far = max(hypot(*s.start) for s in ring)
    if far <= FAR_MM:
        return []
    found = f"a part {place.size(far)} from the origin"
    allowed = f"one within {place.size(FAR_MM)}: moved there in the drawing"
    return [Fault(place.file, "the contour", found, allowed)]


def _turned_over(rings: list[list[Segment]], order: Order, place: Placer, out: Drawing) -> None:
    """Arcs that look drawn inside out: refused, or said where they are taken as drawn."""
    at = [p for ring in rings for p in inside_out(ring)]
    if not at:
        return
    words = (
        f"{len(at)} arcs that would run smoothly into both their neighbours if they bulged to the other side, "
        f"and kink as drawn: {place.some([place.at(p) for p in at])}"
    )
    if not order.as_drawn:
        out.faults.append(
            Fault(place.file, "the contour", words, "arcs the right way round, or --as-drawn: they are meant so")
        )
        return
    out.findings.append(
        Finding(
            "drawing-inside-out",
            "warn",
            f"Taken as drawn: {words}.",
            "Compare these arcs with the drawing's print.",
            {"at_mm": [list(p) for p in at[:MOST_NAMED]]},
            value=float(len(at)),
            source="the drawing",
        )
    )


# ---- holes and cutouts


def _add_inner(
    rings: list[list[Segment]], word: str, flange_of: dict[str, str], order: Order, out: Drawing, fits: list[Fitted]
) -> None:
    """Each ring as a hole where it is a circle (a tooling hole also a slot), else as a cutout."""
    kind = "tooling" if word == roles_.TOOLING else "plain"
    for ring in sorted((started(r if area(r) > 0 else reversed_ring(r)) for r in rings), key=_corner):
        round_ = circle_of(ring)
        slot = slot_of(ring) if kind == "tooling" else None
        if round_ is not None and not any(flange_of.get(s.layer) for s in ring):
            out.holes.append(Hole("", kind, round_[0], round_[1]))
        elif slot is not None:
            at, diameter, length, angle = slot
            out.holes.append(Hole("", kind, at, diameter, slot=length, slot_angle=angle))
        else:
            name = f"C{len(out.cutouts) + 1}"
            fit = fitted(started(reversed_ring(ring)), order.fit, f"{name}-", lambda layer: flange_of.get(layer, ""))
            fits.append(fit)
            out.cutouts.append(Loop(name, fit.edges))


def _corner(ring: list[Segment]) -> tuple[float, float]:
    low = chords_of(ring).min(axis=0)
    return round(float(low[0]), 3), round(float(low[1]), 3)


def _inside(outer: list[Segment], place: Placer, out: Drawing) -> None:
    """Holes outside the outline, and whether they would lie inside it at 25.4 times or a 25.4th of their size: a drawing in two
    units."""
    import numpy as np
    from shapely import Point as ShapelyPoint
    from shapely import Polygon

    web = Polygon(chords_of(outer))
    centres: list[tuple[str, Point]] = [(f"hole {h.name}", h.at) for h in out.holes]
    centres += [(f"cutout {c.name}", c.edges[0].points[0]) for c in out.cutouts]
    astray = [(name, at) for name, at in centres if not web.contains(ShapelyPoint(at))]
    if not astray:
        return
    hint = ""
    for factor, words in ((MM_PER_IN, "25.4 times as far out"), (1 / MM_PER_IN, "at a 25.4th of their places")):
        if all(web.contains(ShapelyPoint(*(np.array(at) * factor))) for _, at in astray):
            hint = f"; {words} they would lie inside: they are drawn in another unit"
    found = f"outside the outline: {place.some([f'{name} at {place.at(at)}' for name, at in astray])}{hint}"
    out.faults.append(Fault(place.file, "the holes", found, "holes and cutouts inside the outline, all in one unit"))


# ---- what is said


def _joined_chords(ring: list[Segment], flange_of: dict[str, str], place: Placer, out: Drawing) -> list[Segment]:
    """The outline with runs of short lines as curves, and that said."""
    joined, lines = chords_joined(ring, lambda layer: flange_of.get(layer, ""))
    if lines:
        curves = sum(s.kind == CURVE for s in joined) - sum(s.kind == CURVE for s in ring)
        out.findings.append(
            Finding(
                "drawing-chords",
                "note",
                f"{lines} short lines of the contour are taken as the chords of {curves} curves, which go through their ends.",
                "A corner that was meant among them is gone: look at them in the picture.",
                value=float(lines),
                source="--curves",
            )
        )
    return joined


def _said_of_fits(fits: list[Fitted], order: Order, place: Placer, out: Drawing) -> None:
    for fit in fits:
        out.tangents |= {e.name: t for e, t in zip(fit.edges, fit.tangents, strict=True) if t}
    splines, points = sum(f.splines for f in fits), sum(f.points for f in fits)
    if not splines:
        return
    missed = max(f.missed for f in fits)
    if missed > order.fit:
        found = f"a curve that {points} spline points miss by {place.size(missed)}"
        out.faults.append(Fault(place.file, "the contour", found, f"a wider --fit than {place.size(order.fit)}"))
    out.findings.append(
        Finding(
            "drawing-curves",
            "note",
            f"{splines} splines or ellipses are given by {points} points; the part's splines through them stay within "
            f"{place.size(missed)} of the drawing's curves.",
            value=missed,
            limit=order.fit,
            unit="mm",
            source="measured at the drawing's own curves",
        )
    )


def _said_of_chords(outer: Loop, place: Placer, out: Drawing) -> None:
    """Many short lines in a row look like a curve that was written as chords."""
    lines = [e for e in outer.edges if e.kind == LINE]
    total = sum(_length(e) for e in lines)
    short = [e for e in lines if _length(e) < SHORT_SHARE * total]
    if len(short) < MANY_LINES:
        return
    out.findings.append(
        Finding(
            "drawing-many-lines",
            "warn",
            f"{len(short)} short lines in the contour, from {place.at(short[0].points[0])} on: a curve written as chords? Each is an "
            "edge of its own now, and the part has a corner at every one.",
            "--curves takes them as the curve that they are chords of; better, have the curve itself in the drawing.",
            {"at_mm": list(short[0].points[0])},
            value=float(len(short)),
            source="the drawing",
        )
    )


def _length(edge: Edge) -> float:
    (x0, y0), (x1, y1) = edge.points[0], edge.points[-1]
    return hypot(x1 - x0, y1 - y0)
