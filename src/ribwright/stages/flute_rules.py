"""What shop practice and the sheet allow of a flute: widths, depth for a width, land, distance from ends."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ribwright.mechanics import flute
from ribwright.shop.least_radius import radii_of
from ribwright.shop.sheet import Fact
from ribwright.stages.job import Job
from ribwright.units import MM_PER_IN

WIDTHS = 4  # tried from the usual one to the least


@dataclass(frozen=True)
class FluteRules:
    """Lengths in mm. `share` depth over width at most, `least_depth` the shallowest that is planned, `land` and `end` flat metal
    to the next flute and to what ends the flange, `radius` the least inside radius of the sheet, None where no table says it."""

    width: float
    least_width: float
    depth: float
    share: float
    least_depth: float
    land: float
    end: float
    thickness: float
    radius: float | None

    @property
    def widths(self) -> tuple[float, ...]:
        """Widths that are tried, the usual one first."""
        return tuple(float(w) for w in np.linspace(self.width, self.least_width, WIDTHS))

    def deepest(self, width: float) -> float:
        """The most depth that a flute of this width may have: by its share, and by the least radius of the sheet."""
        by_share = self.share * width
        if self.radius is None:
            return by_share
        return min(by_share, flute.deepest_for_radius(width, self.radius + self.thickness / 2))

    def usual(self, width: float) -> float:
        """The usual depth at this width: in the usual one's proportion, no deeper than allowed."""
        return min(self.depth * width / self.width, self.deepest(width))

    def inside_radius(self, width: float, depth: float) -> float:
        """The sharpest inside radius of a flute [mm]."""
        return float(flute.arc_radius(width, depth)) - self.thickness / 2


def flute_rules(job: Job) -> FluteRules:
    """The rules for the sheet of a job."""
    fact = job.catalogue.practice
    known = radii_of(job.radius_table_of(job.bend_row), job.bend_row, job.t)
    return FluteRules(
        _mm(fact["flute_width"]),
        _mm(fact["flute_width_least"]),
        _mm(fact["flute_depth"]),
        fact["flute_depth_share"].value,
        fact["flute_depth_least"].value * job.t,
        _mm(fact["flute_land"]),
        _mm(fact["flute_end"]),
        job.t,
        None if known is None else known[1],
    )


def _mm(fact: Fact) -> float:
    return fact.value * (MM_PER_IN if fact.unit == "in" else 1.0)
