"""The band of one place over pressure on the sheet: the curve of a picture, with what it takes to draw it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from ribwright.stages.forecast import Prepared, Seated
from ribwright.stages.forecast_section import Bands, Effect, Walk, bands, is_closed, less, lever, read
from ribwright.stages.forecast_spread import angle_sd, own_misses, spread_of

if TYPE_CHECKING:
    from ribwright.mechanics.section.model import Pressed


def band_walks(p: Prepared, s: Seated, pressures: tuple[float, ...]) -> dict[str, Walk]:
    """The walks that show a place's band over rising pressures on the sheet [MPa]: the value's own, "", and one for each change."""
    assert p.law.law is not None
    middle = p.walks[s.seat, ""].flange
    spreads = spread_of(p.plan.job, p.law, s.place, s.undercut, p.acting)
    rows = {"": Walk(middle, pressures)}
    for x in spreads:
        if x.walk.pressures:
            more = x.walk.pressures[-1] / p.acting.mpa
            rows[x.name] = Walk(x.walk.flange, tuple(more * q for q in pressures))
    return rows


def bands_over(
    p: Prepared, s: Seated, pressures: tuple[float, ...], found: Mapping[str, Pressed]
) -> list[tuple[float, Bands]]:
    """(pressure, bands) at those of the pressures to which every walk came."""
    assert p.law.law is not None
    spreads = {x.name: x for x in spread_of(p.plan.job, p.law, s.place, s.undercut, p.acting)}
    flanges = {name: w.flange for name, w in band_walks(p, s, pressures).items()}
    own = angle_sd(own_misses(p.plan, p.law, s.place, p.acting))
    rows = []
    for k, q in enumerate(pressures):
        here = {n: read(flanges[n], run.points[k]) for n, run in found.items() if n in flanges and k < len(run.points)}
        middle = here.pop("", None)
        if middle is None or len(here) < len(flanges) - 1 or None in here.values():
            continue
        turns = lever(found[""].points[k], flanges[""])
        closed = is_closed(found[""].points[k].loaded, flanges[""])
        effects = []
        for n, r in here.items():
            opens = closed and not is_closed(found[n].points[k].loaded, flanges[n])
            if r is not None:
                x = spreads[n]
                effects.append(Effect(n, less(r, middle), x.sds, x.one_way or opens, x.leans))
        rows.append((q, bands(middle, closed, effects, own, turns, flanges[""].axis is not None)))
    return rows
