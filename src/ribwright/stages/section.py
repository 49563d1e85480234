"""Level sections of the form block: where its walls stand at a depth z below the web face, and the volume between them.

Section square to an edge, x outward of the web's bend tangent line, R_b block radius, w wall angle from flat:
    rounding   x = sqrt(R_b^2 - (R_b - z)^2)                  while z <= R_b (1 - cos w)
    wall       x = R_b sin w + (z - R_b (1 - cos w)) cot w    below it, to the foot
An edge without flange stands straight down from its drawn line. R_b and w follow bend angle and undercut along the edge,
which run straight between stations: the closed form's undercut is proportional to the angle, the section model's is straight
between the places where it was solved. At every depth the lines are mitred afresh. The volume is the integral over z of the
exact area of these sections.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from ribwright.features.laid import LaidEdge
from ribwright.geometry.offset import SMOOTH, SetOver, meet, outward, turn_between
from ribwright.stages.job import Job
from ribwright.stages.springback import Bends, constant_for, solved_along, undercut_of
from ribwright.stages.undercut import Undercut, kept_arc_radius

Array = NDArray[np.float64]
STEP_MM = 0.002  # walls that miss each other by more at a smooth join make a step
STEP_RUN_MM = 0.05  # half the length over which the solid runs from one side of a step to the other
ALIKE_DEG = 1e-6  # undercuts that differ by less are one
STEP_DEG = 1e-3  # of bend angle or undercut, for the wall's slope
GAUSS = GAUSS_X, GAUSS_W = np.polynomial.legendre.leggauss(8)
GAUSS_SHORT = np.polynomial.legendre.leggauss(4)


def undercut_asked(job: Job, edge: LaidEdge) -> float | None:
    """The undercut that the part file's `[block] undercut` fixes for a flanged edge [deg]; None where it is solved."""
    if job.part.block_undercut == "none":
        return 0.0
    if job.part.block_undercut == "constant-per-edge":
        return constant_for(job, edge_bends(edge, knots_of(job, edge)))
    return None


def undercut_along(job: Job, edge: LaidEdge, s: Array) -> Undercut:
    """Undercut along a flanged edge at s (n,) by the part file's `[block] undercut`."""
    return undercut_of(job, edge_bends(edge, s), undercut_asked(job, edge))


def edge_bends(edge: LaidEdge, s: Array) -> Bends:
    """The bends of a flanged edge at arc lengths s (n,) of travel."""
    assert edge.flange is not None
    return Bends(edge.edge.name, edge.flange.bend_radius, edge.angle(s), edge.along(s))


def knots_of(job: Job, edge: LaidEdge) -> Array:
    """Arc lengths of travel between which bend angle and undercut run straight, ends included: the rows of the bend-angle
    table and the places where the undercut was solved."""
    length = edge.curve.length
    s = np.union1d(rows_of_angle(edge), np.clip(edge.at(solved_along(job, edge.edge.name)), 0.0, length))
    s = s[np.concatenate([[True], np.diff(s) > 1e-6])]
    s[-1] = length
    return s


def rows_of_angle(edge: LaidEdge) -> Array:
    """Both ends of an edge and the rows of its bend-angle table between them, arc length in travel [mm]."""
    assert edge.flange is not None
    length = edge.drawn.length
    bend = edge.flange.bend_angle
    rows = np.array([0.0, length, *(x for x, _ in (bend.resolved(length) if bend.varies else ()))])
    return np.unique(np.clip(edge.at(np.clip(rows, 0.0, length)), 0.0, edge.curve.length))


