"""What a scan showed, row by row: Found, Profile and Finding out of places, holes and web."""

from __future__ import annotations

from dataclasses import dataclass
from math import degrees
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ribwright.features.part import Hole
from ribwright.geometry.smooth_face import SmoothFace
from ribwright.mechanics.coverage import widened
from ribwright.stages.finding import Finding
from ribwright.stages.found import THICKNESS, Fit, Found, Profile
from ribwright.stages.scan_faces import ScanFaces
from ribwright.stages.scan_hole_flange import hole_flange
from ribwright.stages.scan_holes import SeenHole
from ribwright.stages.scan_sections import CutPlace, Place, curved_by
from ribwright.stages.scan_two_faces import TwoFaces
from ribwright.stages.scan_web import bow_of

Array = NDArray[np.float64]
BY = "points"
Where = dict[str, Any]
PINS_APART = 0.05  # pin holes that lie so far off one another are told [mm], and farther than three times they are sure


@dataclass(frozen=True, eq=False)
class Scanned:
    """A scan laid on its drawing. `sd` of a point, from `free` degrees of freedom, inf where the file said it; `common` what of the
    file's uncertainty their scatter does not show [mm]: it stays however many points there are; `gauge` (id,) of the shop's or
    (); `local` its points x, y, h (n, 3); `two` where both faces were scanned."""

    faces: ScanFaces
    web: SmoothFace
    places: tuple[Place, ...]
    cuts: tuple[CutPlace, ...]
    holes: tuple[SeenHole, ...]
    fit: Fit
    sd: float
    free: float
    common: float
    gauge: tuple[str, ...]
    local: Array
    two: TwoFaces | None = None


Rows = tuple[tuple[Found, ...], tuple[Profile, ...], tuple[Finding, ...], tuple[str, ...]]


def rows_of(scan: Scanned) -> Rows:
    """(found, profiles, findings, notes) of a scan."""
    found: list[Found] = []
    profiles: list[Profile] = []
    bare = []
    for k, e in enumerate(scan.faces.edges):
        if e.flange is not None:
            mine = [p for p in scan.places if p.edge == k]
            bare += [] if mine else [e.edge.name]
            found += _flanged(scan, mine)
            profiles += _profile(scan, k, [(p.along, _contour(scan, p)) for p in mine if not p.asked])
        else:
            cuts = [c for c in scan.cuts if c.edge == k]
            found += [_cut(scan, c) for c in cuts]
            profiles += _profile(scan, k, [(c.along, c.end.at) for c in cuts])
    found += [f for h in scan.holes for f in _hole(scan, h)]
    for flat in scan.faces.plan.blank.holes:
        if flat.hole.kind == "lightening":
            found += _lightening(scan, flat.hole)
    found.append(_flatness(scan))
    notes = [f"No points tell of the flange of edge {', '.join(bare)}."] if bare else []
    void = [h.hole.name for h in scan.holes if not h.wall]
    if void:
        notes.append(
            f"Hole {', '.join(void)} was seen by the gap it leaves in the web: its middle is told, its diameter is not."
        )
    if scan.two is not None and scan.two.cells:
        found.append(_thickness(scan, scan.two))
        notes.append(f"Both faces of the sheet were scanned: the {scan.faces.face} one is held against the drawing.")
    notes.append(
        "Bend radii are not found from points."
        if scan.two
        else "Bend radii, and thickness from one face, are not found from points."
    )
    return tuple(found), tuple(profiles), tuple(_pins(scan)), tuple(notes)


def _contour(scan: Scanned, p: Place) -> float:
    """The drawing's line less where it is drawn [mm]."""
    moved, drawn, turned = (np.array([x]) for x in (p.moved, p.drawn, p.angle))
    return float(scan.faces.moved_line(p.edge, moved, drawn, turned)[0])


def _row(
    scan: Scanned,
    quantity: str,
    where: Where,
    value: float,
    nominal: float,
    sd: float,
    points: int,
    balloon: str,
    note: str = "",
) -> Found:
    unit = "deg" if quantity == "flange_angle" else "mm"
    sd = sd if unit == "deg" else float(np.hypot(sd, scan.common))
    gauge = scan.gauge[0] if scan.gauge else ""
    return Found(quantity, where, float(value), float(nominal), unit, 2.0 * float(sd), BY, gauge, points, balloon, note)


def _flanged(scan: Scanned, mine: list[Place]) -> list[Found]:
    """Angle, contour and width at each place of a flange, in order along it."""
    out = []
    even = sorted((p for p in mine if not p.asked), key=lambda p: p.along)
    at = [p.along for p in even]
    bent = curved_by([p.moved for p in even])
    # the web's lean is that at the place, the flange's a mean over its stretch
    turning = curved_by([p.angle for p in even]) + curved_by([p.lean for p in even])
    for p in sorted(mine, key=lambda p: p.along):
        e = scan.faces.edges[p.edge]
        assert e.flange is not None
        where: Where = {"edge": e.edge.name, "along_mm": p.along}
        wide = widened(scan.free)
        more = (float(np.interp(p.along, at, bent)), float(np.interp(p.along, at, turning))) if at else (0.0, 0.0)
        moved_sd = float(
            np.sqrt(
                (wide * p.moved_sd(scan.sd)) ** 2 + scan.fit.sd(p.point[None], p.normal[None])[0] ** 2 + more[0] ** 2
            )
        )
        angle_sd = float(np.hypot(wide * p.angle_sd(scan.sd), more[1]))
        n = p.line.points
        out.append(
            _row(
                scan, "flange_angle", where, degrees(p.angle), degrees(p.drawn), degrees(angle_sd), n, e.flange.balloon
            )
        )
        out.append(
            _row(
                scan, "contour", where, _contour(scan, p), 0.0, _line_sd(scan, p, moved_sd, angle_sd), n, e.edge.balloon
            )
        )
        if p.width is not None:
            s = np.array([p.s])
            off, t = 0.0 if scan.faces.outside(p.edge) else 1.0, scan.faces.plan.job.t
            value = p.width + off * t * float(np.tan(p.angle / 2))
            own = float(np.hypot(p.width_sd, wide * p.moved_sd(scan.sd)))
            out.append(_row(scan, "flange_width", where, value, float(e.width(s)[0]), own, n, e.flange.balloon))
    return out


