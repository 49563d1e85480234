"""Faults of the formed part's own shape: flanges that fold or pass through each other, lines that cross themselves.

Looked at on the drawn part alone, whatever method lays it flat:
    folds      1 + kappa off <= 0 at a place, kappa the curvature of the bend tangent line there, not smoothed
    lines      bend tangent line and outside mold line of every loop, neighbours cut at their meeting: must go round once
    tangents   a run's edges must go on into each other; a loop of one edge into its own start
    flanges    the two faces of every flange, outer and hole, against those of every other
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from ribwright.features.laid import LaidEdge, LaidLoop
from ribwright.geometry.midsurface.crossing import crossings
from ribwright.geometry.offset import SMOOTH, SetOver, meet, mitred, turn_between
from ribwright.stages.blank import Blank, RunStrip
from ribwright.stages.finding import Finding
from ribwright.stages.flat_holes import FlatHole
from ribwright.stages.job import Job

Array = NDArray[np.float64]
Named = tuple[dict[str, object], Array, Array]
FOLD = 1e-9
BEND_ROWS = 6
STEP_MM = 3.0  # between the sections of a flange that is held against the others
ROUND_A_HOLE = 48
SQUARE_TURN = np.radians(80.0)  # as for the end of a flange: under this the web goes on beside it
TURNED_SHARE = 1e-3  # a loop whose line encloses less than this share of its drawn area is used up


def formed_faults(job: Job, blank: Blank) -> Iterator[Finding]:
    """Every fault of the formed shape; all are stops."""
    for loop in blank.laid:
        yield from _break(loop)
        yield from _lines(loop)
    for s in blank.strips:
        yield from _fold(job, blank, s)
    yield from _interference(job, blank)


def _break(loop: LaidLoop) -> Iterator[Finding]:
    """A flange that goes all the way round one edge must go on into its own start."""
    only = loop.edges[0]
    if len(loop.edges) > 1 or only.flange is None:
        return
    turn = float(np.degrees(turn_between(only.curve, only.curve)))
    if abs(turn) >= np.degrees(SMOOTH):
        yield Finding(
            "tangent-break",
            "stop",
            f"Edge {only.edge.name} goes all the way round and turns by {turn:.0f} deg where it ends on its own start: the flange "
            "would have a corner there, and one edge has no corner to relieve.",
            "Split the edge in two, so that the corner stands between two edges and gets its relief; or let it start along its end.",
            {"edge": only.edge.name, "along_mm": 0.0},
        )


def _lines(loop: LaidLoop) -> Iterator[Finding]:
    """Bend tangent line and outside mold line go round once."""
    lines = {
        "bend tangent line": [e.tangent_line if e.flange else _drawn(e) for e in loop.edges],
        "outside mold line": [_outside(e) if e.flange else _drawn(e) for e in loop.edges],
    }
    for what, set_over in lines.items():
        at = _turned_back(loop, set_over) or _crossing(loop, set_over)
        if at is not None:
            where, place = at
            yield Finding(
                "line-crosses-itself",
                "stop",
                f"The {what} of loop {loop.loop.name} turns back on itself or crosses itself {place}: the contour is tighter than the "
                "bend beside it is deep, or the web is narrower than its two bends.",
                "A larger contour radius or a smaller bend radius there; a wider web, or no flange on one of the two sides.",
                where,
            )
            return


def _drawn(e: LaidEdge) -> SetOver:
    return SetOver(e.curve, lambda s: np.zeros(len(s)))


def _outside(e: LaidEdge) -> SetOver:
    def inward(s: Array) -> Array:
        inside = np.clip(s, 0.0, e.curve.length)
        return e.tangent_inset(inside) - e.setback(inside)

    return SetOver(e.curve, inward, e.wanders)


def _turned_back(loop: LaidLoop, lines: list[SetOver]) -> tuple[dict[str, object], str] | None:
    """The first edge whose line runs backwards somewhere: 1 - kappa d <= 0."""
    for e, line in zip(loop.edges, lines, strict=True):
        s = np.linspace(0.0, e.curve.length, 257)
        back = np.flatnonzero(1 - e.curve.curvature(s) * line.inward(s) <= FOLD)
        if len(back):
            along = float(e.along(s[back[:1]])[0])
            return {"edge": e.edge.name, "along_mm": along}, f"on edge {e.edge.name}, {along:.1f} mm along"
    return None


def _crossing(loop: LaidLoop, lines: list[SetOver]) -> tuple[dict[str, object], str] | None:
    import shapely

    pieces, good = mitred(lines)
    if not good:
        return _used_up(loop, lines)
    points = np.concatenate([p[:-1] for p in pieces])
    ring = shapely.Polygon(points)
    drawn = np.concatenate([e.curve.point(np.linspace(0.0, e.curve.length, 65)[:-1]) for e in loop.edges])
    share = _area(points) / _area(drawn)
    if ring.is_valid and share > TURNED_SHARE:
        return None
    x, y = points.mean(axis=0)
    if not ring.is_valid:
        words = shapely.is_valid_reason(ring).partition("[")[2].rstrip("]").split()
        x, y = (float(w) for w in words[:2]) if len(words) >= 2 else (x, y)
    return {"loop": loop.loop.name, "at_mm": [float(x), float(y)]}, f"near ({x:.1f}, {y:.1f}) mm"


def _used_up(loop: LaidLoop, lines: list[SetOver]) -> tuple[dict[str, object], str] | None:
    """A plain edge that the bends on both sides of it, square to it or nearly, leave nothing of."""
    n = len(lines)
    for i, e in enumerate(loop.edges):
        before, after = loop.edges[i - 1], loop.edges[(i + 1) % n]
        turns = turn_between(before.curve, e.curve), turn_between(e.curve, after.curve)
        if e.flange or not before.flange or not after.flange or min(turns) < SQUARE_TURN:
            continue
        start, end = meet(lines[i - 1], lines[i]), meet(lines[i], lines[(i + 1) % n])
        if end.sa <= start.sb:
            return {"edge": e.edge.name}, f"at edge {e.edge.name}"
    return None


def _area(p: Array) -> float:
    q = np.roll(p, -1, axis=0)
    return float(np.sum(p[:, 0] * q[:, 1] - p[:, 1] * q[:, 0]) / 2)


def _fold(job: Job, blank: Blank, s: RunStrip) -> Iterator[Finding]:
    """A contour tighter than the flange's reach at one place, though not over the length that hoop strain smooths."""
    if s.strip.folds.any():
        return  # found on the smoothed curvature already
    at, rm = s.at, s.at.setback * 0 + _mid_radius(job, blank, s)
    a = np.radians(at.angle)
    edge, crest = rm * np.sin(a) + at.leg * np.cos(a), rm * np.sin(np.minimum(a, np.pi / 2))
    cells = np.concatenate([at.cells[:1], at.cells]), np.concatenate([at.cells, at.cells[-1:]])
    opens = np.min([1 + k * off for k in cells for off in (edge, crest)], axis=0)
    opens = np.where(at.cut, 1.0, opens)
    worst = int(np.argmin(opens))
    if opens[worst] <= 0:
        name, along = blank.laid[s.loop].edges[int(at.edge[worst])].edge.name, float(at.along[worst])
        yield Finding(
            "flange-folds",
            "stop",
            f"Edge {name}, {along:.1f} mm along: the formed flange reaches past the contour's centre of curvature and would fold.",
            "A larger contour radius, a narrower flange, or relief notches.",
            {"edge": name, "along_mm": along},
        )


