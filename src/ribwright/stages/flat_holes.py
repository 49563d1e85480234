"""Holes in the blank: plain and tooling holes as drawn, flanged lightening holes cut small and turned.

A hole flange is a stretch flange round a closed circle: plan curvature of its tangent circle -1/Rt, everywhere.
Exactly one of four sizes is typed; the straight part L of the formed meridian follows from it by the method asked for.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import pi

import numpy as np
from numpy.typing import NDArray

from ribwright.features.part import Hole
from ribwright.mechanics import annulus, hole
from ribwright.stages.develop import allowance, flow, hill_k, shift
from ribwright.stages.job import Job

Array = NDArray[np.float64]


@dataclass(frozen=True)
class FlatHole:
    """A hole as cut and, for a lightening hole, as formed. Lengths mm; strain true; None where there is no flange.

    tangent_diameter  circle where the flange leaves the flat web
    straight          straight part of the formed meridian, bend end to rim
    depth             web's inner face to the rim's farthest point, square to the web
    out_of_round  how far the computed rim lies from the circle that is cut, at most
    `outcome` "good", or why the flange cannot be developed: "folds", "closes", "no-flange" (size leaves no flange),
    "undetermined" (a square flange's opening does not fix its height)
    """

    hole: Hole
    cut_diameter: float
    tangent_diameter: float | None = None
    rim_diameter: float | None = None
    flange_height: float | None = None
    flat_width: float | None = None
    straight: float | None = None
    edge_strain: float | None = None
    edge_thickness: float | None = None
    outcome: str = "good"
    out_of_round: float = 0.0

    @property
    def cut_area(self) -> float:
        """Area cut away [mm2], slot included."""
        return pi * self.cut_diameter**2 / 4 + self.hole.slot * self.cut_diameter


def flat_holes(job: Job, method: str) -> tuple[FlatHole, ...]:
    """Every hole of the part, in the order of the file."""
    made: dict[Hole, FlatHole] = {}
    out = []
    for h in job.part.holes:
        # holes repeat their sizes: each size is developed once
        size = replace(h, name="", at=(0.0, 0.0), balloon="")
        if size not in made:
            made[size] = _lightening(job, h, method) if h.kind == "lightening" else FlatHole(h, h.diameter)
        out.append(replace(made[size], hole=h))
    return tuple(out)


def tangent_diameter(h: Hole, thickness: float) -> float:
    """Diameter of the circle where the flange leaves the flat web [mm]."""
    if h.line != "outside-mold-line":
        return h.diameter
    # the outside mold line of a hole lies inside its tangent circle
    return h.diameter + 2 * (h.bend_radius + thickness) * float(np.tan(np.radians(h.bend_angle) / 2))


def _flat_width(job: Job, h: Hole, dt: float, straight: Array, method: str) -> tuple[Array, str]:
    """Flat width, tangent circle to cut, for straight parts (n,); NaN where one cannot be developed, and why."""
    angle = np.array([h.bend_angle])
    if method == "handbook":
        return allowance(job, h.bend_radius, angle) + straight, "good"
    n, prestrain = flow(job)
    lost = shift(job, h.bend_radius, angle)
    kappa, rm = np.full(len(straight), -2 / dt), h.bend_radius + job.t / 2
    d = annulus.develop(kappa, rm, angle, straight, hill_k(job), n=n, prestrain=prestrain, shift=lost)
    outcome = (
        "folds" if d.folds.any() else "closes" if d.closes.any() else "good" if d.converged.all() else "not-converged"
    )
    return np.where(d.converged & ~d.folds & ~d.closes, d.width, np.nan), outcome


def _lightening(job: Job, h: Hole, method: str) -> FlatHole:
    dt = tangent_diameter(h, job.t)
    name, size = h.given or ("cut_diameter", dt)
    straight = _straight(job, h, dt, name, size, method)
    if straight is None and name == "rim_diameter":
        return FlatHole(h, size, dt, outcome="undetermined")
    if straight is None or straight < 0:
        return FlatHole(h, size if name == "cut_diameter" else dt, dt, outcome="no-flange")
    outcome = "good"
    cut = size if name == "cut_diameter" else dt - 2 * size
    if name in ("rim_diameter", "flange_height"):
        width, outcome = _flat_width(job, h, dt, np.array([straight]), method)
        cut = dt - 2 * float(width[0])
    rim_mid = float(hole.rim_diameter_mid(dt, h.bend_radius, job.t, h.bend_angle, straight))
    if cut <= 0 or rim_mid <= 0 or outcome != "good":
        return FlatHole(h, max(cut, 1e-3), dt, straight=straight, outcome=outcome if outcome != "good" else "closes")
    strain = float(np.log(rim_mid / cut))
    return FlatHole(
        h,
        cut,
        dt,
        rim_mid - job.t * float(np.sin(np.radians(h.bend_angle))),
        float(hole.flange_height(h.bend_radius, job.t, h.bend_angle, straight)) - _heel(job, h),
        (dt - cut) / 2,
        straight,
        strain,
        job.t * float(np.exp(-(1 - hill_k(job)) * strain)),
    )


def _heel(job: Job, h: Hole) -> float:
    """The contract measures from the web's heel face, which a flange turned up has on its inner side: less by t [mm]."""
    return job.t if h.turn == "up" else 0.0


def _straight(job: Job, h: Hole, dt: float, name: str, size: float, method: str) -> float | None:
    """Straight part of the meridian from the size that was typed."""
    if name == "rim_diameter":
        return hole.straight_from_rim(dt, h.bend_radius, job.t, h.bend_angle, size)
    if name == "flange_height":
        return hole.straight_from_height(h.bend_radius, job.t, h.bend_angle, size + _heel(job, h))
    wanted = (dt - size) / 2 if name == "cut_diameter" else size
    return hole.straight_from_width(lambda x: _flat_width(job, h, dt, x, method)[0], wanted)
