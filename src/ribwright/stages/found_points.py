"""What points from an arm or a scanner show of a formed part: angles, mold lines, widths, holes and the web's bow, with uncertainties.

    1  web and flanges laid roughly onto the drawing            scan_pose
    2  the web levelled by the plane through its cells           scan_web
    3  holes found; laid by the pin holes, each alike            scan_holes, geometry/register
       or by places of edges (their means, 0.2 mm each) with or without the pins
    4  every place of every edge                                 scan_sections

Points by the thousand drown three pins: laid by all of them a part turns its own deviations away. So the pins lay it, or the means of
places; never single points.

The error of a point is what the file says (`uncertainty`), or its scatter about the faces' own lines where that is more or the file
says nothing. What scatters averages out over many points; what the file says beyond the scatter is taken to be common to neighbouring
points and stays whole in every length. Of a file that says nothing the common part is not known, and not in it.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from math import degrees

import numpy as np
from numpy.typing import NDArray

from ribwright.errors import Fault, InputError
from ribwright.features.inspected import BLANK, Measured
from ribwright.geometry.register import Move, register
from ribwright.geometry.smooth_face import SmoothFace
from ribwright.stages.found import Drift, Fit, FoundSet
from ribwright.stages.plan import Plan
from ribwright.stages.scan_faces import ScanFaces, scan_faces
from ribwright.stages.scan_holes import SeenHole, seen_holes
from ribwright.stages.scan_pose import Pose, by_plain_edges, rough_pose
from ribwright.stages.scan_rows import Scanned, rows_of
from ribwright.stages.scan_sections import EdgePoints, Place, pooled_sd
from ribwright.stages.scan_two_faces import both_faces, told_apart
from ribwright.stages.scan_web import level, on_web, web_of

Array = NDArray[np.float64]
PINS, PLACES, BOTH = "pins", "places", "places and pins"
FITS = (PINS, PLACES)
PLACE_SD = 0.2  # of a place's mean as a carrier of the fit: parts deviate by about so much [mm]
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
    stated = None if measured.said.uncertainty is None else measured.said.uncertainty / 2.0
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
    scanned = Scanned(
        faces, web, places, seen.cut_places(sd), holes, fitted, sd, free, common, measured.said.gauges[:1], local, two
    )
    found, profiles, findings, more = rows_of(scanned)
    return FoundSet(found, fitted, profiles, findings, (*notes, *_noise(stated, scatter, sd), *more))


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
    if len(places) < LEAST_PLACES or not _holds((points, targets, ways, sd)):
        notes.append("Too few places tell how the part lies: it stays as its flanges were laid roughly.")
        zero = register(np.zeros((1, 2)), np.zeros((1, 2)), np.array([[1.0, 0.0]]), np.ones(1))
        return zero, "none", frozenset(), tuple(notes)
    used = frozenset(h.hole.name for h in pins)
    by = BOTH if used else PLACES
    # the weights take a place for 0.2 mm; its own error is that of its points, much less: the move's covariance keeps the larger
    return register(points, targets, ways, sd), by, used, tuple(notes)


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
    cov = move.cov if by != "none" else np.zeros((3, 3))
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
    if stated is None and scatter is None:
        return (f"Neither the file nor the points say how surely a point was measured: {2 * sd:.3g} mm is taken.",)
    if stated is None:
        return (f"The file gives no uncertainty of a point; by their scatter it is {2 * sd:.3g} mm (factor 2).",)
    if scatter is not None and scatter > stated:
        seen, said = 2 * scatter, 2 * stated
        return (
            f"Points scatter about the flanges by {seen:.3g} mm (factor 2), more than the file's {said:.3g} mm: that is taken.",
        )
    return (f"The uncertainty of a point is the file's, {2 * stated:.3g} mm (factor 2).",)
