"""Dents of a formed mid-surface: its nodes moved along its normals by the section of a groove, of a bead in the web or a flute in a flange.

The path lies in the flat, where all meshing is done. A point at distance x from it, beside a place where the dent has the share k of its
section, moves by k f(x/k): width and depth fade together, to nothing where k is 0. Flat places do not move, so what a dent makes longer
is stretched sheet where both lie held (a bead in the web), and edge that the flat has to find length for where they are free (a flute).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ribwright.geometry.groove_profile import GrooveProfile, groove_profile
from ribwright.geometry.grooved_path import Seam, seams, turns
from ribwright.geometry.midsurface.side import Side, placed
from ribwright.geometry.midsurface.values import WEB, FormedMesh

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]
TURN = 0.2  # of the section between two rows of nodes [rad]
COLUMNS = 16  # of a flange over the width of a flute
PAST = 0.25  # of the flange's height: a flute's path goes on past the free edge, so that it has no end there
SLENDER = 2.0  # nodes along a row stand this many gaps of the section apart, no more than the element size


@dataclass(frozen=True, eq=False)
class Dent:
    """path (n, 2) in the flat [mm]; `profile` the section of the mid-surface; `share` (n,) of it at each path point; `up` +1 along the
    normals, -1 against them; `place` the number of the flange it lies in, -1: the web."""

    path: Array
    profile: GrooveProfile
    share: Array
    up: float
    place: int = -1

    def depth(self, points: Array) -> Array:
        """How deep points (m, 2) of the flat lie in it (m,) [mm]."""
        x, k = self._seen(points)
        some = np.maximum(k, 1e-9)
        return np.asarray(np.where(k > 1e-9, k * self.profile.deep(x / some), 0.0))

    def _seen(self, points: Array) -> tuple[Array, Array]:
        """(distance from the path, share at the nearest place) (m,) each."""
        best, share = np.full(len(points), np.inf), np.zeros(len(points))
        for i, (p, q) in enumerate(zip(self.path[:-1], self.path[1:], strict=True)):
            u = q - p
            t = np.clip((points - p) @ u / (u @ u), 0.0, 1.0)
            d = np.linalg.norm(points - p - t[:, None] * u, axis=1)
            near = d < best
            best[near] = d[near]
            share[near] = (self.share[i] + (self.share[i + 1] - self.share[i]) * t)[near]
        return best, share

    @property
    def rows(self) -> Array:
        """Distances from the path at which rows of nodes stand (k,), 0 first and the rim last [mm]."""
        p = self.profile
        n = max(1, int(np.ceil(p.turn / TURN)))
        phi = np.linspace(0.0, p.turn, n + 1)
        parts = [p.bottom * np.sin(phi), p.width / 2 - p.edge * np.sin(phi)]
        a, b = p.knots[1, 0], p.knots[2, 0]
        arc = max(p.bottom, p.edge) * p.turn / n
        parts.append(np.linspace(a, b, max(1, int(np.ceil((b - a) / max(2 * arc, 0.1)))) + 1))
        x = np.unique(np.concatenate(parts).round(6))
        return np.asarray(x[np.concatenate([[True], np.diff(x) > 0.02 * p.width])])

    def nodes(self, size: float) -> Array:
        """Nodes (m, 2) in the flat that show its section: rows along it, every second one shifted by half a gap."""
        out = []
        rows = self.rows
        gap = min(size, SLENDER * float(np.max(np.diff(rows))))
        four = seams(self.path)
        for k, x in enumerate(rows):
            flat = np.array([[x, 0.0]])
            for sides in ((0, 2), (1, 3))[: 2 if x > 0 else 1]:
                for seam in four:
                    a, b = (seam[i].placed(self.path[seam[i].at], flat)[0, :2] for i in sides)
                    out.append(_between(a, b, gap, k % 2 == 1))
            if x > 0:
                for at, start, turn in self._caps(four):
                    out.append(_round(self.path[at], start * x, turn, gap, k % 2 == 1))
        p = np.concatenate([*out, self.path])
        keep = np.unique(p.round(6), axis=0, return_index=True)[1]
        return np.asarray(p[np.sort(keep)])

    def _caps(self, four: list[tuple[Seam, Seam, Seam, Seam]]) -> list[tuple[int, Array, float]]:
        """(path point, direction where the section begins to turn, by how much counter-clockwise)."""
        left = [s[0].left for s in four]
        out = [(0, left[0], np.pi), (len(self.path) - 1, -left[-1], np.pi)]
        for k, a in enumerate(turns(self.path)):
            if abs(a) > 1e-9:
                out.append((k + 1, -left[k] if a > 0 else left[k + 1], abs(float(a))))
        return out


def flute_dent(side: Side, s: float, width: float, depth: float) -> Dent | None:
    """The dent of a flute across a flange at arc length `s` of travel: a round section `width` wide and `depth` deep at the free edge,
    nothing at the end of the bend, pressed inward, against the normals. None: no such section. The side's columns show it
    where its `breaks` has s and its `fine` has `fine_at(s, width)`."""
    profile = groove_profile(width, depth, 0.0)
    if profile is None:
        return None
    foot, edge = placed(side, np.full(2, s), np.array([side.bend, side.rows], float)).flat
    return Dent(
        np.array([foot, edge, edge + PAST * (edge - foot)]), profile, np.array([0.0, 1.0, 1.0 + PAST]), -1.0, side.place
    )


def fine_at(s: float, width: float) -> tuple[float, float, float]:
    """What `Side.fine` takes for a flute of this width [mm]."""
    return s, width / COLUMNS, width / 2


def _between(a: Array, b: Array, gap: float, shifted: bool) -> Array:
    """Points from a to b, both there; in shifted rows the inner ones lie half a gap on, the same seen from either end."""
    n = max(1, int(np.ceil(float(np.linalg.norm(b - a)) / gap - 1e-6)))
    t = np.linspace(0.0, 1.0, n + 1)
    if shifted:
        t = np.concatenate([[0.0], (np.arange(n) + 0.5) / n, [1.0]])
    return np.asarray(a + t[:, None] * (b - a))


def _round(centre: Array, start: Array, turn: float, gap: float, shifted: bool) -> Array:
    """Points of an arc between its ends, ends left out, as in `_between`."""
    radius = float(np.linalg.norm(start))
    n = max(2, int(np.ceil(radius * turn / gap - 1e-6)), int(np.ceil(turn / 0.6)))
    t = turn * ((np.arange(n) + 0.5) / n if shifted else np.arange(1, n) / n)
    c, s = np.cos(t)[:, None], np.sin(t)[:, None]
    return np.asarray(centre + c * start + s * np.array([-start[1], start[0]]))


def dented(mesh: FormedMesh, dents: Sequence[Dent]) -> FormedMesh:
    """The mesh with its dents pressed in; normals of moved nodes are the mean of their triangles' by their angles."""
    moved, touched = mesh.nodes.copy(), np.zeros(len(mesh.nodes), bool)
    for d in dents:
        mine = np.zeros(len(mesh.nodes), bool)
        of = (mesh.part_of == WEB) if d.place < 0 else (mesh.place_of == d.place) & (mesh.part_of != WEB)
        mine[mesh.triangles[of]] = True
        deep = np.where(mine, d.depth(mesh.start), 0.0)
        moved += d.up * deep[:, None] * mesh.normals
        touched |= deep > 1e-9
    if not touched.any():
        return mesh
    around = np.isin(mesh.triangles, np.flatnonzero(touched)).any(axis=1)
    seen = np.zeros(len(touched), bool)
    seen[mesh.triangles[around]] = True
    normals = np.where(seen[:, None], _normals(moved, mesh), mesh.normals)
    return replace(mesh, nodes=moved, normals=normals)


def _normals(nodes: Array, mesh: FormedMesh) -> Array:
    """Unit normals (N, 3): those of the triangles about a node, weighted by their angles there."""
    p, out = nodes[mesh.triangles], np.zeros_like(nodes)
    n = np.cross(p[:, 1] - p[:, 0], p[:, 2] - p[:, 0])
    n /= np.maximum(np.linalg.norm(n, axis=1, keepdims=True), 1e-30)
    for k in range(3):
        u, v = p[:, (k + 1) % 3] - p[:, k], p[:, (k + 2) % 3] - p[:, k]
        lengths = np.linalg.norm(u, axis=1) * np.linalg.norm(v, axis=1)
        angle = np.arccos(np.clip(np.sum(u * v, axis=1) / np.maximum(lengths, 1e-30), -1, 1))
        np.add.at(out, mesh.triangles[:, k], angle[:, None] * n)
    size = np.linalg.norm(out, axis=1, keepdims=True)
    return np.where(size > 0, out / np.maximum(size, 1e-30), mesh.normals)
