"""Where the undercut of a section is looked for first: between two sections of its flange that are solved already.

What a flange's undercut is over the closed form's changes with hoop strain as springback feels it (`places.felt`), with bend angle and
with the straight part. Two places of a flange that are solved, the one that is hardest to close and the one least like it, tell
both ends; a place between them is guessed between them, undercut and slope. On the demonstration rib the guesses are 0.0 to 0.3 deg
off, so that one run settles most places where two were needed.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ribwright.stages import undercut as closed
from ribwright.stages.job import Job
from ribwright.stages.places import Place, felt_by

Array = NDArray[np.float64]
CURVED_SHARE = 1.5  # of the closed form's undercut: first guess for a curved flange
APART = (1.0, 10.0, 1.0)  # felt strain, deg, ln of the straight part: what counts as much


@dataclass(frozen=True)
class Guess:
    """Undercut [deg] to begin from; slope of the released angle with it where that is known already [-]."""

    deg: float
    slope: float | None = None


def first_guess(job: Job, p: Place) -> Guess:
    """Before anything is solved."""
    u = quick_deg(job, p)
    return Guess(u if p.axis is None else CURVED_SHARE * u)


def quick_deg(job: Job, p: Place) -> float:
    """The closed form's undercut of a place [deg]."""
    return float(closed.undercut(job, p.radius, np.array([p.angle])).deg[0])


def guess_between(job: Job, p: Place, a: tuple[Place, Guess], b: tuple[Place, Guess]) -> Guess:
    """Of a place between two others that are solved."""
    (at_a, of_a), (at_b, of_b) = a, b
    way, here = _traits(job, at_b) - _traits(job, at_a), _traits(job, p) - _traits(job, at_a)
    long = float(way @ way)
    share = float(np.clip(way @ here / long, 0.0, 1.0)) if long > 0.0 else 0.0
    over = [g.deg / max(quick_deg(job, q), 1e-9) for q, g in (a, b)]
    slope = None if of_a.slope is None or of_b.slope is None else (1.0 - share) * of_a.slope + share * of_b.slope
    return Guess(((1.0 - share) * over[0] + share * over[1]) * quick_deg(job, p), slope)


def unlike_by(job: Job, a: Place, b: Place) -> float:
    """How unlike two places are: 1 for a straight edge and one that has yielded along itself, for 10 deg, for e times the length."""
    return float(np.linalg.norm(_traits(job, b) - _traits(job, a)))


def _traits(job: Job, p: Place) -> Array:
    return np.array([felt_by(job, p), p.angle, np.log(p.straight)]) / np.array(APART)
