"""One flange run through the section model: closed, or pressed and let go. The compiled model is loaded when it is first asked."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ribwright.mechanics import pad
from ribwright.stages.job import Job
from ribwright.stages.places import Place, flange_on
from ribwright.stages.sheet_laws import JobLaw

if TYPE_CHECKING:
    from ribwright.mechanics.section.model import Flange, Point, Pressed

Array = NDArray[np.float64]
CLOSING_STEP = 1.01  # of the closing pressure
WITHIN_DEG = 0.5  # a flange this close to the wall counts as closed
LOOKS, FELT_WITHIN = 4, 1e-3  # runs at most to find what a flange feels; of the pressure: then it is found
MOST_MPA = 400.0  # no press of the trade comes near


def flange_of(job: Job, known: JobLaw, place: Place, undercut_deg: float) -> Flange:
    """The place's flange with web enough beside it to measure its angle against."""
    from ribwright.mechanics.section.standing import with_web

    assert known.law is not None
    return with_web(flange_on(known.law, job.t, place, undercut_deg))


def closes_at(flange: Flange, most: float = MOST_MPA) -> float:
    """Uniform pressure [MPa] that brings the flange within 0.5 deg of the wall; infinite over `most`, or where the model stops. Every
    page and answer that tells a closing pressure of a section has it from here.

    Told in steps of 1 %, the nearest: by another way of steps up to it the model ends as far off, and nothing may hang on less.
    """
    from ribwright.mechanics.section.model import closing_pressure

    found = closing_pressure(flange, most)
    return float("inf") if found is None else float(CLOSING_STEP ** round(np.log(found) / np.log(CLOSING_STEP)))


def close(job: Job, known: JobLaw, place: Place, undercut_deg: float, most: float = MOST_MPA) -> float:
    """The closing pressure of a place on a block with this undercut [MPa], as of `closes_at`."""
    return closes_at(flange_of(job, known, place, undercut_deg), most)


def press_and_release(
    job: Job, known: JobLaw, place: Place, undercut_deg: float, pressure: float
) -> tuple[float | None, float]:
    """(released angle against the web beside the bend, or None where the model stopped; angle under load) [deg]."""
    from ribwright.mechanics.section.model import press_through

    flange = flange_of(job, known, place, undercut_deg)
    run = press_through(flange, (pressure,))
    out = _stands(flange, run, 0)
    return (None, np.nan) if out is None else (out, run.points[0].loaded.angle)


def released(flange: Flange, pressures: tuple[float, ...]) -> tuple[float | None, ...]:
    """Released angle [deg] from each of the rising pressures [MPa], all of one run; None where the model stopped before."""
    from ribwright.mechanics.section.model import press_through

    run = press_through(flange, pressures)
    return tuple(_stands(flange, run, k) for k in range(len(pressures)))


def _stands(flange: Flange, run: Pressed, k: int) -> float | None:
    """Released angle from the k-th pressure against the web beside the bend; None where the run did not come so far."""
    from ribwright.mechanics.section.standing import stands

    out = run.points[k].released if k < len(run.points) else None
    return None if out is None else stands(flange, out)


def felt_of(flange: Flange, ramp: Array, pressure: float, share: float) -> float:
    """What a flange feels of a pad's pressure [MPa], from its ramp (m, 2) of even pressures and angles; NaN: the ramp ends before."""
    return pad.felt_pressure(pressure, share, ramp[:, 0], ramp[:, 1], flange.wall - WITHIN_DEG)


def let_go_under_pad(
    flange: Flange, ramp: Array, pressure: float, shares: tuple[float, ...]
) -> tuple[Point, ...] | None:
    """The flange under a pad's `pressure` [MPa], let go: a point for each share [MPa] that the pad may keep, at what it then feels.

    `ramp` (m, 2): even pressures [MPa] and angles [deg] of a run to that pressure. Between two of its steps an angle is only read off,
    so the pressures that are found are run, put into the ramp and looked at again. None: the ramp ends before, or the model stopped.
    """
    from ribwright.mechanics.section.model import press_through

    felt = [float("nan")] * len(shares)
    points: tuple[Point, ...] = ()
    for _ in range(LOOKS):
        was, felt = felt, [felt_of(flange, ramp, pressure, share) for share in shares]
        if not np.isfinite(felt).all():
            return None
        if np.allclose(felt, was, rtol=FELT_WITHIN, atol=0.0):
            felt = was
            break
        points = press_through(flange, tuple(sorted(set(felt)))).points
        seen = [(q.pressure, q.loaded.angle) for q in points if q.released is not None]
        ramp = np.array(sorted({**dict(map(tuple, ramp)), **dict(seen)}.items()))
    at = {q.pressure: q for q in points}
    return tuple(at.get(q, points[-1]) for q in felt) if points else None
