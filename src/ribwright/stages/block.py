"""The form block: web-face outline, foot, edge radius, height, undercut along the contour, pins, recesses, lift-off.

At each station of a flanged edge, a bend angle, u undercut, R_b block radius, wall angle w = a + u from flat:
    outline  where the web face meets the wall plane, before rounding:  R_b tan(w/2) outward of the bend tangent line
    foot     H cot(w) outward of the outline at depth H (inward for w > 90)
The web's tangent line is the same loaded and released, so the released mold line is the drawing's.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ribwright.features.laid import LaidEdge
from ribwright.geometry.offset import SetOver, mitred
from ribwright.shop.sheet import BlockMaterial
from ribwright.stages.blank import Blank
from ribwright.stages.flat_holes import FlatHole
from ribwright.stages.job import Job
from ribwright.stages.lift_off import LiftOff, lift_off
from ribwright.stages.pins import Pin, pins_of
from ribwright.stages.undercut import Undercut, undercut

Array = NDArray[np.float64]
Pair = tuple[float, float]
HEIGHT_STEP_MM = 25.4 / 16
RECESS_FLOOR_MM = 6.0  # wood left under a recess: common practice, from memory


@dataclass(frozen=True, eq=False)
class BlockEdge:
    """One flanged edge of the block: along as typed [mm], undercut there, setback of the foot inward [mm]."""

    edge: str
    loop: int
    along: Array
    angle: Array
    under: Undercut
    setback: Array
    remaining: Array
    """Angle error that a fixed undercut leaves, released angle minus the drawing's [deg]."""


@dataclass(frozen=True)
class Recess:
    """Room in the block for a hole flange that turns down with the others (or in the upper ring for one turned up).

    diameter: where the plane of the web face meets the wall; bottom_diameter at `depth` below the web face.
    """

    name: str
    at: Pair
    diameter: float
    bottom_diameter: float
    depth: float
    edge_radius: float
    wall_angle: float
    undercut: tuple[float, float, float]


@dataclass(frozen=True, eq=False)
class Block:
    """The block. `outlines[0]`/`feet[0]` outer, the others cutouts, (n, 2) each; lengths mm, volume mm3."""

    outlines: tuple[Array, ...]
    feet: tuple[Array, ...]
    closed_up: bool
    height: float
    height_unrounded: float
    clearance: float
    edge_radius: tuple[float, float]
    edges: tuple[BlockEdge, ...]
    pins: tuple[Pin, ...]
    recesses: tuple[Recess, ...]
    rings: tuple[Recess, ...]
    material: BlockMaterial | None
    volume: float
    face_area: float
    bearing_area: float
    lift: LiftOff


def make_block(job: Job, blank: Blank) -> Block:
    """The block for a developed part, in the shop's first block material until a press says what it must stand."""
    clearance = job.catalogue.practice["flange_clearance"].value
    holes = [h for h in blank.holes if h.hole.kind == "lightening" and h.straight is not None and h.rim_diameter]
    downs = [_recess(job, h, clearance) for h in holes if h.hole.turn == _side(job)]
    ups = [_recess(job, h, clearance) for h in holes if h.hole.turn != _side(job)]
    drop = max([drop_of(job, e, blank) for e in _flanged(blank)] + [0.0])
    need = max([drop + clearance] + [r.depth + RECESS_FLOOR_MM for r in downs])
    height = float(np.ceil(need / HEIGHT_STEP_MM - 1e-9) * HEIGHT_STEP_MM)
    tops, good_top = _loops(job, blank, 0.0)
    feet, good_foot = _loops(job, blank, height)
    middles = _middles(job, blank, height, tops, feet)
    edges = tuple(_edge(job, blank, e, k, height) for k, e in _numbered(blank))
    radii = [float(f(b.under.radius)) for b in edges for f in (np.min, np.max)]
    face = sum(_area(p) for p in tops)
    simpson = (face + 4 * sum(_area(p) for p in middles) + sum(_area(p) for p in feet)) / 6 * height
    recessed = sum(_recess_volume(r) for r in downs)
    return Block(
        tuple(tops),
        tuple(feet),
        good_top and good_foot,
        height,
        need,
        clearance,
        (min(radii), max(radii)) if radii else (0.0, 0.0),
        edges,
        pins_of(job.part.holes),
        tuple(downs),
        tuple(ups),
        choose_material(job, None),
        simpson - recessed - sum(_rounding(b, blank) for b in edges),
        face,
        face - sum(np.pi * r.diameter**2 / 4 for r in downs),
        lift_off(blank, {**_most(edges), **{r.name: r.undercut[0] for r in downs}}, _side(job)),
    )


