"""What pressure closes each flange, by the quick formulas, with the scatter of each as a band.

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
from ribwright.stages.undercut import DEFAULT_K_COV, THICKNESS_COV, Z90, undercut

Array = NDArray[np.float64]
EQUAL_MM = 1e-6
MODEL = "closing pressure 1.71 M/s^2 + k G of the pad"


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


@dataclass(frozen=True)
class Demand:
    """What one flange asks for. `where` {edge} or {hole}; s straight part [mm]; pc [MPa] uniform; need [MPa] ram.

    `unverified` says why the formula was not fitted for this flange ("" = inside the fit). What the angle reached needs:
    wall angle [deg], mid-surface radius of the block's edge [mm], n, relative scatter of pc from the sheet.
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


def demands(job: Job, blank: Blank, share: PadShare) -> tuple[Demand, ...]:
    """The demand of every flange and hole flange; empty when the flow curve of this temper is not known."""
    found = (demand_of(job, f, share) for f in flanges(job, blank))
    return tuple(d for d in found if d is not None)


def demand_of(job: Job, f: Flange, share: PadShare) -> Demand | None:
    """The demand of one flange; None when the flow curve of this temper is not known or no straight part is left."""
    h = job.formed.hardening if job.formed else None
    if job.formed is None or h is None or f.straight <= 0:
        return None
    cov = float(np.hypot(job.formed.number("k_cov") or DEFAULT_K_COV, (h.n + 2) * THICKNESS_COV))  # M ~ K t^(n+2)
    under = undercut(job, f.radius, np.array([f.angle]), f.fixed)
    rb = float(under.radius[0])
    m = float(springback.power_law_moment(h.k_mpa, h.n, rb, job.t))
    pc = float(pad.closing_pressure(m, f.straight))
    why = [] if abs(f.angle - 90) < 0.5 else [f"bend angle {f.angle:.1f}".removesuffix(".0")]
    why += ["curved flange"] if f.curved else []
    why += ["hole flange"] if "hole" in f.where else []
    why += share.unverified
    need = _need(pc, cov * pc, share)
    wall = float(under.wall[0])
    return Demand(f.where, f.straight, m, pc, need, ", ".join(why), wall, rb + job.t / 2, h.n, cov)


def _need(pc: float, sheet_sd: float, share: PadShare) -> Predicted:
    """Ram pressure with the scatter of the fits and of the sheet, taken as independent; of a stack of pads, besides, from
    the softest layer alone to the hardest."""
    p = pc + share.mpa
    sd = float(np.hypot(np.hypot(pad.CLOSING_SCATTER * pc, share.sd), sheet_sd))
    low = float(np.hypot(Z90 * sd, share.mpa - share.least))
    high = float(np.hypot(Z90 * sd, share.most - share.mpa))
    return Predicted(p, max(p - low, 0.0), p + high, MODEL)


def flanges(job: Job, blank: Blank) -> tuple[Flange, ...]:
    """Every flanged edge at its hardest place, then every hole flange."""
    rows: list[Flange] = []
    for s in blank.strips:
        assert s.run.flange is not None
        for i in s.run.edges:
            mine = s.at.edge == i
            j = _first_shortest(s.at.leg, s.at.along, mine)
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


def _first_shortest(leg: Array, along: Array, mine: NDArray[np.bool_]) -> int:
    """The station with the shortest straight part; of equal ones the first from the edge's start as typed, so that the two
    hands of a pair name the same place."""
    least = np.flatnonzero(mine & (leg < np.min(leg[mine]) + EQUAL_MM))
    return int(least[np.argmin(along[least])])


def governing(all_demands: tuple[Demand, ...]) -> Demand | None:
    """The flange that closes last."""
    return max(all_demands, key=lambda d: d.need.value) if all_demands else None