@dataclass(frozen=True, eq=False)
class Wall:
    """The wall of one edge. Between `knots` (k,), arc lengths of travel, bend angle and undercut `deg` (k,) run straight;
    both are empty on an edge without flange, whose wall is square."""

    edge: LaidEdge
    knots: Array
    deg: Array

    @property
    def leans(self) -> bool:
        """Whether the edge has a flange, and its wall a rounding and an undercut."""
        return self.edge.flange is not None

    def at(self, s: Array) -> tuple[Array, Array]:
        """Wall angle from flat [rad] and block radius [mm] at s (n,)."""
        if not self.leans:
            return np.full(len(s), np.pi / 2), np.zeros(len(s))
        return self._turned(*self._bent(s))

    def inset(self, s: Array, z: float) -> Array:
        """Drawn line to the wall at depth z, inward (n,) [mm]."""
        return self._inset_of(*self._bent(s), z) if self.leans else np.zeros(len(s))

    def _bent(self, s: Array) -> tuple[Array, Array]:
        """(bend angle, undercut) [deg] at s (n,); beyond an end that of the end."""
        inside = np.clip(np.asarray(s, float), 0.0, self.edge.curve.length)
        return self.edge.angle(inside), np.interp(inside, self.knots, self.deg)

    def _turned(self, angle: Array, deg: Array) -> tuple[Array, Array]:
        assert self.edge.flange is not None
        radius = kept_arc_radius(self.edge.flange.bend_radius, self.edge.thickness, angle, deg)
        return np.radians(angle + deg), np.maximum(radius, 0.0)

    def _inset_of(self, angle: Array, deg: Array, z: float) -> Array:
        return self.edge.inset_of(angle) - reach(*self._turned(angle, deg), z)

    @cached_property
    def varies(self) -> bool:
        """Whether the section changes along the edge."""
        return self.leans and bool(np.ptp(self.deg) > ALIKE_DEG or self.edge.flange.bend_angle.varies)  # type: ignore[union-attr]

    def line(self, z: float) -> SetOver:
        """The wall at depth z as a line set over from the drawn one."""
        return SetOver(self.edge.curve, lambda s: self.inset(s, z))

    @cached_property
    def bevels(self) -> Array:
        """Arc lengths inside the edge where its bevel or its undercut has a station: the wall has a slight crease there."""
        if not self.varies:
            return np.zeros(0)
        return self.knots[(self.knots > 1e-6) & (self.knots < self.edge.curve.length - 1e-6)]

    @cached_property
    def breaks(self) -> Array:
        """Arc lengths between which the wall is smooth, ends included."""
        return np.union1d(self.edge.curve.breaks, self.bevels)

    def speed(self, s: Array, z: float) -> tuple[Array, Array]:
        """(B, dB/ds) of the wall at depth z, (n, 2) each: B' = (1 - kappa d) T - d' N."""
        length = self.edge.curve.length
        p, t, n = SetOver(self.edge.curve, lambda s: np.zeros(len(s))).frame(s)
        inside = (s >= 0) & (s <= length)
        kappa = np.where(inside, self.edge.curve.curvature(np.clip(s, 0.0, length)), 0.0)
        d = self.inset(s, z)
        slope = np.where(inside, self._slope(s, z), 0.0) if self.varies else np.zeros(len(s))
        return p - d[:, None] * n, (1 - kappa * d)[:, None] * t - slope[:, None] * n

    def _slope(self, s: Array, z: float) -> Array:
        """dd/ds of the inset, by bend angle and undercut, which are linear between two knots."""
        i = np.clip(np.searchsorted(self.knots, s, side="right") - 1, 0, len(self.knots) - 2)
        angles = self.edge.angle(self.knots)
        long = np.diff(self.knots)[i]
        da, du = np.diff(angles)[i] / long, np.diff(self.deg)[i] / long
        (a, u), most = self._bent(s), np.maximum(np.maximum(np.abs(da), np.abs(du)), 1e-12)
        h = STEP_DEG / most  # along the line of the piece, also a little past its ends
        ahead, behind = self._inset_of(a + h * da, u + h * du, z), self._inset_of(a - h * da, u - h * du, z)
        return np.asarray((ahead - behind) / (2 * h))


def reach(w: Array, radius: Array, z: float) -> Array:
    """Tangent line to the wall at depth z, outward (n,) [mm]; w [rad], radius [mm]."""
    end = radius * (1 - np.cos(w))
    arc = np.sqrt(np.maximum(radius**2 - (radius - np.minimum(z, end)) ** 2, 0.0))
    # at a depth under 2 R_b the arc may have turned back already: the root is right on both sides of the widest place
    return arc + np.maximum(z - end, 0.0) / np.tan(w)


@dataclass(frozen=True, eq=False)
class Span:
    """One wall at one depth, from s0 to s1; `start`, `end` (2,) are its mitred corners."""

    wall: Wall
    s0: float
    s1: float
    start: Array
    end: Array


