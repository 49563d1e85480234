"""A traced outline held against what the drawing says is seen: deviations place by place, holes, the extent of a blank.

    laid         first from any pose by the outline and its openings (`geometry/lay_outline`), then by the pin holes (their rims' circles, a
                 slot across its long axis), or by places every 10 mm along the edges and the pins
    contour      of a place: mean deviation of the points within 2.5 mm along the edge, those far from their median left out
    uncertainty  u = 2 sqrt((u_point/2)^2 + s_fit^2 + s_angle^2): of a point, from the picture (it does not average out: a mark that is off
                 moves neighbours together); of the move; of a part's flange with an angle that nobody measured, as far as the drawing
                 lets it be off, taken as rectangular
    hole         circle of least distances through its rim. What makes every edge stand off alike does not move its middle, and counts
                 twice in its diameter; where that share is not known all of u_point is taken for both

Validity: the piece lies flat, seen square above its web; perspective of what stands over the plane of the marks is not removed.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from math import hypot, sqrt

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from ribwright.errors import Fault, InputError
from ribwright.features.inspected import BLANK, INNER, Measured
from ribwright.geometry.circle_fit import FittedCircle, fit_circle
from ribwright.geometry.lay_outline import area_middle
from ribwright.geometry.outline_distance import OutlineDistance
from ribwright.geometry.register import register
from ribwright.mechanics.tolerance import COVERAGE, rectangular_sd
from ribwright.stages.found import Drift, Fit, Found, FoundSet, Profile
from ribwright.stages.laid_rings import Laid, laid_rings
from ribwright.stages.plan import Plan
from ribwright.stages.seen_lines import SeenEdge, SeenHole, SeenLines, seen_lines
from ribwright.units import Unit, show_length

Array = NDArray[np.float64]
PINS, PLACES = "pins", "places"
HALF = 2.5  # of the stretch that a place is the mean of [mm]
LEAST = 3  # points of a place
FAR = 4.0  # times the usual distance from the median: a stray point
ON_EDGE = 0.75  # foot of a point to the edge's line: further off it lies on a relief or a corner [mm]
DENSE = 0.5  # of the edges' lines, to find which edge a foot is on [mm]
HOLE_OFF, HOLE_SIZE = 5.0, 0.35  # a rim belongs to a drawn hole nearer than this [mm], of a size within this share
ROUND = 0.12  # rms off the circle over its radius: more is no round hole
PLACE_SD = 0.2  # what the contour of a place scatters by, as a weight beside the pins [mm] (project decision, trials on simulated parts)
EVERY = 1.0  # of a profile [mm]
LONG, LEAST_BOWS, BOWED = 40.0, 3, 0.5  # straight edges that a lens is told by: length [mm], how many, bow over u_point
BY = "outline"


@dataclass(frozen=True, eq=False)
class _Rim:
    """A drawn hole as seen: index of its ring; its circle, None of a slot; its middle (2,) in the data's frame."""

    seen: SeenHole
    ring: int
    circle: FittedCircle | None
    middle: Array


def found_rings(
    plan: Plan, measured: Measured, fit: str = PINS, say: Callable[[str], None] = lambda _: None
) -> FoundSet:
    """The characteristics that traced outlines tell. InputError as a question where they are another part's, mirrored or 25.4 times
    off."""
    said = measured.said
    lines = seen_lines(plan, said.what)
    rings = tuple(r * (-1.0, 1.0) if said.face == INNER else r for r in measured.rings)
    say("laying the outline on the drawing")
    laid = laid_rings(lines, rings, measured)
    rims, other = _rims(lines, rings, laid)
    sd_point = (said.uncertainty or 0.0) / COVERAGE
    sd_alike = min(measured.alike / COVERAGE, sd_point)
    sd_middle = sqrt(sd_point**2 - sd_alike**2)
    points = np.concatenate([rings[0], *(rings[k] for k in other)])
    target = OutlineDistance(lines.rings)
    move, notes = _move(lines, rims, points, target, laid, fit, max(sd_middle, 1e-3))
    if not np.isfinite(move.cov).all():
        raise InputError(
            [Fault(measured.file, "the outline", "no edges enough to lay it by", "the whole piece in the picture")]
        )
    say("deviations place by place")
    owner, along, off = _on_edges(lines, move.moved(points), target)
    found: list[Found] = []
    profiles = []
    for k, edge in enumerate(lines.edges):
        mine = owner == k
        found += _places(plan, edge, along[mine], off[mine], move, sd_point, said.what == BLANK)
        if mine.any():
            profiles.append(_profile(edge, along[mine], off[mine]))
    found += _holes(rims, move, sd_middle, sd_alike or sd_point)
    notes += _bent(lines, profiles, COVERAGE * sd_point)
    if said.face == INNER:
        notes.append("Pictured from the inner face: the outline was mirrored before it was laid.")
    notes = [measured.note, *laid.notes, *notes, *_told(plan, lines, rings, rims, other, move, said.what)]
    return FoundSet(tuple(found), move, tuple(profiles), notes=tuple(n for n in notes if n))


