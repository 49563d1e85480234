"""Where along an edge the least or the largest of a value lies, as the answer's {min, max} takes it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ribwright.features.part import Flange
from ribwright.stages.blank import RunStrip
from ribwright.stages.explain.family import Case

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Spot:
    """A place of a strip at arc length `arc` [mm] along the run; `exact` where it is a station, or between two alike ones;
    `even` where only the section is alike. `mine` are the stations of its edge: where two edges join, each has its own there."""

    strip: RunStrip
    mine: NDArray[np.int64]
    arc: float
    exact: bool
    even: bool

    def of(self, values: Array) -> float:
        """A value here: a station's own, or linear between the two beside it."""
        return float(np.interp(self.arc, self.strip.at.arc[self.mine], values[self.mine]))

    @property
    def flange(self) -> Flange:
        """The flange here."""
        assert self.strip.run.flange is not None
        return self.strip.run.flange

    @property
    def along(self) -> float:
        """Arc length along the drawn edge as typed [mm]."""
        return self.of(self.strip.at.along)


def spot(case: Case, rows: Callable[[RunStrip], Array]) -> tuple[Spot, str]:
    """The place of the number's least or largest value, and the name of its edge."""
    edge, which = str(case.row["name"]), case.path.rpartition(".")[2]
    strip, index = case.plan.blank.strip_of(edge)
    values, at = rows(strip), strip.at
    mine = np.flatnonzero(at.edge == index)
    arc, own = at.arc[mine], values[mine]
    ends = np.array(at.ranges(index)).ravel()
    inside = np.any([(arc > low) & (arc < high) for low, high in at.ranges(index)], axis=0)
    places = np.concatenate([ends, arc[inside]])
    found = np.concatenate([np.interp(ends, arc, own), own[inside]])
    k = int(np.argmin(found) if which == "min" else np.argmax(found))
    here = float(places[k])
    near = np.searchsorted(arc, here)
    beside = mine[[int(np.clip(j, 0, len(arc) - 1)) for j in (near - 1, near)]]
    on = bool(np.min(np.abs(arc - here)) < 1e-9)
    jumps = [abs(float(v[beside[0]] - v[beside[1]])) for v in (at.angle, at.width, strip.strip.curvature)]
    return Spot(strip, mine, here, on or max(jumps) < 1e-12, on or max(jumps[:2]) < 1e-12), edge


PLACE = "Least and largest over the run, leaving out 1.5 flange widths at free ends; a run shorter than 4 widths answers its middle."
