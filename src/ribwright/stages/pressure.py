"""What pressure closes each flange, with its scatter as a band: by the section model where it answered, else by quick formulas.

    pC = 1.71 M(R)/s^2        uniform pressure that closes a straight 90 deg flange to within 0.5 deg
    p  = pC + k G             ram pressure over a real pad in a box; G from Shore A (Gent)
M(R) of mechanics.springback, s the straight part of the flange. Fitted on straight 90 deg flanges; a bevel, a curved
flange or a hole flange lies outside the fit and the answer says "unverified".
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ribwright.mechanics import pad, springback
from ribwright.stages.blank import Blank
from ribwright.stages.finding import Predicted
from ribwright.stages.job import Job
from ribwright.stages.pads import PadShare
from ribwright.stages.section import undercut_asked
from ribwright.stages.springback import Bends, solved_of, undercut_of
from ribwright.stages.undercut import DEFAULT_K_COV, THICKNESS_COV, Z90

Array = NDArray[np.float64]
EQUAL_MM = 1e-6
MODEL = "closing pressure 1.71 M/s^2 + k G of the pad"
SECTION = "closing pressure of the section model + k G of the pad"
SAME = 1.01  # closing pressures are told in steps of 1 %: a flange that needs no more than that over what there is, is at its limit


def within(need: float, have: float) -> bool:
    """Whether pressure or force `have` closes what needs `need`, as near as the model tells it."""
    return need <= have * SAME


@dataclass(frozen=True)
class Flange:
    """The hardest place of one flanged edge or hole. `where` {edge, along_mm} or {hole}; inside radius and straight part
    [mm], bend angle [deg]; `fixed` [deg]: the undercut that the block is cut to there, None where it is the solved one."""

    where: dict[str, object]
    radius: float
    angle: float
    straight: float
    curved: bool
    fixed: float | None = None

    @property
    def owner(self) -> str:
        """Name of the edge or hole."""
        return str(self.where.get("edge", self.where.get("hole")))

    @property
    def along(self) -> float:
        """Where along it, as typed [mm]; 0 of a hole."""
        along = self.where.get("along_mm", 0.0)
        assert isinstance(along, int | float)
        return float(along)


@dataclass(frozen=True)
class Demand:
    """What one flange asks for. `where` {edge} or {hole}; s straight part [mm]; pc [MPa] uniform; need [MPa] ram.

    `unverified` says why the formula was not fitted for this flange ("" = inside the fit). What the angle reached needs:
    wall angle [deg], mid-surface radius of the block's edge [mm], n, relative scatter of pc from the sheet. `quick`: what the quick
    formula said where the section model gave pc [MPa].
    """

    where: dict[str, object]
    straight: float
    moment: float
    pc: float
    need: Predicted
    unverified: str
    wall: float
    mid_radius: float
    n: float
    cov: float
    quick: float | None = None

    @property
    def by_model(self) -> bool:
        """Whether the section model gave the closing pressure."""
        return self.quick is not None


def demands(job: Job, blank: Blank, share: PadShare) -> tuple[Demand, ...]:
    """The demand of every flange and hole flange; empty when the flow curve of this temper is not known."""
    found = (demand_of(job, f, share) for f in flanges(job, blank))
    return tuple(d for d in found if d is not None)


def demand_of(job: Job, f: Flange, share: PadShare) -> Demand | None:
    """What one flange asks for: by the section model where it answered for it, else by the quick formulas. None: no flow curve
    of this temper is known, or no straight part is left."""
    h = job.formed.hardening if job.formed else None
    if job.formed is None or h is None or f.straight <= 0:
        return None
    cov = closing_cov(job)
    bends = Bends(f.owner, f.radius, np.array([f.angle]), np.array([f.along]))
    under = undercut_of(job, bends, f.fixed)
    rb, wall = float(under.radius[0]), float(under.wall[0])
    m = float(springback.power_law_moment(h.k_mpa, h.n, rb, job.t))
    quick = float(pad.closing_pressure(m, f.straight))
    solved = solved_of(job, f.owner)
    if solved is not None and np.isfinite(solved.closing):
        why = [*([solved.unverified] if solved.unverified else []), *share.unverified]
        need = needed(solved.closing, cov, share, SECTION)
        return Demand(
            f.where, f.straight, m, solved.closing, need, "; ".join(why), wall, rb + job.t / 2, h.n, cov, quick
        )
    why = [] if abs(f.angle - 90) < 0.5 else [f"bend angle {f.angle:.1f}".removesuffix(".0")]
    why += ["curved flange"] if f.curved else []
    why += ["hole flange"] if "hole" in f.where else []
    why += share.unverified
    need = needed(quick, cov, share)
    return Demand(f.where, f.straight, m, quick, need, ", ".join(why), wall, rb + job.t / 2, h.n, cov)


def closing_cov(job: Job) -> float:
    """Relative scatter of a closing pressure from the sheet: M ~ K t^(n+2)."""
    m = job.formed
    assert m is not None
    assert m.hardening is not None
    return float(np.hypot(m.number("k_cov") or DEFAULT_K_COV, (m.hardening.n + 2) * THICKNESS_COV))


def needed(pc: float, cov: float, share: PadShare, model: str = MODEL) -> Predicted:
    """Ram pressure for a closing pressure `pc` [MPa] that the sheet scatters by `cov`: fits and sheet taken as independent; of a
    stack of pads, besides, from the softest layer alone to the hardest."""
    p = pc + share.mpa
    sd = float(np.hypot(np.hypot(pad.CLOSING_SCATTER * pc, share.sd), cov * pc))
    low = float(np.hypot(Z90 * sd, share.mpa - share.least))
    high = float(np.hypot(Z90 * sd, share.most - share.mpa))
    return Predicted(p, max(p - low, 0.0), p + high, model)


def flanges(job: Job, blank: Blank) -> tuple[Flange, ...]:
    """Every flanged edge at its hardest place, then every hole flange."""
    rows: list[Flange] = []
    for s in blank.strips:
        assert s.run.flange is not None
        for i in s.run.edges:
            mine = s.at.edge == i
            j = _hardest(job, blank.laid[s.loop].edges[i].edge.name, s.at.leg, s.at.along, mine)
            curved = bool(np.max(np.abs(s.strip.curvature[mine])) > 1e-6)
            laid = blank.laid[s.loop].edges[i]
            where: dict[str, object] = {"edge": laid.edge.name, "along_mm": float(s.at.along[j])}
            radius, fixed = s.run.flange.bend_radius, undercut_asked(job, laid)
            rows.append(Flange(where, radius, float(s.at.angle[j]), float(s.at.leg[j]), curved, fixed))
    for f in blank.holes:
        if f.straight is not None and f.outcome == "good":
            fixed = 0.0 if job.part.block_undercut == "none" else None
            rows.append(Flange({"hole": f.hole.name}, f.hole.bend_radius, f.hole.bend_angle, f.straight, True, fixed))
    return tuple(rows)


def _hardest(job: Job, name: str, leg: Array, along: Array, mine: NDArray[np.bool_]) -> int:
    """The station that the section model found to ask most; else the one with the shortest straight part, of equal ones the
    first from the edge's start as typed, so that the two hands of a pair name the same place."""
    solved = solved_of(job, name)
    if solved is not None:
        rows = np.flatnonzero(mine)
        return int(rows[np.argmin(np.abs(along[rows] - solved.closing_along))])
    least = np.flatnonzero(mine & (leg < np.min(leg[mine]) + EQUAL_MM))
    return int(least[np.argmin(along[least])])


def governing(all_demands: tuple[Demand, ...]) -> Demand | None:
    """The flange that closes last."""
    return max(all_demands, key=lambda d: d.need.value) if all_demands else None
