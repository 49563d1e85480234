"""The mesh of a formed part, put together in the flat: strips as grids, the rest by Delaunay between them.

What is left beside the strips' whole cells is the web, and the cells that a relief has bitten into. The web is filled with a grid of
equal triangles kept 0.55 h inside its boundary; every edge of a boundary, of a strip, of a bend tangent line and of a bend's end is there.
"""

from __future__ import annotations

import itertools

import numpy as np
from numpy.typing import NDArray

from ribwright.geometry.midsurface.dents import Dent, dented
from ribwright.geometry.midsurface.holes import lay_hole
from ribwright.geometry.midsurface.loops import Bite, LaidOut, lay_out
from ribwright.geometry.midsurface.nodes import Nodes
from ribwright.geometry.midsurface.outline import Step
from ribwright.geometry.midsurface.plans import Anchor, HolePlan, LoopPlan
from ribwright.geometry.midsurface.side import foot
from ribwright.geometry.midsurface.strips import Strip, cells, cut_cells
from ribwright.geometry.midsurface.triangulate import OUTSIDE, Lines, triangulated
from ribwright.geometry.midsurface.values import BEND, FLANGE, WEB, Cycle, FormedMesh, NoMesh
from ribwright.geometry.midsurface.web import inside_web

Array = NDArray[np.float64]
Ints = NDArray[np.int64]
Mask = NDArray[np.bool_]
CLEAR = 0.35  # a node this share of a cell from a relief's circle gives way to those on it


def mesh_of(
    loops: tuple[LoopPlan, ...], holes: tuple[HolePlan, ...], anchor: Anchor, size: float, dents: tuple[Dent, ...] = ()
) -> FormedMesh | NoMesh:
    """The mesh of a part with elements of about `size` [mm]; the outer loop first. `NoMesh` says why there is none. Dents of the web get
    nodes of their own; columns of a flange stand where its side asks for them."""
    nodes = Nodes()
    laid: list[LaidOut] = []
    for loop in loops:
        one = lay_out(nodes, loop, size)
        if isinstance(one, NoMesh):
            return one
        laid.append(one)
    laid += [lay_hole(nodes, hole, size, anchor.direction) for hole in holes]
    strips = [s for x in laid for s in x.strips]
    for s in strips:
        if not s.opens > 0:
            return NoMesh("folds", s.worst, tuple(x.side.place for x in s.stretches))
        if not np.isfinite(nodes.get("flat")[s.ids]).all():
            return NoMesh("closes", s.worst, tuple(x.side.place for x in s.stretches))
    name = nodes.united
    for s in strips:
        s.ids = name[s.ids]
    paths = [[(int(name[x.id]), x) for x in one.steps] for one in laid]
    bites = [b for x in laid for b in x.bites]
    kept, alive = _kept(nodes, strips, bites, {i for path in paths for i, _ in path})
    made = [cut_cells(s, k) for s, k in zip(strips, kept, strict=True)]
    lines = _lines(nodes, strips, kept, alive, bites, paths, name)
    rows = [d.nodes(size) for d in dents if d.place < 0]
    inside = inside_web(nodes.get("flat"), lines, anchor, size, np.concatenate([np.zeros((0, 2)), *rows]))
    if inside is None:
        return NoMesh("web-crosses", _middle(nodes.get("flat")[[i for i, _ in paths[0]]]))
    loose = _loose(strips, kept, alive)
    mesh = _finished(nodes, made, lines, np.concatenate([nodes.on_web(inside), loose]), paths, size)
    return mesh if isinstance(mesh, NoMesh) else dented(mesh, dents)


def _middle(p: Array) -> tuple[float, float]:
    return float(p[:, 0].mean()), float(p[:, 1].mean())


def _kept(nodes: Nodes, strips: list[Strip], bites: list[Bite], on_path: set[int]) -> tuple[list[Mask], list[Mask]]:
    """Of each strip the cells that stay whole (rows, columns) and the nodes that stay (rows + 1, columns)."""
    flat = nodes.get("flat")
    kept, alive = [], []
    for s in strips:
        p = flat[s.ids]
        stays = np.ones(s.ids.shape, bool)
        whole = np.ones((s.ids.shape[0] - 1, s.columns), bool)
        if not s.closed:
            path = np.isin(s.ids, list(on_path))
            rim = np.zeros(s.ids.shape, bool)
            rim[-1], rim[:, 0], rim[:, -1] = True, True, True
            # the corners of the tangent line are on the web's boundary only where no relief has taken them
            stays = ~rim | path
            for b in bites:
                if b.strip is not s:
                    continue
                away = np.linalg.norm(p - np.array(b.circle.centre), axis=-1) - b.circle.radius
                stays &= path | (away > CLEAR * _spacing(p))
                whole &= _misses(p, np.array(b.circle.centre), b.circle.radius)
        corners = [stays, np.roll(stays, -1, axis=1)] if s.closed else [stays[:, :-1], stays[:, 1:]]
        whole &= corners[0][:-1] & corners[0][1:] & corners[1][:-1] & corners[1][1:]
        kept.append(whole)
        alive.append(stays)
    return kept, alive