def _mid_radius(job: Job, blank: Blank, s: RunStrip) -> Array:
    """Mid-surface bend radius at the stations [mm]."""
    flanges = {i: blank.laid[s.loop].edges[i].flange for i in s.run.edges}
    return np.array([f.bend_radius + job.t / 2 if (f := flanges[int(i)]) else 0.0 for i in s.at.edge])


def _interference(job: Job, blank: Blank) -> Iterator[Finding]:
    """Flanges that pass through each other as formed: at an inner corner, or leaning in from both sides of one."""
    made = [_flange(job, blank, s, k) for s in blank.strips for k in s.at.petals]
    made += [_hole_flange(job, h) for h in blank.holes if h.straight is not None and h.tangent_diameter is not None]
    for (where, mid, normal), (other, mid2, normal2) in itertools.combinations(made, 2):
        reach = job.t / 2 + 1e-9
        if np.any(mid.min(axis=(0, 1)) - reach > mid2.max(axis=(0, 1)) + reach) or np.any(
            mid2.min(axis=(0, 1)) - reach > mid.max(axis=(0, 1)) + reach
        ):
            continue
        hit = crossings(_faces(mid, normal, job.t), _faces(mid2, normal2, job.t))
        if len(hit):
            x, y, z = (float(v) for v in hit.mean(axis=0))
            one, two = (" ".join(str(v) for v in w.values()) for w in (where, other))
            yield Finding(
                "formed-overlap",
                "stop",
                f"As formed, the flanges of {one} and {two} pass through each other near ({x:.1f}, {y:.1f}) mm, {abs(z):.1f} mm from "
                "the web's middle.",
                "End one flange earlier, a notch with a gap wider than both flanges lean in, or a smaller bend angle there.",
                {"flanges": [one, two], "at_mm": [x, y]},
            )


