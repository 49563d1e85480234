"""What points from an arm or a scanner show of a formed part: angles, mold lines, widths, holes and the web's bow, with uncertainties.

    1  web and flanges laid roughly onto the drawing            scan_pose
    2  the web levelled by the plane through its cells           scan_web
    3  holes found; laid by the pin holes, each alike            scan_holes, geometry/register
       or by places of edges (their means, 0.2 mm each) with or without the pins
    4  every place of every edge                                 scan_sections

Points by the thousand drown three pins: laid by all of them a part turns its own deviations away. So the pins lay it, or the means of
places; never single points.

The error of a point is what the file says (`uncertainty`) or the gauge's of shop.toml, whichever is more, or its scatter about the faces'
own lines where that is more still. What scatters averages out over many points; what is stated beyond the scatter is taken to be common
to neighbouring points and stays whole in every length. Where neither says anything the common part is not known: nothing found has an
uncertainty then. Where nothing tells how the part lies, contour and the places of holes have none.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from math import degrees

import numpy as np
from numpy.typing import NDArray

from ribwright.errors import Fault, InputError, nearest
from ribwright.features.inspected import BLANK, Measured
from ribwright.geometry.register import Move, register
from ribwright.geometry.smooth_face import SmoothFace
from ribwright.mechanics.tolerance import COVERAGE
from ribwright.stages.found import NOT_LAID, Drift, Fit, Found, FoundSet
from ribwright.stages.gauges import gauge_of_points
from ribwright.stages.plan import Plan
from ribwright.stages.scan_faces import ScanFaces, scan_faces
from ribwright.stages.scan_holes import SeenHole, seen_holes
from ribwright.stages.scan_pose import Pose, by_plain_edges, rough_pose
from ribwright.stages.scan_rows import Scanned, rows_of
from ribwright.stages.scan_sections import EdgePoints, Place, pooled_sd
from ribwright.stages.scan_two_faces import both_faces, told_apart
from ribwright.stages.scan_web import level, on_web, web_of

Array = NDArray[np.float64]
PINS, PLACES, BOTH, NOTHING = "pins", "places", "places and pins", "none"
FITS = (PINS, PLACES)
PLACE_SD = 0.2  # of a place's mean as a carrier of the fit: parts deviate by about so much [mm]
LEFT_TO_OWN = (
    1.5  # times what the fit leaves is what places deviate by, where that is more: the fit turns some of it away
)
ALIKE_MM = 300.0  # over which places of one edge deviate alike: exp(-distance/this) of their variance is shared
LOOSE = 1.0  # known worse than this a part counts as laid by nothing: standard uncertainty of the shift [mm]
BY_LAYING = ("contour", "hole_position")
FEW_POINTS = 120_000  # are enough to lay the part roughly
MOST_PIN_SD = 0.05  # a hole less sure carries no fit [mm]
LEAST_PLACES = 6
USUAL_SD = 0.03  # where neither the file nor the points say [mm]


def found_points(plan: Plan, measured: Measured, fit: str = PINS, say: Callable[[str], None] | None = None) -> FoundSet:
    """Everything that `measured.points` show. `fit` of FITS: by the pin holes, each alike; or by places of edges together with the pins
    that are seen. Without two pin holes it is by places, and says so. `say` hears how far it is. InputError where the
    points are of no such part, mirrored or in another unit."""
    hear = say or (lambda _: None)
    points = measured.points
    if points is None or fit not in FITS:
        raise ValueError(fit)
    if measured.said.what == BLANK:
        allowed = "points of the formed part; a flat blank is traced from a picture"
        raise InputError([Fault(measured.file, "what", "points of a blank", allowed)])
    faces = scan_faces(plan, measured.said.face)
    hear("laying the points onto the drawing")
    rng = np.random.default_rng(5)
    some = points if len(points) <= FEW_POINTS else points[rng.integers(0, len(points), FEW_POINTS)]
    pose = by_plain_edges(faces, rough_pose(faces, some, measured.file), some)
    pose = _levelled(faces, pose, some, measured.file)
    two = None
    if both_faces(faces, pose.moved(some)):
        two = told_apart(faces, pose.moved(points))
        points = points[two.keep]
        some = points if len(points) <= FEW_POINTS else points[rng.integers(0, len(points), FEW_POINTS)]
        pose = _levelled(faces, pose, some, measured.file)
    gauge, stated = _stated(plan, measured)
    hear("finding the holes")
    first = _edges(faces, pose.moved(some), stated, measured.file)[0].places(stated, own=False)
    rough = pooled_sd(first) if stated is None else max(stated, pooled_sd(first) or 0.0)
    holes = seen_holes(faces, pose.moved(points), rough)
    move, by, used, notes = _fitted(faces, pose, first, holes, fit)
    pose = pose.after(move.turn, move.shift)
    holes = tuple(_carried(h, move) for h in holes)
    hear("finding the places of every edge")
    local = pose.moved(points)
    seen, web = _edges(faces, local, stated, measured.file)
    places = seen.places(rough)
    scatter = pooled_sd(places)
    sd = max(stated or 0.0, scatter or 0.0) or USUAL_SD
    free = np.inf if stated is not None and stated >= sd else float(sum(p.line.free for p in places))
    common = float(np.sqrt(max((stated or 0.0) ** 2 - (scatter or 0.0) ** 2, 0.0)))
    fitted = _fit_of(pose, move, by, holes, used)
    scanned = Scanned(faces, web, places, seen.cut_places(sd), holes, fitted, sd, free, common, gauge, local, two)
    found, profiles, findings, more = rows_of(scanned)
    found, fitted = _as_known(found, fitted, stated is not None)
    return FoundSet(found, fitted, profiles, findings, (*notes, *_noise(stated, scatter, sd), *more))


def _stated(plan: Plan, measured: Measured) -> tuple[tuple[str, ...], float | None]:
    """(id of the gauge that took the points or (), standard uncertainty of a point as stated [mm]): the file's or its gauge's, whichever is
    more; None where neither says."""
    said, known = measured.said, [g.id for g in plan.job.shop.gauges]
    wrong = [g for g in said.gauges if g not in known]
    if wrong:
        allowed = ", ".join(known) or "a [[gauge]] of shop.toml"
        raise InputError([Fault(measured.file, "gauge", repr(g), allowed, nearest(g, known)) for g in wrong])
    gauge, u = gauge_of_points(plan.job.shop, said.gauges)
    us = [x for x in (said.uncertainty, u) if x is not None]
    return (gauge.id,) if gauge else said.gauges[:1], max(us) / COVERAGE if us else None


def _as_known(found: tuple[Found, ...], fit: Fit, stated: bool) -> tuple[tuple[Found, ...], Fit]:
    """What was found, without the uncertainties that nobody can know."""
    if not stated:
        found = tuple(replace(f, u=None) for f in found)
    elif fit.by == NOTHING:
        found = tuple(replace(f, u=None, note=NOT_LAID) if f.quantity in BY_LAYING else f for f in found)
    else:
        return found, fit
    return found, replace(fit, drifts=tuple(replace(d, u=None) for d in fit.drifts))


def _edges(faces: ScanFaces, local: Array, sd: float | None, file: str) -> tuple[EdgePoints, SmoothFace]:
    line, s, u = faces.near.project(local[:, :2])
    web = web_of(local, on_web(faces, local, line, s, u), sd)
    if web is None:
        raise InputError([_no_web(file)])
    return EdgePoints(faces, local, line, s, u, web), web


def _levelled(faces: ScanFaces, pose: Pose, some: Array, file: str) -> Pose:
    """The pose with the plane through the web's cells at h = 0."""
    for _ in range(2):
        local = pose.moved(some)
        web = web_of(local, on_web(faces, local, *faces.near.project(local[:, :2])), None)
        if web is None:
            raise InputError([_no_web(file)])
        a, b, c = level(web)
        n = np.array([-b, -c, 1.0]) / np.sqrt(1.0 + b * b + c * c)
        k = np.array([[0, 0, -n[0]], [0, 0, -n[1]], [n[0], n[1], 0]])
        turn = np.eye(3) + k + k @ k / (1.0 + n[2])
        pose = replace(pose, turn=turn @ pose.turn, shift=turn @ (pose.shift - (0.0, 0.0, a)))
    return pose


