"""How far the block's wall leans past the part's angle, with its band: closed form of pure bending.

u = 12 M(R_block) A / (E' t^3) [rad],  A = (R + t/2) a,  R_block + t/2 = A/(a + u), solved together.
Pressure does not enter. Against a section model the formula is off by 1.5 deg rms (a trial of 945 study points on
synthetic sheet; no formed part was compared); that goes into the band as a standard deviation, with the scatter of
the sheet: u ~ K t^(n-1) / E.

A block cut to another undercut u' turns the sheet to a + u' and bends it to R_block' + t/2 = A/(a + u'); it gives back
    sb(a, u') = 12 M(R_block') A / (E' t^3),   so the part comes out  a + u' - sb,  wrong by  u' - sb.
At u' = u nothing is left. With one u' for an edge, u' - sb falls as a rises, so the errors at the edge's least and
greatest angle are its worst; the u' that makes them equal and opposite leaves the least largest error.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ribwright.mechanics import springback
from ribwright.stages.job import Job

Array = NDArray[np.float64]
MODEL = "closed form, pure bending of a power-law sheet"
FORMULA_SD_DEG = 1.5
THICKNESS_COV = 0.02  # tolerance of thin aluminium sheet over two, from memory of the standard's table
MODULUS_COV = 0.0125  # spread of published moduli of one alloy
Z90 = 1.645
DEFAULT_K_COV = 0.06  # of K where the record gives none: our estimate, untested
BLOCK_ANGLE_STEP = 0.5  # deg; paper prints the undercut rounded to it, beside the computed one
HOW_CUT = {
    "varying": "the undercut follows the bend angle along the edge",
    "constant-per-edge": "one undercut for each edge, chosen so that the largest angle error left on the edge is least",
    "none": "no undercut, as the part file asks",
}


@dataclass(frozen=True, eq=False)
class Undercut:
    """Arrays: undercut [deg] with 90 % band, wall angle from flat [deg], block radius [mm].

    `known` False: the flow curve or modulus of this temper is not known and u is 0; `good` False: no solution. `model`
    says which one answered.
    """

    deg: Array
    low: Array
    high: Array
    wall: Array
    radius: Array
    known: bool
    good: NDArray[np.bool_]
    model: str = MODEL


@dataclass(frozen=True, eq=False)
class Released:
    """What comes off a block cut to some undercut, arrays [deg]: `left` the released angle less the drawing's (positive:
    closed), `angle` the released angle with its 90 % band. NaN where the flow curve of the temper is not known."""

    left: Array
    angle: Array
    low: Array
    high: Array
    model: str = MODEL


def undercut(job: Job, radius: float, angle: Array, fixed: float | None = None) -> Undercut:
    """Undercut for bends of inside radius `radius` [mm] and angles (n,) [deg].

    `fixed` [deg]: the block is cut to this undercut instead of the solved one; the band stays the solved one's about it.
    """
    angle = np.asarray(angle, float)
    free = _solved(job, radius, angle)
    if fixed is None:
        return free
    u = np.full(len(angle), fixed)
    return Undercut(
        u,
        np.maximum(u + free.low - free.deg, 0.0),
        u + free.high - free.deg,
        angle + u,
        kept_arc_radius(radius, job.t, angle, u),
        free.known,
        free.good,
    )


def released(job: Job, radius: float, angle: Array, deg: Array) -> Released:
    """What bends drawn with inside radius `radius` [mm] and angles (n,) come out as when the block is cut to undercuts
    `deg` (n,) [deg]: closed form, arc length kept."""
    angle, deg = np.broadcast_arrays(np.asarray(angle, float), np.asarray(deg, float))
    back = springback_of(job, radius, angle, deg)
    if back is None:
        nothing = np.full(len(angle), np.nan)
        return Released(nothing, nothing, nothing, nothing)
    wide = Z90 * _sd(job, back)
    loaded = angle + deg
    # a bend does not spring further closed
    return Released(deg - back, loaded - back, loaded - back - wide, loaded - np.maximum(back - wide, 0.0))


def constant_undercut(job: Job, radius: float, angles: Array) -> float:
    """The one undercut [deg] for an edge with bend angles between the least and the greatest of `angles` that leaves the
    least largest angle error; 0 where the flow curve is not known."""
    ends = np.array([np.min(angles), np.max(angles)])
    fixed = 0.0
    for _ in range(60):
        back = springback_of(job, radius, ends, np.full(2, fixed))
        if back is None:
            return 0.0
        before, fixed = fixed, float(np.mean(back))
        if abs(fixed - before) < 1e-12:
            break
    return fixed


def springback_of(job: Job, radius: float, angle: Array, deg: Array) -> Array | None:
    """Angle given back [deg] by the sheet on a block cut to `deg`; None: not known for this temper."""
    m = job.formed
    modulus, nu = (m.springback_modulus(), m.number("poisson")) if m else (None, None)
    if m is None or m.hardening is None or modulus is None or nu is None:
        return None
    h, block = m.hardening, kept_arc_radius(radius, job.t, angle, deg)
    return np.asarray(springback.closed_form_springback(h.k_mpa, h.n, modulus, nu, block, job.t, angle + deg), float)


def _sd(job: Job, back: Array) -> Array:
    """Standard deviation [deg] of a springback: scatter of the sheet and the formula's own error."""
    return np.asarray(np.sqrt((piece_share(job) * back) ** 2 + FORMULA_SD_DEG**2))


def piece_share(job: Job) -> float:
    """Standard deviation of a springback from piece to piece, as a share of it: scatter of the sheet. Only where the curve is known."""
    m = job.formed
    assert m is not None
    assert m.hardening is not None
    k_cov = m.number("k_cov") or DEFAULT_K_COV
    return float(np.sqrt(k_cov**2 + ((1 - m.hardening.n) * THICKNESS_COV) ** 2 + MODULUS_COV**2))


def _solved(job: Job, radius: float, angle: Array) -> Undercut:
    m = job.formed
    modulus, nu = (m.springback_modulus(), m.number("poisson")) if m else (None, None)
    if m is None or m.hardening is None or modulus is None or nu is None:
        zero = np.zeros(len(angle))
        return Undercut(zero, zero, zero, angle, np.full(len(angle), radius), False, np.ones(len(angle), bool))
    h = m.hardening
    s = springback.undercut(h.k_mpa, h.n, modulus, nu, radius, job.t, angle)
    u = np.asarray(s.undercut_deg, float)
    sd = _sd(job, u)
    return Undercut(
        u,
        np.maximum(u - Z90 * sd, 0.0),
        u + Z90 * sd,
        angle + u,
        kept_arc_radius(radius, job.t, angle, u),
        True,
        np.asarray(s.converged, bool),
    )


def kept_arc_radius(radius: float, thickness: float, angle: Array, u: Array) -> Array:
    """Block radius that keeps the released arc: (R_block + t/2)(a + u) = (R + t/2) a [mm]."""
    return (radius + thickness / 2) * angle / (angle + u) - thickness / 2
