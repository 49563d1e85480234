"""Whether one block forms both hands: turned over, or because the block is its own mirror image.

Turned over, the face that lay on the table becomes the web face. A wall that leans w from flat then leans 180 - w, and the
outline moves by the setback of the foot. So a block serves both ways up only where

    2 |w - 90|  is within the drawing's flange angle tolerance (without one: the step a saw table is set to)
    |setback|   is within the drawing's contour tolerance (without one: the step that is marked out on a block)

on every edge, and no recess, bead or flute is cut into one face. A block that is its own mirror image in plan, walls, recesses and pins
serves both hands as it stands: the opposite part is the same part. Both rules are geometry; that such blocks are worked
from both faces, edges rounded on both, is common practice.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ribwright.stages.blank import Blank
from ribwright.stages.block import Block, BlockEdge
from ribwright.stages.cover_plate import mm, web_face
from ribwright.stages.job import Job
from ribwright.stages.reversible_details import Round, detail_bars, detail_rounds
from ribwright.units import Unit, show_angle, show_length

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Reversible:
    """`yes`: one block forms both hands. `how`: "mirror-image" (as it stands), "turned-over", or "" for neither. `why`:
    each reason as a sentence, at its place and with its number. `axis`: angle of the line of symmetry [deg from +x]."""

    yes: bool
    how: str
    why: tuple[str, ...]
    axis: float | None = None


def reversible(job: Job, blank: Blank, block: Block) -> Reversible:
    """Judge the block for the opposite hand."""
    axis = _axis(job, blank, block)
    if axis is not None:
        says = (
            f"Outline, walls, recesses and pins are their own mirror image about a line at {show_angle(axis)} from +x: "
            "the block serves both hands as it stands."
        )
        return Reversible(True, "mirror-image", (says,), axis)
    bars = (*_walls(job, block), *_recesses(block), *detail_bars(job.part, block))
    if bars:
        return Reversible(False, "", ("The block is not its own mirror image.", *bars))
    says = "Turned over, every wall stands square within tolerance and nothing is cut into one face only."
    more = "Round the edges of both faces, and let the pins be pushed through to stand out of the face that is up."
    return Reversible(True, "turned-over", (says, more))


# ------------------------------------------------------------ turned over


def _walls(job: Job, block: Block) -> list[str]:
    """Why edges forbid turning the block over, edges with equal numbers together."""
    allowed_angle, by_angle = _allowed(job, "flange_angle", "saw_tilt_step", "flange angle")
    allowed_line, by_line = _allowed(job, "contour", "block_setback_step", "contour")
    first = job.shop.units or job.part.units
    unit: Unit = "mm" if first == "mm" else "in"
    found: dict[str, list[str]] = {}
    for e in block.edges:
        lean = float(e.under.wall[_worst(e)]) - 90.0
        shift = float(e.setback[_worst(e)])
        way = "IN" if lean > 0 else "OUT"
        if 2 * abs(lean) > allowed_angle + 1e-9:
            found.setdefault(
                f"the wall leans {way} {show_angle(abs(lean), 2)} from square; turned over it leans the other way and the flange comes out "
                f"about {show_angle(2 * abs(lean), 1)} more {'open' if lean > 0 else 'closed'} "
                f"({show_angle(allowed_angle, 2)} allowed by {by_angle}).",
                [],
            ).append(e.edge)
        elif abs(shift) > allowed_line + 1e-9:
            found.setdefault(
                f"the foot lies {show_length(abs(shift), unit)} "
                f"{'inside' if shift > 0 else 'outside'} the web face and would be the outline "
                f"({show_length(allowed_line, unit)} allowed by {by_line}).",
                [],
            ).append(e.edge)
    many = len(block.edges) > 3
    return [
        f"All {len(names)} flanged edges: {says}"
        if many and len(names) == len(block.edges)
        else f"Edge {', '.join(names)}: {says}"
        for says, names in found.items()
    ]


def _worst(e: BlockEdge) -> int:
    return int(np.argmax(np.abs(e.under.wall - 90.0)))


def _allowed(job: Job, tolerance: str, step: str, words: str) -> tuple[float, str]:
    """The narrower side of a tolerance of the drawing, else the step of practice, and what it is called."""
    given = job.part.tolerance.get(tolerance)
    if given:
        return min(abs(v) for v in given), f"the drawing's tolerance of {words}"
    fact = job.catalogue.practice[step]
    return mm(fact), f"a step of the bench, since the drawing gives no tolerance of {words}"


def _recesses(block: Block) -> list[str]:
    return [
        f"Recess {r.name} is cut into one face only; turned over, its hole flange would lie on solid block."
        for r in block.recesses
    ]


# ------------------------------------------------------------ its own mirror image


def _axis(job: Job, blank: Blank, block: Block) -> float | None:
    """Angle [deg from +x, 0 to under 180] of a line about which block, tangent lines, recesses and pins are their own
    mirror image; None: there is none. A line of symmetry goes through the middle of the web face and lies along a
    principal axis of it or, where those are not fixed, through a corner or the middle of an edge."""
    limit = mm(job.catalogue.practice["mirror_equal"])
    face = web_face(block)
    if not block.closed_up or not face.is_valid:
        return None
    middle = np.array([face.centroid.x, face.centroid.y])
    circles = [("recess", r.at, (r.diameter, r.bottom_diameter, r.depth)) for r in block.recesses]
    circles += [("ring", r.at, (r.diameter, r.bottom_diameter, r.depth)) for r in block.rings]
    circles += detail_rounds(job.part, block)
    circles += [("pin", p.at, (p.diameter, p.diameter, 0.0)) for p in block.pins]
    for angle in _candidates(block, blank, middle):
        c, s = np.cos(2 * angle), np.sin(2 * angle)
        flip = np.array([[c, s], [s, -c]])
        if (
            _same_circles(circles, flip, middle, limit)
            and _same_rings(block.outlines, flip, middle, limit)
            and _same_rings(block.feet, flip, middle, limit)
            and _same_rings(_tangents(blank), flip, middle, limit)
        ):
            return float(np.degrees(angle)) % 180.0
    return None


def _tangents(blank: Blank) -> tuple[Array, ...]:
    """The bend tangent lines of each loop of the block, as one line of points."""
    out = []
    for loop in blank.laid:
        if loop.in_block:
            lines = [e.tangent_line.point(e.tangent_line.samples(0.0, e.curve.length)) for e in loop.edges]
            out.append(np.concatenate(lines))
    return tuple(out)


def _candidates(block: Block, blank: Blank, middle: Array) -> list[float]:
    """Angles [rad] worth trying, principal axes first."""
    p = block.outlines[0] - middle
    q = np.roll(p, -1, axis=0)
    cross = p[:, 0] * q[:, 1] - q[:, 0] * p[:, 1]
    xx = np.sum(cross * (p[:, 0] ** 2 + p[:, 0] * q[:, 0] + q[:, 0] ** 2)) / 12
    yy = np.sum(cross * (p[:, 1] ** 2 + p[:, 1] * q[:, 1] + q[:, 1] ** 2)) / 12
    xy = np.sum(cross * (p[:, 0] * (2 * p[:, 1] + q[:, 1]) + q[:, 0] * (2 * q[:, 1] + p[:, 1]))) / 24
    principal = np.arctan2(2 * xy, xx - yy) / 2
    out = [float(principal), float(principal) + np.pi / 2]
    for edge in blank.laid[0].edges:
        for s in (0.0, edge.curve.length / 2):
            d = edge.curve.point(np.array([s]))[0] - middle
            out.append(float(np.arctan2(d[1], d[0])))
    return out


def _same_circles(circles: list[Round], flip: Array, middle: Array, limit: float) -> bool:
    """Whether every circle meets an equal one of its kind after the flip."""
    return all(
        any(
            kind == other
            and np.allclose(size, wanted, rtol=0.0, atol=limit)
            and np.hypot(*(middle + flip @ (np.array(at) - middle) - there)) <= limit
            for other, there, wanted in circles
        )
        for kind, at, size in circles
    )


def _same_rings(rings: tuple[Array, ...], flip: Array, middle: Array, limit: float) -> bool:
    """Whether every ring lies on one of them after the flip."""
    import shapely

    lines = [shapely.LinearRing(r) for r in rings]
    for ring in rings:
        flipped = shapely.LinearRing(middle + (ring - middle) @ flip.T)
        if not any(shapely.hausdorff_distance(flipped, line) <= limit for line in lines):
            return False
    return True