def _spacing(p: Array) -> Array:
    """The lesser of a node's distances to its neighbours along and across the strip."""
    along = np.linalg.norm(np.diff(p, axis=1), axis=-1)
    across = np.linalg.norm(np.diff(p, axis=0), axis=-1)
    a = np.minimum(np.column_stack([along[:, :1], along]), np.column_stack([along, along[:, -1:]]))
    c = np.minimum(np.vstack([across[:1], across]), np.vstack([across, across[-1:]]))
    return np.asarray(np.minimum(a, c))


def _misses(p: Array, centre: Array, radius: float) -> Mask:
    """Cells whose four edges stay clear of the circle (rows, columns)."""

    def apart(a: Array, b: Array) -> Mask:
        u, f = b - a, a - centre
        t = np.clip(-np.sum(u * f, axis=-1) / np.maximum(np.sum(u * u, axis=-1), 1e-30), 0.0, 1.0)
        return np.asarray(np.linalg.norm(f + t[..., None] * u, axis=-1) > radius - 1e-4)

    rows, columns = apart(p[:, :-1], p[:, 1:]), apart(p[:-1], p[1:])
    return np.asarray(rows[:-1] & rows[1:] & columns[:, :-1] & columns[:, 1:])


def _loose(strips: list[Strip], kept: list[Mask], alive: list[Mask]) -> Ints:
    """Nodes of strips that no whole cell holds any more."""
    out = []
    for s, k, a in zip(strips, kept, alive, strict=True):
        corners, _, _ = cells(s)
        out.append(np.setdiff1d(s.ids[a], corners[k].ravel()))
    return np.concatenate(out).astype(np.int64) if out else np.zeros(0, np.int64)


def _lines(
    nodes: Nodes, strips: list[Strip], kept: list[Mask], alive: list[Mask], bites: list[Bite],
    paths: list[list[tuple[int, Step]]], name: Ints,
) -> Lines:  # fmt: skip
    """Every edge that bounds what is left beside the whole cells, and the lines between web, bend and flange in it."""
    ends: dict[tuple[int, int], tuple[tuple[int, int], tuple[int, int]]] = {}
    out = (OUTSIDE, OUTSIDE)
    outline: dict[tuple[int, int], Step] = {}
    for path in paths:
        for k, (i, step) in enumerate(path):
            outline[i, path[(k + 1) % len(path)][0]] = step
    taken: set[tuple[int, int]] = set()
    for s, whole in zip(strips, kept, strict=True):
        for a, b, beyond in _rim(s, whole):
            taken.add((a, b))
            if (a, b) not in outline:
                ends[b, a] = (beyond, out)
    for (a, b), step in outline.items():
        if (a, b) not in taken:
            ends[a, b] = ((step.part, step.owner), out)
    for s, whole, stays in zip(strips, kept, alive, strict=True):
        mine = [x for x in bites if x.strip is s]
        if mine:
            for row, left, right in ((0, WEB, BEND), (s.first.bend, BEND, FLANGE)):
                for i, j, side in _row_line(nodes, s, whole, stays, mine, row, name):
                    # a circle that enters where the bend ends has that edge already
                    if (i, j) not in ends and (j, i) not in ends:
                        ends[i, j] = ((left, -1 if left == WEB else side), (right, side))
    keys = np.array(list(ends), dtype=np.int64).reshape(-1, 2)
    values = np.array(list(ends.values()), dtype=np.int64).reshape(-1, 2, 2)
    return Lines(keys, values[:, 0], values[:, 1])


def _rim(s: Strip, kept: Mask) -> list[tuple[int, int, tuple[int, int]]]:
    """Directed edges of whole cells (cell on the left) that no other whole cell shares: (from, to, part and place beyond)."""
    corners, part, place = cells(s)
    rows, columns = kept.shape
    j, i = np.nonzero(kept)
    out = []
    for e, (dj, di) in enumerate(((0, -1), (1, 0), (0, 1), (-1, 0))):
        nj, ni = j + dj, i + di
        if s.closed:
            ni = ni % columns
        there = (nj >= 0) & (nj < rows) & (ni >= 0) & (ni < columns)
        other = np.zeros(len(j), bool)
        other[there] = kept[nj[there], ni[there]]
        for k in np.flatnonzero(~other):
            c = corners[j[k], i[k]]
            row, column = min(int(nj[k]), rows - 1), min(max(int(ni[k]), 0), columns - 1)
            beyond = (WEB, -1) if row < 0 else (int(part[row]), int(place[column]))
            out.append((int(c[e]), int(c[(e + 1) % 4]), beyond))
    return out


