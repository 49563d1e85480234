"""How far points lie from a curved surface given by triangles whose corners lie on it, with its normals there.

A flat triangle strays from the surface by its chord; it is bent again by its normals (curved PN triangles, Vlachos and others 2001), and a
boundary chord by the directions of the boundary at its ends. What is left is of the fourth order in the angle that a triangle spans.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Ints = NDArray[np.int64]
WELD = 1e-5  # corners so near each other are one [mm]
SMOOTH = np.cos(np.radians(25.0))  # a boundary that turns less at a corner is a smooth line there
NEAR = 0.25
EDGE = 1e-9  # a foot so near a side, as a share, lies on it


@dataclass(frozen=True, eq=False)
class Surface:
    """`corners`, `normals` (T, 3, 3) of its triangles; `open` (T, 3): the side from corner k to the next bounds the surface; `bent`
    (T, 3, 2, 3): directions of the boundary at both ends of an open side, as long as it."""

    corners: Array
    normals: Array
    open: NDArray[np.bool_]
    bent: Array


@dataclass(frozen=True, eq=False)
class Off:
    """Of points (n,): `height` above the surface along its normal, `beside` how far they lie past its boundary, both inf where it is
    farther than was looked; `foot` (n, 3), `normal` (n, 3) there, `triangle` its number or -1 [mm]."""

    height: Array
    beside: Array
    foot: Array
    normal: Array
    triangle: Ints


def surface(corners: Array, normals: Array) -> Surface:
    """The surface of triangles (T, 3, 3); corners within WELD of each other are one. Triangles that run clockwise seen against
    their normals are turned round."""
    facing = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    back = np.einsum("ij,ij->i", facing, normals.sum(axis=1)) < 0
    corners = np.where(back[:, None, None], corners[:, ::-1], corners)
    normals = np.where(back[:, None, None], normals[:, ::-1], normals)
    flat = corners.reshape(-1, 3)
    _, welded = np.unique(np.round(flat / WELD).astype(np.int64), axis=0, return_inverse=True)
    ids = welded.reshape(-1, 3)
    sides = np.stack([ids, np.roll(ids, -1, axis=1)], axis=2)
    key = np.sort(sides.reshape(-1, 2), axis=1)
    _, inverse, count = np.unique(key, axis=0, return_inverse=True, return_counts=True)
    open_ = (count[inverse.ravel()] == 1).reshape(-1, 3)
    return Surface(corners, normals, open_, _bent(corners, sides, open_))


def _bent(corners: Array, sides: Ints, open_: NDArray[np.bool_]) -> Array:
    """Directions at both ends of each open side, from the open sides before and after it; its chord's where the boundary has a corner."""
    chord = np.roll(corners, -1, axis=1) - corners
    out = np.stack([chord, chord], axis=2)
    at = {int(sides[t, k, 0]): (int(t), int(k)) for t, k in np.argwhere(open_)}
    for t, k in np.argwhere(open_):
        after = at.get(int(sides[t, k, 1]))
        if after is None:
            continue
        a, b = chord[t, k], chord[after]
        la, lb = np.linalg.norm(a), np.linalg.norm(b)
        if la * lb == 0 or a @ b < SMOOTH * la * lb:
            continue
        way = (a / la) * lb / (la + lb) + (b / lb) * la / (la + lb)
        out[t, k, 1] = way * la
        out[after[0], after[1], 0] = way * lb
    return out


def off(s: Surface, points: Array, reach: float) -> Off:
    """How far points (n, 3) lie from the surface, looked for within `reach` of each."""
    from shapely import STRtree, box

    n = len(points)
    out = Off(np.full(n, np.inf), np.full(n, np.inf), np.zeros((n, 3)), np.zeros((n, 3)), np.full(n, -1))
    low, high = s.corners.min(axis=1), s.corners.max(axis=1)
    tree = STRtree(box(low[:, 0], low[:, 1], high[:, 0], high[:, 1]))
    # most points lie near: few are looked for as far as `reach`
    for far in (NEAR * reach, reach):
        rows = np.flatnonzero(out.triangle < 0)
        if len(rows):
            _look(s, points, rows, far, tree, low, high, out)
    return out


def _look(s: Surface, points: Array, rows: Ints, reach: float, tree: Any, low: Array, high: Array, out: Off) -> None:
    """Looks for the points of `rows` within `reach` and enters what is found."""
    from shapely import box

    p = points[rows]
    wanted = box(p[:, 0] - reach, p[:, 1] - reach, p[:, 0] + reach, p[:, 1] + reach)
    who, tri = tree.query(wanted)
    near = (p[who, 2] >= low[tri, 2] - reach) & (p[who, 2] <= high[tri, 2] + reach)
    who, tri = who[near], tri[near]
    weights = _nearest(p[who], s.corners[tri])
    flat = np.einsum("nk,nkc->nc", weights, s.corners[tri])
    far = np.linalg.norm(p[who] - flat, axis=1)
    # of triangles that meet in the nearest corner one that the boundary runs along
    inner = ~np.any(s.open[tri] & (np.roll(weights, 1, axis=1) <= EDGE), axis=1)
    order = np.lexsort((inner, np.round(far, 9), who))
    who, tri, weights, far = who[order], tri[order], weights[order], far[order]
    first = np.unique(who, return_index=True)[1]
    first = first[far[first] <= reach]
    who, tri, weights = who[first], tri[first], weights[first]
    foot, normal = _bent_point(s, tri, weights)
    d = p[who] - foot
    height = np.sum(d * normal, axis=1)
    into = rows[who]
    out.height[into], out.beside[into] = height, _beside(s, p[who], tri, weights, normal)
    out.foot[into], out.normal[into], out.triangle[into] = foot, normal, tri


