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
from ribwright.geometry.stepped import Ramp
from ribwright.mechanics import annulus, bending, stepped_strip
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
    thickness of the free edge, bend allowance, plan curvature used; of joggles the curvature that the free edge feels besides, and what
    their steps add to the flat width (`stepped`). Masks: `folds` the formed flange would fold,
    `closes` the flat would close up, `good` the numbers are finished."""

    flat_width: Array
    edge_strain: Array
    thickness: Array
    allowance: Array
    curvature: Array
    felt: Array
    stepped: Array
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
        kappa, felt, stepped = left * _local(at), np.zeros(len(at.arc)), sheared(at, at.depth - _sharp(at))
        folds, closes = 1 + kappa * off <= 0, 1 + kappa * handbook <= 0
        bad = folds | closes
        strain = np.log(np.where(bad, 1.0, 1 + kappa * off) / np.where(bad, 1.0, 1 + kappa * handbook))
        thickness = job.t * np.exp(-(1 - k) * strain)
        return Strip(handbook + stepped, strain, thickness, ba, kappa, felt, stepped, folds, closes, ~bad)
    kappa = left * felt_by_ring(job, at, flange)
    d = strained(job, at, flange, kappa)
    width = d.width + np.minimum(at.leg, 0.0)
    felt, moved = _felt_steps(at, rm)
    stepped = sheared(at, moved)
    felt = left * felt
    edge = strained(job, at, flange, kappa + felt) if at.steps else d
    return Strip(
        np.where(d.converged, width, handbook) + stepped,
        edge.edge_strain,
        job.t * edge.edge_thickness_ratio,
        ba,
        kappa,
        felt,
        stepped,
        d.folds,
        d.closes,
        d.converged,
    )


def sheared(at: Stations, moved: Array) -> Array:
    """What the steps of joggles add to the flat width at the stations [mm]: the cut edge lies `moved` (n,) further out than one that
    steps in with the line; and the bend tangent line, square to a ramp, lies less deep than beside it."""
    lean = 1.0 - np.sum(at.normal * at.across, axis=1)
    return np.asarray(moved - at.inset * lean)


def _felt_steps(at: Stations, mid_radius: float) -> tuple[Array, Array]:
    """Of all steps of the run: curvature that the free edge feels [1/mm], and how much less deep than the line it lies in the flat [mm]
    (`mechanics.stepped_strip`), both (n,)."""
    bent, far = np.zeros(len(at.arc)), np.full(len(at.arc), at.first)
    if not at.steps:
        return bent, np.zeros(len(at.arc))
    a = np.radians(at.angle)
    kept = 1.0 - np.cos(a)
    depth = (np.maximum(at.leg, 0.0) * kept + mid_radius * (a - np.sin(a))) / np.maximum(kept, 1e-9)
    for middle, rise, length in at.steps:
        for x in _images(at.arc - middle, at.total if at.closed else 0.0):
            own, kappa = stepped_strip.felt(x, rise, length, np.maximum(depth, 1e-3))
            bent, far = bent + kappa, far + own
    return bent, kept * (at.depth - far)


def _sharp(at: Stations) -> Array:
    """How deep the drawn line lies square above the foot of each station [mm], (n,): what a flat that is only sheared follows."""
    deep = np.full(len(at.arc), at.first)
    for middle, rise, length in at.steps:
        for x in _images(at.arc - middle, at.total if at.closed else 0.0):
            deep = deep + Ramp(-length / 2, length, rise).share(x)
    return deep


def _images(x: Array, period: float) -> tuple[Array, ...]:
    """Places seen from a step; on a closed run also the other way round."""
    return (x, x - period, x + period) if period > 0.0 else (x,)


def felt_by_ring(job: Job, at: Stations, flange: Flange) -> Array:
    """Curvature that hoop strain feels at each station of the run without notches [1/mm]."""
    handbook = allowance(job, flange.bend_radius, at.angle) + at.leg
    return annulus.smooth_curvature(at.arc, at.plain, np.maximum(DECAY * handbook, 1e-3), at.closed, at.kinks)


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
    """Curvature at the stations, steps of joggles aside: mean of the neighbouring cells."""
    cells = at.plain
    first, last = (cells[-1], cells[0]) if at.closed else (cells[0], cells[-1])
    return (np.concatenate([[first], cells]) + np.concatenate([cells, [last]])) / 2
