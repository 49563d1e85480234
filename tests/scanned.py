"""Parts of known deviation, scanned: points strewn over exact faces, noise added, laid down somewhere in space.

Written before the code that finds deviations and from none of it: the section of a flange is put up from its mold line, its angle and the
web's slope by elementary geometry. `Truth` says what was put in.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
import shapely

from ribwright.features.laid import LaidEdge
from ribwright.features.part import Hole
from ribwright.stages.plan import Plan

Array = np.ndarray
Wave = Callable[[Array], Array]


def flat(_: Array) -> Array:
    """No deviation."""
    return np.zeros(len(_))


def wave(rng: np.random.Generator, size: float, longest: float = 300.0, least: float = 120.0) -> Wave:
    """A smooth deviation along an edge: a constant and one wave of `least` to `longest` mm, together about `size`."""
    c, a, k, p = rng.normal(0, size), rng.normal(0, size), 2 * np.pi / rng.uniform(least, longest), rng.uniform(0, 6.28)
    return lambda x: c + a * np.cos(k * np.asarray(x) + p)


@dataclass
class Truth:
    """contour [mm, + outward] and angle [deg, + turned further] along each edge as typed; width [mm] longer; drift of each hole [mm];
    the web's bow: `bow` mm high in the middle, a cosine over the part's box; `hole_angle` [deg] of a flanged hole."""

    contour: dict[str, Wave] = field(default_factory=dict)
    angle: dict[str, Wave] = field(default_factory=dict)
    width: dict[str, float] = field(default_factory=dict)
    drift: dict[str, tuple[float, float]] = field(default_factory=dict)
    hole_angle: dict[str, float] = field(default_factory=dict)
    bow: float = 0.0


@dataclass
class Scan:
    """How it is scanned: points a square mm over web and flanges, on each hole's wall, standard deviation of a point [mm]; `face`;
    `holes`: "wall" points on it, "void" only the hole left in the web; the pose: `tilt`, `turn` [deg] and `shift` [mm] at most."""

    density: float = 0.25
    on_wall: int = 60
    sd: float = 0.03
    face: str = "outer"
    holes: str = "wall"
    tilt: float = 2.0
    turn: float = 2.0
    shift: float = 3.0
    strays: int = 0


def scanned(plan: Plan, truth: Truth, scan: Scan, rng: np.random.Generator) -> Array:
    """Points (n, 3) in a frame near the drawing's: flanges turned down lie at negative z."""
    part, t = plan.job.part, plan.job.t
    t_in = 0.0 if scan.face == "outer" else t
    bow = _bow(plan, truth)
    every = []
    for loop in plan.blank.laid:
        for e in loop.edges:
            if e.flange is not None:
                every.append(_flange(plan, e, truth, scan, rng, bow, t_in))
            elif scan.on_wall:
                every.append(_cut_edge(plan, e, truth, rng, bow, t))
    every.append(_web(plan, truth, scan, rng, bow, t_in))
    for h in part.holes:
        every.append(_hole(plan, h, truth, scan, rng, bow, t_in))
    points = np.concatenate(every)
    points = points * (1.0, 1.0, -1.0)  # heights go down
    points += rng.normal(0, scan.sd, points.shape)
    if scan.strays:
        points = np.concatenate([points, rng.uniform(points.min(axis=0) - 5, points.max(axis=0) + 5, (scan.strays, 3))])
    return laid(points, rng, scan)


def laid(points: Array, rng: np.random.Generator, scan: Scan) -> Array:
    """Turned and shifted within what the scan says."""
    a, b = np.radians(rng.uniform(-scan.tilt, scan.tilt, 2))
    c = np.radians(rng.uniform(-scan.turn, scan.turn))
    x = np.array([[1, 0, 0], [0, np.cos(a), -np.sin(a)], [0, np.sin(a), np.cos(a)]])
    y = np.array([[np.cos(b), 0, np.sin(b)], [0, 1, 0], [-np.sin(b), 0, np.cos(b)]])
    z = np.array([[np.cos(c), -np.sin(c), 0], [np.sin(c), np.cos(c), 0], [0, 0, 1]])
    middle = points.mean(axis=0)
    return (points - middle) @ (z @ y @ x).T + middle + rng.uniform(-scan.shift, scan.shift, 3)


def _bow(plan: Plan, truth: Truth) -> Callable[[Array], tuple[Array, Array]]:
    """Height and slope (n, 2) of the web at points (n, 2): B cos(pi x'/2) cos(pi y'/2) over the box of the drawing."""
    p = np.concatenate([e.drawn.point(np.linspace(0, e.drawn.length, 50)) for e in plan.blank.laid[0].edges])
    low, high = p.min(axis=0), p.max(axis=0)
    mid, half = (low + high) / 2, (high - low) / 2

    def at(x: Array) -> tuple[Array, Array]:
        u = np.pi / 2 * (x - mid) / half
        c, s = np.cos(u), np.sin(u)
        slope = -truth.bow * np.column_stack([s[:, 0] * c[:, 1], c[:, 0] * s[:, 1]]) * (np.pi / 2 / half)
        return truth.bow * c[:, 0] * c[:, 1], slope

    return at


