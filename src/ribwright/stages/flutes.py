"""Flutes of a part: those the drawing has, and those that are planned where it says so.

A plan looks for the fewest flutes of the usual size that take the aim of `gather`, all of one size, and makes them just as deep as
their sum asks for. Their places are the most even ones there are (`geometry.spread`): what is made as small as can be is the
largest length of edge that has to travel past any place to reach its flute. Where they do not fit between rivets, notches,
joggles and ends, or would leave more than a whole flute's gather to travel, fewer and deeper or narrower ones are tried.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ribwright.features.part import along_of
from ribwright.geometry.spread import Spread, free_stretches, missed, spread
from ribwright.mechanics import flute
from ribwright.stages.blank import Blank
from ribwright.stages.flute_room import Zone, zones_of
from ribwright.stages.flute_rules import FluteRules, flute_rules
from ribwright.stages.gather import Gather, gather_of
from ribwright.stages.job import Job

Array = NDArray[np.float64]
PLAN, DRAWN = "plan", "drawn"
FEWER = 6  # counts that are tried for a width
LITTLE = 1e-6  # mm of gather that count as none


@dataclass(frozen=True)
class PlacedFlute:
    """One flute. `x` its middle on the run's line, `along` on its `edge` as typed, `point` on the drawn line, `normal` outward there;
    `turn` "down": pressed inward under the web. `gather` its own true length, `vee` the handbook's figure, `share` what of the
    aim lies nearer to it than to its neighbours [mm]. `index`: of the [[flute]] tables, or counted on from them."""

    edge: str
    along: float
    x: float
    point: tuple[float, float]
    normal: tuple[float, float]
    width: float
    depth: float
    turn: str
    by: str
    index: int
    gather: float
    vee: float
    share: float

    def reach(self) -> tuple[float, float]:
        """Its sides on the run's line [mm]."""
        return self.x - self.width / 2, self.x + self.width / 2


@dataclass(frozen=True, eq=False)
class FlutedRun:
    """A run with what it must lose [mm] and the flutes on it. `outcome`: "planned", "not needed", "no room" of a plan; "drawn";
    "none" where no flutes are asked for. `miss`: the largest length that travels past a place; `room` the longest free stretch between
    zones; `turn` of the flange."""

    gather: Gather
    zones: tuple[Zone, ...]
    flutes: tuple[PlacedFlute, ...]
    outcome: str
    flange: str
    miss: float
    room: float

    @property
    def edges(self) -> tuple[str, ...]:
        """The run's edges in the order typed."""
        return self.gather.line.names

    @property
    def least(self) -> float:
        """What wrinkles unless it is gathered [mm]."""
        return float(self.gather.least[-1])

    @property
    def most(self) -> float:
        """All that must go somewhere [mm]."""
        return float(self.gather.most[-1])

    @property
    def taken(self) -> float:
        """What the flutes take together [mm]."""
        return sum(f.gather for f in self.flutes)

    @property
    def enough(self) -> bool:
        """Whether the flutes take what would wrinkle."""
        return bool(self.flutes) and self.taken >= self.least - LITTLE


@dataclass(frozen=True, eq=False)
class Fluting:
    """Every run of flange that shrinks or has flutes."""

    runs: tuple[FlutedRun, ...]
    rules: FluteRules

    @property
    def flutes(self) -> tuple[PlacedFlute, ...]:
        """All flutes, run by run."""
        return tuple(f for run in self.runs for f in run.flutes)

    def run_of(self, edge: str) -> FlutedRun | None:
        """The run that an edge belongs to."""
        return next((r for r in self.runs if edge in r.edges), None)


def fluting_of(job: Job, blank: Blank) -> Fluting:
    """The flutes of a part, as drawn and as planned."""
    rules = flute_rules(job)
    return Fluting(tuple(_numbered(_runs(job, blank, rules), len(job.part.flutes))), rules)


def _numbered(runs: Iterator[FlutedRun], drawn: int) -> Iterator[FlutedRun]:
    """Planned flutes counted on over all runs, after the part file's tables."""
    last = drawn
    for run in runs:
        if run.outcome == "planned":
            run = replace(run, flutes=tuple(replace(f, index=last + k) for k, f in enumerate(run.flutes, 1)))
            last += len(run.flutes)
        yield run


def _runs(job: Job, blank: Blank, rules: FluteRules) -> Iterator[FlutedRun]:
    for strip in blank.strips:
        assert strip.run.flange is not None
        name, wish = strip.run.flange.name, strip.run.flange.flutes
        names = {blank.laid[strip.loop].edges[i].edge.name for i in strip.run.edges}
        drawn = any(f.edge in names for f in job.part.flutes)
        gather = gather_of(job, blank, strip)
        if not drawn and wish != PLAN and gather.most[-1] <= LITTLE:
            continue
        zones = zones_of(job.part, gather, rules)
        free = free_stretches(float(gather.x[0]), float(gather.x[-1]), [(z.low, z.high) for z in zones])
        room = max((b - a for a, b in free), default=0.0)
        if drawn or wish == DRAWN:
            flutes = _drawn(job, blank, gather)
            at, takes = (np.array([getattr(f, k) for f in flutes]) for k in ("x", "gather"))
            miss = missed(gather.x, gather.aim, at, takes) if len(flutes) else float(gather.aim[-1])
            yield FlutedRun(gather, zones, flutes, "drawn", name, miss, room)
        elif wish == PLAN:
            outcome, flutes, miss = _plan(blank, gather, zones, rules)
            yield FlutedRun(gather, zones, flutes, outcome, name, miss, room)
        else:
            yield FlutedRun(gather, zones, (), "none", name, float(gather.aim[-1]), room)


