"""The cover plate that holds the web flat on the block: the web face, smaller all round, with room for recesses and pins.

The inset is common practice, 1/8 to 1/4 in. The plate must lie on the flat of the web, so where a bend tangent line lies
deeper inside the web face than that, R_block tan(w/2), the inset grows to clear it, by steps of 1/32 in. Over a bead it is open: it would
bridge the groove and keep the rubber off the sheet that the rubber has to press into it.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ribwright.shop.sheet import Fact
from ribwright.stages.bead_shapes import bead_shapes
from ribwright.stages.block import Block, Recess
from ribwright.stages.job import Job
from ribwright.units import MM_PER_IN

Array = NDArray[np.float64]
Pair = tuple[float, float]
INSET_STEP_MM = MM_PER_IN / 32
CHORD_MM = 0.01
LEAST_SHARE = 0.01  # pieces of the inset web face smaller than this are slivers of its corners


@dataclass(frozen=True)
class Opening:
    """A round hole of the plate: over a recess, a ring or a pin. Lengths mm."""

    name: str
    at: Pair
    diameter: float


@dataclass(frozen=True, eq=False)
class CoverPlate:
    """The plate. `outline` (n, 2) counter-clockwise, empty where there is none: `why_none` says why. `windows` other
    openings (n, 2) clockwise: flanged cutouts, beads, and round openings that run together; `beads` names of those it is open over.
    Lengths mm.

    grown: the inset is more than the practice's, so that the plate clears the bends.
    """

    outline: Array
    windows: tuple[Array, ...]
    openings: tuple[Opening, ...]
    pin_holes: tuple[Opening, ...]
    inset: float
    grown: bool
    source: str
    why_none: str = ""
    beads: tuple[str, ...] = ()


def cover_plate(job: Job, block: Block) -> CoverPlate:
    """The plate for a block, or why there is none."""
    practice = job.catalogue.practice
    margin, pin_room = mm(practice["cover_plate_margin"]), mm(practice["cover_plate_pin_clearance"])
    reach = _reach(block)
    grown = reach > margin + 1e-9
    inset = ceil(reach / INSET_STEP_MM - 1e-9) * INSET_STEP_MM if grown else margin
    fact = practice["cover_plate_margin"]
    source = f"{fact.source} ({fact.standing()})"

    def none(why: str) -> CoverPlate:
        return CoverPlate(np.zeros((0, 2)), (), (), (), inset, grown, source, why)

    import shapely

    face = web_face(block)
    if not block.closed_up or not face.is_valid:
        return none("the block's outline does not close up at every corner")
    rims = [Opening(r.name, r.at, r.diameter + 2 * inset) for r in (*block.recesses, *block.rings)]
    pins = [Opening(p.name, p.at, p.diameter + pin_room) for p in block.pins]
    discs = {("rim", o.name): disc(o) for o in rims} | {("pin", o.name): disc(o) for o in pins}
    shapes = bead_shapes(job)
    over = [shapely.LineString(s.path).buffer(s.bead.width / 2 + inset, quad_segs=32) for s in shapes]
    body = face.buffer(-inset, quad_segs=32).difference(shapely.union_all(over))
    plate = body.difference(shapely.union_all(list(discs.values())))
    pieces: list[Any] = [g for g in getattr(plate, "geoms", (plate,)) if g.area > LEAST_SHARE * face.area]
    if not pieces:
        return none("the inset and the openings leave nothing of the web face")
    if len(pieces) > 1:
        return none(f"the inset and the openings part the web face into {len(pieces)} pieces")
    if pieces[0].buffer(-inset).is_empty:
        return none("what the inset and the openings leave is a strip, nowhere wider than twice the inset")
    whole = {k for k, d in discs.items() if _stands_alone(k, d, body, discs)}
    round_ones = [discs[k].centroid for k in whole]
    ring = shapely.geometry.polygon.orient(pieces[0])
    windows = [r for r in ring.interiors if not _is_one_of(r, round_ones)]
    return CoverPlate(
        _points(ring.exterior),
        tuple(_points(r) for r in windows),
        tuple(o for o in rims if ("rim", o.name) in whole),
        tuple(o for o in pins if ("pin", o.name) in whole),
        inset,
        grown,
        source,
        beads=tuple(s.name for s in shapes),
    )


def web_face(block: Block) -> Any:
    """The web face before rounding as a polygon with its flanged cutouts."""
    import shapely

    outer, *inner = [_without_repeats(p) for p in block.outlines]
    return shapely.Polygon(outer, inner)


def _without_repeats(ring: Array) -> Array:
    """The ring without points that repeat the one before: two walls are brought together to 1e-9, not exactly."""
    return ring[np.hypot(*(ring - np.roll(ring, 1, axis=0)).T) > 1e-6]


def mm(fact: Fact) -> float:
    """A length of the practice file in mm; it is kept in the unit its source prints."""
    return fact.value * MM_PER_IN if fact.unit == "in" else fact.value


def disc(o: Opening) -> Any:
    """A round opening as a polygon that holds the true circle, within `CHORD_MM`."""
    import shapely

    r = o.diameter / 2
    quarter = max(4, ceil(np.pi / 2 / np.arccos(1 / (1 + CHORD_MM / r)) / 2))
    return shapely.Point(o.at).buffer(r / np.cos(np.pi / 4 / quarter), quad_segs=quarter)


def _reach(block: Block) -> float:
    """How far a bend tangent line lies inside the web face at most, recess rims included [mm]."""
    walls = [b.under.radius * np.tan(np.radians(b.under.wall / 2)) for b in block.edges]
    rims = [_rim_reach(r) for r in (*block.recesses, *block.rings)]
    return max([float(np.max(w)) for w in walls] + rims + [0.0])


def _rim_reach(r: Recess) -> float:
    return float(r.edge_radius * np.tan(np.radians(r.wall_angle / 2)))


def _stands_alone(key: tuple[str, str], shape: Any, body: Any, discs: dict[tuple[str, str], Any]) -> bool:
    """Whether an opening lies inside the plate and clear of every other one."""
    return bool(body.contains(shape)) and all(k == key or shape.disjoint(d) for k, d in discs.items())


def _is_one_of(ring: Any, centres: list[Any]) -> bool:
    import shapely

    return any(shapely.Polygon(ring).centroid.distance(c) < 1e-6 for c in centres)


def _points(ring: Any) -> Array:
    """The ring's points without the repeated last one."""
    return np.array(ring.coords, float)[:-1, :2]
