"""What pressure closes each flange, by the quick formulas, with the scatter of each as a band.

    pC = 1.71 M(R)/s^2        uniform pressure that closes a straight 90 deg flange to within 0.5 deg
    p  = pC + k G             ram pressure over a real pad in a box; G from Shore A (Gent)
M(R) of mechanics.springback, s the straight part of the flange. Fitted on straight 90 deg flanges; a bevel, a curved
flange or a hole flange lies outside the fit and the answer says "unverified".
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ribwright.mechanics import pad, springback
from ribwright.stages.blank import Blank
from ribwright.stages.finding import Predicted
from ribwright.stages.job import Job
from ribwright.stages.undercut import THICKNESS_COV, Z90, undercut

MODEL = "closing pressure 1.71 M/s^2 + k G of the pad"


@dataclass(frozen=True)
class Demand:
    """What one flange asks for. `where` {edge} or {hole}; s straight part [mm]; pc [MPa] uniform; need [MPa] ram.

    `unverified` says why the formula was not fitted for this flange ("" = inside the fit).
    """

    where: dict[str, object]
    straight: float
    moment: float
    pc: float
    need: Predicted
    unverified: str


def demands(job: Job, blank: Blank, shore_a: float | None) -> tuple[Demand, ...]:
    """The demand of every flange and hole flange; empty when the flow curve of this temper is not known.

    shore_a None: the pressure acts as a fluid (k G = 0).
    """
    h = job.formed.hardening if job.formed else None
    if job.formed is None or h is None:
        return ()
    out = []
    pad_why = _pad_outside(shore_a)
    for name, radius, angle, straight, curved, along in _flanges(job, blank):
        if straight <= 0:
            continue
        rb = float(undercut(job, radius, np.array([angle])).radius[0])
        m = float(springback.power_law_moment(h.k_mpa, h.n, rb, job.t))
        pc = float(pad.closing_pressure(m, straight))
        sheet = float(np.hypot(job.formed.number("k_cov") or 0.06, (h.n + 2) * THICKNESS_COV))  # M ~ K t^(n+2)
        why = [] if abs(angle - 90) < 0.5 else [f"bend angle {angle:.1f}".removesuffix(".0")]
        why += ["curved flange"] if curved else []
        why += ["hole flange"] if "hole" in name else []
        why += pad_why
        where: dict[str, object] = {**name, **({"along_mm": along} if along is not None else {})}
        out.append(Demand(where, straight, m, pc, _need(pc, sheet * pc, shore_a), ", ".join(why)))
    return tuple(out)


def _pad_outside(shore_a: float | None) -> list[str]:
    """Why the pad's numbers are held or extrapolated; empty inside the fits."""
    if shore_a is None:
        return []
    why = ["pad harder or softer than 60 to 90 Shore A, k held"] if pad.pad_coefficient(shore_a).held else []
    return why + (
        ["Gent's modulus extrapolated past 20 to 80 Shore A"] if pad.shear_modulus(shore_a).extrapolated else []
    )


def _need(pc: float, sheet_sd: float, shore_a: float | None) -> Predicted:
    """Ram pressure with the scatter of the fits and of the sheet, taken as independent."""
    k, k_sd, g = 0.0, 0.0, 0.0
    if shore_a is not None:
        coefficient = pad.pad_coefficient(shore_a)
        k, k_sd, g = float(coefficient.k), float(coefficient.sd), float(pad.shear_modulus(shore_a).shear_mpa)
    ram = pad.ram_pressure(pc, k, g, k_sd)
    p, sd = float(ram.pressure), float(np.hypot(ram.sd, sheet_sd))
    return Predicted(p, max(p - Z90 * sd, 0.0), p + Z90 * sd, MODEL)


def _flanges(job: Job, blank: Blank) -> list[tuple[dict[str, object], float, float, float, bool, float | None]]:
    """(where, R, angle, straight part, curved, along) of the hardest place of every flanged edge and hole."""
    rows: list[tuple[dict[str, object], float, float, float, bool, float | None]] = []
    for s in blank.strips:
        assert s.run.flange is not None
        for i in s.run.edges:
            mine = s.at.edge == i
            j = np.flatnonzero(mine)[int(np.argmin(s.at.leg[mine]))]
            curved = bool(np.max(np.abs(s.strip.curvature[mine])) > 1e-6)
            name: dict[str, object] = {"edge": blank.laid[s.loop].edges[i].edge.name}
            rows.append(
                (name, s.run.flange.bend_radius, float(s.at.angle[j]), float(s.at.leg[j]), curved, float(s.at.along[j]))
            )
    for f in blank.holes:
        if f.straight is not None and f.outcome == "good":
            rows.append(({"hole": f.hole.name}, f.hole.bend_radius, f.hole.bend_angle, f.straight, True, None))
    return rows


def governing(all_demands: tuple[Demand, ...]) -> Demand | None:
    """The flange that closes last."""
    return max(all_demands, key=lambda d: d.need.value) if all_demands else None
