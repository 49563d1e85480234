"""The springback of a job as the shop's book corrects it: the section model's answer, and the closed form's.

A measured shift of the released angle (+ closed) is undone by an undercut that is the less by shift/slope, so that block, forecast and
tolerances move together; the bands narrow by what was learned. Nothing measured leaves every number as it was.

    section model   u' = u - shift/slope                   released on a block cut to v: a + slope (v - u')
    closed form     u' = sb(a, u') - shift                 released on a block cut to v: a + v - sb(a, v) + shift
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from ribwright.features.laid import lay
from ribwright.shop.springback_book import CLOSED_FORM, SECTION
from ribwright.stages import undercut as closed
from ribwright.stages.job import Job
from ribwright.stages.learning import LEARNED_MODEL, LEARNED_PIECE, SOURCE, Asked, Correction, corrected_words
from ribwright.stages.sections import Moved, Sections, Solved
from ribwright.stages.stack import MODEL, PIECE, TOOLING
from ribwright.stages.undercut import Z90, Released, Undercut, kept_arc_radius

Array = NDArray[np.float64]
STEPS, SETTLED = 60, 1e-12
ALONG = 9  # places along an edge that its mean curvature is taken from


def without_book(job: Job) -> Job:
    """The job as it would be answered had nothing been measured."""
    raw = job.sections if job.sections is None or job.sections.raw is None else job.sections.raw
    return replace(job, learned=None, sections=raw)


# ---------------------------------------------------------------- the section model


def taught_sections(job: Job, sections: Sections) -> Sections:
    """What the section model answered, corrected; the same where the book has nothing of it."""
    if job.learned is None or not job.learned.has(SECTION):
        return sections
    flanges = {
        name: s if s.why_quick else taught(job, name, s, sections.pressure) for name, s in sections.flanges.items()
    }
    return replace(sections, flanges=flanges, raw=sections)


def taught(job: Job, owner: str, s: Solved, pressure: float) -> Solved:
    """One flange corrected, with its causes of scatter as the book leaves them."""
    c = correction_of(job, owner, s, pressure)
    if c is None:
        return s
    less = c.shift / s.slope
    own = tuple(m for m in s.moved if m.kind == TOOLING and not m.opens)
    one_side = tuple(replace(m, sd=m.sd * c.model_ratio) for m in s.moved if m.opens)
    lean = sum((m.mean for m in s.moved if m.mean is not None), start=np.zeros(len(s.along)))
    rows = (
        Moved(LEARNED_MODEL, MODEL, SOURCE, _symmetric(s, MODEL) * c.model_ratio, mean=lean * c.model_ratio),
        *own,
        *one_side,
        Moved(LEARNED_PIECE, PIECE, SOURCE, _symmetric(s, PIECE) * c.piece_ratio),
    )
    return replace(s, deg=s.deg - less, loaded=s.loaded - less, moved=rows, correction=c)


def correction_of(job: Job, owner: str, s: Solved, pressure: float) -> Correction | None:
    """What the book has for the places of a solved flange."""
    if job.learned is None:
        return None
    sds = solved_scatter(s)
    asked = Asked(
        owner, s.deg, sds[MODEL], sds[TOOLING], sds[PIECE], radius_of(job, owner) / job.t, curvature_of(job, owner)
    )
    return job.learned.correction(SECTION, asked, pressure)


def solved_scatter(s: Solved) -> dict[str, Array]:
    """Standard deviations of the released angle by kind at the places of a solved flange (m,) [deg]. What counts on the open side alone
    counts for half."""
    half = [(m.kind, m.sd * (0.5**0.5 if m.opens else 1.0)) for m in s.moved]
    nothing = np.zeros(len(s.along))
    return {k: np.sqrt(sum((sd**2 for kind, sd in half if kind == k), start=nothing)) for k in (MODEL, TOOLING, PIECE)}


def closed_scatter(job: Job, radius: float, angle: Array) -> dict[str, Array]:
    """The same of bends by the closed form (n,), in which the block has no part."""
    deg = closed.undercut(job, radius, angle).deg
    return {
        MODEL: np.full(len(deg), closed.FORMULA_SD_DEG),
        TOOLING: np.zeros(len(deg)),
        PIECE: closed.piece_share(job) * deg,
    }


def radius_of(job: Job, owner: str) -> float:
    """Inside bend radius of an edge's flange or of a flanged hole [mm]."""
    hole = next((h for h in job.part.holes if h.name == owner), None)
    if hole is not None:
        return hole.bend_radius
    return job.part.flanges[job.part.edge(owner).flange or ""].bend_radius


