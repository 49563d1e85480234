"""The drawn faces that a scan is held against: for every edge the section of the face that the points lie on.

Frame of a scan on the drawing: x, y of the part, h from the web's scanned face towards the side the flanges turn to. Section square to the
edge, u outward of the drawn line; a the bend angle, r the bend's radius on the scanned face (R + t outside, R inside):
    mold line     u = -g, g its distance inward of the drawn line; the planes of web and flange meet there at h = 0
    flange        l along it from the mold line, q off it, + outward:   l = (u + g) cos a + h sin a,   q = (u + g) sin a - h cos a
    beyond the bend from l = r tan(a/2); free edge at l = W, on the inside W - t tan(a/2)
A flange that turns the other way than most shows its other face, and stands at -h.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ribwright.features.inspected import OUTER
from ribwright.features.laid import LaidEdge
from ribwright.geometry.near_curves import NearCurves
from ribwright.stages.plan import Plan

Array = NDArray[np.float64]
TABLE_MM = 0.5  # between the places that a section is kept at
REACH = 45.0  # beyond the drawn lines that points are told apart by line [mm]


@dataclass(frozen=True, eq=False)
class Section:
    """Of places along an edge, arrays (n,): `mold` g, `angle` a [rad], `setback` where the bend ends, `width` to the free edge; mm."""

    mold: Array
    angle: Array
    setback: Array
    width: Array


@dataclass(frozen=True, eq=False)
class ScanFaces:
    """Every edge of the part, outer loop first; `loops[k]` the name of the loop that edge k is of. `sign` h = sign z."""

    plan: Plan
    face: str
    edges: tuple[LaidEdge, ...]
    loops: tuple[str, ...]
    near: NearCurves
    main: str
    tables: tuple[tuple[Array, Section] | None, ...] = ()

    @property
    def sign(self) -> float:
        """h = sign z: flanges turned down lie at negative z of the drawing."""
        return -1.0 if self.main == "down" else 1.0

    def outside(self, k: int) -> bool:
        """Whether the points on edge k lie on the outside of its bend."""
        return (self.face == OUTER) == self.with_most(k)

    def with_most(self, k: int) -> bool:
        """Whether edge k turns the way most do; so does one without a flange."""
        flange = self.edges[k].flange
        return flange is None or flange.turn == self.main

    def section(self, k: int, s: Array) -> Section:
        """The section of flanged edge k at places s (n,) in travel, held beyond its ends; out of a table, for many places."""
        table = self.tables[k]
        assert table is not None
        at, x = table
        return Section(*(np.interp(s, at, v) for v in (x.mold, x.angle, x.setback, x.width)))

    def _drawn(self, k: int, s: Array) -> Section:
        e = self.edges[k]
        assert e.flange is not None
        a, t = np.radians(e.angle(s)), self.plan.job.t
        mold, half = e.tangent_inset(s) - e.setback(s), np.tan(a / 2)
        if self.outside(k):
            return Section(mold, a, e.setback(s), e.width(s))
        return Section(mold + t * half, a, e.flange.bend_radius * half, e.width(s) - t * half)

    def bend_high(self, k: int) -> float:
        """How high above the web the bend of flanged edge k ends at most [mm]."""
        e = self.edges[k]
        assert e.flange is not None
        radius = e.flange.bend_radius + (self.plan.job.t if self.outside(k) else 0.0)
        table = self.tables[k]
        assert table is not None
        return radius * float(1.0 - np.min(np.cos(table[1].angle)))

    def moved_line(self, k: int, moved: Array, angle: Array, found: Array) -> Array:
        """How far the drawing's line lies off where it should, from how far the scanned face's mold line does (n,): the two lie apart by
        what the bend angle says, drawn `angle` or `found` [rad]. The bend's radius is taken as drawn."""
        e = self.edges[k]
        assert e.flange is not None
        own = 0.0 if self.outside(k) else self.plan.job.t
        line = {"outside-mold-line": 0.0, "inside-mold-line": self.plan.job.t}.get(
            e.line, e.flange.bend_radius + self.plan.job.t
        )
        return moved + (own - line) * (np.tan(found / 2) - np.tan(angle / 2))


def scan_faces(plan: Plan, face: str) -> ScanFaces:
    """The faces of a plan's part as drawn; `face` OUTER (the web's heel side) or INNER."""
    edges = tuple(e for loop in plan.blank.laid for e in loop.edges)
    loops = tuple(loop.loop.name for loop in plan.blank.laid for _ in loop.edges)
    lengths = {"down": 0.0, "up": 0.0}
    for e in edges:
        if e.flange is not None:
            lengths[e.flange.turn] += e.curve.length
    for h in plan.job.part.holes if not any(lengths.values()) else ():
        lengths[h.turn] += h.diameter if h.kind == "lightening" else 0.0
    main = "up" if lengths["up"] > lengths["down"] else "down"
    faces = ScanFaces(plan, face, edges, loops, NearCurves([e.curve for e in edges], REACH), main)
    return replace(faces, tables=tuple(_table(faces, k) for k in range(len(edges))))


def _table(faces: ScanFaces, k: int) -> tuple[Array, Section] | None:
    e = faces.edges[k]
    if e.flange is None:
        return None
    s = np.linspace(0.0, e.curve.length, int(e.curve.length / TABLE_MM) + 2)
    return s, faces._drawn(k, s)
