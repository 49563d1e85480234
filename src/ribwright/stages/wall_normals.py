"""Outward normals of the flanges as ruled surfaces, and of the steps between unlike walls in line.

Arc length s along the drawn line, t its direction, n outward, z up from the web face, kappa + convex; a bend angle, c the
inset of the bend tangent line, R inside radius, q from the bend end down the straight flange. A point of its inner face:
    X(s, q) = p - c n + (R sin a + q cos a) n - (R (1 - cos a) + q sin a) z
Square to dX/dq and dX/ds stands
    N(s, q) = A (n sin a + z cos a) + (c' sin a + q a') t,    A = 1 - kappa c + kappa (R sin a + q cos a)
with ' along s: a twist a' turns the normal along the edge, the more the deeper. N is linear in q, so v . N >= 0 at the
bend end and at the free edge is v . N >= 0 everywhere between. Round the bend N turns from z to N(s, 0), but for
kappa R c' of no weight.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ribwright.features.laid import LaidEdge, LaidLoop
from ribwright.geometry.offset import SMOOTH, turn_between
from ribwright.stages.section import rows_of_angle

Array = NDArray[np.float64]
LEAST_STEP_MM = 0.01  # walls in line nearer than this are one wall
DEPTHS = np.linspace(0.0, 1.0, 9)


def wall_normals(edge: LaidEdge, stations: Array, longest: float) -> Array:
    """Unit normals (m, 3) of an edge's flange between its first and last station [mm in travel], from the bend end to
    `longest` [mm]: past the free edge of a narrow stretch stands the wall that a wider one must pass."""
    assert edge.flange is not None
    rows = rows_of_angle(edge)
    s = np.union1d(stations, rows[(rows > stations[0]) & (rows < stations[-1])])
    # a row and a station that differ by rounding alone give no slope
    s = s[np.concatenate([[True], np.diff(s) > 1e-6])]
    start, end = s[:-1], s[1:]
    twist = np.diff(np.radians(edge.angle(s))) / np.diff(s)
    taper = np.diff(edge.tangent_inset(s)) / np.diff(s)
    inside = np.clip((start + end) / 2, 0.0, edge.curve.length)
    past = ((start + end) / 2 != inside) * 1.0
    kappa = edge.curve.curvature(inside) * (1.0 - past)
    out = []
    for at in (start, end):
        _, along, outward = edge.tangent_line.frame(at)
        a, c = np.radians(edge.angle(at)), edge.tangent_inset(at)
        for q in (0.0, max(longest, 0.0)):
            stretch = 1 - kappa * c + kappa * (edge.flange.bend_radius * np.sin(a) + q * np.cos(a))
            stretch = np.maximum(stretch, 1e-9)  # a flange that folds over itself is told elsewhere
            slope = taper * np.sin(a) + q * twist
            plan = (stretch * np.sin(a))[:, None] * outward + slope[:, None] * along
            out.append(np.column_stack([plan, stretch * np.cos(a)]))
    n = np.concatenate(out)
    return np.asarray(n / np.linalg.norm(n, axis=1)[:, None])


def step_normals(loop: LaidLoop) -> Array:
    """Unit normals (m, 3), along the edge, of the steps where walls in line stand out unlike: a flange before such a step
    cannot pass it."""
    out = []
    for i, after in enumerate(loop.edges):
        before = loop.edges[i - 1]
        if len(loop.edges) == 1 or abs(turn_between(before.curve, after.curve)) >= SMOOTH:
            continue
        ends = (before, np.array([before.curve.length])), (after, np.zeros(1))
        ahead = after.curve.tangent(np.zeros(1))[0]
        for (own, s), (other, r), back in ((*ends, -1.0), (*ends[::-1], 1.0)):
            if own.flange is None:
                continue
            depth = DEPTHS * _depth(own, s)
            if np.max(_stands_out(other, r, depth) - _stands_out(own, s, depth)) > LEAST_STEP_MM:
                out.append([back * ahead[0], back * ahead[1], 0.0])
    return np.array(out).reshape(-1, 3)


def _depth(edge: LaidEdge, s: Array) -> float:
    """Web face to the free edge of the flange at s (1,) [mm]."""
    assert edge.flange is not None
    a = float(np.radians(edge.angle(s)[0]))
    return edge.flange.bend_radius * (1 - np.cos(a)) + max(float(edge.leg(s)[0]), 0.0) * float(np.sin(a))


def _stands_out(edge: LaidEdge, s: Array, depth: Array) -> Array:
    """Drawn line to the wall, outward, at depths (n,) below the web face at s (1,) [mm]."""
    if edge.flange is None:
        return np.zeros(len(depth))
    a, r = float(np.radians(edge.angle(s)[0])), edge.flange.bend_radius
    bend = r * (1 - np.cos(a))
    round_it = np.sqrt(np.maximum(r**2 - (r - np.minimum(depth, bend)) ** 2, 0.0))
    return np.asarray(round_it + np.maximum(depth - bend, 0.0) / np.tan(a) - edge.tangent_inset(s)[0])
