"""Whether a laid-out part claims sheet twice or runs through itself, judged by brute force and none of the program's own tests.

What is judged is the layout: stations with tangent line, normal, angle and straight part, flat edges, cut lines. How it is judged is
plain: quads between stations, each against each; every segment of a cut line against every other by orientation; rulings and
edges of one flange's two faces against the triangles of another's, each pair by itself.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

import numpy as np
import shapely
from numpy.typing import NDArray

from ribwright.stages.blank import Blank
from ribwright.stages.job import Job

Array = NDArray[np.float64]
CLAIMED_MM2 = 0.05  # of sheet claimed twice that counts, as the program's
STEP_MM = 1.5  # between the rulings of a flange
BEND, STRAIGHT = 9, 5  # pieces of a ruling
LEVELS = (
    120  # lines along a flange that are held against the other's triangles, at heights that its own rows do not have
)
NEIGHBOURS = 3
INSIDE = 1e-7  # of a triangle and of a segment: touching is not running through


@dataclass(frozen=True)
class Judged:
    """Sheet claimed by more than one flange [mm2]; a crossing of a cut line with itself; two flanges through each other."""

    twice: float
    crosses: bool
    through: bool

    @property
    def bad(self) -> bool:
        """Anything of it."""
        return self.twice > CLAIMED_MM2 or self.crosses or self.through


def judged(job: Job, blank: Blank) -> Judged:
    """All three of a part's layout."""
    crosses = any(crosses_itself(np.array(loop.points)) for loop in blank.loops)
    return Judged(claimed_twice(blank), crosses, runs_through(job, blank))


def claimed_twice(blank: Blank) -> float:
    """Area shared by quads between neighbouring stations, pair by pair [mm2]; what a relief cuts away nobody claims. Quads of one run
    within `NEIGHBOURS` stations of each other do not count: at a kink of less than a degree in a hollow run they share a sliver."""
    discs = [shapely.Point(j.centre).buffer(j.diameter / 2, 64) for js in blank.joins for j in js if j.diameter > 0]
    cut = shapely.union_all(discs)
    quads, run, place = [], [], []
    for n, s in enumerate(blank.strips):
        a, b = s.at.tangent, s.flat
        for k in np.flatnonzero(s.at.edge[1:] == s.at.edge[:-1]):
            quad = shapely.Polygon([a[k], b[k], b[k + 1], a[k + 1]]).buffer(0)
            quad = quad.difference(cut) if quad.intersects(cut) else quad
            if quad.area > 1e-12:
                quads.append(quad)
                run.append(n)
                place.append(int(k))
    if not quads:
        return 0.0
    i, j = shapely.STRtree(quads).query(quads, predicate="intersects")
    runs, places = np.array(run), np.array(place)
    apart = np.abs(places[i] - places[j])
    many = np.bincount(runs)[runs[i]]
    closed = np.array([s.at.closed for s in blank.strips])[runs[i]]
    apart = np.where(closed, np.minimum(apart, many - apart), apart)
    count = (i < j) & ((runs[i] != runs[j]) | (apart > NEIGHBOURS))
    shared = [quads[a].intersection(quads[b]).area for a, b in zip(i[count], j[count], strict=True)]
    return float(sum(shared))


def crosses_itself(p: Array) -> bool:
    """A closed line (n, 2): two segments, not neighbours, each with its ends on both sides of the other."""
    a, b = p, np.roll(p, -1, axis=0)
    n = len(p)
    for i in range(n - 2):
        j = np.arange(i + 2, n if i > 0 else n - 1)
        d1, d2 = _turn(a[i], b[i], a[j]), _turn(a[i], b[i], b[j])
        d3, d4 = _turn(a[j], b[j], a[i]), _turn(a[j], b[j], b[i])
        if np.any((d1 * d2 < 0.0) & (d3 * d4 < 0.0)):
            return True
    return False


def _turn(a: Array, b: Array, c: Array) -> Array:
    d, e = b - a, c - a
    return np.asarray(d[..., 0] * e[..., 1] - d[..., 1] * e[..., 0])


def runs_through(job: Job, blank: Blank) -> bool:
    """Whether a face of one flange runs through a face of another."""
    faces = (*_edges(job, blank), *_holes(job, blank))
    for one, other in combinations(faces, 2):
        a, b = one.reshape(-1, 3), other.reshape(-1, 3)
        if np.any(a.min(axis=0) > b.max(axis=0)) or np.any(b.min(axis=0) > a.max(axis=0)):
            continue
        if _pierces(one, other) or _pierces(other, one):
            return True
    return False


