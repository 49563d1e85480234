"""A smooth line through the nodes of a mesh's boundary, with points close enough for true lines and arcs to be fitted."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
BETWEEN = 6  # pieces of each chord: a circle of 24 nodes then has chords within 1e-4 of its radius


def through(p: Array) -> Array:
    """Points on the cubic spline over chord length through nodes (m, 2), nodes included; a line whose last node is its first is
    closed. Two nodes: as they are."""
    from scipy.interpolate import CubicSpline

    chord = np.hypot(*np.diff(p, axis=0).T)
    if len(p) < 3 or not (chord > 0.0).all():
        return p
    s = np.concatenate([[0.0], np.cumsum(chord)])
    closed = len(p) > 3 and bool((p[0] == p[-1]).all())
    spline = CubicSpline(s, p, bc_type="periodic" if closed else "not-a-knot")
    at = np.append((s[:-1, None] + chord[:, None] * np.arange(BETWEEN) / BETWEEN).ravel(), s[-1])
    out = np.asarray(spline(at))
    out[::BETWEEN] = p
    return out