def _no_web(file: str) -> Fault:
    allowed = "at least six points on the flat of the web, well apart"
    return Fault(file, "the points", "too few on the web to say how it lies", allowed)


# ---- laying


def _fitted(
    faces: ScanFaces, pose: Pose, places: tuple[Place, ...], holes: tuple[SeenHole, ...], fit: str
) -> tuple[Move, str, frozenset[str], tuple[str, ...]]:
    """(move, what it is by, the holes that carry it, notes)."""
    pins = [h for h in holes if h.hole.kind == "tooling" and float(np.max(np.diag(h.cov))) < MOST_PIN_SD**2]
    missing = [
        h.name for h in faces.plan.job.part.holes if h.kind == "tooling" and h.name not in {p.hole.name for p in pins}
    ]
    notes = [f"No points tell surely enough where pin hole {', '.join(missing)} lies."] if missing else []
    if pose.found:
        notes.append("The points did not lie in the drawing's frame; the way they lie on it was looked for.")
    rows = _pin_rows(pins)
    if fit != PLACES and _holds(rows):
        if fit == PINS:
            points, targets, ways, sd = rows
            move = register(points, targets, ways, sd, np.ones(len(sd)))
            return move, PINS, frozenset(h.hole.name for h in pins), tuple(notes)
    elif fit != PLACES:
        notes.append(
            "Too few pin holes are seen to lay the part by them: it is laid by places of its edges, which turns away what they share."
        )
    drawn = np.array([p.point for p in places]).reshape(-1, 2)
    normal = np.array([p.normal for p in places]).reshape(-1, 2)
    moved = np.array([_contour(faces, p) for p in places])
    points = np.concatenate([rows[0], drawn + moved[:, None] * normal])
    targets, ways = np.concatenate([rows[1], drawn]), np.concatenate([rows[2], normal])
    sd = np.concatenate([np.maximum(rows[3], 0.005), np.full(len(places), PLACE_SD)])
    used = frozenset(h.hole.name for h in pins)
    by = BOTH if used else PLACES
    if len(places) >= LEAST_PLACES and _holds((points, targets, ways, sd)):
        move = register(points, targets, ways, sd)
        size = max(PLACE_SD, LEFT_TO_OWN * float(np.sqrt(np.mean(move.left[len(rows[3]) :] ** 2))))
        move = register(points, targets, ways, sd, shared=_alike(sd[: len(rows[3])], places, size))
        if float(np.linalg.eigvalsh(move.cov[:2, :2])[-1]) < LOOSE**2:
            return move, by, used, tuple(notes)
    notes.append(
        "Neither pin holes nor places tell how the part lies: it stays as its flanges were laid roughly, and how far off the contour and "
        "the holes are is not known. Angles and widths do not ask for it."
    )
    zero = register(np.zeros((1, 2)), np.zeros((1, 2)), np.array([[1.0, 0.0]]), np.ones(1))
    return zero, NOTHING, frozenset(), tuple(notes)