def _drawn(job: Job, blank: Blank, gather: Gather) -> tuple[PlacedFlute, ...]:
    line = gather.line
    rows = [(i, f) for i, f in enumerate(job.part.flutes, 1) if f.edge in line.names]
    places = [line.x_of(f.edge, along_of(f.at, line.lengths[line.names.index(f.edge)])) for _, f in rows]
    order = sorted(range(len(rows)), key=lambda k: (places[k], rows[k][0]))
    x = np.array([places[k] for k in order])
    shares = _shares(gather, x)
    out = []
    for k, share in zip(order, shares, strict=True):
        i, f = rows[k]
        out.append(_placed(blank, gather, places[k], (f.width, f.depth), f.turn, (DRAWN, i), share))
    return tuple(out)


@dataclass(frozen=True)
class _Way:
    """Flutes of one size at their most even places."""

    width: float
    depth: float
    each: float
    spread: Spread


def _plan(
    blank: Blank, gather: Gather, zones: tuple[Zone, ...], rules: FluteRules
) -> tuple[str, tuple[PlacedFlute, ...], float]:
    """(outcome, flutes, miss)."""
    aim, least, most = (float(g[-1]) for g in (gather.aim, gather.least, gather.most))
    shallow = float(flute.gather(rules.least_width, rules.least_depth))
    if aim <= LITTLE or (least <= LITTLE and most < shallow):
        return "not needed", (), aim
    best: _Way | None = None
    for way in _ways(gather, zones, rules):
        if way.spread.miss <= way.each + LITTLE:
            best = way
            break
        if best is None or way.spread.miss < best.spread.miss - LITTLE:
            best = way
    if best is None:
        return "no room", (), aim
    shares = _shares(gather, best.spread.at)
    size = (best.width, best.depth)
    flutes = [
        _placed(blank, gather, float(x), size, "down", (PLAN, k), share)
        for k, (x, share) in enumerate(zip(best.spread.at, shares, strict=True), 1)
    ]
    return "planned", tuple(flutes), best.spread.miss


def _ways(gather: Gather, zones: tuple[Zone, ...], rules: FluteRules) -> Iterator[_Way]:
    """Widths from the usual one down, counts from the one that the usual depth needs down; each that fits."""
    aim, least = float(gather.aim[-1]), float(gather.least[-1])
    taken = [(z.low, z.high) for z in zones]
    for width in rules.widths:
        usual = float(flute.gather(width, rules.usual(width)))
        deepest = rules.deepest(width)
        ends = width / 2 + (rules.land / 2 if gather.line.closed else 0.0)
        low, high = float(gather.x[0]), float(gather.x[-1])
        free = free_stretches(low, high, taken, width / 2)
        allowed = [(max(a, low + ends), min(b, high - ends)) for a, b in free]
        allowed = [(a, b) for a, b in allowed if a <= b]
        count = max(int(np.ceil(aim / usual - 1e-9)), 1)
        for n in range(count, max(count - FEWER, 0), -1):
            depth = min(max(flute.depth_for(width, aim / n), rules.least_depth), deepest)
            each = float(flute.gather(width, depth))
            if n * each < least - LITTLE:
                break
            found = spread(gather.x, gather.aim, n, allowed, width + rules.land)
            if found is not None:
                yield _Way(width, depth, each, found)


def _shares(gather: Gather, at: Array) -> list[float]:
    """What of the aim lies nearer to each place than to its neighbours [mm]."""
    if not len(at):
        return []
    middles = np.concatenate([gather.x[:1], (at[1:] + at[:-1]) / 2, gather.x[-1:]])
    return [float(v) for v in np.diff(np.interp(middles, gather.x, gather.aim))]


def _placed(
    blank: Blank, gather: Gather, x: float, size: tuple[float, float], turn: str, by: tuple[str, int], share: float
) -> PlacedFlute:
    edge, along = gather.line.place(x)
    strip, i = blank.strip_of(edge)
    laid = blank.laid[strip.loop].edges[i]
    s = np.clip(laid.at(np.array([along])), 0.0, laid.curve.length)
    p, _, n = laid.tangent_line.frame(s)
    width, depth = size
    return PlacedFlute(
        edge,
        along,
        x,
        (float(p[0][0]), float(p[0][1])),
        (float(n[0][0]), float(n[0][1])),
        width,
        depth,
        turn,
        by[0],
        by[1],
        float(flute.gather(width, depth)),
        float(flute.vee_gather(width, depth)),
        share,
    )
