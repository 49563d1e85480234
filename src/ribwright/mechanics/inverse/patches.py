"""The pieces over which strain is taken as constant: plain triangles, or the two triangles at each edge taken together.

Plain triangles are too stiff across a curved flange: of two that share an edge one has its base on the outer circle, the other on the
inner one, and their strains differ by the sag of a chord. Taking a third of each and averaging G over the edge between them gives
strains that are good to the second order on any diagonals.

    G_edge = (A_a G_a + A_b G_b)/(A_a + A_b),   area (A_a + A_b)/3,   both first turned into the plane between the two

Liu, Nguyen-Thoi & Lam, J. Sound Vib. 320 (2009) 1100 (edge-based smoothed finite elements). At a boundary: the one triangle.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ribwright.mechanics.compiled import compiled
from ribwright.mechanics.inverse.frames import cross, dot, node_axes, roll, triangle_frames, turns

Array = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class Patches:
    """corners (P, m) nodes; gradients (P, m, 2) [1/mm] and area (P,) [mm^2], with the allowance; turn (P, m, 2, 2) into the tangent
    planes of the corners; axes (P, 3, 3) of the patch in space, the last its normal."""

    corners: Ints
    gradients: Array
    area: Array
    turn: Array
    axes: Array


@dataclass(frozen=True, eq=False)
class Edges:
    """Edges of a mesh: ends (E, 2) nodes, sides (E, 2) triangles, -1 where there is none; of (T, 3) the edges of each triangle, the
    one opposite to its corner."""

    ends: Ints
    sides: Ints
    of: Ints


def edges_of(triangles: Ints) -> Edges:
    """Edges of triangles (T, 3); no edge belongs to more than two."""
    count = len(triangles)
    ends = np.concatenate([triangles[:, [1, 2]], triangles[:, [2, 0]], triangles[:, [0, 1]]])
    ends.sort(axis=1)
    owner = np.tile(np.arange(count), 3)
    order = np.lexsort((ends[:, 1], ends[:, 0]))
    ordered = ends[order]
    new = np.append(True, np.any(ordered[1:] != ordered[:-1], axis=1))[: len(order)]
    number = np.empty(len(order), np.int64)
    number[order] = np.cumsum(new) - 1
    first = np.flatnonzero(new)
    sides = np.full((len(first), 2), -1)
    sides[:, 0] = owner[order[first]]
    second = np.flatnonzero(~new)
    sides[number[order[second]], 1] = owner[order[second]]
    return Edges(ordered[first], sides, number.reshape(3, count).T.copy())


def triangle_patches(nodes: Array, normals: Array, triangles: Ints, along: Array, allowance: Array) -> Patches:
    """Each triangle by itself; what the arrays are: `frames`."""
    axes, gradients, area = triangle_frames(nodes, triangles, along, allowance)
    return Patches(triangles, gradients, area, turns(axes, triangles, normals, node_axes(normals)), axes)


def edge_patches(nodes: Array, normals: Array, plain: Patches, edges: Edges) -> Patches:
    """The triangles at each edge taken together."""
    corners, gradients, area, axes = _joined(nodes, plain.corners, plain.axes, plain.gradients, plain.area, edges)
    return Patches(corners, gradients, area, turns(axes, corners, normals, node_axes(normals)), axes)


def _joined(
    nodes: Array, triangles: Ints, axes: Array, gradients: Array, area: Array, edges: Edges
) -> tuple[Ints, Array, Array, Array]:
    return _join(nodes, triangles, axes, gradients, area, edges.ends, edges.sides)


@compiled
def _join(
    nodes: Array, triangles: Ints, axes: Array, gradients: Array, area: Array, ends: Ints, sides: Ints
) -> tuple[Ints, Array, Array, Array]:
    count = len(ends)
    corners, grad = np.empty((count, 4), np.int64), np.zeros((count, 4, 2))
    size, out = np.zeros(count), np.empty((count, 3, 3))
    n, e1, v, w, turned = np.empty(3), np.empty(3), np.empty(3), np.empty(3), np.empty(3)
    for k in range(count):
        corners[k, 0], corners[k, 1] = ends[k, 0], ends[k, 1]
        for d in range(3):
            n[d] = 0.0
        for side in range(2):
            t = sides[k, side]
            if t < 0:
                corners[k, 3] = corners[k, 2]
                continue
            size[k] += area[t] / 3.0
            for d in range(3):
                n[d] += area[t] * axes[t, 2, d]
            for i in range(3):
                if triangles[t, i] != ends[k, 0] and triangles[t, i] != ends[k, 1]:
                    corners[k, 2 + side] = triangles[t, i]
        length = np.sqrt(dot(n, n))
        for d in range(3):
            n[d] /= length
            e1[d] = nodes[ends[k, 1], d] - nodes[ends[k, 0], d]
        lift = dot(e1, n)
        for d in range(3):
            e1[d] -= lift * n[d]
        length = np.sqrt(dot(e1, e1))
        for d in range(3):
            out[k, 0, d], out[k, 2, d] = e1[d] / length, n[d]
        cross(out[k, 2], out[k, 0], out[k, 1])
        for side in range(2):
            t = sides[k, side]
            if t < 0:
                continue
            share = area[t] / 3.0 / size[k]
            for i in range(3):
                node = triangles[t, i]
                at = 0 if node == ends[k, 0] else (1 if node == ends[k, 1] else 2 + side)
                for d in range(3):
                    v[d] = share * (gradients[t, i, 0] * axes[t, 0, d] + gradients[t, i, 1] * axes[t, 1, d])
                roll(axes[t, 2], n, v, w, turned)
                grad[k, at, 0] += dot(turned, out[k, 0])
                grad[k, at, 1] += dot(turned, out[k, 1])
    return corners, grad, size, out
