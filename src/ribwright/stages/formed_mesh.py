"""The mid-surface of the formed part as a mesh, for the blank by equilibrium: the laid-out part put into the terms of geometry.

Formed is the part as the drawing gives it, its flanges at the drawing's angles; springback does not enter. Where the part cannot be
formed or laid flat as drawn there is no mesh but findings that say what to change. For pictures it has its flutes; the blank by
balance is that of the plain flange, whose edge the flutes gather after it has shrunk.

Element size, where none is asked for: 2 mm; half the least straight part of a flange where that is less, and a sixth of the least tangent
radius of a flanged hole; not under 0.5 mm, nor so small that bends and flanges would take more than 40 000 triangles.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ribwright.features.laid import LaidEdge, LaidLoop
from ribwright.geometry.curve import Arc
from ribwright.geometry.midsurface.build import mesh_of
from ribwright.geometry.midsurface.dents import Dent
from ribwright.geometry.midsurface.plans import Anchor, EdgePlan, HolePlan, JoinPlan, LoopPlan
from ribwright.geometry.midsurface.side import Side
from ribwright.geometry.midsurface.values import FormedMesh, NoMesh
from ribwright.geometry.offset import SMOOTH, meet
from ribwright.mechanics import annulus
from ribwright.stages.bead_room import rooms
from ribwright.stages.blank import Blank
from ribwright.stages.breaks import sharp_stations
from ribwright.stages.corners import Join
from ribwright.stages.develop import allowance, hill_k, shift
from ribwright.stages.finding import Finding, has_stop
from ribwright.stages.flat_faults import flat_faults
from ribwright.stages.flat_holes import FlatHole
from ribwright.stages.flute_dents import Flutes, breaks_of, fine_of, flute_dents
from ribwright.stages.formed_faults import formed_faults
from ribwright.stages.job import Job
from ribwright.stages.notch_mesh import with_notches

Array = NDArray[np.float64]
SIZE, LEAST_SIZE, MOST_TRIANGLES = 2.0, 0.5, 40_000
BEND_ROWS, ROW_TURN = 3, 0.6  # least rows across a bend, and what one may turn [rad]


# what is wrong and what to change, by the word of geometry
WORDS = {
    "folds": ("the formed flange folds on its contour", "A larger contour radius or a narrower flange."),
    "closes": (
        "the flange has no flat: its strip would close up",
        "A larger cut hole, a larger contour radius or a lower flange.",
    ),
    "no-straight": ("the flange's width does not reach past its bend", "A wider flange or a smaller bend radius."),
    "used-up": (
        "the reliefs and corners at its ends leave nothing of an edge",
        "A smaller relief or gap, or a longer edge.",
    ),
    "relief": ("the relief does not cut the outline at its corner", "A larger diameter or less set-back."),
    "web-crosses": ("the web's boundary crosses itself", "A wider web, or reliefs that keep clear of each other."),
    "edge-lost": ("two boundaries lie on each other", "Keep holes, reliefs and edges apart."),
}


@dataclass(frozen=True, eq=False)
class Meshed:
    """The mesh, or None and why; `places` names what its place numbers stand for: ("edge", name) or ("hole", name)."""

    mesh: FormedMesh | None
    places: tuple[tuple[str, str], ...]
    findings: tuple[Finding, ...] = ()


def mesh_part(job: Job, blank: Blank, size: float | None = None, flutes: Flutes = ()) -> Meshed:
    """The formed mid-surface of a part that was laid out by the strain-corrected method. `size`: element size [mm]. `flutes`: pressed
    into their flanges."""
    places = tuple(("edge", e.edge.name) for loop in blank.laid for e in loop.edges)
    places += tuple(("hole", h.hole.name) for h in blank.holes)
    faults = (*flat_faults(blank), *formed_faults(job, blank))
    if has_stop(faults):
        return Meshed(None, places, faults)
    size = size if size is not None else size_of(job, blank)
    first = [sum(len(loop.edges) for loop in blank.laid[:k]) for k in range(len(blank.laid) + 1)]
    loops = tuple(_loop(job, blank, k, first[k], size, flutes) for k in range(len(blank.laid)))
    holes = tuple(_hole(job, h, first[-1] + k, size, direction_of(blank)) for k, h in enumerate(blank.holes))
    dents = _bead_dents(job, blank)
    dents += flute_dents(flutes, (e for loop in blank.laid for e in loop.edges), loops)
    made = mesh_of(loops, holes, Anchor(_centre(blank), direction_of(blank)), size, dents)
    if isinstance(made, NoMesh):
        return Meshed(None, places, (not_made(made, places),))
    return Meshed(made, places)


def _bead_dents(job: Job, blank: Blank) -> tuple[Dent, ...]:
    """The beads that lie clear in the web, pressed into it: its sheet is stretched in place, the flat stays as it is."""
    return tuple(
        Dent(r.shape.path, r.shape.mid, np.ones(len(r.shape.path)), 1.0 if r.shape.bead.turn == "up" else -1.0)
        for r in rooms(job, blank)
        if r.shape.mid is not None and not r.shape.why_not and all(n.gap > 0 for n in r.near)
    )


def size_of(job: Job, blank: Blank) -> float:
    """Element size where none is asked for [mm]."""
    legs = [float(np.min(s.at.leg)) for s in blank.strips]
    holes = [h for h in blank.holes if h.straight is not None and h.tangent_diameter]
    legs += [h.straight for h in holes if h.straight is not None]
    radii = [h.tangent_diameter / 2 for h in holes if h.tangent_diameter is not None]
    wanted = max(min([SIZE, *(x / 2 for x in legs), *(r / 6 for r in radii)]), LEAST_SIZE)
    run = [(s.at.total, float(np.max(s.at.leg))) for s in blank.strips]
    run += [(np.pi * h.tangent_diameter, h.straight or 0.0) for h in holes if h.tangent_diameter]
    while sum(2 * length / wanted * (BEND_ROWS + leg / wanted) for length, leg in run) > MOST_TRIANGLES:
        wanted *= 1.05
    return wanted


def direction_of(blank: Blank) -> float:
    """Direction from start to end of the outer edge that was typed first [rad]: it moves with the part."""
    loop = blank.laid[0]
    edge = loop.edges[-1 if loop.loop.turned else 0]
    a, b = (np.array(edge.edge.points[k]) for k in ((-1, 0) if edge.edge.turned else (0, -1)))
    return float(np.arctan2(b[1] - a[1], b[0] - a[0])) if np.hypot(*(b - a)) > 1e-9 else 0.0


def _centre(blank: Blank) -> tuple[float, float]:
    """Centroid of the outer drawn loop."""
    p = np.concatenate([e.drawn.point(np.linspace(0, e.drawn.length, 33)[:-1]) for e in blank.laid[0].edges])
    q = np.roll(p, -1, axis=0)
    o = p.mean(axis=0)
    cross = (p - o)[:, 0] * (q - o)[:, 1] - (p - o)[:, 1] * (q - o)[:, 0]
    c = o + np.sum((p + q - 2 * o) * cross[:, None], axis=0) / (3 * np.sum(cross))
    return float(c[0]), float(c[1])


def _loop(job: Job, blank: Blank, k: int, first: int, size: float, flutes: Flutes = ()) -> LoopPlan:
    laid = blank.laid[k]
    joins = tuple(_join(laid, i, j) for i, j in enumerate(blank.joins[k]))
    rows = _rows(job, laid, joins, size)
    edges = tuple(
        EdgePlan(e.curve, first + i, _side(job, blank, e, first + i, *rows[i], flutes) if e.flange else None)
        for i, e in enumerate(laid.edges)
    )
    return with_notches(blank, k, LoopPlan(edges, joins))


def _join(laid: LaidLoop, i: int, join: Join) -> JoinPlan:
    a, b = laid.edges[i], laid.edges[(i + 1) % len(laid.edges)]
    relieved = join.relief != "none"
    if join.kind == "corner" and not relieved:
        if abs(join.turn) < SMOOTH and a.flange and b.flange and a.flange.turn == b.flange.turn:
            return JoinPlan("smooth", join.sa, join.sb)
        x = meet(a.tangent_line, b.tangent_line)
        return JoinPlan("corner", x.sa, x.sb, x.point)
    radius = join.diameter / 2 if relieved else 0.0
    return JoinPlan(join.kind, join.sa, join.sb, join.meeting, relieved, join.centre, radius)


def _rows(job: Job, laid: LaidLoop, joins: tuple[JoinPlan, ...], size: float) -> dict[int, tuple[int, int]]:
    """Rows across the bend and the straight part of each flanged edge, the same over all edges that join smoothly."""
    own = {i: _rows_of(job, e, size) for i, e in enumerate(laid.edges) if e.flange}
    for _ in laid.edges:
        for i, j in enumerate(joins):
            b = (i + 1) % len(joins)
            if j.kind == "smooth" and i in own and b in own:
                own[i] = own[b] = (max(own[i][0], own[b][0]), max(own[i][1], own[b][1]))
    return own


def _rows_of(job: Job, e: LaidEdge, size: float) -> tuple[int, int]:
    assert e.flange is not None
    s = np.linspace(0.0, e.curve.length, 65)
    return rows_for(np.radians(e.angle(s)), e.flange.bend_radius + job.t / 2, e.leg(s), size)


def rows_for(angle: Array, mid_radius: float, leg: Array, size: float) -> tuple[int, int]:
    """(rows across the bend, rows across the straight part): no higher than `size`; at least three, turning at most 0.6 rad each, and
    at least one."""
    turn = float(np.max(angle))
    bend = max(BEND_ROWS, int(np.ceil(turn / ROW_TURN - 1e-6)), int(np.ceil(turn * mid_radius / size - 1e-6)))
    return bend, max(1, int(np.ceil(float(np.max(leg)) / size - 1e-6)))


def _side(job: Job, blank: Blank, e: LaidEdge, place: int, bend: int, straight: int, flutes: Flutes) -> Side:
    assert e.flange is not None
    strip, i = blank.strip_of(e.edge.name)
    mine = strip.at.edge == i
    order = np.argsort(strip.at.s[mine])
    at, kappa = strip.at.s[mine][order], strip.strip.curvature[mine][order]

    def section(s: Array) -> tuple[Array, Array, Array]:
        inside = np.clip(s, 0.0, e.curve.length)
        return e.tangent_inset(inside), np.radians(e.angle(inside)), e.leg(inside)

    made = _made(
        job,
        e.curve,
        section,
        e.flange.bend_radius,
        e.flange.turn,
        bend,
        straight,
        lambda s: np.interp(s, at, kappa),
        place,
    )
    sharp = strip.at.s[sharp_stations(blank, strip, i)].tolist()
    breaks = tuple(np.unique([*sharp, *breaks_of(flutes, e)]).tolist())
    across = e.across if len(e.ramps) else None
    return replace(made, across=across, breaks=breaks, fine=fine_of(flutes, e))


def _made(
    job: Job, curve: object, section: Callable[[Array], tuple[Array, Array, Array]], radius: float, turn: str, bend: int,
    straight: int, curvature: Callable[[Array], Array], place: int,
) -> Side:  # fmt: skip
    mid, k = radius + job.t / 2, hill_k(job)

    def flat(s: Array, q: Array) -> Array:
        _, angle, leg = section(s)
        turned = np.degrees(angle * np.minimum(q, bend) / bend)
        out = np.maximum(leg, 0.0) * np.maximum(q - bend, 0.0) / straight
        width, _ = annulus.closed_form_width(curvature(s), mid, turned, out, k)
        return width - shift(job, radius, turned)

    neutral = float(allowance(job, radius, np.array([1.0]))[0]) / np.radians(1.0)
    return Side(curve, section, mid, neutral, 1.0 if turn == "up" else -1.0, bend, straight, flat, place)  # type: ignore[arg-type]


def _hole(job: Job, h: FlatHole, place: int, size: float, direction: float) -> HolePlan:
    hole = h.hole
    if h.straight is None or h.tangent_diameter is None:
        return HolePlan(hole.at, h.cut_diameter / 2, place, hole.slot, np.radians(hole.slot_angle))
    angle, leg, radius = np.radians(hole.bend_angle), h.straight, h.tangent_diameter / 2

    def section(s: Array) -> tuple[Array, Array, Array]:
        return np.zeros(len(s)), np.full(len(s), angle), np.full(len(s), leg)

    bend, straight = rows_for(np.array([angle]), hole.bend_radius + job.t / 2, np.array([leg]), size)
    curve = Arc(hole.at, radius, direction, -2 * np.pi)
    side = _made(
        job, curve, section, hole.bend_radius, hole.turn, bend, straight, lambda s: np.full(len(s), -1 / radius), place
    )
    return HolePlan(hole.at, h.cut_diameter / 2, place, side=side)


def not_made(why: NoMesh, places: Sequence[tuple[str, str]]) -> Finding:
    """The finding for a part that geometry could not mesh."""
    names = [places[k][1] for k in why.places]
    say, do = WORDS[why.why]
    of = f" ({', '.join(names)})" if names else ""
    return Finding(
        "mesh-not-made",
        "stop",
        f"The formed part cannot be meshed near ({why.at[0]:.1f}, {why.at[1]:.1f}) mm: {say}{of}.",
        do,
        {"places": names, "at_mm": list(why.at)},
        source="geometry",
    )
