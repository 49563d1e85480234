"""What the bends of a part give back, by the model that the job is planned with: the one door to it for every later stage.

Without `job.sections` the closed form of `stages.undercut` answers, from bend radius and angle alone. With them the section model
does, solved at places along each flange: undercut, slope and scatter run straight between the places. On a block cut to another
undercut u' than the solved u the part comes out wrong by slope (u' - u), the slope being that of the model's own runs. What can only
move the angle to one side of the answer (friction) moves the middle of the band, not the answer: a band reaches at least to the answer.
What the shop measured on formed parts shifts and narrows either model's answer here, for every later stage alike (`stages.taught`).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ribwright.features.part import Hole
from ribwright.stages import undercut as closed
from ribwright.stages.job import Job
from ribwright.stages.learning import Correction, corrected_words
from ribwright.stages.sections import Solved
from ribwright.stages.taught import (
    closed_constant,
    closed_correction,
    closed_released,
    closed_scatter,
    closed_undercut,
    solved_scatter,
)
from ribwright.stages.undercut import Z90, Released, Undercut, kept_arc_radius

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Bends:
    """Bends of one flange: `owner` names its edge or hole; inside `radius` [mm] as released; bend `angle` (n,) [deg] at `along`
    (n,) as typed [mm]."""

    owner: str
    radius: float
    angle: Array
    along: Array


def hole_bends(hole: Hole) -> Bends:
    """The bend of a flanged hole, the same all round."""
    return Bends(hole.name, hole.bend_radius, np.array([hole.bend_angle]), np.zeros(1))


def solved_of(job: Job, owner: str) -> Solved | None:
    """What the section model says of an edge or hole; None where the closed form answers."""
    return None if job.sections is None else job.sections.of(owner)


def solved_along(job: Job, owner: str) -> Array:
    """Where along it the undercut was solved, as typed (m,) [mm]; empty where the closed form answers."""
    solved = solved_of(job, owner)
    return np.zeros(0) if solved is None else solved.along


def undercut_of(job: Job, bends: Bends, fixed: float | None = None) -> Undercut:
    """Undercut of the bends. `fixed` [deg]: the block is cut to this one; the band stays the solved one's about it."""
    solved = solved_of(job, bends.owner)
    if solved is None:
        return closed_undercut(job, bends.owner, bends.radius, bends.angle, fixed)
    free = solved.at(solved.deg, bends.along)
    u = free if fixed is None else np.full(len(free), fixed)
    slope = solved.at(solved.slope, bends.along)
    less, more = (Z90 * solved.sd(bends.along, x) / slope for x in (False, True))
    mean = u - solved.mean(bends.along) / slope
    radius = kept_arc_radius(bends.radius, job.t, bends.angle, u)
    return Undercut(
        u,
        np.maximum(np.minimum(mean - less, u), np.minimum(u, 0.0)),
        np.maximum(mean + more, u),
        bends.angle + u,
        radius,
        True,
        np.asarray(radius > 0.0),
        solved.model,
    )


def released_of(job: Job, bends: Bends, deg: Array) -> Released:
    """What the bends come out as on a block cut to undercuts `deg` (n,) [deg]."""
    solved = solved_of(job, bends.owner)
    if solved is None:
        return closed_released(job, bends.owner, bends.radius, bends.angle, deg)
    left = solved.at(solved.slope, bends.along) * (np.asarray(deg, float) - solved.at(solved.deg, bends.along))
    angle = bends.angle + left
    more, less = (Z90 * solved.sd(bends.along, x) for x in (True, False))
    mean = angle + solved.mean(bends.along)
    high = np.minimum(np.maximum(mean + less, angle), np.maximum(bends.angle + deg, angle))
    return Released(left, angle, np.minimum(mean - more, angle), high, solved.model)


def quick_of(job: Job, bends: Bends) -> Array | None:
    """The closed form's undercut of the bends (n,) [deg] where the section model answers; None where it answers itself."""
    if solved_of(job, bends.owner) is None:
        return None
    return closed_undercut(job, bends.owner, bends.radius, bends.angle, None).deg


def correction_at(job: Job, bends: Bends) -> Correction | None:
    """What the shop's book moved the bends by; None where nothing was measured of the model that answers here."""
    solved = solved_of(job, bends.owner)
    if solved is None:
        return closed_correction(job, bends.owner, bends.radius, bends.angle)
    return None if solved.correction is None else solved.correction.at(solved.along, bends.along)


def corrected_by(job: Job, bends: Bends, model: str) -> str:
    """A model's words for numbers of these bends, with how many measured pieces corrected them."""
    c = correction_at(job, bends)
    return model if c is None else corrected_words(model, c.pieces)


def scatter_of(job: Job, bends: Bends) -> dict[str, Array]:
    """Standard deviations of what the bends come out as (n,) [deg], by kind of `stages.stack`. Only where the flow curve is known."""
    solved = solved_of(job, bends.owner)
    if solved is None:
        return closed_scatter(job, bends.radius, bends.angle)
    return {k: solved.at(sd, bends.along) for k, sd in solved_scatter(solved).items()}


def unverified_of(job: Job, owner: str) -> str:
    """Why the section model was not checked for a flange like this one; "" where it was, or does not answer."""
    solved = solved_of(job, owner)
    return "" if solved is None else solved.unverified


def how_cut(job: Job) -> str:
    """How the undercut runs along the edges, in words."""
    mode = job.part.block_undercut
    if mode == "varying" and job.sections is not None:
        return "the undercut follows bend angle and curve along the edge, as the section model solved it"
    return closed.HOW_CUT[mode]


def constant_for(job: Job, bends: Bends) -> float:
    """The one undercut [deg] that leaves the least largest error on a flange whose bends run straight between these."""
    solved = solved_of(job, bends.owner)
    if solved is None:
        return closed_constant(job, bends.owner, bends.radius, bends.angle)
    return least_largest(solved.at(solved.deg, bends.along), solved.at(solved.slope, bends.along))


def least_largest(deg: Array, slope: Array) -> float:
    """u' with the least largest |slope (u' - u)| over places (m,): where the worst two are equal and opposite."""
    best = float(deg[0])
    worst = float(np.max(np.abs(slope * (best - deg))))
    for i in range(len(deg)):
        for j in range(i):
            # slope_i (x - u_i) = -slope_j (x - u_j)
            x = float((slope[i] * deg[i] + slope[j] * deg[j]) / (slope[i] + slope[j]))
            error = float(np.max(np.abs(slope * (x - deg))))
            if error < worst:
                best, worst = x, error
    return best
