"""Where along an edge a flange can be measured: whole flange under the gauge, nothing cut or pressed into it there.

Allowed is what lies 1.5 flange widths clear of free ends (corners, and the cuts of notches with their flange gaps; of a short piece its
middle alone), and `CLEAR` off the sides of flutes and the ends of joggle steps, so that a protractor's blade lies flat. Where flutes
stand closer than that, the lands between them are taken as they are.
"""

from __future__ import annotations

import numpy as np

from ribwright.features.joggled import steps_of
from ribwright.geometry.spread import free_stretches
from ribwright.stages.blank import Blank
from ribwright.stages.flutes import Fluting
from ribwright.stages.job import Job

CLEAR = 6.35  # 1/4 in, project decision: half the width of a common protractor blade
SAME = 1e-6
Stretch = tuple[float, float]


def measurable(job: Job, blank: Blank, fluting: Fluting, edge: str) -> tuple[Stretch, ...]:
    """(from, to) of every measurable stretch of a flanged edge, along as typed and rising [mm]; a short one may be a point. Empty where
    notches, flutes and steps leave none."""
    whole = whole_flange(blank, edge)
    for clear in (CLEAR, 0.0):
        left = _without(whole, _pressed_in(job, blank, fluting, edge, clear))
        if left:
            return left
    return ()


def nearest(allowed: tuple[Stretch, ...], at: float) -> float:
    """The measurable place nearest to `at`; of two as near the lower one."""
    return min((min(max(at, low), high) for low, high in allowed), key=lambda x: abs(x - at))


def whole_flange(blank: Blank, edge: str) -> tuple[Stretch, ...]:
    """(from, to) of what lies clear of free ends, along as typed and rising [mm]."""
    strip, i = blank.strip_of(edge)
    mine = strip.at.edge == i
    out = []
    for row in strip.at.ranges(i):
        low, high = sorted(float(x) for x in np.interp(row, strip.at.arc[mine], strip.at.along[mine]))
        out.append((low, high))
    return tuple(sorted(out))


def _pressed_in(job: Job, blank: Blank, fluting: Fluting, edge: str, clear: float) -> list[Stretch]:
    """Flutes and steps of joggles on an edge, wider by `clear` on both sides."""
    out = []
    run = fluting.run_of(edge)
    if run is not None:
        line = run.gather.line
        # a flute over a smooth join, or over the start of a closed line, reaches into the next edge
        around = (-sum(line.lengths), 0.0, sum(line.lengths)) if line.closed else (0.0,)
        zero = line.x_of(edge, 0.0)
        out += [(low - zero + k, high - zero + k) for f in run.flutes for low, high in (f.reach(),) for k in around]
    strip, i = blank.strip_of(edge)
    length = blank.laid[strip.loop].edges[i].drawn.length
    out += [step for j in job.part.joggles if j.edge == edge for step in steps_of(j, length)]
    return [(low - clear, high + clear) for low, high in out]


def _without(whole: tuple[Stretch, ...], taken: list[Stretch]) -> tuple[Stretch, ...]:
    """The stretches less what is taken; a point stays where it lies in none of that."""
    out: list[Stretch] = []
    for low, high in whole:
        if high - low < SAME:
            out += [] if any(a < low < b for a, b in taken) else [(low, high)]
        else:
            out += [s for s in free_stretches(low, high, taken) if s[1] - s[0] > SAME]
    return tuple(out)