def _flange(job: Job, blank: Blank, s: RunStrip, petal: NDArray[np.int64]) -> Named:
    """Mid-surface of a piece of flange, its stations `petal`, and its section's normals (rows, stations, 3)."""
    laid, at = blank.laid[s.loop], s.at
    keep = petal[_spread(np.where(at.arc[petal] < at.arc[petal[0]], at.arc[petal] + at.total, at.arc[petal]))]
    up = 1.0 if laid.edges[s.run.edges[0]].flange and laid.edges[s.run.edges[0]].flange.turn == "up" else -1.0  # type: ignore[union-attr]
    rm, a, leg = _mid_radius(job, blank, s)[keep], np.radians(at.angle[keep]), np.maximum(at.leg[keep], 0.0)
    where: dict[str, object] = {"edge": laid.edges[s.run.edges[0]].edge.name}
    return where, *_section(at.tangent[keep], at.normal[keep], rm, a, leg, up)


def _hole_flange(job: Job, h: FlatHole) -> Named:
    assert h.straight is not None
    assert h.tangent_diameter is not None
    t = np.linspace(0.0, -2 * np.pi, ROUND_A_HOLE + 1)
    out = -np.column_stack([np.cos(t), np.sin(t)])
    one, up = np.ones(len(t)), 1.0 if h.hole.turn == "up" else -1.0
    rm, a = (h.hole.bend_radius + job.t / 2) * one, np.radians(h.hole.bend_angle) * one
    line = np.array(h.hole.at) - h.tangent_diameter / 2 * out
    return {"hole": h.hole.name}, *_section(line, out, rm, a, h.straight * one, up)


def _spread(arc: Array) -> NDArray[np.int64]:
    """Stations about STEP_MM apart, the first and last among them."""
    wanted = np.linspace(arc[0], arc[-1], max(2, int(np.ceil((arc[-1] - arc[0]) / STEP_MM)) + 1))
    return np.unique(np.searchsorted(arc, wanted).clip(0, len(arc) - 1))


def _section(line: Array, out: Array, rm: Array, a: Array, leg: Array, up: float) -> tuple[Array, Array]:
    share = np.concatenate([np.linspace(0.0, 1.0, BEND_ROWS + 1), [1.0]])[:, None]
    beyond = np.concatenate([np.zeros(BEND_ROWS + 1), [1.0]])[:, None]
    phi = share * a
    x = rm * np.sin(phi) + beyond * leg * np.cos(a)
    z = rm * (1 - np.cos(phi)) + beyond * leg * np.sin(a)
    points = np.concatenate([line + x[..., None] * out, (up * z)[..., None]], axis=2)
    normal = np.concatenate([(-up * np.sin(phi))[..., None] * out, np.cos(phi)[..., None]], axis=2)
    return points, normal


def _faces(mid: Array, normal: Array, thickness: float) -> Array:
    """Both faces of a flange's grid (rows, columns, 3) as triangles (n, 3, 3)."""
    out = []
    for p in (mid - thickness / 2 * normal, mid + thickness / 2 * normal):
        a, b, c, d = p[:-1, :-1], p[1:, :-1], p[1:, 1:], p[:-1, 1:]
        out += [np.stack(x, axis=2).reshape(-1, 3, 3) for x in ((a, b, c), (a, c, d))]
    return np.concatenate(out)
