"""What the formed shape alone says of a triangle, and how forces turn into the nodes' tangent planes, compiled.

Coordinates of a triangle lie in its own plane, e1 along the meridian where one is given. On a bend the chord is shorter than the
arc, and the neutral line is not the middle one, so the component along e1 counts `allowance` times:

    chord 2 Rm sin(dphi/2)  ->  (R + Kf t) dphi

Forces are turned by the least rotation that takes the plane's normal n into the node's m. Dropping the component along m instead
would lose a cosine where a bend ends.

    v -> c v + w x v + w (w . v)/(1 + c),   c = n . m,   w = n x m
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ribwright.mechanics.compiled import compiled

Array = NDArray[np.float64]
Ints = NDArray[np.int64]
UPSIDE_DOWN = -0.999  # of a normal's z: from here on the least rotation from +z says nothing of the plane
LEAST = 1e-6  # of a meridian's component in the plane: less is no direction


@compiled
def cross(a: Array, b: Array, out: Array) -> None:
    """out = a x b."""
    out[0] = a[1] * b[2] - a[2] * b[1]
    out[1] = a[2] * b[0] - a[0] * b[2]
    out[2] = a[0] * b[1] - a[1] * b[0]


@compiled
def dot(a: Array, b: Array) -> float:
    """a . b of two vectors in space."""
    return float(a[0] * b[0] + a[1] * b[1] + a[2] * b[2])


@compiled
def roll(n: Array, m: Array, v: Array, w: Array, out: Array) -> None:
    """out = v turned by the least rotation that takes n into m; w: room for the axis."""
    c = dot(n, m)
    cross(n, m, w)
    cross(w, v, out)
    along = dot(w, v) / (1.0 + c)
    for d in range(3):
        out[d] += c * v[d] + along * w[d]


@compiled
def triangle_frames(nodes: Array, triangles: Ints, along: Array, allowance: Array) -> tuple[Array, Array, Array]:
    """(axes (T, 3, 3): e1, e2 and normal; gradients (T, 3, 2) of the corners' hat functions [1/mm]; area (T,) [mm^2]).

    nodes (N, 3) [mm], meridian along (T, 3), zero where there is none, and its factor allowance (T,). Area 0 or not finite:
    no triangle.
    """
    count = len(triangles)
    axes, gradients, area = np.empty((count, 3, 3)), np.empty((count, 3, 2)), np.empty(count)
    a, b, n, e1, e2 = np.empty(3), np.empty(3), np.empty(3), np.empty(3), np.empty(3)
    for t in range(count):
        i, j, k = triangles[t, 0], triangles[t, 1], triangles[t, 2]
        for d in range(3):
            a[d], b[d] = nodes[j, d] - nodes[i, d], nodes[k, d] - nodes[i, d]
        cross(a, b, n)
        size = np.sqrt(dot(n, n))
        for d in range(3):
            n[d] /= size
        lift = dot(along[t], n)
        for d in range(3):
            e1[d] = along[t, d] - lift * n[d]
        size = np.sqrt(dot(e1, e1))
        if size < LEAST:
            size = np.sqrt(dot(a, a))
            for d in range(3):
                e1[d] = a[d]
        for d in range(3):
            e1[d] /= size
        cross(n, e1, e2)
        ax, ay, bx, by = allowance[t] * dot(a, e1), dot(a, e2), allowance[t] * dot(b, e1), dot(b, e2)
        twice = ax * by - ay * bx
        area[t] = twice / 2.0
        gradients[t, 1, 0], gradients[t, 1, 1] = by / twice, -bx / twice
        gradients[t, 2, 0], gradients[t, 2, 1] = -ay / twice, ax / twice
        for d in range(2):
            gradients[t, 0, d] = -gradients[t, 1, d] - gradients[t, 2, d]
        for d in range(3):
            axes[t, 0, d], axes[t, 1, d], axes[t, 2, d] = e1[d], e2[d], n[d]
    return axes, gradients, area


@compiled
def node_axes(normals: Array) -> Array:
    """Two axes (N, 2, 3) in the tangent plane of each node: x and y, rolled up with the sheet by the least rotation from +z."""
    out = np.zeros((len(normals), 2, 3))
    up, x, y, w = np.array([0.0, 0.0, 1.0]), np.array([1.0, 0.0, 0.0]), np.array([0.0, 1.0, 0.0]), np.empty(3)
    for i in range(len(normals)):
        if normals[i, 2] < UPSIDE_DOWN:
            out[i, 0, 0], out[i, 1, 1] = 1.0, -1.0
        else:
            roll(up, normals[i], x, w, out[i, 0])
            roll(up, normals[i], y, w, out[i, 1])
    return out


@compiled
def turns(axes: Array, corners: Ints, normals: Array, planes: Array) -> Array:
    """(P, m, 2, 2): forces in the plane of each patch, axes (P, 3, 3), into the tangent plane of each of its corners (P, m)."""
    count, m = corners.shape
    out = np.empty((count, m, 2, 2))
    w, v = np.empty(3), np.empty(3)
    for p in range(count):
        for i in range(m):
            node = corners[p, i]
            for j in range(2):
                roll(axes[p, 2], normals[node], axes[p, j], w, v)
                out[p, i, 0, j], out[p, i, 1, j] = dot(planes[node, 0], v), dot(planes[node, 1], v)
    return out