def _flange(
    plan: Plan, e: LaidEdge, truth: Truth, scan: Scan, rng: np.random.Generator, bow: Callable, t_in: float
) -> Array:
    """Bend and flange. In the section: the mold line, from it the web's face back and the flange's face on, the bend rolled between."""
    t, f = plan.job.t, e.flange
    strip, i = plan.blank.strip_of(e.edge.name)
    mine = strip.at.edge == i
    low, high = strip.at.s[mine].min(), strip.at.s[mine].max()
    width, up = e.width(np.array([(low + high) / 2]))[0], (1.0 if f.turn == "down" else -1.0)
    n = rng.poisson(scan.density * (high - low) * (width + 2 * f.bend_radius))
    s = rng.uniform(low, high, n)
    along = e.along(s)
    a = np.radians(e.angle(s) + truth.angle.get(e.edge.name, flat)(along))
    w = e.width(s) + truth.width.get(e.edge.name, 0.0)
    off = truth.contour.get(e.edge.name, flat)(along)
    curve = e.curve
    drawn, tangent = curve.point(s), curve.tangent(s)
    normal = np.column_stack([tangent[:, 1], -tangent[:, 0]])
    nominal_setback = (f.bend_radius + t) * np.tan(np.radians(e.angle(s)) / 2)
    mold = off - (e.tangent_inset(s) - nominal_setback)  # outward of the drawn line
    # the web's tangent plane where the bend leaves it
    leaves = drawn + (mold - nominal_setback)[:, None] * normal
    h, slope = bow(leaves)
    m = np.einsum("ni,ni->n", slope, normal)
    mu = np.arctan(m)
    at_mold = h + m * nominal_setback
    reach = (f.bend_radius + t) * np.tan(a / 2)
    # length along the section from the bend's start: the bend's arc, then the flange
    arc = (f.bend_radius + t) * a
    x = rng.uniform(0, 1, n) * (arc + w - reach)
    on_arc = x < arc
    phi = np.where(on_arc, x / (f.bend_radius + t), a)
    beyond = np.where(on_arc, 0.0, x - arc)
    radius = f.bend_radius + t
    # along the web's direction e1 and square to it e2, from where the bend begins (reach before the mold line); t_in: the other face
    u1 = -reach + (radius - t_in) * np.sin(phi) + beyond * np.cos(phi)
    u2 = radius - (radius - t_in) * np.cos(phi) + beyond * np.sin(phi)
    u = mold + u1 * np.cos(mu) - u2 * np.sin(mu)
    z = at_mold + u1 * np.sin(mu) + u2 * np.cos(mu)
    if up < 0:
        z = t - z
    return np.column_stack([drawn + u[:, None] * normal, z])


def _cut_edge(plan: Plan, e: LaidEdge, truth: Truth, rng: np.random.Generator, bow: Callable, t: float) -> Array:
    """An arm along the cut face of an edge without flange, a point each half millimetre."""
    n = int(e.curve.length * 2)
    s = rng.uniform(0, e.curve.length, n)
    tangent = e.curve.tangent(s)
    normal = np.column_stack([tangent[:, 1], -tangent[:, 0]])
    p = e.curve.point(s) + truth.contour.get(e.edge.name, flat)(e.along(s))[:, None] * normal
    return np.column_stack([p, bow(p)[0] + rng.uniform(0, t, n)])


def _web(plan: Plan, truth: Truth, scan: Scan, rng: np.random.Generator, bow: Callable, t_in: float) -> Array:
    rings = []
    for loop in plan.blank.laid:
        ring = []
        for e in loop.edges:
            s = np.linspace(0, e.curve.length, 200)
            tangent = e.curve.tangent(s)
            normal = np.column_stack([tangent[:, 1], -tangent[:, 0]])
            inset = e.tangent_inset(s)
            if e.flange is None:  # a plain edge lies where it was cut
                inset = -truth.contour.get(e.edge.name, flat)(e.along(s))
            ring.append(e.curve.point(s) - inset[:, None] * normal)
        rings.append(np.concatenate(ring))
    area = shapely.Polygon(rings[0], rings[1:]).buffer(0)
    for h in plan.blank.holes:
        x, y = np.add(h.hole.at, truth.drift.get(h.hole.name, (0, 0)))
        r = (h.tangent_diameter or h.cut_diameter) / 2
        d = np.radians(h.hole.slot_angle)
        half = h.hole.slot / 2 * np.array([np.cos(d), np.sin(d)])
        area = area.difference(shapely.LineString([(x, y) - half, (x, y) + half]).buffer(r, quad_segs=64))
    low, high = np.array(area.bounds[:2]), np.array(area.bounds[2:])
    p = rng.uniform(low, high, (rng.poisson(scan.density * np.prod(high - low)), 2))
    p = p[shapely.contains_xy(area, p[:, 0], p[:, 1])]
    return np.column_stack([p, bow(p)[0] + t_in])