# ---------------------------------------------------------------- laying


def _rims(lines: SeenLines, rings: tuple[Array, ...], laid: Laid) -> tuple[list[_Rim], list[int]]:
    """Rings that are rims of drawn holes, and the numbers of the other openings."""
    middles = [area_middle(r)[1] for r in rings]
    rims: list[_Rim] = []
    free = set(range(1, len(rings)))
    for h in lines.holes:
        near = {k: float(hypot(*(laid.way.moved(middles[k][None])[0] - h.hole.at))) for k in free}
        k = min(near, key=lambda i: near[i], default=0)
        if k == 0 or near[k] > HOLE_OFF:
            continue
        area = abs(area_middle(rings[k])[0])
        if h.diameter is not None:
            drawn = np.pi / 4.0 * h.diameter**2 + h.hole.slot * h.diameter
            if abs(sqrt(area / drawn) - 1.0) > HOLE_SIZE:
                continue
        circle = None
        if not h.hole.slot:
            try:
                circle = fit_circle(rings[k])
            except ValueError:
                continue
            if circle.rms > ROUND * circle.radius:
                continue
        rims.append(_Rim(h, k, circle, circle.centre if circle is not None else middles[k]))
        free.discard(k)
    return rims, sorted(free)


def _move(
    lines: SeenLines, rims: list[_Rim], points: Array, target: OutlineDistance, laid: Laid, fit: str, sd: float
) -> tuple[Fit, list[str]]:  # fmt: skip
    """The rigid move onto the drawing, and what is to be said of it."""
    pins = [r for r in rims if r.seen.takes_pin]
    rows = [row for r in pins for row in _pin_rows(r)]
    notes: list[str] = []
    by_pins = fit == PINS
    if by_pins:
        move = register(*_stacked(rows), np.full(len(rows), sd), np.ones(len(rows))) if len(rows) >= 3 else None
        by_pins = move is not None and move.held
        if not by_pins:
            seen = ", ".join(r.seen.hole.name for r in pins) or "none"
            notes.append(
                f"Of the pin holes too few are seen to lay the outline by them ({seen}): it is laid by places along the edges."
            )
    used = {r.seen.hole.name for r in pins}
    if not by_pins:
        rows, weights = list(rows), [sd] * len(rows)
        here = laid.way.moved(points)
        owner, along, off = _on_edges(lines, here, target)
        turn_back = _turned(-laid.way.turn)
        for k, edge in enumerate(lines.edges):
            mine = owner == k
            for x in edge.places():
                own = mine & (np.abs(along - x) <= HALF)
                if own.sum() >= LEAST:
                    at, normal = edge.at(x)
                    seen_at = at + float(np.median(off[own])) * normal
                    rows.append(((seen_at - laid.way.shift) @ turn_back.T, at, normal))
                    weights.append(PLACE_SD)
        if len(rows) < 3:
            return Fit(0.0, 0.0, 0.0, 0.0, PLACES, np.full((3, 3), np.inf)), notes
        move = register(*_stacked(rows), np.array(weights))
    assert move is not None
    by = PINS if by_pins else "places and pins" if used else PLACES
    fitted = Fit(
        float(move.shift[0]), float(move.shift[1]), float(np.degrees(move.turn)), move.rms, by, move.cov,
        (float(move.about[0]), float(move.about[1])),
    )  # fmt: skip
    drifts = []
    for r in rims:
        d = fitted.moved(r.middle[None])[0] - r.seen.hole.at
        u = COVERAGE * float(np.hypot(sd, fitted.sd(np.array([r.seen.hole.at]), np.array([[1.0, 0.0]]))[0]))
        drifts.append(Drift(r.seen.hole.name, float(d[0]), float(d[1]), u, r.seen.hole.name in used))
    return replace(fitted, drifts=tuple(drifts)), notes