def _most(edges: tuple[BlockEdge, ...]) -> dict[str, float]:
    """Largest undercut of each edge [deg]: how far its flange springs."""
    return {b.edge: float(np.max(b.under.deg)) for b in edges}


def choose_material(job: Job, pressure_mpa: float | None) -> BlockMaterial | None:
    """The shop's (else the catalogue's) first block material that stands the pressure; the strongest when none does."""
    known = job.shop.block_materials or tuple(job.catalogue.block_materials.values())
    if not known:
        return None
    stands = [m for m in known if pressure_mpa is None or m.pressure_limit_mpa >= pressure_mpa]
    return stands[0] if stands else max(known, key=lambda m: m.pressure_limit_mpa)


def _side(job: Job) -> str:
    """The way the outer flanges turn; holes decide where there is none."""
    turns = [job.part.flanges[e.flange].turn for e in job.part.outer.edges if e.flange]
    return turns[0] if turns else "down"


def _numbered(blank: Blank) -> list[tuple[int, LaidEdge]]:
    return [(k, e) for k, loop in enumerate(blank.laid) for e in loop.edges if e.flange]


def _flanged(blank: Blank) -> list[LaidEdge]:
    return [e for _, e in _numbered(blank)]


def _under(job: Job, edge: LaidEdge, s: Array) -> Undercut:
    """Undercut along an edge by the part file's `[block] undercut`."""
    assert edge.flange is not None
    radius, fixed = edge.flange.bend_radius, None
    if job.part.block_undercut == "none":
        fixed = 0.0
    elif job.part.block_undercut == "constant-per-edge":
        # one tilt for the edge: the middle of what its bevel asks for
        every = undercut(job, radius, edge.angle(np.linspace(0.0, edge.curve.length, 41))).deg
        fixed = (float(np.min(every)) + float(np.max(every))) / 2
    return undercut(job, radius, edge.angle(s), fixed)


