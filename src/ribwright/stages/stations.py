"""A run of flange cut into stations: where the flange's section is taken and developed.

Each station carries the drawn point, its outward normal and the section there; each cell between two stations
carries the plan curvature of the bend tangent line. Stations are even between the breaks of a curve and the
kinks of a width's or an angle's graph, where there is one too, so that a part drawn the other way round has the same ones.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ribwright.features.laid import SAME, LaidEdge, LaidLoop, Run
from ribwright.geometry.curve import samples
from ribwright.geometry.offset import turn_between
from ribwright.geometry.stepped import Stepped

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Stations:
    """Arrays over the n stations of a run, in travel order.

    edge     index of the edge in its loop, (n,)
    s, along arc length in travel direction / as typed [mm]
    point, normal  drawn line, with its joggles, and outward normal, (n, 2)
    across   outward normal of the line without joggles, (n, 2): the way the flange is laid flat
    inset    drawn line to bend tangent line [mm];  tangent  the point on that line, (n, 2)
    angle [deg], leg, width, setback [mm]
    arc      arc length along the bend tangent line from the run's start [mm]
    cells    curvature of the bend tangent line between stations, (n - 1,) [1/mm], + convex;  plain  the same without joggles
    depth    how deep joggles set the line in, (n,) [mm];  first  the same where the run begins
    steps    (arc of its middle, rise inward, length) of every step of a joggle [mm]
    kinks    (arc, turn [rad]) of joins that are not quite smooth
    gaps     (station before, station after) of every notch that interrupts the run, in travel order; stations between are cut away
    """

    edge: NDArray[np.int64]
    s: Array
    along: Array
    point: Array
    normal: Array
    across: Array
    inset: Array
    tangent: Array
    angle: Array
    leg: Array
    width: Array
    setback: Array
    depth: Array
    first: float
    arc: Array
    cells: Array
    plain: Array
    steps: tuple[tuple[float, float, float], ...]
    kinks: tuple[tuple[float, float], ...]
    closed: bool
    gaps: tuple[tuple[int, int], ...] = ()

    @property
    def cut(self) -> NDArray[np.bool_]:
        """Stations that stand in a gap, (n,)."""
        out = np.zeros(len(self.arc), bool)
        for a, b in self.gaps:
            out[a + 1 : b] = True
        return out

    @property
    def petals(self) -> tuple[NDArray[np.int64], ...]:
        """Stations of each piece of flange between gaps and ends, in travel order; of a run without gaps all of them. On a closed run
        the piece over its start comes last, its stations in travel order."""
        every = np.arange(len(self.arc))
        if not self.gaps:
            return (every,)
        between = [every[b : a + 1] for (_, b), (a, _) in itertools.pairwise(self.gaps)]
        head, tail = every[: self.gaps[0][0] + 1], every[self.gaps[-1][1] :]
        return (*between, np.concatenate([tail, head])) if self.closed else (head, *between, tail)

    @property
    def total(self) -> float:
        """Length of the run along its bend tangent line [mm]."""
        return float(self.arc[-1])

    def interior(self) -> tuple[float, float]:
        """Arc range that lies 1.5 flange widths clear of free ends; the middle of a run shorter than 4 widths [mm]."""
        if self.closed:
            return 0.0, self.total
        low = 1.5 * float(self.width[0])
        high = self.total - 1.5 * float(self.width[-1])
        if self.total < 4 * float(np.max(self.width)) or high < low:
            return self.total / 2, self.total / 2
        return low, high

    def interiors(self) -> tuple[tuple[float, float], ...]:
        """The same of every piece between notches, whose cuts are free ends too: (from, to) [mm]."""
        if not self.gaps:
            return (self.interior(),)
        out: list[tuple[float, float]] = []
        for k in self.petals:
            start, end = float(self.arc[k[0]]), float(self.arc[k[-1]])
            end += self.total if end < start else 0.0
            low, high = start + 1.5 * float(self.width[k[0]]), end - 1.5 * float(self.width[k[-1]])
            if end - start < 4 * float(np.max(self.width[k])) or high < low:
                low = high = (start + end) / 2
            out += self._unwrapped(low, high)
        return tuple(sorted(out))

    def _unwrapped(self, low: float, high: float) -> list[tuple[float, float]]:
        """A range that may run over the start of a closed run, as ranges that do not."""
        if low > self.total:
            return [(low - self.total, high - self.total)]
        if high > self.total:
            return [(0.0, high - self.total), (low, self.total)]
        return [(low, high)]

    def ranges(self, index: int) -> tuple[tuple[float, float], ...]:
        """The interiors that lie on one edge [mm]; of an edge that lies outside them all its place nearest to one."""
        arc = self.arc[self.edge == index]
        first, last = float(arc[0]), float(arc[-1])
        every = self.interiors()
        on = tuple((max(a, first), min(b, last)) for a, b in every if a <= last and b >= first)
        if on:
            return on
        near = min((x for row in every for x in row), key=lambda x: max(first - x, x - last))
        place = min(max(near, first), last)
        return ((place, place),)

    def span(self, values: Array, index: int) -> tuple[float, float]:
        """Least and largest of a value over one edge, inside the interior of its run; an edge that lies outside the
        interior answers its place nearest to it."""
        mine = self.edge == index
        arc, own = self.arc[mine], values[mine]
        every = []
        for low, high in self.ranges(index):
            every += [np.interp([low, high], arc, own), own[(arc > low) & (arc < high)]]
        both = np.concatenate(every)
        return float(np.min(both)), float(np.max(both))


def stations(
    laid: LaidLoop,
    run: Run,
    ends: dict[int, tuple[float, float]],
    spacing: float,
    cuts: dict[int, tuple[tuple[float, float], ...]] | None = None,
) -> Stations:
    """Stations of a run. `ends[i]` = (s0, s1) of edge i after its corners; `spacing` [mm] at most between stations; `cuts[i]` where
    notches interrupt edge i, (from, to) in travel order [mm]: a station stands on each."""
    cuts = cuts or {}
    rows = [_edge_rows(laid, i, *ends[i], spacing, cuts.get(i, ())) for i in run.edges]
    kinks, arc0, arcs, cells, plain, steps = [], 0.0, [], [], [], []
    for k, (i, row) in enumerate(zip(run.edges, rows, strict=True)):
        if k:
            turn = turn_between(laid.edges[run.edges[k - 1]].curve, laid.edges[i].curve)
            kinks.append((arc0, turn))
            cells.append(np.zeros(1))
            plain.append(np.zeros(1))
        step, kappa = row["step"], row["kappa"]
        arcs.append(arc0 + np.concatenate([[0.0], np.cumsum(step)]))
        steps += _steps(laid.edges[i], row["s"], arcs[-1])
        arc0 = float(arcs[-1][-1])
        cells.append(kappa)
        plain.append(row["plain"])
    if run.closed:
        kinks.append((0.0, turn_between(laid.edges[run.edges[-1]].curve, laid.edges[run.edges[0]].curve)))
    both = {k: np.concatenate([r[k] for r in rows]) for k in rows[0] if k not in ("step", "kappa", "plain")}
    return Stations(
        **both,
        first=float(laid.edges[run.edges[0]].depth(np.zeros(1))[0]),
        arc=np.concatenate(arcs),
        cells=np.concatenate(cells),
        plain=np.concatenate(plain),
        steps=tuple(steps),
        kinks=tuple(k for k in kinks if abs(k[1]) > 1e-9),
        closed=run.closed,
        gaps=_gaps(run, both, cuts),
    )


def _gaps(
    run: Run, rows: dict[str, Array], cuts: dict[int, tuple[tuple[float, float], ...]]
) -> tuple[tuple[int, int], ...]:
    """Stations at both ends of every cut."""
    out = []
    for i in run.edges:
        mine = np.flatnonzero(rows["edge"] == i)
        for pair in cuts.get(i, ()):
            a, b = (int(mine[np.argmin(np.abs(rows["s"][mine] - x))]) for x in pair)
            out.append((a, b))
    return tuple(out)


def _edge_rows(
    laid: LaidLoop, i: int, s0: float, s1: float, spacing: float, cuts: tuple[tuple[float, float], ...]
) -> dict[str, Array]:
    edge = laid.edges[i]
    s = _spaced(edge, s0, s1, spacing, np.array([x for pair in cuts for x in pair]))
    line = edge.tangent_line
    p, _, n = line.frame(s)
    inset = edge.tangent_inset(s)
    tangent = p - inset[:, None] * n
    middle = (s[1:] + s[:-1]) / 2
    kappa, d = edge.curve.curvature(np.clip(middle, 0, edge.curve.length)), edge.tangent_inset(middle)
    kappa = np.where((middle < 0) | (middle > edge.curve.length), 0.0, kappa)
    # a line set over by d inward shortens by (1 - kappa d); its slope d' adds the second term
    stretch = np.hypot(1 - kappa * d, np.diff(inset) / np.diff(s))
    plain = np.where(kappa == 0.0, 0.0, edge.drawn_curvature(np.clip(middle, 0, edge.curve.length)))
    flat = np.hypot(1 - plain * d, np.diff(inset) / np.diff(s))
    return {
        "edge": np.full(len(s), i),
        "s": s,
        "along": edge.along(s),
        "point": p,
        "normal": n,
        "across": edge.across(s),
        "depth": edge.depth(s),
        "inset": inset,
        "tangent": tangent,
        "angle": edge.angle(s),
        "leg": edge.leg(s),
        "width": edge.width(s),
        "setback": edge.setback(s),
        "step": stretch * np.diff(s),
        "kappa": kappa / stretch,
        "plain": plain / flat,
    }


def _steps(edge: LaidEdge, s: Array, arc: Array) -> list[tuple[float, float, float]]:
    """Middle in arc length of the run, rise and length of the steps of an edge whose stations s (n,) stand at `arc` (n,). The tangent
    line's foot under the middle of a ramp lies to one side of it, those under its ends lie square."""
    if not isinstance(edge.curve, Stepped):
        return []
    ends = np.interp(edge.ramps, s, arc).reshape(-1, 2)
    return [(float(np.mean(e)), r.rise, r.length) for e, r in zip(ends, edge.curve.ramps, strict=True)]


def _spaced(edge: LaidEdge, s0: float, s1: float, spacing: float, cuts: Array) -> Array:
    """The curve's own samples, the breaks of width and angle and the `cuts` between s0 and s1 with no gap over `spacing`."""
    breaks = edge.breaks()
    breaks = np.concatenate([breaks[(np.abs(breaks[:, None] - cuts[None]) > SAME).all(axis=1)], cuts])
    own = samples(edge.curve, 0.004)
    # a sample beside a break gives way to it
    own = own[(np.abs(own[:, None] - breaks[None]) > SAME).all(axis=1)]
    s = np.sort(np.concatenate([own, breaks]))
    inner = s[(s > s0 + SAME) & (s < s1 - SAME)]
    s = np.concatenate([[s0], inner, [s1]])
    out = [s[:1]]
    for a, b in itertools.pairwise(s):
        n = max(1, int(np.ceil((b - a) / spacing - 1e-9)))
        out.append(np.linspace(a, b, n + 1)[1:])
    return np.concatenate(out)