@dataclass(frozen=True, eq=False)
class LoopSection:
    """A loop of the block at one depth, spans in travel order. `good` False: two walls do not meet, or one is used up."""

    spans: tuple[Span, ...]
    good: bool

    def area(self, z: float) -> float:
        """Signed area [mm2]: + for the outer loop, - for an opening."""
        total = 0.0
        for i, span in enumerate(self.spans):
            total += _swept(span, z)
            # over a step, and over what a mitre left open, the outline goes straight
            total += _triangle(span.end, self.spans[(i + 1) % len(self.spans)].start)
        return total


@dataclass(frozen=True, eq=False)
class Walls:
    """All walls of a block: one tuple a loop, outer loop first; `height` of the block [mm]."""

    loops: tuple[tuple[Wall, ...], ...]
    height: float

    @cached_property
    def steps(self) -> tuple[tuple[bool, ...], ...]:
        """For each loop, whether the wall steps at the join after each edge: a smooth join of unlike sections."""
        return tuple(tuple(_steps(a, b, self.height) for a, b in _pairs(loop)) for loop in self.loops)

    def at(self, z: float, near: tuple[LoopSection, ...] | None = None) -> tuple[LoopSection, ...]:
        """Every loop at depth z; `near`: the sections of a depth close by, which shorten the search for the corners."""
        hints = near or (None,) * len(self.loops)
        return tuple(_loop(*row, z) for row in zip(self.loops, self.steps, hints, strict=True))

    def area(self, z: float) -> float:
        """Area inside the outer loop and outside the openings at depth z [mm2]; recesses and holes not taken out."""
        return sum(loop.area(z) for loop in self.at(z))

    @cached_property
    def volume(self) -> float:
        """Integral of the area from web face to foot [mm3], by Gauss between the depths where a rounding ends.

        The root of the rounding is taken out by z = h tau^2.
        """
        total, cuts, level = 0.0, self.rounding_ends, self.at(0.0)
        for a, b in zip((0.0, *cuts), (*cuts, self.height), strict=True):
            if b - a < 1e-9:
                continue
            lo, hi = np.sqrt(a), np.sqrt(b)
            for x, weight in zip(*(GAUSS if b - a > self.height / 20 else GAUSS_SHORT), strict=True):
                tau = float((lo + hi) / 2 + (hi - lo) / 2 * x)
                level = self.at(tau * tau, level if all(loop.good for loop in level) else None)
                area = sum(loop.area(tau * tau) for loop in level)
                total += float((hi - lo) / 2 * weight * 2 * tau * area)
        return total

    @cached_property
    def rounding_ends(self) -> tuple[float, ...]:
        """Depths at which the rounding of some edge ends, at its least and most turned place, in rising order."""
        found: list[float] = []
        for wall in (w for loop in self.loops for w in loop if w.leans):
            s = np.union1d(np.linspace(0.0, wall.edge.curve.length, 9), wall.bevels)
            w, radius = wall.at(s)
            ends = radius * (1 - np.cos(w))
            found += [float(np.min(ends)), float(np.max(ends))]
        kept: list[float] = []
        for z in sorted(found):
            if 1e-6 < z < self.height - 1e-6 and (not kept or z - kept[-1] > 1e-6):
                kept.append(z)
        return tuple(kept)


def walls_of(job: Job, loops: tuple[tuple[LaidEdge, ...], ...], height: float) -> Walls:
    """The walls of a block with these loops of edges."""
    return Walls(tuple(tuple(wall_of(job, e) for e in loop) for loop in loops), height)


def wall_of(job: Job, edge: LaidEdge) -> Wall:
    """The wall of one edge."""
    if edge.flange is None:
        return Wall(edge, np.zeros(0), np.zeros(0))
    knots = knots_of(job, edge)
    return Wall(edge, knots, undercut_along(job, edge, knots).deg)


def _pairs(loop: tuple[Wall, ...]) -> list[tuple[Wall, Wall]]:
    return [(loop[i], loop[(i + 1) % len(loop)]) for i in range(len(loop))]