def curvature_of(job: Job, owner: str) -> float:
    """Curvature of the line that a flange is bent along, the mean of an edge [1/mm], + where its free edge is stretched."""
    known = {} if job.learned is None else job.learned.curved
    if owner not in known:
        known[owner] = _curvature(job, owner)
    return known[owner]


def _curvature(job: Job, owner: str) -> float:
    hole = next((h for h in job.part.holes if h.name == owner), None)
    if hole is not None:
        return 2.0 / hole.diameter
    edge = next(e for loop in lay(job.part) for e in loop.edges if e.edge.name == owner)
    s = np.linspace(0.0, edge.curve.length, ALONG)
    return -float(np.mean(edge.drawn_curvature(s))) + 0.0


def _symmetric(s: Solved, kind: str) -> Array:
    squares = (m.sd**2 for m in s.moved if m.kind == kind and not m.opens)
    return np.asarray(np.sqrt(sum(squares, start=np.zeros(len(s.along)))))


# ---------------------------------------------------------------- the closed form


def closed_correction(job: Job, owner: str, radius: float, angle: Array) -> Correction | None:
    """What the book has for bends that the closed form answers."""
    if job.learned is None or not job.learned.has(CLOSED_FORM):
        return None
    free = closed.undercut(job, radius, angle)
    if not free.known:
        return None
    sds = closed_scatter(job, radius, angle)
    asked = Asked(owner, free.deg, sds[MODEL], sds[TOOLING], sds[PIECE], radius / job.t, curvature_of(job, owner))
    return job.learned.correction(CLOSED_FORM, asked)


def closed_undercut(job: Job, owner: str, radius: float, angle: Array, fixed: float | None) -> Undercut:
    """Undercut of bends by the closed form, corrected."""
    angle = np.asarray(angle, float)
    c = closed_correction(job, owner, radius, angle)
    if c is None:
        return closed.undercut(job, radius, angle, fixed)
    free = closed.undercut(job, radius, angle)
    asked = free.deg - c.shift
    for _ in range(STEPS):
        back = closed.springback_of(job, radius, angle, asked)
        assert back is not None  # known
        before, asked = asked, back - c.shift
        if float(np.max(np.abs(asked - before))) < SETTLED:
            break
    u = asked if fixed is None else np.full(len(angle), fixed)
    wide = Z90 * c.sd
    return Undercut(
        u,
        np.maximum(u - wide, np.minimum(u, 0.0)),
        u + wide,
        angle + u,
        kept_arc_radius(radius, job.t, angle, u),
        True,
        free.good,
        corrected_words(closed.MODEL, c.pieces),
    )


def closed_released(job: Job, owner: str, radius: float, angle: Array, deg: Array) -> Released:
    """What bends come out as on a block cut to undercuts `deg` [deg], by the closed form, corrected."""
    angle, deg = np.broadcast_arrays(np.asarray(angle, float), np.asarray(deg, float))
    c, out = closed_correction(job, owner, radius, angle), closed.released(job, radius, angle, deg)
    if c is None:
        return out
    at, wide = out.angle + c.shift, Z90 * c.sd
    # a bend does not spring further closed than it was pressed, but for what was measured of it
    high = np.minimum(at + wide, np.maximum(angle + deg, at))
    return Released(out.left + c.shift, at, at - wide, high, corrected_words(closed.MODEL, c.pieces))


def closed_constant(job: Job, owner: str, radius: float, angle: Array) -> float:
    """The one undercut [deg] for an edge that leaves the least largest angle error, corrected."""
    ends = np.array([np.min(angle), np.max(angle)])
    c = closed_correction(job, owner, radius, ends)
    fixed = closed.constant_undercut(job, radius, angle)
    for _ in range(STEPS if c is not None else 0):
        assert c is not None
        back = closed.springback_of(job, radius, ends, np.full(2, fixed))
        assert back is not None
        before, fixed = fixed, float(np.mean(back - c.shift))
        if abs(fixed - before) < SETTLED:
            break
    return fixed
