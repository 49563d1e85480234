"""A slot, or a round hole, through measured points of its wall or of the sheet left round it.

distance to the slot's outline   d = |p - c - clip((p - c) . a, +- L/2) a| - r     a its long axis, L the length between its ends'
                                 middles, r half its width; L = 0: a circle
c and r by least squares of d (Gauss-Newton), strays left out; cov = sd^2 (J^T J)^-1, sd from the residuals or as given
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
STEPS, STRAY = 12, 3.5


@dataclass(frozen=True, eq=False)
class FittedSlot:
    """Middle (2,) and half the width [mm]; `cov` (3, 3) of both; `sd` of one point, `points` kept."""

    centre: Array
    radius: float
    cov: Array
    sd: float
    points: int


def slot_distance(points: Array, centre: Array, radius: float, axis: Array, length: float) -> tuple[Array, Array]:
    """(d (n,), unit direction (n, 2) in which it grows) of points (n, 2)."""
    p = points - centre
    along = np.clip(p @ axis, -length / 2, length / 2)
    off = p - along[:, None] * axis
    far = np.hypot(off[:, 0], off[:, 1])
    return far - radius, off / np.maximum(far, 1e-12)[:, None]


def fit_slot(
    points: Array, centre: Array, radius: float, axis: Array, length: float = 0.0, sd: float | None = None
) -> FittedSlot | None:
    """The slot of known `axis` (2,) and `length` [mm] near a first guess. None where fewer than five points stay or they leave it free."""
    x, keep = np.array([*centre, radius]), np.ones(len(points), bool)
    for _ in range(STEPS):
        d, way = slot_distance(points, x[:2], x[2], axis, length)
        middle = float(np.median(d[keep])) if keep.any() else 0.0
        scale = 1.4826 * float(np.median(np.abs(d[keep] - middle))) if keep.any() else 0.0
        keep = np.abs(d - middle) <= STRAY * max(scale, sd or 0.0, 1e-9)
        if keep.sum() < 5:
            return None
        jac = np.column_stack([-way[keep], -np.ones(int(keep.sum()))])
        if np.linalg.matrix_rank(jac, tol=1e-6 * np.sqrt(len(jac))) < 3:
            return None
        step = np.linalg.lstsq(jac, -d[keep], rcond=None)[0]
        x = x + step
        if np.abs(step).max() < 1e-10:
            break
    d, way = slot_distance(points[keep], x[:2], x[2], axis, length)
    free = len(d) - 3
    own = float(np.sqrt(np.sum(d**2) / free))
    one = max(own, sd or 0.0)
    jac = np.column_stack([-way, -np.ones(len(d))])
    return FittedSlot(x[:2], float(x[2]), one * one * np.linalg.inv(jac.T @ jac), one, len(d))
