"""The form block: web-face outline, foot, edge radius, height, undercut along the contour, pins, recesses, lift-off.

At each station of a flanged edge, a bend angle, u undercut, R_b block radius, wall angle w = a + u from flat:
    outline  where the web face meets the wall plane, before rounding:  R_b tan(w/2) outward of the bend tangent line
    foot     H cot(w) outward of the outline at depth H (inward for w > 90)
The web's tangent line is the same loaded and released, so the released mold line is the drawing's.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ribwright.features.laid import LaidEdge, parted
from ribwright.geometry.offset import SetOver, mitred
from ribwright.shop.sheet import BlockMaterial
from ribwright.stages.bead_shapes import bead_shapes
from ribwright.stages.blank import Blank
from ribwright.stages.flat_holes import FlatHole
from ribwright.stages.groove import FaceGroove, Groove
from ribwright.stages.job import Job
from ribwright.stages.lift_off import LiftOff, lift_off
from ribwright.stages.pins import Pin, pins_of
from ribwright.stages.recess import RECESS_FLOOR_MM, Recess, profile, vent_that_fits
from ribwright.stages.section import Walls, edge_bends, knots_of, undercut_along, undercut_asked, walls_of
from ribwright.stages.springback import hole_bends, quick_of, released_of, solved_along, undercut_of, unverified_of
from ribwright.stages.undercut import Released, Undercut

Array = NDArray[np.float64]
Pair = tuple[float, float]
HEIGHT_STEP_MM = 25.4 / 16


@dataclass(frozen=True, eq=False)
class BlockEdge:
    """One flanged edge of the block: along as typed [mm], undercut there, setback of the foot inward [mm].

    Stations stand where the bend angle's table has its rows and between them: angle and wall run straight from one to
    the next.
    """

    edge: str
    loop: int
    along: Array
    angle: Array
    under: Undercut
    setback: Array
    out: Released
    """What the part comes out as there."""
    quick: Array | None = None
    """What the closed form says of the undercut, where the section model answers."""
    unverified: str = ""
    """Why the section model was not checked for such a flange."""

    @property
    def remaining(self) -> Array:
        """Angle error that a fixed undercut leaves, released angle minus the drawing's [deg]; NaN: not known."""
        return self.out.left


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
    walls: Walls
    face_area: float
    bearing_area: float
    lift: LiftOff
    undercut_pressure: float | None = None
    """Pressure on the pad [MPa] that the undercut is solved for; None: the closed form, in which pressure does not enter."""
    grooves: tuple[Groove, ...] = ()
    """In the web face for beads, in the walls for flutes."""

    @property
    def face_size(self) -> Pair:
        """Extent of the web face before rounding along x and y [mm]: what every paper prints as its length and width."""
        x, y = np.ptp(self.outlines[0], axis=0)
        return float(x), float(y)

    @property
    def volume(self) -> float:
        """What is left when rounding, undercut, recesses with their vents, grooves and pin holes are cut [mm3]. It takes a
        tenth of a second, so only who asks waits for it."""
        cut = sum(profile(r, self.height).volume for r in self.recesses) + sum(g.volume for g in self.grooves)
        return self.walls.volume - cut - sum(np.pi * p.diameter**2 / 4 * self.height for p in self.pins)


def make_block(job: Job, blank: Blank) -> Block:
    """The block for a developed part, in the shop's first block material until a press says what it must stand."""
    clearance = job.catalogue.practice["flange_clearance"].value
    holes = [h for h in blank.holes if h.hole.kind == "lightening" and h.straight is not None and h.rim_diameter]
    downs = [_recess(job, h, clearance) for h in holes if h.hole.turn == side_of(job)]
    ups = [_recess(job, h, clearance) for h in holes if h.hole.turn != side_of(job)]
    drop = max([drop_of(job, e, blank) for e in _flanged(blank)] + [0.0])
    grooves = bead_grooves(job)
    need = max(
        [drop + clearance]
        + [x + RECESS_FLOOR_MM for x in (*(r.depth for r in downs), *(g.profile.depth for g in grooves))]
    )
    height = float(np.ceil(need / HEIGHT_STEP_MM - 1e-9) * HEIGHT_STEP_MM)
    tops, good_top = _loops(job, blank, 0.0)
    feet, good_foot = _loops(job, blank, height)
    edges = tuple(_edge(job, blank, e, k, height) for k, e in _numbered(blank))
    radii = [float(f(b.under.radius)) for b in edges for f in (np.min, np.max)]
    face = sum(_area(p) for p in tops)
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
        walls_of(job, tuple(loop.edges for loop in blank.laid if loop.in_block), height),
        face,
        face - sum(np.pi * r.diameter**2 / 4 for r in downs),
        lift_off(blank, {**_most(edges), **{r.name: r.undercut[0] for r in downs}}, side_of(job)),
        None if job.sections is None else job.sections.pressure,
        grooves,
    )


