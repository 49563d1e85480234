"""What moves a released bend: its angle, and the radius, width and mold line that follow from the angle.

The block is as it was cut, so a sheet that springs more comes out open by the difference. By the closed form springback goes as
u ~ K t^(n-1)/E; the section model brings its own causes, each from a run.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import radians

from ribwright.mechanics import tolerance as law
from ribwright.stages.job import Job
from ribwright.stages.learning import LEARNED_MODEL, LEARNED_PIECE, SOURCE
from ribwright.stages.sections import Solved
from ribwright.stages.springback import Bends, correction_at, solved_of, undercut_of
from ribwright.stages.stack import MODEL, PIECE, TOOLING, Contributor
from ribwright.stages.undercut import (
    BLOCK_ANGLE_STEP,
    DEFAULT_K_COV,
    FORMULA_SD_DEG,
    MODULUS_COV,
    THICKNESS_COV,
)

NO_CURVE = "no flow curve for this temper: springback is not known"
SEATING = 0.07  # of the block's radius


@dataclass(frozen=True)
class Bend:
    """One released bend: inside radius [mm], angle [deg], the block's radius [mm], solved undercut [deg], the angle that the
    undercut as cut leaves, how far what lies to one side alone (friction) moves the mean, and what moves the angle [deg]; `known` False:
    no contributor is known."""

    radius: float
    angle: float
    block_radius: float
    undercut: float
    remaining: float
    moved_by: tuple[Contributor, ...]
    known: bool
    mean: float = 0.0

    @property
    def shift(self) -> float:
        """Mean of the released angle less the drawing's [deg]."""
        return self.remaining + self.mean


def bend(job: Job, at: Bends, remaining: float = 0.0, stepped: bool = True) -> Bend:
    """One bend and what moves it. `remaining` [deg]: angle that the undercut as cut leaves; `stepped` False: the wall is not
    cut to a rounded undercut."""
    under, angle = undercut_of(job, at), float(at.angle[0])
    if not under.known or not under.good.all() or under.radius[0] <= 0:
        return Bend(at.radius, angle, at.radius, 0.0, 0.0, (), False)
    u, solved = float(under.deg[0]), solved_of(job, at.owner)
    rows = _by_formula(job, at, u) if solved is None else _by_model(solved, at)
    mean = 0.0 if solved is None else float(solved.mean(at.along)[0])
    return Bend(
        at.radius, angle, float(under.radius[0]), u, remaining, (*rows, *block_scatter(job, stepped)), True, mean
    )


def _by_model(solved: Solved, at: Bends) -> tuple[Contributor, ...]:
    """The section model's own causes, at this place."""
    return tuple(Contributor(m.name, float(solved.at(m.sd, at.along)[0]), m.kind, m.source) for m in solved.moved)


def _by_formula(job: Job, at: Bends, u: float) -> tuple[Contributor, ...]:
    c = correction_at(job, at)
    if c is not None:
        return (
            Contributor(LEARNED_MODEL, float(c.model[0]), MODEL, SOURCE),
            Contributor(LEARNED_PIECE, float(c.piece[0]), PIECE, SOURCE),
        )
    assert job.formed is not None
    assert job.formed.hardening is not None
    k = job.formed.facts.get("k_cov")
    k_words = f"{k.source} ({k.standing()})" if k else "no figure in the record: 6 % taken"
    shares = law.springback_shares(job.formed.hardening.n, k.value if k else DEFAULT_K_COV, THICKNESS_COV, MODULUS_COV)
    return (
        Contributor(
            "springback formula",
            FORMULA_SD_DEG,
            MODEL,
            "1.5 deg rms off a section model, 945 study points; no formed part",
        ),
        Contributor("strength K of the sheet", u * shares["strength"], PIECE, k_words),
        Contributor(
            "thickness of the sheet", u * shares["thickness"], PIECE, "2 %, a standard's table over two (memory)"
        ),
        Contributor("modulus of the sheet", u * shares["modulus"], PIECE, "1.25 %, spread of published moduli"),
    )


def block_scatter(job: Job, stepped: bool = True) -> tuple[Contributor, ...]:
    """What moves the angle by how the wall is cut; `stepped`: to a rounded undercut."""
    wall = job.catalogue.practice["block_angle_accuracy"]
    rows = [Contributor("wall angle as cut", wall.value / 2, TOOLING, f"{wall.source} ({wall.standing()})")]
    if stepped:
        half = BLOCK_ANGLE_STEP / 2
        rows.append(
            Contributor(
                "undercut rounded", law.rectangular_sd(half), TOOLING, f"cut in steps of {BLOCK_ANGLE_STEP:g} deg"
            )
        )
    return tuple(rows)


def through(b: Bend, per_degree: float) -> tuple[Contributor, ...]:
    """What moves the angle, seen through a lever [mm/deg], one contributor a kind."""
    names = {MODEL: "angle, by the formula", TOOLING: "angle, by the block as cut", PIECE: "angle, by the sheet"}
    out = []
    for kind, name in names.items():
        mine = [c.sd for c in b.moved_by if c.kind == kind]
        out.append(Contributor(name, abs(per_degree) * law.combined_sd(mine), kind, "the angle's own contributors"))
    return tuple(out)


def released_radius(job: Job, b: Bend) -> tuple[float, tuple[Contributor, ...]]:
    """(shift, contributors) of the released inside radius [mm]."""
    step = job.catalogue.practice["radius_gauge_step"]
    opened = (b.angle + b.undercut) / b.angle  # the block's radius opens by this when the bend is let go
    lever = law.radius_per_degree(b.radius, job.t, b.angle)
    return lever * b.shift, (
        *through(b, lever),
        Contributor(
            "block's edge as filed", opened * law.rectangular_sd(step.value / 2), TOOLING, f"{step.source} ({step.standing()})"
        ),
        Contributor(
            "sheet not lying on the edge", opened * law.rectangular_sd(SEATING * b.block_radius), MODEL,
            "one case of a finer model: 4 to 7 % under the block's radius",
        ),
    )  # fmt: skip


def mold_line_lever(b: Bend, thickness: float, reach: float) -> float:
    """How the mold line moves outward per degree that the bend turns further [mm/deg]."""
    return law.setback_per_radian(b.radius, thickness, reach, b.angle) * radians(1.0)
