"""Whether two surfaces of triangles pass through each other, and where.

Two triangles cross when an edge of one pierces the inside of the other (Moller & Trumbore, J. Graphics Tools 2 (1997) 21-28). Pairs
whose boxes stay apart are not looked at. Surfaces that only touch do not cross.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Ints = NDArray[np.int64]
TOUCH = 1e-6  # share of a triangle or an edge that counts as its rim


def crossings(a: Array, b: Array) -> Array:
    """Points (n, 3) where edges of the triangles a (A, 3, 3) pierce those of b (B, 3, 3), or the other way round."""
    i, j = _near(a, b)
    return np.concatenate([_pierced(a[i], b[j]), _pierced(b[j], a[i])])


def _near(a: Array, b: Array) -> tuple[Ints, Ints]:
    """Pairs whose boxes meet."""
    import shapely

    low_a, high_a, low_b, high_b = a.min(axis=1), a.max(axis=1), b.min(axis=1), b.max(axis=1)
    # the two surfaces meet only where both have something
    low, high = np.maximum(low_a.min(axis=0), low_b.min(axis=0)), np.minimum(high_a.max(axis=0), high_b.max(axis=0))
    p = np.flatnonzero(np.all((low_a <= high) & (high_a >= low), axis=1))
    q = np.flatnonzero(np.all((low_b <= high) & (high_b >= low), axis=1))
    plan_a, plan_b = (shapely.box(*x[k, :2].T, *y[k, :2].T) for x, y, k in ((low_a, high_a, p), (low_b, high_b, q)))
    i, j = shapely.STRtree(plan_b).query(plan_a)
    i, j = p[i], q[j]
    meet = (low_a[i, 2] <= high_b[j, 2]) & (high_a[i, 2] >= low_b[j, 2])
    return i[meet], j[meet]


def _pierced(a: Array, b: Array) -> Array:
    """Points where an edge of a[k] goes through b[k]."""
    out = []
    u, v = b[:, 1] - b[:, 0], b[:, 2] - b[:, 0]
    for e in range(3):
        o, d = a[:, e], a[:, (e + 1) % 3] - a[:, e]
        h = np.cross(d, v)
        det = np.sum(u * h, axis=1)
        size = np.linalg.norm(u, axis=1) * np.linalg.norm(v, axis=1) * np.linalg.norm(d, axis=1)
        ok = np.abs(det) > 1e-12 * size
        det = np.where(ok, det, 1.0)
        s = o - b[:, 0]
        q = np.cross(s, u)
        x, y, t = np.sum(s * h, axis=1) / det, np.sum(d * q, axis=1) / det, np.sum(v * q, axis=1) / det
        inside = (x > TOUCH) & (y > TOUCH) & (x + y < 1 - TOUCH) & (t > TOUCH) & (t < 1 - TOUCH)
        out.append((o + t[:, None] * d)[ok & inside])
    return np.concatenate(out)