def _row_line(
    nodes: Nodes, s: Strip, kept: Mask, alive: Mask, bites: list[Bite], row: int, name: Ints
) -> list[tuple[int, int, int]]:
    """(from, to, place) of the edges along a row beside which no cell is whole, where reliefs leave it."""
    whole = kept[row] | kept[row - 1] if row else kept[row]
    flat, last = nodes.get("flat"), len(s.stretches) - 1
    # (stretch, s, node, column): the row's own nodes and those where circles cross it, in travel order
    on = [int(k) for k in np.flatnonzero(alive[row])]
    order = [(int(s.stretch_of[min(k, s.columns - 1)]), float(s.s[row, k]), int(s.ids[row, k]), k) for k in on]
    for b in bites:
        side, at = (s.last, last) if b.at_end else (s.first, 0)
        for x in b.crossings.get(row, ()):
            along, _ = foot(side, flat[x : x + 1], float(s.s[row, -1 if b.at_end else 0]))
            order.append((at, float(along[0]), int(name[x]), -1))
    order.sort()
    out = []
    for (stretch, _, i, a), (_, _, j, b_) in itertools.pairwise(order):
        middle = (flat[i] + flat[j]) / 2
        bitten = any(np.linalg.norm(middle - np.array(b.circle.centre)) < b.circle.radius for b in bites)
        if i != j and not bitten and not (b_ == a + 1 and a >= 0 and whole[a]):
            out.append((i, j, s.stretches[stretch].side.place))
    return out


def _finished(
    nodes: Nodes,
    made: list[tuple[Ints, Ints, Ints]],
    lines: Lines,
    free: Ints,
    paths: list[list[tuple[int, Step]]],
    size: float,
) -> FormedMesh | NoMesh:
    flat = nodes.get("flat")
    use = np.unique(np.concatenate([lines.ends.ravel(), free]))
    number = np.full(len(nodes), -1)
    number[use] = np.arange(len(use))
    rest = triangulated(flat[use], Lines(number[lines.ends], lines.left, lines.right))
    if isinstance(rest, int):
        a, b = flat[lines.ends[rest]]
        return NoMesh("edge-lost", _middle(np.array([a, b])))
    tri = np.concatenate([use[rest[0]], *[m[0] for m in made]])
    part = np.concatenate([rest[1][:, 0], *[m[1] for m in made]]).astype(np.int8)
    place = np.concatenate([rest[1][:, 1], *[m[2] for m in made]])
    used = np.unique(tri)
    number = np.full(len(nodes), -1)
    number[used] = np.arange(len(used))
    cycles = []
    for path in paths:
        ids = number[[i for i, _ in path]]
        if (ids < 0).any():
            return NoMesh("edge-lost", _middle(flat[[i for i, _ in path]][ids < 0]))
        kind, of = (np.array(x, dtype=np.int64) for x in ([s.kind for _, s in path], [s.place for _, s in path]))
        cycles.append(Cycle(ids.astype(np.int64), kind, of))
    along, allowance = _meridians(nodes, tri, part)
    return FormedMesh(
        nodes.get("formed")[used], nodes.get("normal")[used], number[tri], part, place, along, allowance,
        nodes.get("row")[used] <= 0.0, flat[used], tuple(cycles), size,
    )  # fmt: skip


def _meridians(nodes: Nodes, tri: Ints, part: NDArray[np.int8]) -> tuple[Array, Array]:
    """`along` and `allowance` of every triangle."""
    along, allowance = np.zeros((len(tri), 3)), np.ones(len(tri))
    bend = np.flatnonzero(part == BEND)
    t, formed = tri[bend], nodes.get("formed")
    bent, row = nodes.get("bent")[t], nodes.get("row")[t]
    # a node on the tangent line may be shared with another flange or the web; those further out belong to this bend alone
    weight = (row > 0) / np.maximum((row > 0).sum(axis=1, keepdims=True), 1)
    angle, mid, neutral, up = (np.sum(weight * nodes.get(k)[t], axis=1) for k in ("angle", "mid", "neutral", "up"))
    out = np.sum(weight[..., None] * nodes.get("out")[t], axis=1)
    low, high = angle * bent.min(axis=1), angle * bent.max(axis=1)
    phi, turned = (low + high) / 2, np.maximum(high - low, 1e-12)
    m = np.column_stack([out * np.cos(phi)[:, None], up * np.sin(phi)])
    normal = np.cross(formed[t[:, 1]] - formed[t[:, 0]], formed[t[:, 2]] - formed[t[:, 0]])
    normal /= np.linalg.norm(normal, axis=1, keepdims=True)
    m -= np.sum(m * normal, axis=1, keepdims=True) * normal
    along[bend] = m / np.linalg.norm(m, axis=1, keepdims=True)
    allowance[bend] = neutral * turned / (2 * mid * np.sin(turned / 2))
    return along, allowance


__all__ = ["mesh_of"]
