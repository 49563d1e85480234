"""What was found on a piece: each measured characteristic at its place, how the data was moved onto the drawing, the verdicts.

    Found      one characteristic at one place, as measured, with its uncertainty (expanded, coverage factor 2: fit and gauge together)
    Fit        the rigid move of measured data onto the drawing, with its covariance and what was left at each pin hole
    Judged     a Found against the drawing's tolerance by the shop's decision rule

Readings, points and traced outlines each make `Found` in a stage of their own; everything after that (verdicts, hand work, the book,
sheets) knows only these.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ribwright.mechanics import tolerance as law
from ribwright.stages.finding import Finding
from ribwright.stages.stack import QUANTITIES
from ribwright.units import show_length

Array = NDArray[np.float64]

THICKNESS = "thickness"
FOUND = (*QUANTITIES, THICKNESS)
INSIDE, OUTSIDE, CANNOT_TELL = law.INSIDE, law.OUTSIDE, law.CANNOT_TELL
NO_TOLERANCE = "the drawing's tolerance is not in the part file"
NO_GAUGE = "the gauge's uncertainty is not known"
NOT_LAID = "how the piece lies on the drawing is not known"
Where = dict[str, Any]


@dataclass(frozen=True)
class Found:
    """One characteristic as measured.

    quantity  of FOUND; `where` {"edge", "along_mm"}, {"hole"} (of a position with "axis" "x" or "y") or {"loop"}
    value     deg or mm as `unit` says: an angle from flat, a width, a radius; of `contour` the deviation, + metal outside nominal;
              of `hole_position` the drift of that axis; of `web_flatness` the bow
    nominal   the drawing's; 0 of a deviation
    u         expanded uncertainty; None: nobody knows the gauge's, or how the piece lies (`note` NOT_LAID)
    by        "feeler", "protractor", ... as the gauge's kind, "points", "outline"
    gauge     id of the shop's gauge, "" for none
    readings  how many readings or points are behind it
    balloon   the drawing's number of the characteristic
    """

    quantity: str
    where: Where
    value: float
    nominal: float
    unit: str
    u: float | None
    by: str
    gauge: str = ""
    readings: int = 1
    balloon: str = ""
    note: str = ""

    @property
    def off(self) -> float:
        """Measured less nominal."""
        return self.value - self.nominal


@dataclass(frozen=True, eq=False)
class Drift:
    """What the fit left at a hole: measured less nominal centre after the move [mm], expanded uncertainty; `used`: it carried the fit."""

    hole: str
    dx: float
    dy: float
    u: float | None
    used: bool


@dataclass(frozen=True, eq=False)
class Fit:
    """The move of measured data onto the drawing, x' = R(rotation) x + (x, y).

    rms     of what it was fitted to [mm]; `by` "pins", "places and pins", "places", or "none": the data was taken in the drawing's frame
    cov     (3, 3) covariance of x, y [mm], rotation [rad]; zeros where nothing was fitted
    about   where the covariance is told about: the middle of what was fitted, in the drawing's frame [mm]
    """

    x: float
    y: float
    rotation_deg: float
    rms: float
    by: str
    cov: Array
    about: tuple[float, float] = (0.0, 0.0)
    drifts: tuple[Drift, ...] = ()

    def moved(self, points: Array) -> Array:
        """Points (n, 2) on the drawing."""
        a = np.radians(self.rotation_deg)
        r = np.array([[np.cos(a), -np.sin(a)], [np.sin(a), np.cos(a)]])
        return np.asarray(points @ r.T + (self.x, self.y))

    def sd(self, at: Array, normal: Array) -> Array:
        """Standard uncertainty of the move at points (n, 2) along unit directions (n, 2) [mm]."""
        arm = np.asarray(at, float) - self.about
        g = np.column_stack([normal, normal[:, 1] * arm[:, 0] - normal[:, 0] * arm[:, 1]])
        return np.asarray(np.sqrt(np.maximum(np.einsum("ni,ij,nj->n", g, self.cov, g), 0.0)))


@dataclass(frozen=True, eq=False)
class Profile:
    """The deviation along an edge where many points have it, for pictures: `along` as typed (n,), + metal outside nominal (n,) [mm]."""

    edge: str
    along: Array
    deviation: Array


NO_FIT = Fit(0.0, 0.0, 0.0, 0.0, "none", np.zeros((3, 3)))


@dataclass(frozen=True, eq=False)
class FoundSet:
    """All that one file of measurements gave. `findings`: what the data itself shows (a hole that drifted, a bow); `notes` what a reader
    of the result should know: what was left out, and why."""

    found: tuple[Found, ...]
    fit: Fit = NO_FIT
    profiles: tuple[Profile, ...] = ()
    findings: tuple[Finding, ...] = ()
    notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class Judged:
    """A Found and its verdict. `limits` (least, most) of the value itself; None where no tolerance was typed in. `reason` why nobody
    can tell; "" else."""

    found: Found
    limits: tuple[float, float] | None
    verdict: str
    reason: str = ""


def judge(found: Found, allowed: tuple[float, float] | None, decision: str) -> Judged:
    """`allowed` (minus, plus) about the nominal; `decision` the shop's rule, "guarded" or "simple"."""
    if allowed is None:
        return Judged(found, None, CANNOT_TELL, NO_TOLERANCE)
    limits = (found.nominal - allowed[0], found.nominal + allowed[1])
    if found.u is None and decision == "guarded":
        return Judged(found, limits, CANNOT_TELL, NOT_LAID if found.note == NOT_LAID else NO_GAUGE)
    verdict = law.verdict(found.value, *limits, found.u or 0.0, decision)
    reason = ""
    if verdict == CANNOT_TELL:
        edge = min(limits, key=lambda x: abs(found.value - x))
        reason = (
            f"the uncertainty, {_size(found.u or 0.0, found.unit)}, reaches over the limit of {_size(edge, found.unit)}"
        )
    return Judged(found, limits, verdict, reason)


def _size(value: float, unit: str) -> str:
    return f"{value:.2f} deg" if unit == "deg" else show_length(value)


def worst_verdict(verdicts: Iterable[str]) -> str:
    """OUTSIDE where one is, else CANNOT_TELL where one is or there is none, else INSIDE."""
    have = set(verdicts)
    return OUTSIDE if OUTSIDE in have else INSIDE if have == {INSIDE} else CANNOT_TELL