def _pin_rows(r: _Rim) -> list[tuple[Array, Array, Array]]:
    """(place seen, place drawn, unit way that it holds): a round hole holds both ways, a slot across its long axis."""
    at = np.array(r.seen.hole.at)
    if not r.seen.hole.slot:
        return [(r.middle, at, np.array([1.0, 0.0])), (r.middle, at, np.array([0.0, 1.0]))]
    a = np.radians(r.seen.hole.slot_angle)
    return [(r.middle, at, np.array([-np.sin(a), np.cos(a)]))]


def _stacked(rows: list[tuple[Array, Array, Array]]) -> tuple[Array, Array, Array]:
    a, b, c = zip(*rows, strict=True)
    return np.array(a), np.array(b), np.array(c)


def _turned(angle: float) -> Array:
    c, s = np.cos(angle), np.sin(angle)
    return np.array([[c, -s], [s, c]])


# ---------------------------------------------------------------- edges


def _on_edges(lines: SeenLines, points: Array, target: OutlineDistance) -> tuple[NDArray[np.int64], Array, Array]:
    """Of points on the drawing: index of their edge (-1: a relief or corner), place along it as typed, deviation."""
    near = target.of(points)
    at, way, place, owner = [], [], [], []
    for k, e in enumerate(lines.edges):
        step = np.hypot(*np.diff(e.line, axis=0).T)
        parts = np.maximum(np.ceil(step / DENSE), 1.0).astype(np.int64)
        i = np.repeat(np.arange(len(parts)), parts)
        t = (np.arange(len(i)) - np.repeat(np.cumsum(parts) - parts, parts)) / parts[i]
        i, t = np.append(i, len(parts) - 1), np.append(t, 1.0)
        at.append(e.line[i] + t[:, None] * (e.line[i + 1] - e.line[i]))
        way.append((e.line[i + 1] - e.line[i]) / np.maximum(step[i], 1e-12)[:, None])
        slope = (e.along[i + 1] - e.along[i]) / np.maximum(step[i], 1e-12)
        place.append(np.column_stack([e.along[i] + t * (e.along[i + 1] - e.along[i]), slope]))
        owner.append(np.full(len(i), k))
    all_at, all_way, all_place = np.concatenate(at), np.concatenate(way), np.concatenate(place)
    far, j = cKDTree(all_at).query(near.foot)
    ahead = ((near.foot - all_at[j]) * all_way[j]).sum(axis=1)
    along = all_place[j, 0] + ahead * all_place[j, 1]
    return np.where(far <= ON_EDGE, np.concatenate(owner)[j], -1), along, near.deviation


def _places(
    plan: Plan, edge: SeenEdge, along: Array, off: Array, move: Fit, sd: float, flat: bool
) -> list[Found]:  # fmt: skip
    out = []
    note = "of the cut blank against the developed one" if flat else ""
    if not flat and edge.laid.flange is not None:
        note = "of the silhouette: an angle off by what the drawing allows is in the uncertainty"
        if edge.reach is None:
            note = "of the silhouette: no tolerance of the angle is in the part file, so what the angle does to it is not known"
    for x in edge.places():
        own = off[np.abs(along - x) <= HALF]
        if len(own) < LEAST:
            continue
        middle = float(np.median(own))
        usual = 1.4826 * float(np.median(np.abs(own - middle))) + 1e-6
        own = own[np.abs(own - middle) <= max(FAR * usual, sd)]
        at, normal = edge.at(x)
        moved = edge.moved_by_angle(x)
        u = None
        if moved is not None:
            s_fit = float(move.sd(at[None], normal[None])[0])
            u = COVERAGE * sqrt(sd**2 + s_fit**2 + rectangular_sd(moved) ** 2)
        where = {"edge": edge.name, "along_mm": float(x)}
        out.append(
            Found(
                "contour",
                where,
                float(own.mean()),
                0.0,
                "mm",
                u,
                BY,
                readings=len(own),
                balloon=edge.laid.edge.balloon,
                note=note,
            )
        )
    return out


