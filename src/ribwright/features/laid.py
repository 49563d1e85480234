"""A drawn edge laid out in the web plane: curve, flange section along it, bend tangent line.

Section square to the drawn line, a the bend angle, R inside radius, t thickness:
    outside mold line to bend tangent line   (R + t) tan(a/2)
    inside mold line to bend tangent line     R tan(a/2)
    straight part of the flange               width - (R + t) tan(a/2)

A joggled edge is laid out along its stepped line: `curve` is the drawn one moved inward by the joggle's depth, and everything
that stands on an edge (bend, wall, block, mesh) stands square to that. Places along an edge are told on the drawn line, as typed.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ribwright.features.joggled import moved_inward
from ribwright.features.part import Along, Edge, Flange, Joggle, Loop, Part
from ribwright.geometry.curve import Curve, curve_from_points
from ribwright.geometry.offset import SMOOTH, SetOver, outward, turn_between
from ribwright.geometry.stepped import Stepped

Array = NDArray[np.float64]
SAME = 1e-6  # places along an edge this near each other are one [mm]
PER_STRETCH = 8  # a line that follows tan or cot of a bend angle bends between its rows: 7 deg over a stretch leave chords of 0.002 mm


def value_along(along: Along, at: Array, length: float) -> Array:
    """The value at arc lengths `at` (n,) measured as typed, linear between stations, held outside."""
    rows = along.resolved(length)
    return np.interp(at, [x for x, _ in rows], [v for _, v in rows])


def _kinks(rows: tuple[tuple[float, float], ...], length: float) -> list[float]:
    """Stations inside the edge where the value's slope changes; beyond the first and the last it is held."""
    rows = ((-np.inf, rows[0][1]), *rows, (np.inf, rows[-1][1]))
    slope = [(b[1] - a[1]) / max(b[0] - a[0], SAME) for a, b in itertools.pairwise(rows)]
    turns = [abs(after - before) > 1e-9 for before, after in itertools.pairwise(slope)]
    return [x for (x, _), turn in zip(rows[1:-1], turns, strict=True) if turn and SAME < x < length - SAME]


def parted(ends: Array) -> Array:
    """Arc lengths `ends` (n,), rising, with each stretch between two of them parted evenly."""
    return np.interp(np.arange((len(ends) - 1) * PER_STRETCH + 1) / PER_STRETCH, np.arange(len(ends)), ends)


@dataclass(frozen=True)
class LaidEdge:
    """One edge with its curve and, when it has one, its flange. `s` is arc length in the direction of travel."""

    edge: Edge
    curve: Curve
    flange: Flange | None
    line: str
    thickness: float
    joggles: tuple[Joggle, ...] = ()

    @property
    def drawn(self) -> Curve:
        """The edge's line without its joggles."""
        return self.curve.drawn if isinstance(self.curve, Stepped) else self.curve

    def along(self, s: Array) -> Array:
        """Arc length along the drawn line as the person typed the edge."""
        at = self.curve.drawn_of(s) if isinstance(self.curve, Stepped) else s
        return self.drawn.length - at if self.edge.turned else at

    def at(self, along: Array) -> Array:
        """The way back: arc length in travel of a place as typed."""
        at = self.drawn.length - along if self.edge.turned else along
        return self.curve.of_drawn(at) if isinstance(self.curve, Stepped) else at

    @property
    def ramps(self) -> Array:
        """Where the steps of its joggles begin and end, in travel (2 k,) [mm]."""
        return self.curve.ramp_ends if isinstance(self.curve, Stepped) else np.zeros(0)

    def across(self, s: Array) -> Array:
        """Outward normal of the drawn line (n, 2): the way the flange lies in the flat. A step shears it there and does not turn it."""
        inside = np.clip(s, 0.0, self.curve.length)
        return outward(self.drawn.tangent(self.curve.drawn_of(inside) if isinstance(self.curve, Stepped) else inside))

    def depth(self, s: Array) -> Array:
        """How deep joggles set the line in at s (n,) [mm]."""
        if not isinstance(self.curve, Stepped):
            return np.zeros(len(s))
        return self.curve.depth(self.curve.drawn_of(np.clip(s, 0.0, self.curve.length)))

    def drawn_curvature(self, s: Array) -> Array:
        """Curvature of the stepped line at s (n,) as far as the drawn line has it, and constant depths [1/mm]."""
        if not isinstance(self.curve, Stepped):
            return self.curve.curvature(s)
        at = self.curve.drawn_of(s)
        kappa = self.drawn.curvature(at)
        return np.asarray(kappa / (1 - kappa * self.curve.depth(at)))

    @property
    def straight(self) -> bool:
        """Whether the edge's line is straight from end to end."""
        return self.edge.kind == "line" and not len(self.ramps)

    def angle(self, s: Array) -> Array:
        """Bend angle at s [deg]; 0 without a flange."""
        if self.flange is None:
            return np.zeros(len(s))
        return value_along(self.flange.bend_angle, self.along(s), self.drawn.length)

    def width(self, s: Array) -> Array:
        """Flange width at s, outside mold line to free edge along the outer face [mm]."""
        if self.flange is None:
            return np.zeros(len(s))
        return value_along(self.flange.width, self.along(s), self.drawn.length)

    def setback(self, s: Array) -> Array:
        """(R + t) tan(a/2) [mm]."""
        if self.flange is None:
            return np.zeros(len(s))
        return (self.flange.bend_radius + self.thickness) * np.tan(np.radians(self.angle(s)) / 2)

    def leg(self, s: Array) -> Array:
        """Straight part of the flange, bend end to free edge [mm]; may be negative for a flange too short."""
        return self.width(s) - self.setback(s)

    def tangent_inset(self, s: Array) -> Array:
        """Drawn line to the web's bend tangent line, inward [mm]."""
        return self.inset_of(self.angle(s))

    def inset_of(self, angle: Array) -> Array:
        """The same for bend angles (n,) [deg]."""
        if self.flange is None or self.line == "bend-tangent-line":
            return np.zeros(len(angle))
        reach = self.flange.bend_radius + (self.thickness if self.line == "outside-mold-line" else 0.0)
        return reach * np.tan(np.radians(angle) / 2)

    def breaks(self) -> Array:
        """Where inside the edge the width's or the angle's graph has a kink, s rising, (k,) [mm]."""
        if self.flange is None:
            return np.zeros(0)
        length = self.drawn.length
        found = [_kinks(x.resolved(length), length) for x in (self.flange.width, self.flange.bend_angle)]
        at = np.unique(self.at(np.array([x for own in found for x in own])))
        return at[np.diff(at, prepend=-np.inf) > SAME]

    @property
    def wanders(self) -> Array | None:
        """Where a line set over by what the bend angle asks for must be sampled besides the curve's own places; None: nowhere."""
        if self.flange is None or not self.flange.bend_angle.varies:
            return None
        return parted(np.array([0.0, *self.breaks(), self.curve.length]))

    @property
    def tangent_line(self) -> SetOver:
        """The web's bend tangent line; the drawn line itself on an edge without flange."""
        return SetOver(self.curve, self.tangent_inset, self.wanders)