def _steps(a: Wall, b: Wall, height: float) -> bool:
    """Whether two walls that join smoothly miss each other by more than STEP_MM somewhere between web face and foot."""
    if abs(turn_between(a.edge.curve, b.edge.curve)) >= SMOOTH:
        return False
    (wa, ra), (wb, rb) = a.at(np.array([a.edge.curve.length])), b.at(np.zeros(1))
    ends = [float(r[0] * (1 - np.cos(w[0]))) for w, r in ((wa, ra), (wb, rb))]
    depths = [0.0, height, *(z * f for z in ends for f in (0.3, 1.0) if z < height)]
    return any(abs(_miss(a, b, z)) > STEP_MM for z in depths)


def _miss(a: Wall, b: Wall, z: float) -> float:
    return float(a.inset(np.array([a.edge.curve.length]), z)[0] - b.inset(np.zeros(1), z)[0])


def _loop(loop: tuple[Wall, ...], steps: tuple[bool, ...], near: LoopSection | None, z: float) -> LoopSection:
    hints: list[tuple[float, float] | None] = [None] * len(loop)
    if near is not None:
        hints = [(p.s1, near.spans[(i + 1) % len(loop)].s0) for i, p in enumerate(near.spans)]
    joins = [_join(a, b, step, hint, z) for (a, b), step, hint in zip(_pairs(loop), steps, hints, strict=True)]
    spans = []
    for i, wall in enumerate(loop):
        _, _, s0, start, _ = joins[i - 1]
        s1, end, *_ = joins[i]
        spans.append(Span(wall, s0, s1, start, end))
    good = all(j[4] for j in joins) and all(p.s1 > p.s0 for p in spans)
    return LoopSection(tuple(spans), good)


def _join(
    a: Wall, b: Wall, step: bool, near: tuple[float, float] | None, z: float
) -> tuple[float, Array, float, Array, bool]:
    """(end of a, its point, start of b, its point, whether they meet) at depth z."""
    la = a.edge.curve.length
    turn = turn_between(a.edge.curve, b.edge.curve)
    if abs(turn) >= SMOOTH:
        m = meet(a.line(z), b.line(z), near)
        return m.sa, np.array(m.point), m.sb, np.array(m.point), m.found
    if step:
        sa, sb = la - STEP_RUN_MM, STEP_RUN_MM
        return sa, a.line(z).point(np.array([sa]))[0], sb, b.line(z).point(np.array([sb]))[0], True
    # nearly in line: the mitre lies on the bisector, in closed form
    d = float(a.inset(np.array([la]), z)[0] + b.inset(np.zeros(1), z)[0]) / 2
    tangents = a.edge.curve.tangent(np.array([la]))[0] + b.edge.curve.tangent(np.zeros(1))[0]
    middle = outward((tangents / np.hypot(*tangents))[None])[0]
    p = (a.edge.curve.point(np.array([la]))[0] + b.edge.curve.point(np.zeros(1))[0]) / 2 - d / np.cos(turn / 2) * middle
    cut = d * float(np.tan(turn / 2))
    return la - cut, p, cut, p, True


def _swept(span: Span, z: float) -> float:
    """Half the integral of x dy - y dx along one span [mm2]."""
    breaks = span.wall.breaks
    inner = breaks[(breaks > span.s0 + 1e-9) & (breaks < span.s1 - 1e-9)]
    ends = np.concatenate([[span.s0], inner, [span.s1]])
    # no piece turns by more than a third of a radian
    middle = np.clip((ends[1:] + ends[:-1]) / 2, 0.0, span.wall.edge.curve.length)
    turns = np.abs(span.wall.edge.curve.curvature(middle)) * np.diff(ends)
    counts = np.maximum(np.ceil(turns * 3).astype(int), 1)
    cuts = np.concatenate(
        [[ends[0]], *(np.linspace(a, b, n + 1)[1:] for a, b, n in zip(ends[:-1], ends[1:], counts, strict=True))]
    )
    half = np.diff(cuts) / 2
    s = ((cuts[1:] + cuts[:-1]) / 2)[:, None] + half[:, None] * GAUSS_X
    p, v = span.wall.speed(s.ravel(), z)
    rate = (p[:, 0] * v[:, 1] - p[:, 1] * v[:, 0]).reshape(s.shape)
    return float(np.sum(half * (rate @ GAUSS_W))) / 2


def _triangle(a: Array, b: Array) -> float:
    return float(a[0] * b[1] - a[1] * b[0]) / 2
