"""The length that a free edge must lose, along a run of flange: what is left for flutes to take.

e is the engineering strain by which the free edge of the flat must shrink at a place, w.r.t. its flat length dl:

    least   Integral max(e - e_pad, 0) dl     what is past the smooth limit of the record: it wrinkles unless it is gathered
    most    Integral e dl where e > Fty/E     all that does not spring back by itself
    aim     half of both                      the mean of the two bounds misses neither by more than half of what lies between

e_pad, `shrink_limit`, is what pad and metal take by themselves in solid-pad practice; it does not depend on the pressure here.
A limit or a yield strain that is not known counts as 0: `least` is then the whole.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ribwright.stages.blank import Blank, RunStrip
from ribwright.stages.job import Job
from ribwright.stages.run_line import RunLine, run_line

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Gather:
    """Along a run's line at the places `x` (n,), rising from where the flange begins to where it ends: the strain, and each
    amount summed up from the first place [mm]."""

    line: RunLine
    x: Array
    strain: Array
    least: Array
    most: Array

    @property
    def aim(self) -> Array:
        """Half of both, summed up."""
        return (self.least + self.most) / 2.0


def gather_of(job: Job, blank: Blank, strip: RunStrip) -> Gather:
    """What a run's free edge must lose; places that could not be developed need nothing here, a finding says what they are."""
    line = run_line(blank.laid[strip.loop], strip.run)
    at, s = strip.at, strip.strip
    x = line.of_stations(at.edge, at.along)
    edge = at.tangent + s.flat_width[:, None] * at.across
    e = np.where(s.good & (at.leg > 0.0), np.maximum(-np.expm1(np.where(s.good, s.edge_strain, 0.0)), 0.0), 0.0)
    flanged = np.ones(len(x) - 1, bool)
    for before, after in at.gaps:
        flanged[before:after] = False  # cut away by a notch
    if blank.laid[strip.loop].loop.turned:
        x, edge, e, flanged = x[::-1], edge[::-1], e[::-1], flanged[::-1]
    step = np.hypot(*np.diff(edge, axis=0).T) * flanged
    pad = (job.formed.number("shrink_limit") or 0.0) if job.formed else 0.0
    rows = (np.maximum(e - pad, 0.0), np.where(e > _yields(job), e, 0.0))
    least, most = (np.concatenate([[0.0], np.cumsum((row[1:] + row[:-1]) / 2.0 * step)]) for row in rows)
    return Gather(line, x, e, least, np.maximum(most, least))


def _yields(job: Job) -> float:
    """Yield strain of the sheet as formed."""
    m = job.formed
    yields, modulus = (m.number("yield_mpa"), m.number("youngs_modulus_mpa")) if m else (None, None)
    return yields / modulus if yields and modulus else 0.0