def _hole(plan: Plan, h: Hole, truth: Truth, scan: Scan, rng: np.random.Generator, bow: Callable, t_in: float) -> Array:
    """A plain or pin hole: its wall; a flanged one: its flange, a full turn about its own middle."""
    t, at = plan.job.t, np.add(h.at, truth.drift.get(h.name, (0.0, 0.0)))
    if h.kind != "lightening":
        if scan.holes != "wall":
            return np.zeros((0, 3))
        n = scan.on_wall
        way = rng.uniform(0, 2 * np.pi, n)
        p = h.diameter / 2 * np.column_stack([np.cos(way), np.sin(way)])
        if h.slot:
            d = np.radians(h.slot_angle)
            axis = np.array([np.cos(d), np.sin(d)])
            p = p + np.sign(p @ axis)[:, None] * h.slot / 2 * axis
            flank = rng.uniform(-h.slot / 2, h.slot / 2, (n, 1)) * axis
            side = np.where(rng.uniform(size=(n, 1)) < 0.5, 1.0, -1.0) * h.diameter / 2 * np.array([-axis[1], axis[0]])
            p = np.concatenate([p, flank + side])
        p = p + at
        return np.column_stack([p, bow(p)[0] + rng.uniform(0, t, len(p))])
    made = next(f for f in plan.blank.holes if f.hole.name == h.name)
    a = np.radians(h.bend_angle + truth.hole_angle.get(h.name, 0.0))
    radius, rt = h.bend_radius + t, made.tangent_diameter / 2
    n = rng.poisson(scan.density * 2 * np.pi * rt * (made.straight + radius * a))
    x = rng.uniform(0, 1, n) * (made.straight + radius * a)
    on_arc = x < radius * a
    phi, beyond = np.where(on_arc, x / radius, a), np.where(on_arc, 0.0, x - radius * a)
    u1 = (radius - t_in) * np.sin(phi) + beyond * np.cos(phi)
    u2 = radius - (radius - t_in) * np.cos(phi) + beyond * np.sin(phi)
    way = rng.uniform(0, 2 * np.pi, n)
    out = np.column_stack([np.cos(way), np.sin(way)])
    h, slope = bow(at + rt * out)
    mu = np.arctan(-np.einsum("ni,ni->n", slope, out))  # of the web, towards the middle
    r = rt - u1 * np.cos(mu) + u2 * np.sin(mu)
    z = h + u1 * np.sin(mu) + u2 * np.cos(mu)
    return np.column_stack([r[:, None] * out + at, z])


def rim_of(plan: Plan, truth: Truth, name: str) -> float:
    """Rim diameter of a flanged hole as it was made [mm]: its heel-side corner."""
    made = next(f for f in plan.blank.holes if f.hole.name == name)
    a = np.radians(made.hole.bend_angle + truth.hole_angle.get(name, 0.0))
    radius, rt = made.hole.bend_radius + plan.job.t, made.tangent_diameter / 2
    u1, u2 = radius * np.sin(a) + made.straight * np.cos(a), radius * (1 - np.cos(a)) + made.straight * np.sin(a)
    way = np.linspace(0, 2 * np.pi, 360, endpoint=False)
    out = np.column_stack([np.cos(way), np.sin(way)])
    mu = np.arctan(-np.einsum("ni,ni->n", _bow(plan, truth)(np.asarray(made.hole.at) + rt * out)[1], out))
    return float(2 * np.mean(rt - u1 * np.cos(mu) + u2 * np.sin(mu)))


def bow_span(plan: Plan, truth: Truth, at: Array, cell: float = 3.5) -> float:
    """Highest less lowest of the web over places (n, 2) once its plane is taken off [mm]: that of least squares through the middles of
    square cells that have places, each alike."""
    bow = _bow(plan, truth)
    middles = (np.unique(np.floor(at / cell), axis=0) + 0.5) * cell
    x = np.column_stack([np.ones(len(middles)), middles])
    plane = np.linalg.lstsq(x, bow(middles)[0], rcond=None)[0]
    return float(np.ptp(bow(at)[0] - plane[0] - at @ plane[1:]))