def bead_grooves(job: Job) -> tuple[FaceGroove, ...]:
    """The grooves of the web face for the beads that turn as the flanges do. One that turns against them needs a ridge on the face,
    which is not cut from the block."""
    return tuple(
        FaceGroove(s.name, s.path, s.block)
        for s in bead_shapes(job)
        if s.block is not None and not s.why_not and s.bead.turn == side_of(job)
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


def side_of(job: Job) -> str:
    """The way the outer flanges turn; holes decide where there is none."""
    turns = [job.part.flanges[e.flange].turn for e in job.part.outer.edges if e.flange]
    return turns[0] if turns else "down"


def _numbered(blank: Blank) -> list[tuple[int, LaidEdge]]:
    return [(k, e) for k, loop in enumerate(blank.laid) for e in loop.edges if e.flange]


def _flanged(blank: Blank) -> list[LaidEdge]:
    return [e for _, e in _numbered(blank)]


def _edge(job: Job, blank: Blank, edge: LaidEdge, loop: int, height: float) -> BlockEdge:
    assert edge.flange is not None
    n = 2 if not edge.flange.bend_angle.varies else max(3, int(edge.curve.length // 25.0) + 2)
    s = np.union1d(np.linspace(0.0, edge.curve.length, n), knots_of(job, edge))
    s = s[np.concatenate([[True], np.diff(s) > 1e-6])]
    s[-1] = edge.curve.length
    if edge.edge.turned:
        s = s[::-1]
    under = undercut_along(job, edge, s)
    return BlockEdge(
        edge.edge.name,
        loop,
        edge.along(s),
        edge.angle(s),
        under,
        -height / np.tan(np.radians(under.wall)),
        released_of(job, edge_bends(edge, s), under.deg),
        quick_of(job, edge_bends(edge, s)),
        unverified_of(job, edge.edge.name),
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


def _wall_line(job: Job, edge: LaidEdge, depth: float) -> SetOver:
    """The wall of one edge at a depth: the drawn line set inward."""
    if edge.flange is None:
        return SetOver(edge.curve, lambda s: np.zeros(len(s)))

    asked = undercut_asked(job, edge)

    def inward(s: Array) -> Array:
        inside = np.clip(s, 0.0, edge.curve.length)
        under = undercut_of(job, edge_bends(edge, inside), asked)
        w = np.radians(under.wall)
        return edge.tangent_inset(inside) - under.radius * np.tan(w / 2) - depth / np.tan(w)

    if not edge.flange.bend_angle.varies and not len(solved_along(job, edge.edge.name)):
        # one section along the whole edge: solve it once
        fixed = float(inward(np.zeros(1))[0])
        return SetOver(edge.curve, lambda s: np.full(len(s), fixed))
    return SetOver(edge.curve, inward, parted(knots_of(job, edge)))


def _chained(pieces: list[Array]) -> Array:
    """One ring of points without repeats."""
    p = np.concatenate(pieces)
    keep = np.hypot(*(p - np.roll(p, 1, axis=0)).T) > 1e-6
    return p[keep]


def _area(p: Array) -> float:
    """Signed area of a ring of points [mm2]: + for the outer loop, - for a cutout."""
    x, y = p[:, 0], p[:, 1]
    return float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y) / 2)


def drop_of(job: Job, edge: LaidEdge, blank: Blank) -> float:
    """How far the loaded flange's edge hangs below the web face of the block [mm]."""
    s = np.linspace(0.0, edge.curve.length, 21)
    under = undercut_along(job, edge, s)
    w, rm = np.radians(under.wall), under.radius + job.t / 2
    leg = np.maximum(edge.leg(s), 0.0)
    middle = rm * (1 - np.cos(w)) + leg * np.sin(w) - job.t / 2
    return float(np.max(middle + job.t / 2 * np.abs(np.cos(w))))


def _recess(job: Job, flat: FlatHole, clearance: float) -> Recess:
    h = flat.hole
    assert flat.tangent_diameter is not None
    assert flat.straight is not None
    bends = hole_bends(h)
    under = undercut_of(job, bends, 0.0 if job.part.block_undercut == "none" else None)
    out = released_of(job, bends, under.deg)
    w, rb = float(np.radians(under.wall[0])), float(under.radius[0])
    depth = (rb + job.t / 2) * (1 - np.cos(w)) + flat.straight * np.sin(w) - job.t / 2 + job.t / 2 * abs(np.cos(w))
    depth = float(depth) + clearance
    top = flat.tangent_diameter - 2 * rb * np.tan(w / 2)
    recess = Recess(
        h.name,
        h.at,
        float(top),
        float(max(top - 2 * depth / np.tan(w), 0.0)),
        depth,
        rb,
        float(under.wall[0]),
        (float(under.deg[0]), float(under.low[0]), float(under.high[0])),
        float(out.left[0]),
        (float(out.angle[0]), float(out.low[0]), float(out.high[0])),
        0.0,
        under.model,
        None if (quick := quick_of(job, bends)) is None else float(quick[0]),
        unverified_of(job, h.name),
    )
    return replace(recess, vent_diameter=vent_that_fits(recess, job.catalogue.practice["recess_vent"].value))
