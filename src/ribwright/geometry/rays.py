"""Where rays hit triangles."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Ints = NDArray[np.int64]


def first_hits(starts: Array, ways: Array, corners: Array, least: float, most: float) -> tuple[Array, Ints]:
    """(distance (n,), number of the triangle (n,)) of the first triangle that each ray hits between `least` and `most` from its start.

    `starts`, `ways` (n, 3), ways of unit length; `corners` (m, 3, 3). No hit: inf, -1. Moller and Trumbore (1997): with edges e1, e2
    from a corner a, p = d x e2, det = e1 p, u = (o - a) p/det, q = (o - a) x e1, v = d q/det, distance e2 q/det.
    """
    far, which = np.full(len(starts), np.inf), np.full(len(starts), -1, dtype=np.int64)
    low, high = corners.min(axis=1), corners.max(axis=1)
    for k, (o, d) in enumerate(zip(starts, ways, strict=True)):
        tip = o + most * d
        near = np.flatnonzero(np.all((low <= np.maximum(o, tip) + 1e-6) & (high >= np.minimum(o, tip) - 1e-6), axis=1))
        if not len(near):
            continue
        a = corners[near, 0]
        e1, e2 = corners[near, 1] - a, corners[near, 2] - a
        p = np.cross(d, e2)
        det = np.sum(e1 * p, axis=1)
        fine = np.abs(det) > 1e-14
        inverse = np.where(fine, 1 / np.where(fine, det, 1.0), 0.0)
        s = o - a
        u = np.sum(s * p, axis=1) * inverse
        q = np.cross(s, e1)
        v = q @ d * inverse
        t = np.sum(e2 * q, axis=1) * inverse
        hit = fine & (u >= -1e-9) & (v >= -1e-9) & (u + v <= 1 + 1e-9) & (t > least) & (t <= most)
        if hit.any():
            t = np.where(hit, t, np.inf)
            best = int(np.argmin(t))
            far[k], which[k] = t[best], near[best]
    return far, which
