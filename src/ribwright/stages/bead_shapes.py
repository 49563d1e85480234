"""Beads as shapes: the section of the sheet's middle and of the block's groove, the path, and what the drawing left open.

`width` is measured across where the bead leaves the flat web, `depth` from the web's face to the same face at the bottom, `radius` and
`edge_radius` inside the sheet's bends as those of flanges are: at the bottom on the side that the bead opens to, at the edge on the other.
What is not typed: a round bead's bottom takes the largest radius that its width and depth hold, every other radius the least bend radius
of the shop's table for the sheet as formed (one thickness where the table has none).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ribwright.features.part import Bead
from ribwright.geometry.groove_profile import GrooveProfile, groove_profile, widest_radii
from ribwright.geometry.grooved_path import too_short, turns
from ribwright.shop.least_radius import radii_of
from ribwright.stages.job import Job

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class BeadShape:
    """One bead. `number` counts from 1; `path` (n, 2) [mm]; `mid` the section of the sheet's middle, `block` of the block's face, None
    where width, depth and radii are no section; radii inside the sheet [mm]; `open` what the drawing left open; `why_not`."""

    number: int
    bead: Bead
    path: Array
    mid: GrooveProfile | None
    block: GrooveProfile | None
    radius: float
    edge_radius: float
    left_open: tuple[str, ...]
    why_not: str = ""

    @property
    def name(self) -> str:
        """How it is called: 'bead 1'."""
        return f"bead {self.number}"

    @property
    def length(self) -> float:
        """Overall length along the path, round ends included [mm]."""
        return float(np.sum(np.linalg.norm(np.diff(self.path, axis=0), axis=1))) + self.bead.width


def bead_shapes(job: Job) -> tuple[BeadShape, ...]:
    """The part's beads in the order of the file."""
    return tuple(_shape(job, i, b) for i, b in enumerate(job.part.beads, 1))


def least_radius(job: Job) -> float:
    """Least inside bend radius of the shop's table for the sheet as formed; its thickness where the table has none [mm]."""
    row = job.formed.bend_row if job.formed else job.formed_name
    known = radii_of(job.radius_table, row, job.t)
    return known[1] if known else job.t


def _shape(job: Job, number: int, b: Bead) -> BeadShape:
    t, least, left = job.t, least_radius(job), []
    edge = b.edge_radius or least
    if not b.edge_radius:
        left.append("edge_radius")
    if not b.radius:
        left.append("radius")
    most = widest_radii(b.width, b.depth)
    bottom = b.radius or (most - t - edge if b.section == "round" else least)
    path = np.array(b.points, float)
    mid = groove_profile(b.width, b.depth, edge + t / 2, bottom + t / 2) if bottom > 0 else None
    why = ""
    if mid is None:
        why = f"its radii and the sheet add up to {max(edge + bottom, edge) + t:.2f} mm, its width and depth hold {most:.2f} mm"
    elif too_short(path, b.width):
        sharpest = np.degrees(np.max(np.abs(turns(path)), initial=0.0))
        why = f"its path turns by {sharpest:.0f} deg within less length than its width needs"
    block = None if mid is None else mid.lower(t / 2)
    return BeadShape(number, b, path, mid, block, max(bottom, 0.0), edge, tuple(left), why)