def _line_sd(scan: Scanned, p: Place, moved_sd: float, angle_sd: float) -> float:
    """Standard uncertainty of the drawing's line at a place: the face's mold line, and what the angle's error shifts it by."""
    one = np.array([0.0])
    by_angle = scan.faces.moved_line(
        p.edge, one, np.array([p.drawn]), np.array([p.angle + 1e-4])
    ) - scan.faces.moved_line(p.edge, one, np.array([p.drawn]), np.array([p.angle]))
    return float(np.hypot(moved_sd, float(by_angle[0]) / 1e-4 * angle_sd))


def _cut(scan: Scanned, c: CutPlace) -> Found:
    e = scan.faces.edges[c.edge]
    sd = float(np.hypot(c.end.sd, scan.fit.sd(c.point[None], c.normal[None])[0]))
    return _row(
        scan, "contour", {"edge": e.edge.name, "along_mm": c.along}, c.end.at, 0.0, sd, c.end.points, e.edge.balloon
    )


def _profile(scan: Scanned, k: int, rows: list[tuple[float, float]]) -> list[Profile]:
    rows.sort()
    x, y = (np.array([r[i] for r in rows]) for i in (0, 1))
    return [Profile(scan.faces.edges[k].edge.name, x, y)] if len(rows) > 1 else []


def _hole(scan: Scanned, h: SeenHole) -> list[Found]:
    """Drift along x and y, across a slot's axis alone where it is one; diameter where its wall was seen."""
    out, at = [], np.asarray(h.hole.at, float)[None]
    used = {d.hole for d in scan.fit.drifts if d.used}
    for i, axis in enumerate(("x", "y")):
        way = np.eye(2)[i]
        # what is left of a hole that carried the fit is surer than the hole itself
        by_fit = 0.0 if h.hole.name in used else float(scan.fit.sd(at, way[None])[0])
        sd = float(np.hypot(np.sqrt(h.cov[i, i]), by_fit))
        where: Where = {"hole": h.hole.name, "axis": axis}
        out.append(_row(scan, "hole_position", where, h.off[i], 0.0, sd, h.points, h.hole.balloon))
    if h.diameter is not None:
        out.append(
            _row(
                scan,
                "hole_diameter",
                {"hole": h.hole.name},
                h.diameter,
                h.hole.diameter,
                h.sd_diameter,
                h.points,
                h.hole.balloon,
            )
        )
    return out


def _lightening(scan: Scanned, h: Hole) -> list[Found]:
    flat = next(f for f in scan.faces.plan.blank.holes if f.hole.name == h.name)
    seen = hole_flange(scan.faces, flat, scan.local, scan.web, scan.sd)
    if seen is None:
        return []
    where: Where = {"hole": h.name}
    out = [
        _row(
            scan,
            "flange_angle",
            where,
            degrees(seen.angle),
            h.bend_angle,
            degrees(seen.angle_sd),
            seen.points,
            h.balloon,
        )
    ]
    at = np.asarray(h.at, float)[None]
    for i, axis in enumerate(("x", "y")):
        sd = float(np.hypot(seen.off_sd, scan.fit.sd(at, np.eye(2)[i][None])[0]))
        out.append(_row(scan, "hole_position", {**where, "axis": axis}, seen.off[i], 0.0, sd, seen.points, h.balloon))
    if seen.rim is not None and flat.rim_diameter is not None:
        out.append(
            _row(scan, "hole_diameter", where, seen.rim, flat.rim_diameter, seen.rim_sd, seen.points, h.balloon, "rim")
        )
    return out


def _flatness(scan: Scanned) -> Found:
    bow = bow_of(scan.web, scan.sd)
    high, low = (f"({x:.0f}, {y:.0f}) mm" for x, y in (bow.high, bow.low))
    note = f"highest towards the flanges near {high}, lowest near {low}"
    return _row(
        scan, "web_flatness", {"loop": "web"}, bow.value, 0.0, bow.u / 2.0, int(scan.web.counts.sum()), "", note
    )


def _thickness(scan: Scanned, two: TwoFaces) -> Found:
    return _row(
        scan,
        THICKNESS,
        {"loop": "web"},
        two.thickness,
        scan.faces.plan.job.t,
        two.sd,
        two.cells,
        "",
        "mean over the web",
    )


def _pins(scan: Scanned) -> list[Finding]:
    """Pin holes that lie off one another by more than they are sure of: the part is laid between them."""
    drifts = [d for d in scan.fit.drifts if d.used]
    if len(drifts) < 2:
        return []
    worst = max(drifts, key=lambda d: float(np.hypot(d.dx, d.dy)))
    off, u = float(np.hypot(worst.dx, worst.dy)), worst.u or 0.0
    if off < PINS_APART or off < 1.5 * u:
        return []
    return [
        Finding(
            "measured-pins-disagree", "warn",
            f"The pin holes do not lie as drawn to one another: laid by all of them alike, hole {worst.hole} is off by {off:.2f} mm. "
            "Every deviation of the contour shares in that.",
            "Look whether a pin hole was drawn out; judge the contour by the holes that are sound.",
            {"hole": worst.hole}, off, u, None, "mm", "points of the holes, least squares of all pin holes",
        )
    ]  # fmt: skip