def _edge(job: Job, blank: Blank, edge: LaidEdge, loop: int, height: float) -> BlockEdge:
    assert edge.flange is not None
    varies = edge.flange.bend_angle.varies
    n = 2 if not varies else max(3, int(edge.curve.length // 25.0) + 2)
    s = np.linspace(0.0, edge.curve.length, n)
    if edge.edge.turned:
        s = s[::-1]
    under = _under(job, edge, s)
    full = undercut(job, edge.flange.bend_radius, edge.angle(s))
    return BlockEdge(
        edge.edge.name,
        loop,
        edge.along(s),
        edge.angle(s),
        under,
        -height / np.tan(np.radians(under.wall)),
        under.deg - full.deg,
    )


def _loops(job: Job, blank: Blank, depth: float) -> tuple[list[Array], bool]:
    """Section outlines of the block at a depth below the web face, one for each loop; False where corners fail."""
    out, good = [], True
    for loop in blank.laid:
        if not loop.in_block:
            continue
        pieces, fine = mitred([_wall_line(job, e, depth) for e in loop.edges])
        good = good and fine
        out.append(_chained(pieces))
    return out, good


def _middles(job: Job, blank: Blank, height: float, tops: list[Array], feet: list[Array]) -> list[Array]:
    """Section outlines half way down. Walls are ruled, so they are the mean of top and foot point by point; where the
    corners leave a different number of points they are made afresh."""
    if all(len(a) == len(b) for a, b in zip(tops, feet, strict=True)):
        return [(a + b) / 2 for a, b in zip(tops, feet, strict=True)]
    return _loops(job, blank, height / 2)[0]


def _wall_line(job: Job, edge: LaidEdge, depth: float) -> SetOver:
    """The wall of one edge at a depth: the drawn line set inward."""
    if edge.flange is None:
        return SetOver(edge.curve, lambda s: np.zeros(len(s)))

    if not edge.flange.bend_angle.varies:
        # one section along the whole edge: solve it once
        s0 = np.zeros(1)
        w, rb = np.radians(_under(job, edge, s0).wall[0]), _under(job, edge, s0).radius[0]
        fixed = float(edge.tangent_inset(s0)[0] - rb * np.tan(w / 2) - depth / np.tan(w))
        return SetOver(edge.curve, lambda s: np.full(len(s), fixed))

    def inward(s: Array) -> Array:
        inside = np.clip(s, 0.0, edge.curve.length)
        under = _under(job, edge, inside)
        w = np.radians(under.wall)
        return edge.tangent_inset(inside) - under.radius * np.tan(w / 2) - depth / np.tan(w)

    return SetOver(edge.curve, inward)


def _chained(pieces: list[Array]) -> Array:
    """One ring of points without repeats."""
    p = np.concatenate(pieces)
    keep = np.hypot(*(p - np.roll(p, 1, axis=0)).T) > 1e-9
    return p[keep]


def _area(p: Array) -> float:
    """Signed area of a ring of points [mm2]: + for the outer loop, - for a cutout."""
    x, y = p[:, 0], p[:, 1]
    return float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y) / 2)


def drop_of(job: Job, edge: LaidEdge, blank: Blank) -> float:
    """How far the loaded flange's edge hangs below the web face of the block [mm]."""
    s = np.linspace(0.0, edge.curve.length, 21)
    under = _under(job, edge, s)
    w, rm = np.radians(under.wall), under.radius + job.t / 2
    leg = np.maximum(edge.leg(s), 0.0)
    middle = rm * (1 - np.cos(w)) + leg * np.sin(w) - job.t / 2
    return float(np.max(middle + job.t / 2 * np.abs(np.cos(w))))


def _recess(job: Job, flat: FlatHole, clearance: float) -> Recess:
    h = flat.hole
    assert flat.tangent_diameter is not None
    assert flat.straight is not None
    under = undercut(job, h.bend_radius, np.array([h.bend_angle]))
    w, rb = float(np.radians(under.wall[0])), float(under.radius[0])
    depth = (rb + job.t / 2) * (1 - np.cos(w)) + flat.straight * np.sin(w) - job.t / 2 + job.t / 2 * abs(np.cos(w))
    depth = float(depth) + clearance
    top = flat.tangent_diameter - 2 * rb * np.tan(w / 2)
    return Recess(
        h.name,
        h.at,
        float(top),
        float(max(top - 2 * depth / np.tan(w), 0.0)),
        depth,
        rb,
        float(under.wall[0]),
        (float(under.deg[0]), float(under.low[0]), float(under.high[0])),
    )


def _recess_volume(r: Recess) -> float:
    """Frustum below the web face, plus what the rounded rim takes away [mm3]."""
    a, b = r.diameter / 2, r.bottom_diameter / 2
    return float(np.pi * r.depth / 3 * (a * a + a * b + b * b)) + np.pi * r.diameter * corner_area(
        r.edge_radius, r.wall_angle
    )


def corner_area(radius: float, wall_deg: float) -> float:
    """Area between the sharp corner of web face and wall and its rounding: R^2 (tan(w/2) - w/2) [mm2]."""
    w = np.radians(wall_deg)
    return float(radius**2 * (np.tan(w / 2) - w / 2))


def _rounding(b: BlockEdge, blank: Blank) -> float:
    """Volume that the edge radius takes off one edge [mm3], corner lengths neglected."""
    area = np.mean([corner_area(float(r), float(w)) for r, w in zip(b.under.radius, b.under.wall, strict=True)])
    return float(area) * float(np.ptp(b.along))
