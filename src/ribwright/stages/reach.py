"""What a pressure does to each flange: closes it, or leaves it open and by how much; the shortest flange it can bend.

Angle under load by `mechanics.closing`, the pad taking its share in proportion to the angle. The band takes the scatter of the
closing pressure and of the pad's share one after the other and adds their squares and that of how the pad model's share grows; its
lower end takes half a degree off, within which a flange counts as closed. After release the angle shrinks in the ratio that the block
as cut gives a closed bend; the free part of an open flange is bowed and straightens besides.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ribwright.mechanics import closing, pad
from ribwright.stages.finding import Predicted
from ribwright.stages.job import Job
from ribwright.stages.pads import PadShare
from ribwright.stages.pressure import Demand, Flange
from ribwright.stages.springback import Bends, corrected_by, released_of
from ribwright.stages.undercut import Z90

MODEL = "rigid-plastic strip over the block's edge, anchored at the closing pressure; unverified below it"
RELEASED = MODEL + "; springback in the ratio of the bend on this block"
WITHIN_DEG = 0.5  # a flange this close to its loaded limit counts as closed


@dataclass(frozen=True)
class Reach:
    """What one flange does at a pressure on the pad.

    closes          None: the flow curve of this temper is not known, or no straight part is left
    wall            angle of the block's wall, the loaded limit [deg]
    under_load, left_open, released [deg]; left_open = wall - under_load
    shortest_straight, shortest_flange [mm]: what this pressure closes, straight part and outside width; infinite when it
                    closes none; the width is None for a hole flange
    margin          (pressure - needed)/pressure
    quick_shortest  what the quick formula says for `shortest_straight` where the section model gave that
    """

    flange: Flange
    demand: Demand | None
    pressure: float
    closes: bool | None = None
    wall: float | None = None
    under_load: Predicted | None = None
    left_open: Predicted | None = None
    released: Predicted | None = None
    shortest_straight: float | None = None
    shortest_flange: float | None = None
    margin: float | None = None
    quick_shortest: float | None = None


def reach(
    job: Job, flange: Flange, demand: Demand | None, share: PadShare, pressure: float, least: float | None = None
) -> Reach:
    """One flange at `pressure` [MPa] on the pad. `least` [MPa]: the least it may be, for a loose pad that spreads."""
    if demand is None:
        return Reach(flange, None, pressure)
    loaded = _under_load(demand, share, pressure, pressure if least is None else least)
    short = float(
        pad.shortest_straight(demand.moment, pressure, 1.0, share.mpa)
    )  # 1.71 M is the quick formula's, whatever pc
    width = None if "hole" in flange.where else float(pad.shortest_flange(flange.radius, job.t, flange.angle, short))
    need = demand.need.value
    return Reach(
        flange,
        demand,
        pressure,
        need <= pressure * (1 + 1e-9),
        demand.wall,
        loaded,
        Predicted(demand.wall - loaded.value, demand.wall - loaded.high, demand.wall - loaded.low, MODEL),
        _released(job, flange, demand, share, pressure, loaded),
        short,
        width,
        (pressure - need) / pressure,
    )


def _under_load(d: Demand, share: PadShare, pressure: float, least: float) -> Predicted:
    cov = Z90 * float(np.hypot(pad.CLOSING_SCATTER, d.cov))
    softer, stiffer = (float(np.hypot(Z90 * share.sd, abs(share.mpa - end))) for end in (share.least, share.most))

    def turned(kg: float, pc: float, p: float = pressure) -> float:
        return float(closing.turned_against_pad(p, kg, pc, d.straight, d.mid_radius, d.wall, d.n))

    # the closing pressure that was asked for closes, whatever the rounding of (p - k G)/pC says
    shut = d.need.value <= pressure * (1 + 1e-9)
    value, own = (d.wall, 0.0) if shut else (turned(share.mpa, d.pc), Z90 * pad.OPEN_SD if share.mpa > 0.0 else 0.0)
    # a loose pad that spreads brings it down once; sheet and rubber scatter from there
    spreads = value if least == pressure else min(turned(share.mpa, d.pc, least), value)
    scatter = (turned(share.mpa, d.pc * (1 + cov), least), turned(share.mpa + stiffer, d.pc, least))
    less = float(np.linalg.norm([value - spreads, *(spreads - x for x in scatter), own]))
    more = [turned(share.mpa, d.pc * (1 - cov)) - value, turned(max(share.mpa - softer, 0.0), d.pc) - value, own]
    low = max(value - float(np.hypot(less, WITHIN_DEG)), 0.0)
    return Predicted(value, low, min(value + float(np.linalg.norm(more)), d.wall), MODEL)


def _released(job: Job, f: Flange, d: Demand, share: PadShare, pressure: float, loaded: Predicted) -> Predicted:
    bends = Bends(f.owner, f.radius, np.array([f.angle]), np.array([f.along]))
    out = released_of(job, bends, np.array([d.wall - f.angle]))
    at, least, most = (float(x[0]) for x in (out.angle, out.low, out.high))
    ratio, bow = at / d.wall, 0.0
    if loaded.value < d.wall:
        q = (pressure - share.mpa * loaded.value / d.wall) / d.pc
        bow = (1 - ratio) * float(closing.straightens_besides(q, d.straight, d.mid_radius, d.wall, d.n))
    turn = loaded.value / d.wall
    value = max(ratio * loaded.value - bow, 0.0)
    low = ratio * loaded.low - (at - least) * turn - bow
    high = ratio * loaded.high + (most - at) * turn
    return Predicted(value, max(low, 0.0), max(high, value), corrected_by(job, bends, RELEASED))