def _edges(job: Job, blank: Blank) -> list[Array]:
    out = []
    for s in blank.strips:
        n = max(2, int(np.ceil(float(s.at.arc[-1] - s.at.arc[0]) / STEP_MM)) + 1)
        keep = np.unique(
            np.searchsorted(s.at.arc, np.linspace(s.at.arc[0], s.at.arc[-1], n)).clip(0, len(s.at.arc) - 1)
        )
        flange = s.run.flange
        assert flange is not None
        sign = 1.0 if flange.turn == "up" else -1.0
        out.append(
            _faces(
                job.t, flange.bend_radius, sign, s.at.tangent[keep], s.at.normal[keep], s.at.angle[keep], s.at.leg[keep]
            )
        )
    return out


def _holes(job: Job, blank: Blank) -> list[Array]:
    out = []
    for h in blank.holes:
        if h.straight is None or h.tangent_diameter is None:
            continue
        turn = np.linspace(0.0, 2.0 * np.pi, 61)
        into = -np.stack([np.cos(turn), np.sin(turn)], axis=1)
        line = np.array(h.hole.at) - h.tangent_diameter / 2.0 * into
        one = np.ones(len(turn))
        sign = 1.0 if h.hole.turn == "up" else -1.0
        out.append(_faces(job.t, h.hole.bend_radius, sign, line, into, h.hole.bend_angle * one, h.straight * one))
    return out


def _faces(t: float, radius: float, sign: float, line: Array, out: Array, angle: Array, leg: Array) -> Array:
    """(2, rows, columns, 3): inner and outer face of a flange, rulings in columns."""
    rows = []
    for face in (-t / 2.0, t / 2.0):
        r = radius + t / 2.0 + face
        grid = []
        for k in range(BEND + STRAIGHT + 1):
            phi = np.radians(angle) * min(k, BEND) / BEND
            beyond = np.maximum(leg, 0.0) * max(k - BEND, 0) / STRAIGHT
            x = r * np.sin(phi) + beyond * np.cos(phi)
            z = (radius + t / 2.0) - r * np.cos(phi) + beyond * np.sin(phi)
            grid.append(np.column_stack([line + x[:, None] * out, sign * z]))
        rows.append(np.array(grid))
    return np.array(rows)


def _pierces(one: Array, other: Array) -> bool:
    """A segment of one flange's grids through a triangle of the other's."""
    at = (np.arange(LEVELS) + 0.37) / LEVELS * (one.shape[1] - 1)
    k = at.astype(int)
    lines = one[:, k] + (at - k)[None, :, None, None] * (one[:, k + 1] - one[:, k])
    segments = np.concatenate([_pairs(one[:, :-1], one[:, 1:]), _pairs(lines[:, :, :-1], lines[:, :, 1:])])
    corner = [(f[:-1, :-1], f[1:, :-1], f[1:, 1:], f[:-1, 1:]) for f in other]
    triangles = np.concatenate(
        [np.stack(x, axis=2).reshape(-1, 3, 3) for a, b, c, d in corner for x in ((a, b, c), (a, c, d))]
    )
    low, high = triangles.min(axis=1), triangles.max(axis=1)
    near = np.all((segments.max(axis=1) >= low.min(axis=0)) & (segments.min(axis=1) <= high.max(axis=0)), axis=1)
    for p, q in segments[near]:
        here = np.all((np.maximum(p, q) >= low) & (np.minimum(p, q) <= high), axis=1)
        if here.any() and _through(p, q, triangles[here]):
            return True
    return False


def _pairs(a: Array, b: Array) -> Array:
    return np.stack([a.reshape(-1, 3), b.reshape(-1, 3)], axis=1)


def _through(p: Array, q: Array, triangles: Array) -> bool:
    """Moller and Trumbore (1997): the segment p q meets the inside of one of the triangles (n, 3, 3)."""
    a, e, f = triangles[:, 0], triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0]
    d = q - p
    h = np.cross(d[None], f)
    det = np.einsum("ij,ij->i", e, h)
    good = np.abs(det) > 1e-14
    inv = np.where(good, 1.0 / np.where(good, det, 1.0), 0.0)
    s = p[None] - a
    u = inv * np.einsum("ij,ij->i", s, h)
    w = np.cross(s, e)
    v = inv * np.einsum("j,ij->i", d, w)
    k = inv * np.einsum("ij,ij->i", f, w)
    hit = good & (u > INSIDE) & (v > INSIDE) & (u + v < 1.0 - INSIDE) & (k > INSIDE) & (k < 1.0 - INSIDE)
    return bool(hit.any())
