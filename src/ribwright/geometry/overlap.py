"""Lines and arcs that lie on one another for a part of their length."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ribwright.geometry.near import groups

Array = NDArray[np.float64]
Pair = tuple[float, float]
MOST = 1500  # lines looked at pair by pair


@dataclass(frozen=True)
class United:
    """Lines that overlap and run on in one another: their indices, the one line they make, and the length drawn twice [mm]."""

    lines: tuple[int, ...]
    start: Pair
    end: Pair
    twice: float


def united_lines(ends: Array, tolerance: float) -> tuple[United, ...]:
    """Groups of lines with `ends` (n, 2, 2) that overlap by more than `tolerance` [mm], seen along them, and lie within it of one
    another across. Lines that only meet end to end are no group. More than MOST lines are not looked at."""
    n = len(ends)
    if not 2 <= n <= MOST:
        return ()
    run = ends[:, 1] - ends[:, 0]
    length = np.hypot(*run.T)
    u = run / np.maximum(length, 1e-300)[:, None]
    normal = np.column_stack([-u[:, 1], u[:, 0]])
    # [i, j]: the ends of line j seen from line i, along and across
    along = np.einsum("ijek,ik->ije", ends[None] - ends[:, None, :1], u)
    across = np.einsum("ijek,ik->ije", ends[None] - ends[:, None, :1], normal)
    shared = np.minimum(along.max(axis=2), length[:, None]) - np.maximum(along.min(axis=2), 0.0)
    on = (np.abs(across).max(axis=2) <= tolerance) & (shared > tolerance)
    on = on & on.T & ~np.eye(n, dtype=bool)
    group = groups(n, np.argwhere(on))
    out = []
    for g in range(int(group.max()) + 1):
        these = np.flatnonzero(group == g)
        if len(these) > 1:
            out.append(_one(these, ends, length, u))
    return tuple(out)


def _one(these: NDArray[np.int64], ends: Array, length: Array, u: Array) -> United:
    """The line from the first to the last end along the longest of them."""
    main = these[int(np.argmax(length[these]))]
    points = ends[these].reshape(-1, 2)
    along = (points - ends[main, 0]) @ u[main]
    first, last = points[int(np.argmin(along))], points[int(np.argmax(along))]
    twice = float(length[these].sum() - (along.max() - along.min()))
    return United(
        tuple(int(i) for i in these), (float(first[0]), float(first[1])), (float(last[0]), float(last[1])), twice
    )


def arcs_on_arcs(
    centres: Array, radii: Array, starts: Array, sweeps: Array, tolerance: float
) -> list[tuple[int, int, float]]:
    """(i, j, length drawn twice [mm]) of arcs of one circle, within `tolerance` [mm], that share more than that of it. `starts`,
    `sweeps` [rad], a sweep positive to the left. More than MOST arcs are not looked at."""
    n = len(radii)
    if not 2 <= n <= MOST:
        return []
    apart = np.hypot(*(centres[None] - centres[:, None]).transpose(2, 0, 1)) + np.abs(radii[None] - radii[:, None])
    low = np.where(sweeps > 0, starts, starts + sweeps)
    out = []
    for i, j in np.argwhere(np.triu(apart <= tolerance, 1)).tolist():
        # arc j from arc i's low end on, counter-clockwise; it may come round and meet it twice
        begin = (low[j] - low[i]) % (2 * np.pi)
        width_i, width_j = abs(sweeps[i]), abs(sweeps[j])
        shared = max(0.0, min(width_i, begin + width_j) - begin) + max(0.0, min(width_i, begin + width_j - 2 * np.pi))
        if shared * radii[i] > tolerance:
            out.append((i, j, float(shared * radii[i])))
    return out
