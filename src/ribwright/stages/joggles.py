"""The steps of the part's joggles: where they run, what they strain, what pressure sets them into the wall of the block."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from ribwright.features.joggled import steps_of
from ribwright.mechanics import joggle, springback
from ribwright.stages.blank import Blank
from ribwright.stages.finding import Predicted
from ribwright.stages.job import Job
from ribwright.stages.pads import PadShare

MODEL = "strip across the step, 8 M/L^2, between 4 and 16, + k G of the pad; not compared"


@dataclass(frozen=True)
class Step:
    """One step of a joggle. `number` of the joggle in the part file, from 1; `start`, `end` along the edge as typed, rising; lengths mm,
    angle deg, strains engineering.

    radius   plan radius of its two arcs on a straight edge;  slope  at its middle
    stretch  how much longer the step is than the line it replaces;  bend  outer fibre over an arc
    edge_shrinks, edge_stretches  most of the flange's free edge within a flange width of the step, by the blank's method; None where the
                                  run has no stations there
    moment   per width of the sheet bent to the arcs [N]; None: no flow curve of this temper is known
    """

    edge: str
    number: int
    start: float
    end: float
    depth: float
    length: float
    radius: float
    slope: float
    stretch: float
    bend: float
    edge_shrinks: float | None
    edge_stretches: float | None
    moment: float | None

    @property
    def where(self) -> dict[str, Any]:
        """Edge and middle of the step."""
        return {"edge": self.edge, "joggle": self.number, "along_mm": (self.start + self.end) / 2}

    def needs(self, share: PadShare | None) -> Predicted | None:
        """Pressure on the pad that sets it [MPa]; without a pad on the sheet."""
        if self.moment is None:
            return None
        low, told, high = (float(p) for p in joggle.setting_pressure(self.moment, self.length))
        least, mid, most = (0.0, 0.0, 0.0) if share is None else (share.least, share.mpa, share.most)
        return Predicted(told + mid, low + least, high + most, MODEL)


def steps(job: Job, blank: Blank) -> tuple[Step, ...]:
    """Every step of every joggle, in the order of the part file, each from the edge's start as typed."""
    laid = {e.edge.name: e for loop in blank.laid for e in loop.edges}
    out = []
    for number, j in enumerate(job.part.joggles, 1):
        for start, end in steps_of(j, laid[j.edge].drawn.length):
            out.append(_step(job, blank, j.edge, number, (start, end), j.depth))
    return tuple(out)


def _step(job: Job, blank: Blank, edge: str, number: int, span: tuple[float, float], depth: float) -> Step:
    start, end = span
    length = end - start
    radius = float(joggle.arc_radius(depth, length))
    h = job.formed.hardening if job.formed else None
    moment = (
        None if h is None else float(springback.power_law_moment(h.k_mpa, h.n, max(radius - job.t / 2, 0.0), job.t))
    )
    low, high = _edge_strain(blank, edge, start, end)
    return Step(
        edge,
        number,
        start,
        end,
        depth,
        length,
        radius,
        float(np.degrees(joggle.slope(depth, length))),
        float(joggle.lengthening(depth, length)),
        float(joggle.bending_strain(depth, length, job.t)),
        None if low is None else max(-low, 0.0),
        None if high is None else max(high, 0.0),
        moment,
    )


def _edge_strain(blank: Blank, edge: str, start: float, end: float) -> tuple[float | None, float | None]:
    """Least and largest engineering strain of the free edge within a flange width of a step."""
    strip, i = blank.strip_of(edge)
    at = strip.at
    mine = (at.edge == i) & strip.strip.good & (at.along >= start - at.width) & (at.along <= end + at.width)
    if not mine.any():
        return None, None
    e = np.expm1(strip.strip.edge_strain[mine])
    return float(np.min(e)), float(np.max(e))


def steps_answer(found: tuple[Step, ...]) -> list[dict[str, Any]]:
    """The rows of `blank.joggles`."""
    return [
        {
            "edge": s.edge,
            "joggle": s.number,
            "from_mm": s.start,
            "to_mm": s.end,
            "depth_mm": s.depth,
            "length_mm": s.length,
            "radius_mm": s.radius,
            "slope_deg": s.slope,
            "stretch": s.stretch,
            "bend_strain": s.bend,
            "edge_shrinks": s.edge_shrinks,
            "edge_stretches": s.edge_stretches,
        }
        for s in found
    ]


def setting_answer(found: tuple[Step, ...], share: PadShare) -> list[dict[str, Any]]:
    """The rows of `setup.joggles`."""
    return [
        {
            "edge": s.edge,
            "joggle": s.number,
            "along_mm": (s.start + s.end) / 2,
            "needed_pressure_mpa": None if (need := s.needs(share)) is None else need.as_json(),
        }
        for s in found
    ]
