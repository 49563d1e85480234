"""Zones of a tilting saw table: which edges, and which stretches of an edge whose wall changes, are cut at one tilt.

Tilt is counted from square: 0 is a square wall, positive leans the wall under the web face (the foot comes out smaller).
A tilt is a multiple of the table's step; the wall of a stretch is nowhere farther from its tilt than one step. Between
the stations of a `BlockEdge` the wall runs straight, so a stretch ends exactly where the next tilt must begin.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, floor

import numpy as np
from numpy.typing import NDArray

from ribwright.stages.block import Block, BlockEdge
from ribwright.stages.job import Job
from ribwright.stages.springback import Bends, released_of

Array = NDArray[np.float64]
TINY = 1e-9


@dataclass(frozen=True)
class Stretch:
    """A piece of an edge cut at one tilt, from-to along as typed [mm]; `remaining` the least and the greatest angle error
    [deg] of the part there, the fixed undercut's included; None: not known for this temper. `whole`: the whole edge."""

    edge: str
    start: float
    end: float
    whole: bool
    remaining: tuple[float, float] | None


@dataclass(frozen=True)
class Zone:
    """One setting of the table: tilt from square [deg], setback of the foot it cuts [mm], what is cut with it."""

    tilt: float
    setback: float
    stretches: tuple[Stretch, ...]

    @property
    def edges(self) -> tuple[str, ...]:
        """Names of the edges, each once, in the order of the part."""
        return tuple(dict.fromkeys(s.edge for s in self.stretches))


def zones_of(job: Job, block: Block) -> tuple[Zone, ...]:
    """The zones by rising tilt; every flanged edge of every loop lies in them once, end to end."""
    step = job.catalogue.practice["saw_tilt_step"].value
    found: dict[float, list[Stretch]] = {}
    for e in block.edges:
        pieces = _pieces(e.along, e.under.wall - 90.0, step)
        for start, end, tilt in pieces:
            found.setdefault(tilt, []).append(_stretch(job, e, start, end, tilt, len(pieces) == 1))
    return tuple(Zone(t, block.height * float(np.tan(np.radians(t))), tuple(found[t])) for t in sorted(found))


def _stretch(job: Job, e: BlockEdge, start: float, end: float, tilt: float, whole: bool) -> Stretch:
    # between two stations the error runs one way, so stations and ends hold its least and its greatest
    along = np.array([start, *e.along[(e.along > start) & (e.along < end)], end])
    flange = job.part.flanges[job.part.edge(e.edge).flange or ""]
    bends = Bends(e.edge, flange.bend_radius, np.interp(along, e.along, e.angle), along)
    left = released_of(job, bends, 90.0 + tilt - bends.angle).left
    known = e.under.known and bool(np.all(np.isfinite(left)))
    return Stretch(e.edge, start, end, whole, (float(np.min(left)), float(np.max(left))) if known else None)


def _pieces(along: Array, lean: Array, step: float) -> list[tuple[float, float, float]]:
    """(start, end, tilt) end to end over an edge whose wall leans `lean` (n,) past square at `along` (n,), each as long
    as one tilt serves it."""
    out: list[tuple[float, float, float]] = []
    start = float(along[0])
    low = high = float(lean[0])
    for i in range(len(along) - 1):
        a, b = float(lean[i]), float(lean[i + 1])
        while True:
            # how far the wall may run on before no tilt serves all of the stretch
            most, least = _tilts(low, high, step)[1] + step, _tilts(low, high, step)[0] - step
            limit = most if b > most + TINY else least if b < least - TINY else None
            if limit is None:
                break
            at = float(np.interp(0.0, *_crossing(a, b, limit, along[i], along[i + 1])))
            low, high = min(low, limit), max(high, limit)
            out.append((start, at, _nearest(low, high, step)))
            start, low, high = at, limit, limit
        low, high = min(low, b), max(high, b)
    out.append((start, float(along[-1]), _nearest(low, high, step)))
    return [p for p in out if p[1] - p[0] > TINY or len(out) == 1]


def _crossing(a: float, b: float, limit: float, x0: float, x1: float) -> tuple[list[float], list[float]]:
    """Table for `np.interp`: where the lean that runs from a to b passes `limit`."""
    rows = sorted([(a - limit, float(x0)), (b - limit, float(x1))])
    return [r[0] for r in rows], [r[1] for r in rows]


def _tilts(low: float, high: float, step: float) -> tuple[float, float]:
    """Least and greatest tilt that is within one step of everything from low to high [deg]."""
    return ceil((high - step) / step - 1e-6) * step, floor((low + step) / step + 1e-6) * step


def _nearest(low: float, high: float, step: float) -> float:
    """The tilt that serves low to high and lies nearest their middle [deg]."""
    least, most = _tilts(low, high, step)
    return min(max(round((low + high) / 2 / step) * step, least), most) + 0.0
