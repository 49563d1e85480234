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

    def span(self, values: Array, index: int) -> tuple[float, float]:
        """Least and largest of a value over one edge, inside the interior of its run; an edge that lies outside the
        interior answers its place nearest to it."""
        mine = self.edge == index
        arc, own = self.arc[mine], values[mine]
        low, high = (float(np.clip(x, arc[0], arc[-1])) for x in self.interior())
        ends = np.interp([low, high], arc, own)
        inside = own[(arc > low) & (arc < high)]
        every = np.concatenate([ends, inside])
        return float(np.min(every)), float(np.max(every))


def stations(laid: LaidLoop, run: Run, ends: dict[int, tuple[float, float]], spacing: float) -> Stations:
    """Stations of a run. `ends[i]` = (s0, s1) of edge i after its corners; `spacing` [mm] at most between stations."""
    rows = [_edge_rows(laid, i, *ends[i], spacing) for i in run.edges]
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
    )


def _edge_rows(laid: LaidLoop, i: int, s0: float, s1: float, spacing: float) -> dict[str, Array]:
    edge = laid.edges[i]
    s = _spaced(edge, s0, s1, spacing)
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


def _spaced(edge: LaidEdge, s0: float, s1: float, spacing: float) -> Array:
    """The curve's own samples and the breaks of width and angle between s0 and s1 with no gap over `spacing`."""
    own, breaks = samples(edge.curve, 0.004), edge.breaks()
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
