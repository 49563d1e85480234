"""Notches in the formed mesh: the laid-out loop with its notched edges parted, and the corners of a notch in the mesh's boundary.

A flanged edge with a notch is meshed as two pieces of the same flange, each with its own cut end, and between them the lines and arcs
of the notch as plain edges; a plain edge as two pieces of its curve. All of them go by the number of the edge they are of.
"""

from __future__ import annotations

import itertools
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from ribwright.geometry.curve import Piece
from ribwright.geometry.midsurface.plans import EdgePlan, JoinPlan, LoopPlan
from ribwright.geometry.notch import NotchCut, curves_of
from ribwright.geometry.through import through
from ribwright.stages.blank import Blank
from ribwright.stages.notches import gaps_of

Array = NDArray[np.float64]
Ints = NDArray[np.int64]
ON, STRAIGHT = 1e-3, 1e-6  # a node this near a corner is it; a line no further off its chord is straight [mm]
PLAIN = JoinPlan("plain", 0.0, 0.0)


def with_notches(blank: Blank, loop: int, plan: LoopPlan) -> LoopPlan:
    """The plan of a loop with its notches in it."""
    edges: list[EdgePlan] = []
    joins: list[JoinPlan] = []
    for i, (edge, join) in enumerate(zip(plan.edges, plan.joins, strict=True)):
        cuts = [n.cut for n in gaps_of(blank.notches, loop, i) if n.cut]
        if edge.side is None:
            ends = [0.0, *(x for c in cuts for x in c.cuts), edge.curve.length]
            pieces = [
                EdgePlan(Piece(edge.curve, a, b) if cuts else edge.curve, edge.place)
                for a, b in zip(ends[::2], ends[1::2], strict=True)
            ]
        else:
            pieces = [edge] * (len(cuts) + 1)
        for piece, cut in zip(pieces, cuts, strict=False):
            way = [EdgePlan(c, edge.place) for c in curves_of(cut.path)]
            edges += [piece, *way]
            first, last = _ends(cut) if edge.side is not None else (PLAIN, PLAIN)
            joins += [first, *[PLAIN] * (len(way) - 1), last]
        edges.append(pieces[-1])
        joins.append(_moved(join, cuts, edge) if edge.side is None else join)
    return LoopPlan(tuple(edges), tuple(joins))


def _ends(cut: NotchCut) -> tuple[JoinPlan, JoinPlan]:
    """The flange's two cut ends at a notch: each goes down to the tangent line and no further."""
    a, b = cut.corners[0], cut.corners[-1]
    return (
        JoinPlan("end-before", cut.cuts[0], 0.0, (float(a[0]), float(a[1])), True),
        JoinPlan("end-after", 0.0, cut.cuts[1], (float(b[0]), float(b[1])), True),
    )


def _moved(join: JoinPlan, cuts: list[NotchCut], edge: EdgePlan) -> JoinPlan:
    """The join at the end of a plain edge whose last piece has arc lengths of its own."""
    return replace(join, sa=edge.curve.length - cuts[-1].cuts[1]) if cuts else join


def parted_at_notches(blank: Blank, place: int, start: Array, nodes: Ints) -> list[Ints]:
    """A plain stretch of the boundary, nodes (m,) with flat places `start` (N, 2), cut at the corners of its edge's notches into smooth
    ones that share their end nodes."""
    loop, edge = _edge_of(blank, place)
    corners = [p for n in gaps_of(blank.notches, loop, edge) if n.cut for p in n.cut.corners]
    if not corners:
        return [nodes]
    far = np.linalg.norm(start[nodes][:, None] - np.array(corners)[None], axis=2).min(axis=1)
    inner = [k for k in np.flatnonzero(far < ON).tolist() if 0 < k < len(nodes) - 1]
    return [nodes[a : b + 1] for a, b in itertools.pairwise([0, *inner, len(nodes) - 1])]


def drawn_through(p: Array) -> Array:
    """A smooth line through places (m, 2): themselves where they lie on a straight one."""
    chord = p[-1] - p[0]
    size = float(np.hypot(*chord))
    if len(p) < 3 or (size > 0 and np.max(np.abs((p - p[0]) @ np.array([-chord[1], chord[0]]))) / size < STRAIGHT):
        return p[[0, -1]]
    return through(p)


def _edge_of(blank: Blank, place: int) -> tuple[int, int]:
    """Loop and edge of a number; (-1, -1) of a hole's."""
    for k, loop in enumerate(blank.laid):
        if place < len(loop.edges):
            return k, place
        place -= len(loop.edges)
    return -1, -1