def _profile(edge: SeenEdge, along: Array, off: Array) -> Profile:
    """Means of EVERY mm along the edge."""
    cell = np.floor(along / EVERY).astype(np.int64)
    _, k, n = np.unique(cell, return_inverse=True, return_counts=True)
    return Profile(edge.name, np.bincount(k, along) / n, np.bincount(k, off) / n)


# ---------------------------------------------------------------- holes


def _holes(rims: list[_Rim], move: Fit, sd_middle: float, sd_edge: float) -> list[Found]:
    out = []
    used = {d.hole for d in move.drifts if d.used}
    for r in rims:
        h = r.seen.hole
        d = move.moved(r.middle[None])[0] - h.at
        note = "the move was fitted to it" if h.name in used else ""
        for axis, value, way in (("x", d[0], (1.0, 0.0)), ("y", d[1], (0.0, 1.0))):
            s_fit = float(move.sd(np.array([h.at]), np.array([way]))[0])
            u = COVERAGE * hypot(sd_middle, s_fit)
            where = {"hole": h.name, "axis": axis}
            n = 1 if r.circle is None else r.circle.points
            out.append(
                Found("hole_position", where, float(value), 0.0, "mm", u, BY, readings=n, balloon=h.balloon, note=note)
            )
        if r.circle is not None and r.seen.diameter is not None and h.kind != "lightening":
            u = COVERAGE * 2.0 * sd_edge
            n = r.circle.points
            out.append(
                Found(
                    "hole_diameter",
                    {"hole": h.name},
                    2.0 * r.circle.radius,
                    h.diameter,
                    "mm",
                    u,
                    BY,
                    readings=n,
                    balloon=h.balloon,
                )
            )
    return out


# ---------------------------------------------------------------- words


def _bent(lines: SeenLines, profiles: list[Profile], u: float) -> list[str]:
    """A question where all straight edges look bowed one way, by more than the picture leaves open: a lens does that."""
    straight = {e.name for e in lines.edges if e.laid.straight and e.laid.curve.length >= LONG}
    bows = []
    for p in profiles:
        if p.edge in straight and np.ptp(p.along) >= LONG / 2.0:
            x = 2.0 * (p.along - p.along.min()) / np.ptp(p.along) - 1.0
            # a (1 - x^2): how far the middle stands outside the line between the ends
            rows = np.column_stack([np.ones(len(x)), x, 1.0 - x * x])
            bows.append(float(np.linalg.lstsq(rows, p.deviation, rcond=None)[0][2]))
    if len(bows) < LEAST_BOWS or abs(sum(np.sign(bows))) < len(bows) or min(abs(b) for b in bows) < BOWED * u:
        return []
    way, size = ("out", max(bows)) if bows[0] > 0 else ("in", -min(bows))
    return [
        f"All straight edges look bowed {way}, by up to {size:.2f} mm: is the piece so, or does the lens bend straight lines? A lens's own "
        "distortion is not removed and not in the uncertainty: take the picture from further off, or scan the piece."
    ]


def _told(
    plan: Plan, lines: SeenLines, rings: tuple[Array, ...], rims: list[_Rim], other: list[int], move: Fit, what: str
) -> list[str]:  # fmt: skip
    unit: Unit = "in" if (plan.job.shop.units or plan.job.part.units) == "in" else "mm"
    out = []
    if what == BLANK:
        seen, drawn = np.ptp(move.moved(rings[0]), axis=0), np.ptp(lines.rings[0], axis=0)
        pairs = [
            f"{show_length(float(a), unit)} (developed {show_length(float(b), unit)})"
            for a, b in zip(seen, drawn, strict=True)
        ]
        out.append(f"Extent of the blank as drawn lies: x {pairs[0]}, y {pairs[1]}.")
    missing = [h.hole.name for h in lines.holes if h.hole.name not in {r.seen.hole.name for r in rims}]
    if missing:
        out.append(f"Not seen, or not round: {', '.join(missing)}.")
    drawn_openings = [area_middle(r)[1] for r in lines.rings[1:]]
    strange = []
    for k in other:
        middle = move.moved(area_middle(rings[k])[1][None])[0]
        if not any(hypot(*(middle - o)) < 3.0 * HOLE_OFF for o in drawn_openings):
            strange.append(f"x {show_length(float(middle[0]), unit)}, y {show_length(float(middle[1]), unit)}")
    if strange:
        out.append(f"An opening that the drawing does not have, or glare, at {'; '.join(strange)}.")
    return out
