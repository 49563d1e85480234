"""Develop a run of flange: how wide its strip is in the flat, by the chosen method.

handbook            flat width = BA + L
strain-corrected    the hoop-strained annulus of mechanics.annulus on the smoothed curvature, mid-surface arc,
                    less (0.5 - Kf) t a, Kf = (BA/a - R)/t

A notch makes free ends: beside one the curvature counts by the share of hoop strain that is left there (`mechanics.free_end`).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ribwright.features.part import Flange
from ribwright.mechanics import annulus, bending
from ribwright.mechanics.free_end import kept_between
from ribwright.stages.job import Job
from ribwright.stages.stations import Stations

Array = NDArray[np.float64]
HANDBOOK, STRAIN_CORRECTED = METHODS = ("handbook", "strain-corrected")
INVERSE, DEFAULT = "inverse", "default"  # by balance (`inverse_cut`); the quick one held beside it (`chosen_blank`)
ASKED = (DEFAULT, *METHODS, INVERSE)
DECAY = 0.35  # hoop strain dies away over this share of the flat width from a jump of curvature: trial, 0.3 to 0.4


@dataclass(frozen=True, eq=False)
class Strip:
    """The developed strip at each station: flat width square to the tangent line, true hoop strain and mid-surface
    thickness of the free edge, bend allowance, plan curvature used. Masks: `folds` the formed flange would fold,
    `closes` the flat would close up, `good` the numbers are finished."""

    flat_width: Array
    edge_strain: Array
    thickness: Array
    allowance: Array
    curvature: Array
    folds: NDArray[np.bool_]
    closes: NDArray[np.bool_]
    good: NDArray[np.bool_]


def allowance(job: Job, flange_radius: float, angle: Array) -> Array:
    """Bend allowance by the shop's rule [mm]."""
    rules = job.shop.rules
    return np.asarray(bending.bend_allowance(rules.bend_allowance, flange_radius, job.t, angle, rules.k_factor), float)


def shift(job: Job, flange_radius: float, angle: Array) -> Array:
    """(0.5 - Kf) t a: what the blank loses because the neutral fibre is not the middle one [mm]."""
    return (flange_radius + job.t / 2) * np.radians(angle) - allowance(job, flange_radius, angle)


def develop(job: Job, at: Stations, flange: Flange, method: str) -> Strip:
    """The strip of one run."""
    ba = allowance(job, flange.bend_radius, at.angle)
    handbook = ba + at.leg
    rm = flange.bend_radius + job.t / 2
    k = hill_k(job)
    off = rm * np.sin(np.radians(at.angle)) + at.leg * np.cos(np.radians(at.angle))
    left = _left_by_notches(at, handbook)
    if method == "handbook":
        kappa = left * _local(at)
        folds, closes = 1 + kappa * off <= 0, 1 + kappa * handbook <= 0
        bad = folds | closes
        strain = np.log(np.where(bad, 1.0, 1 + kappa * off) / np.where(bad, 1.0, 1 + kappa * handbook))
        thickness = job.t * np.exp(-(1 - k) * strain)
        return Strip(handbook, strain, thickness, ba, kappa, folds, closes, ~bad)
    kappa = left * felt_by_ring(job, at, flange)
    d = strained(job, at, flange, kappa)
    width = d.width + np.minimum(at.leg, 0.0)
    return Strip(
        np.where(d.converged, width, handbook),
        d.edge_strain,
        job.t * d.edge_thickness_ratio,
        ba,
        kappa,
        d.folds,
        d.closes,
        d.converged,
    )


def felt_by_ring(job: Job, at: Stations, flange: Flange) -> Array:
    """Curvature that hoop strain feels at each station of the run without notches [1/mm]."""
    handbook = allowance(job, flange.bend_radius, at.angle) + at.leg
    return annulus.smooth_curvature(at.arc, at.cells, np.maximum(DECAY * handbook, 1e-3), at.closed, at.kinks)


def strained(job: Job, at: Stations, flange: Flange, kappa: Array) -> annulus.Development:
    """The annulus of each station's section on a curvature (n,) [1/mm]."""
    n, prestrain = flow(job)
    lost = shift(job, flange.bend_radius, at.angle)
    leg = np.maximum(at.leg, 0.0)
    return annulus.develop(
        kappa, flange.bend_radius + job.t / 2, at.angle, leg, hill_k(job), n=n, prestrain=prestrain, shift=lost
    )


def _left_by_notches(at: Stations, width: Array) -> Array:
    """Share of the curvature that hoop strain still feels at each station beside notches, whose cuts are free ends (n,)."""
    gaps = tuple((float(at.arc[a]), float(at.arc[b])) for a, b in at.gaps)
    return kept_between(at.arc, np.maximum(width, 1e-3), gaps, at.total, at.closed)


def hill_k(job: Job) -> float:
    """k = R/(1+R) of the sheet as formed; isotropic when the R-value is not known."""
    r = job.formed.r_bar() if job.formed else 1.0
    return r / (1 + r)


def flow(job: Job) -> tuple[float, float]:
    """(n, prestrain) of the sheet as formed. The flat hardly depends on them; a middling curve stands in."""
    h = job.formed.hardening if job.formed else None
    return (h.n, h.prestrain) if h else (0.2, 0.002)


def _local(at: Stations) -> Array:
    """Curvature at the stations: mean of the neighbouring cells."""
    cells = at.cells
    first, last = (cells[-1], cells[0]) if at.closed else (cells[0], cells[-1])
    return (np.concatenate([[first], cells]) + np.concatenate([cells, [last]])) / 2