def _alike(sd: Array, places: tuple[Place, ...], size: float) -> Array:
    """Covariance of the rows of pins, standard uncertainty `sd` (k,), and then of places that deviate by `size` [mm]: what one place of an
    edge deviates its neighbours do too, size^2 exp(-distance/ALIKE_MM)."""
    edge, s = np.array([p.edge for p in places]), np.array([p.s for p in places])
    near = np.exp(-np.abs(s[:, None] - s[None]) / ALIKE_MM) * (edge[:, None] == edge[None])
    out = np.zeros((len(sd) + len(places),) * 2)
    out[: len(sd), : len(sd)] = np.diag(sd**2)
    out[len(sd) :, len(sd) :] = size * size * near
    return out


Rows = tuple[Array, Array, Array, Array]


def _pin_rows(pins: list[SeenHole]) -> Rows:
    """Two rows of a round hole, one across a slot: points, targets, ways, standard uncertainties."""
    points, targets, ways, sd = [], [], [], []
    for h in pins:
        across = np.array([-h.axis[1], h.axis[0]])
        for way in [across] if h.hole.slot > 0.0 else [np.array([1.0, 0.0]), np.array([0.0, 1.0])]:
            points.append(np.add(h.hole.at, h.off))
            targets.append(np.asarray(h.hole.at, float))
            ways.append(way)
            sd.append(float(np.sqrt(way @ h.cov @ way)))
    return tuple(
        np.array(x, float).reshape(-1, n) if n > 1 else np.array(x, float)
        for x, n in zip((points, targets, ways, sd), (2, 2, 2, 1), strict=True)
    )  # type: ignore[return-value]