@dataclass(frozen=True)
class Run:
    """Neighbouring edges with the same flange and smooth joins; `closed` when it goes all the way round."""

    edges: tuple[int, ...]
    flange: Flange | None
    closed: bool = False


@dataclass(frozen=True)
class LaidLoop:
    """A loop of laid edges and its runs, in travel order. Index i - 1 to i is the join before edge i."""

    loop: Loop
    edges: tuple[LaidEdge, ...]
    runs: tuple[Run, ...]

    @property
    def in_block(self) -> bool:
        """Whether the block has this loop: the outer one, and a cutout with a flange. A plain cutout is cut in the sheet
        only; a window in the block would let the pad push the sheet's edge into it."""
        return self.loop.name == "web" or any(e.flange for e in self.edges)

    def neighbour_at_start(self, name: str) -> str:
        """Name of the edge that meets edge `name` where lengths along it begin, as typed; its own where it is alone."""
        i = next(k for k, e in enumerate(self.edges) if e.edge.name == name)
        return self.edges[(i + (1 if self.edges[i].edge.turned else -1)) % len(self.edges)].edge.name


def neighbours_at_start(loops: tuple[LaidLoop, ...]) -> dict[str, str]:
    """The neighbour at the start of every edge of every loop."""
    return {e.edge.name: loop.neighbour_at_start(e.edge.name) for loop in loops for e in loop.edges}


def lay(part: Part) -> tuple[LaidLoop, ...]:
    """Every loop of the part laid out: outer first, then the cutouts."""
    return tuple(_lay_loop(part, loop) for loop in part.loops)


def _lay_loop(part: Part, loop: Loop) -> LaidLoop:
    edges = tuple(_lay_edge(part, edge) for edge in loop.edges)
    return LaidLoop(loop, edges, _runs(edges))


def _lay_edge(part: Part, edge: Edge) -> LaidEdge:
    drawn = curve_from_points(edge.kind, edge.points, edge.start_dir, edge.end_dir)
    joggles = tuple(j for j in part.joggles if j.edge == edge.name)
    curve = moved_inward(drawn, joggles, edge.turned) if joggles else drawn
    flange = part.flanges[edge.flange] if edge.flange else None
    return LaidEdge(edge, curve, flange, part.line, part.sheet.thickness, joggles)


def _runs(edges: tuple[LaidEdge, ...]) -> tuple[Run, ...]:
    """Split the ring of edges into runs. An edge without flange is a run of its own."""
    n = len(edges)
    joined = [_same_run(edges[i - 1], edges[i]) for i in range(n)]
    if all(joined):
        return (Run(tuple(range(n)), edges[0].flange, closed=True),)
    first = joined.index(False)
    runs: list[list[int]] = []
    for k in range(n):
        i = (first + k) % n
        if joined[i] and runs:
            runs[-1].append(i)
        else:
            runs.append([i])
    return tuple(Run(tuple(r), edges[r[0]].flange) for r in runs)


def _same_run(a: LaidEdge, b: LaidEdge) -> bool:
    if a.flange is None or b.flange is None or a.flange.name != b.flange.name:
        return False
    return abs(turn_between(a.curve, b.curve)) < SMOOTH
