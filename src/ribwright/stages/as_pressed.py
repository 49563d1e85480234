"""What a press leaves of a bend's released angle: the flange that stays open, and the one that may.

A flange that surely closes lies on the block's wall, and its angle is the block's. One that stays open comes off at the angle that the
set-up forecasts for it, whatever the block is cut to: correcting the block by a measured piece does not move it. One that should close
but whose needed pressure scatters past what there is may come off open as well: its band takes the wider side of the angle under
load for a normal scatter to both sides, which is too wide toward closed; where that is over LINEAR_DEG no normal band says it, and the
row is said to be a part of the truth only.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ribwright.stages.reach import Reach
from ribwright.stages.setup import Setup
from ribwright.stages.stack import PIECE, Contributor
from ribwright.stages.undercut import Z90

UNDER_LOAD = "angle under load"
SOURCE = "90 % band of the angle under this press's pressure, its wider side over 1.645"
LINEAR_DEG = 10.0  # so far a radius or a width moves in line with the angle
MAY_OPEN = "at this press the flange may stay open, by up to {:.0f} deg under load, which this band does not hold"
STAYS_OPEN = "the flange stays open at this press; what finishing it by hand leaves is not forecast"


@dataclass(frozen=True)
class Pressed:
    """A flange that is not sure to close. `open`: it stays open; `off` released angle less the drawing's [deg], 0 where it closes;
    `moved` what the pressure adds to the scatter of its angle [deg], None where `left_out` says why not; `along` its hardest place as
    typed [mm]."""

    open: bool
    off: float
    moved: Contributor | None
    left_out: str
    along: float
    reach: Reach


def surely(s: Setup) -> float:
    """The pressure that acts whatever a loose pad does [MPa]."""
    return s.available if s.spread_pressure is None else s.spread_pressure


def stays_open(setup: Setup | None) -> tuple[Reach, ...]:
    """The flanges that the press leaves open."""
    return () if setup is None else tuple(r for r in setup.reached if r.closes is False and r.released is not None)


def as_pressed(setup: Setup | None, owner: str) -> Pressed | None:
    """The flange of an edge or hole where the press named does not surely close it; None where it does, or nobody knows."""
    r = None if setup is None else _of(setup.reached, owner)
    if setup is None or r is None or r.demand is None or r.under_load is None or r.released is None or r.closes is None:
        return None
    if r.closes and r.demand.need.high <= surely(setup) * (1 + 1e-9):
        return None
    load = r.under_load
    side = max(load.value - load.low, load.high - load.value)
    if r.closes and side > LINEAR_DEG:
        return Pressed(False, 0.0, None, MAY_OPEN.format(side), r.flange.along, r)
    off = 0.0 if r.closes else r.released.value - r.flange.angle
    return Pressed(not r.closes, off, Contributor(UNDER_LOAD, side / Z90, PIECE, SOURCE), "", r.flange.along, r)


def _of(reached: Sequence[Reach], owner: str) -> Reach | None:
    return next((r for r in reached if r.flange.owner == owner), None)