def _holds(rows: Rows) -> bool:
    """Whether rows hold shift and turn."""
    return len(rows[3]) >= 3 and register(*rows).held


def _contour(faces: ScanFaces, p: Place) -> float:
    """The drawing's line less where it is drawn at a place [mm]."""
    moved, drawn, found = (np.array([x]) for x in (p.moved, p.drawn, p.angle))
    return float(faces.moved_line(p.edge, moved, drawn, found)[0])


def _carried(h: SeenHole, move: Move) -> SeenHole:
    """A hole's middle after the move."""
    at = np.asarray(h.hole.at, float)
    return replace(h, off=move.moved((at + h.off)[None])[0] - at)


def _fit_of(pose: Pose, move: Move, by: str, holes: tuple[SeenHole, ...], used: frozenset[str]) -> Fit:
    """The whole move in the plane, of points levelled by the least turn; its covariance is that of the last move."""
    z = pose.turn[2] * np.sign(np.linalg.det(pose.turn))  # up from the drawing, in the data's frame
    v = np.array([z[1], -z[0], 0.0])
    k = np.array([[0, -v[2], v[1]], [v[2], 0, -v[0]], [-v[1], v[0], 0]])
    least = np.eye(3) + k + k @ k / (1.0 + z[2]) if z[2] > -1.0 + 1e-9 else np.diag([1.0, -1.0, -1.0])
    plane = pose.turn @ least.T
    turn = degrees(float(np.arctan2(plane[1, 0], plane[0, 0])))
    cov = move.cov if by != NOTHING else np.zeros((3, 3))
    fit = Fit(
        float(pose.shift[0]),
        float(pose.shift[1]),
        turn,
        move.rms,
        by,
        cov,
        (float(move.about[0]), float(move.about[1])),
    )
    return replace(fit, drifts=tuple(_drift(h, fit, h.hole.name in used) for h in holes))


def _drift(h: SeenHole, fit: Fit, used: bool) -> Drift:
    at = np.asarray(h.hole.at, float)[None]
    sd = [np.hypot(np.sqrt(h.cov[i, i]), fit.sd(at, np.eye(2)[i][None])[0]) for i in (0, 1)]
    return Drift(h.hole.name, float(h.off[0]), float(h.off[1]), 2.0 * float(max(sd)), used)


def _noise(stated: float | None, scatter: float | None, sd: float) -> tuple[str, ...]:
    """Which error of a point was taken."""
    if stated is None:
        seen = "" if scatter is None else f" They scatter by {2 * sd:.3g} mm (factor 2), but what"
        return (
            f"Nothing says how surely a point was measured.{seen or ' What'} neighbouring points err alike no scatter shows, so that no "
            "uncertainty is known. Write `# uncertainty = 0.05 mm` or what it is, or `# gauge =` an arm or scanner of shop.toml.",
        )
    if scatter is not None and scatter > stated:
        seen, said = f"{2 * scatter:.3g}", 2 * stated
        return (
            f"Points scatter about the flanges by {seen} mm (factor 2), more than the stated {said:.3g} mm: that is taken.",
        )
    return (f"The uncertainty of a point is as stated, {2 * stated:.3g} mm (factor 2).",)
