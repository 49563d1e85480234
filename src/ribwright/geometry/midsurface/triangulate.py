"""Plain Delaunay with every given edge present, and only the triangles of the regions those edges bound.

An edge that the Delaunay triangulation lacks is put in by emptying the triangles it crosses and filling the two halves anew
(Anglada, Computers & Graphics 21 (1997) 215-223). No point is added, so the structured strips beside stay whole.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Ints = NDArray[np.int64]
OUTSIDE = -1
FLAT = 1e-6  # a triangle lower than this is none [mm]


@dataclass(frozen=True, eq=False)
class Lines:
    """Directed edges (n, 2) that must be there; `left`, `right` (n, 2): part and place on either side, part OUTSIDE where
    nothing is to be meshed."""

    ends: Ints
    left: Ints
    right: Ints


def triangulated(points: Array, lines: Lines) -> tuple[Ints, Ints] | int:
    """(triangles (T, 3) counter-clockwise, their part and place (T, 2)) of the points (n, 2), or the number of the first of
    `lines` that could not be had."""
    from scipy.spatial import Delaunay

    tri = Delaunay(points, qhull_options="QJ Pp" if len(points) < 4 else "Qbb Qc Qz Q12").simplices.astype(np.int64)
    area = _turn(points[tri[:, 0]], points[tri[:, 1]], points[tri[:, 2]])
    tri[area < 0] = tri[area < 0][:, ::-1]
    tri = _without_flat(points, tri)
    for k in np.flatnonzero(~_present(tri, lines.ends, len(points))):
        made = _with_edge(points, tri, int(lines.ends[k, 0]), int(lines.ends[k, 1]))
        if made is None:
            return int(k)
        tri = made
    lost = np.flatnonzero(~_present(tri, lines.ends, len(points)))
    if len(lost):  # two lines cross: putting in one took the other out
        return int(lost[0])
    return _regions(points, tri, lines)


def _without_flat(points: Array, tri: Ints) -> Ints:
    """Triangles without height (points in line, by rounding) given away: each is cut in two with its neighbour across its longest
    edge, or dropped where it has none."""
    for _ in range(2 * len(points)):
        corners = points[tri]
        sides = np.linalg.norm(corners - np.roll(corners, -1, axis=1), axis=2)
        height = np.abs(_turn(corners[:, 0], corners[:, 1], corners[:, 2])) / sides.max(axis=1)
        flat = np.flatnonzero(height < FLAT)
        if not len(flat):
            break
        # the longest first: what is made of it is shorter or has height, so this ends
        k = flat[np.argmax(sides[flat].max(axis=1))]
        i = int(np.argmax(sides[k]))
        a, c, b = (int(tri[k, (i + n) % 3]) for n in range(3))
        beside = np.flatnonzero((tri == a).any(axis=1) & (tri == c).any(axis=1))
        beside = beside[beside != k]
        keep = np.ones(len(tri), bool)
        keep[k] = False
        new: list[Ints] = []
        if len(beside):
            keep[beside[0]] = False
            d = int(tri[beside[0]][~np.isin(tri[beside[0]], (a, c))][0])
            two = np.array([(a, b, d), (b, c, d)])
            new = [x if _turn(*points[x]) > 0 else x[::-1] for x in two]
        tri = np.concatenate([tri[keep], np.array(new, dtype=np.int64).reshape(-1, 3)])
    return tri


def _turn(a: Array, b: Array, c: Array) -> Array:
    return np.asarray(
        (b[..., 0] - a[..., 0]) * (c[..., 1] - a[..., 1]) - (b[..., 1] - a[..., 1]) * (c[..., 0] - a[..., 0])
    )


def _edges(tri: Ints) -> Ints:
    """Directed edges (3 T, 2): those of all triangles from corner 0, then 1, then 2."""
    return np.concatenate([tri[:, [0, 1]], tri[:, [1, 2]], tri[:, [2, 0]]])


def _present(tri: Ints, ends: Ints, n: int) -> NDArray[np.bool_]:
    e = np.sort(_edges(tri), axis=1)
    have, want = np.unique(e[:, 0] * n + e[:, 1]), np.sort(ends, axis=1)
    return np.isin(want[:, 0] * n + want[:, 1], have)


def _with_edge(points: Array, tri: Ints, a: int, b: int) -> Ints | None:
    """The triangulation with the edge a-b in it; None where a point lies on it."""
    e = _edges(tri)
    p, q = points[a], points[b]
    u, v = points[e[:, 0]], points[e[:, 1]]
    apart = (_turn(p, q, u) * _turn(p, q, v) < 0) & (_turn(u, v, p) * _turn(u, v, q) < 0)
    apart &= ~np.isin(e, (a, b)).any(axis=1)
    crossed = apart.reshape(3, -1).any(axis=0)
    if not crossed.any():
        return None
    rim = _edges(tri[crossed])
    back = {(int(x), int(y)) for x, y in rim}
    after: dict[int, int] = {}
    for x, y in back:
        if (y, x) not in back:
            if x in after:
                return None
            after[x] = y
    right, left = _walk(after, a, b), _walk(after, b, a)
    if right is None or left is None:
        return None
    new = _filled(points, a, b, left[::-1]) + _filled(points, b, a, right[::-1])
    return np.concatenate([tri[~crossed], np.array(new, dtype=np.int64).reshape(-1, 3)])


def _walk(after: dict[int, int], a: int, b: int) -> list[int] | None:
    """The corners between a and b along the rim."""
    out: list[int] = []
    at = after.get(a)
    while at is not None and at != b and len(out) <= len(after):
        out.append(at)
        at = after.get(at)
    return out if at == b else None


def _filled(points: Array, a: int, b: int, chain: list[int]) -> list[tuple[int, int, int]]:
    """Triangles of the polygon on the left of a-b; `chain` its other corners in order from a to b."""
    if not chain:
        return []
    best = 0
    for k in range(1, len(chain)):
        if _in_circle(points[a], points[b], points[chain[best]], points[chain[k]]):
            best = k
    c = chain[best]
    return [(a, b, c), *_filled(points, a, c, chain[:best]), *_filled(points, c, b, chain[best + 1 :])]


def _in_circle(a: Array, b: Array, c: Array, d: Array) -> bool:
    """Whether d lies inside the circle through a, b, c, which turn counter-clockwise."""
    m = np.array([[*(x - d), (x - d) @ (x - d)] for x in (a, b, c)])
    return bool(np.linalg.det(m) > 0)


def _regions(points: Array, tri: Ints, lines: Lines) -> tuple[Ints, Ints]:
    """The triangles inside and what region each lies in: flooded from the lines."""
    from scipy.sparse import coo_matrix
    from scipy.sparse.csgraph import connected_components

    e, n = _edges(tri), len(points)
    owner = np.tile(np.arange(len(tri)), 3)
    key, twin = e[:, 0] * n + e[:, 1], e[:, 1] * n + e[:, 0]
    given = lines.ends[:, 0] * n + lines.ends[:, 1]
    order = np.argsort(given)
    on_left, on_right = (_found(k, given[order]) for k in (key, twin))
    order_of = np.argsort(key)
    across = _found(twin, key[order_of])
    free = (on_left < 0) & (on_right < 0) & (across >= 0)
    pairs = owner[free], owner[order_of[across[free]]]
    _, part = connected_components(
        coo_matrix((np.ones(len(pairs[0])), pairs), shape=(len(tri), len(tri))), directed=False
    )
    # each line votes with its length for the region on either side of it
    length = np.linalg.norm(points[lines.ends[:, 0]] - points[lines.ends[:, 1]], axis=1)
    names, voted = np.unique(np.concatenate([lines.left, lines.right]), axis=0, return_inverse=True)
    votes = np.zeros((part.max(initial=0) + 1, len(names)))
    for hit, side in ((on_left, voted.ravel()[: len(given)]), (on_right, voted.ravel()[len(given) :])):
        known = hit >= 0
        line = order[hit[known]]
        np.add.at(votes, (part[owner[known]], side[line]), length[line])
    votes[:, names[:, 0] == OUTSIDE] *= (
        1e-9  # what a line bounds from outside says something only where nothing else does
    )
    region = np.where(votes.max(axis=1, keepdims=True) > 0, names[np.argmax(votes, axis=1)], OUTSIDE)
    mine = region[part]
    keep = mine[:, 0] != OUTSIDE
    return tri[keep], mine[keep]


def _found(what: Ints, ordered: Ints) -> Ints:
    """Index of each number in a rising list, -1 where it is not in it."""
    i = np.minimum(np.searchsorted(ordered, what), len(ordered) - 1)
    return np.where(ordered[i] == what, i, -1)