# ---- inside


def _beside(s: Surface, p: Array, tri: Ints, weights: Array, normal: Array) -> Array:
    """How far points lie past the boundary, of those whose nearest place lies on it; 0 of the others."""
    out = np.zeros(len(p))
    for k in range(3):
        j = (k + 1) % 3
        on = s.open[tri, k] & (weights[:, (k + 2) % 3] <= EDGE)
        if not on.any():
            continue
        t, u = tri[on], weights[on, j][:, None]
        a, b = s.corners[t, k], s.corners[t, j]
        v, w = s.bent[t, k, 0], s.bent[t, k, 1]
        line = a * (1 + 2 * u) * (1 - u) ** 2 + v * u * (1 - u) ** 2 + b * u**2 * (3 - 2 * u) + w * u**2 * (u - 1)
        n = normal[on]
        outward = np.cross(b - a, n)
        outward /= np.maximum(np.linalg.norm(outward, axis=1), 1e-300)[:, None]
        d = p[on] - line
        d -= np.sum(d * n, axis=1)[:, None] * n
        # of a hollow boundary the chord is the outer one, and of a line beside an arc
        past = np.minimum(np.sum(d * outward, axis=1), np.sum((p[on] - a) * outward, axis=1))
        corner = (weights[on, k] <= EDGE) | (weights[on, j] <= EDGE)
        far = np.where(past > 0, np.where(corner, np.linalg.norm(d, axis=1), past), 0.0)
        out[on] = np.maximum(out[on], far)
    return out


def _bent_point(s: Surface, tri: Ints, w: Array) -> tuple[Array, Array]:
    """(points, unit normals) of the curved triangles at weights (n, 3)."""
    p, n = s.corners[tri], s.normals[tri]

    def third(i: int, j: int) -> Array:
        """Control point a third from i to j: put back into the plane of corner i."""
        lift = np.sum((p[:, j] - p[:, i]) * n[:, i], axis=1)[:, None]
        return np.asarray((2 * p[:, i] + p[:, j] - lift * n[:, i]) / 3)

    u, v, x = (w[:, k][:, None] for k in range(3))
    b = {(i, j): third(i, j) for i in range(3) for j in range(3) if i != j}
    middle = sum(b.values()) / 6
    centre = middle + (middle - p.mean(axis=1)) / 2
    at = p[:, 0] * u**3 + p[:, 1] * v**3 + p[:, 2] * x**3
    at = at + 3 * (b[0, 1] * u**2 * v + b[1, 0] * u * v**2 + b[1, 2] * v**2 * x + b[2, 1] * v * x**2)
    at = at + 3 * (b[2, 0] * x**2 * u + b[0, 2] * x * u**2) + 6 * centre * u * v * x
    normal = np.einsum("nk,nkc->nc", w, n)
    return at, normal / np.maximum(np.linalg.norm(normal, axis=1), 1e-300)[:, None]


def _nearest(p: Array, tri: Array) -> Array:
    """Weights (n, 3) of the nearest point of each triangle (n, 3, 3) to its point (n, 3) (Ericson 2005, 5.1.5)."""
    a, b, c = tri[:, 0], tri[:, 1], tri[:, 2]
    ab, ac, ap, bp, cp = b - a, c - a, p - a, p - b, p - c
    d1, d2 = _dot(ab, ap), _dot(ac, ap)
    d3, d4 = _dot(ab, bp), _dot(ac, bp)
    d5, d6 = _dot(ab, cp), _dot(ac, cp)
    va, vb, vc = d3 * d6 - d5 * d4, d5 * d2 - d1 * d6, d1 * d4 - d3 * d2
    total = va + vb + vc
    with np.errstate(divide="ignore", invalid="ignore"):
        inside = np.column_stack([va, vb, vc]) / total[:, None]
        on_ab, on_ac = d1 / (d1 - d3), d2 / (d2 - d6)
        on_bc = (d4 - d3) / ((d4 - d3) + (d5 - d6))
    zero, one = np.zeros(len(p)), np.ones(len(p))
    cases = [
        ((d1 <= 0) & (d2 <= 0), (one, zero, zero)),
        ((d3 >= 0) & (d4 <= d3), (zero, one, zero)),
        ((vc <= 0) & (d1 >= 0) & (d3 <= 0), (1 - on_ab, on_ab, zero)),
        ((d6 >= 0) & (d5 <= d6), (zero, zero, one)),
        ((vb <= 0) & (d2 >= 0) & (d6 <= 0), (1 - on_ac, zero, on_ac)),
        ((va <= 0) & (d4 - d3 >= 0) & (d5 - d6 >= 0), (zero, 1 - on_bc, on_bc)),
    ]
    out = np.where(np.isfinite(inside), inside, 1 / 3)
    done = np.zeros(len(p), bool)
    for hit, weights in cases:
        hit = hit & ~done
        out[hit] = np.column_stack(weights)[hit]
        done |= hit
    return out


def _dot(a: Array, b: Array) -> Array:
    return np.asarray(np.einsum("ij,ij->i", a, b))
