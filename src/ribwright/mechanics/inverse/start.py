"""A better start: flat places whose triangles are, all together, as little strained as they can be, each turned as it likes.

    least of sum A |G - Q|^2 over places X and turns Q of the triangles, in turn: Q from G, then X from a linear system that stays the same

Sorkine & Alexa, Symp. Geometry Processing (2007) 109 (as rigid as possible); Liu et al., Computer Graphics Forum 27 (2008) 1495
(in the plane). It knows no material, turns back triangles that are turned over, and lets free ends lean.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ribwright.mechanics.compiled import compiled
from ribwright.mechanics.inverse.patches import Patches

Array = NDArray[np.float64]
Ints = NDArray[np.int64]
TURNS = 15


def relaxed(x: Array, plain: Patches, number: Ints, turns: int = TURNS) -> Array:
    """Flat places (N, 2) [mm] after `turns` rounds from x; nodes with number -1 stand. x itself where nothing is held and no
    system can be solved."""
    from scipy.sparse import coo_matrix
    from scipy.sparse.linalg import splu

    free = number >= 0
    n = int(free.sum())
    i, j = np.broadcast_arrays(plain.corners[:, :, None], plain.corners[:, None, :])
    values = plain.area[:, None, None] * np.einsum("tia,tja->tij", plain.gradients, plain.gradients)
    whole = coo_matrix((values.ravel(), (i.ravel(), j.ravel())), shape=(len(x), len(x))).tocsr()
    order = np.empty(n, np.int64)
    order[number[free]] = np.flatnonzero(free)
    inner, outer = whole[order][:, order].tocsc(), whole[order][:, ~free]
    if n == 0 or n == len(x):
        return x
    try:
        lu = splu(inner, permc_spec="NATURAL", diag_pivot_thresh=0.0, options={"SymmetricMode": True, "Equil": False})
    except RuntimeError:
        return x
    out, known = x.copy(), outer @ x[~free]
    for _ in range(turns):
        pull = _pull(out, plain.corners, plain.gradients, plain.area)
        out[order] = lu.solve(pull[order] - known)
    return out


@compiled
def _pull(x: Array, corners: Ints, gradients: Array, area: Array) -> Array:
    """sum A Q grad N_i at every node."""
    out = np.zeros_like(x)
    for t in range(len(corners)):
        a, b = 0.0, 0.0
        for i in range(3):
            node = corners[t, i]
            p, q = gradients[t, i, 0], gradients[t, i, 1]
            a += x[node, 0] * p + x[node, 1] * q
            b += x[node, 1] * p - x[node, 0] * q
        r = np.sqrt(a * a + b * b)
        c, s = (a / r, b / r) if r > 0.0 else (1.0, 0.0)
        for i in range(3):
            node = corners[t, i]
            p, q = gradients[t, i, 0], gradients[t, i, 1]
            out[node, 0] += area[t] * (c * p - s * q)
            out[node, 1] += area[t] * (s * p + c * q)
    return out
