"""Triangles seen from one side as a picture of cells, and regions of cells as simple polygons: what a page can fill.

Cells are squares of side `cell`, cell (row, column) covers y = row..row + 1 and x = column..column + 1 times `cell`; a cell shows what
is at its middle. Pure geometry: nothing is known of what the values mean.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Ints = NDArray[np.int64]
Mask = NDArray[np.bool_]
AT_ONCE = 2_000_000  # cells looked at in one go: memory


@dataclass(frozen=True, eq=False)
class Seen:
    """values (rows, columns): what the nearest triangle has at each cell's middle, NaN where there is none; height: its height towards the
    viewer, -inf where there is none; cell [mm]."""

    values: Array
    height: Array
    cell: float


def seen(corners: Array, height: Array, values: Array, rows: int, columns: int, cell: float) -> Seen:
    """Triangles with corners (T, 3, 2) [mm, from the picture's lower left], height (T, 3) towards the viewer and values (T, 3), linear in
    between. Of triangles over each other the highest shows."""
    image, top = np.full(rows * columns, np.nan), np.full(rows * columns, -np.inf)
    low = np.floor(corners.min(axis=1) / cell - 0.5).astype(np.int64) + 1
    high = np.floor(corners.max(axis=1) / cell - 0.5).astype(np.int64)
    low, high = np.maximum(low, 0), np.minimum(high, np.array([columns - 1, rows - 1]))
    span = (high - low).max(axis=1) + 1
    there = np.flatnonzero((high >= low).all(axis=1))
    # triangles of about one size together: each is asked about a square of cells that holds it
    side = 2 ** np.ceil(np.log2(np.maximum(span[there], 1))).astype(np.int64)
    for s in np.unique(side):
        mine = there[side == s]
        for part in np.array_split(mine, max(1, int(np.ceil(len(mine) * s * s / AT_ONCE)))):
            _put(part, int(s), corners, height, values, low, high, columns, cell, image, top)
    return Seen(image.reshape(rows, columns), top.reshape(rows, columns), cell)


def _put(
    part: Ints, side: int, corners: Array, height: Array, values: Array, low: Ints, high: Ints, columns: int, cell: float,
    image: Array, top: Array,
) -> None:  # fmt: skip
    """The cells of some triangles put where they are higher than what is there."""
    j, i = (a.ravel() for a in np.meshgrid(np.arange(side), np.arange(side)))
    col, row = low[part, :1] + j, low[part, 1:] + i
    x, y = (col + 0.5) * cell, (row + 0.5) * cell
    a, b, c = (corners[part, k][:, None, :] for k in range(3))
    whole = _cross(b - a, c - a)[:, 0]
    p = np.stack([x, y], axis=-1)
    flat = np.where(whole == 0.0, np.inf, whole)[:, None]  # seen on edge: shares of nought
    second, third = _cross(p - a, c - a) / flat, _cross(b - a, p - a) / flat
    inside = (second >= 0.0) & (third >= 0.0) & (second + third <= 1.0) & (whole != 0.0)[:, None]
    inside &= (col <= high[part, :1]) & (row <= high[part, 1:])
    t, q = np.nonzero(inside)
    share = np.stack([1.0 - second[t, q] - third[t, q], second[t, q], third[t, q]], axis=1)
    at = row[t, q] * columns + col[t, q]
    z, v = np.sum(share * height[part[t]], axis=1), np.sum(share * values[part[t]], axis=1)
    order = np.lexsort((z, at))
    last = np.flatnonzero(np.append(np.diff(at[order]) != 0, True))[: len(order)]
    best = order[last]
    higher = best[z[best] > top[at[best]]]
    image[at[higher]], top[at[higher]] = v[higher], z[higher]


def _cross(a: Array, b: Array) -> Array:
    return np.asarray(a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0])


def pieces(mask: Mask, cell: float, off: float = 0.0) -> list[Array]:
    """Closed polygons (m, 2) [mm] without holes that cover the cells of a mask and nothing else.

    Runs of cells that follow each other from row to row one by one make a piece; where they part or meet another begins. `off`: how far
    a side may be from the cells' corners, in cells; then neighbours reach that far into each other so that no gap shows."""
    done: list[list[tuple[int, int, int]]] = []
    open_: list[list[tuple[int, int, int]]] = []
    for row in range(len(mask) + 1):
        runs = _runs(mask[row]) if row < len(mask) else []
        meets = [[k for k, run in enumerate(runs) if run[0] < p[-1][2] and run[1] > p[-1][1]] for p in open_]
        taken = [sum(k in m for m in meets) for k in range(len(runs))]
        going = []
        for p, m in zip(open_, meets, strict=True):
            if len(m) == 1 and taken[m[0]] == 1:
                p.append((row, *runs[m[0]]))
                going.append(p)
                runs[m[0]] = (0, 0)
            else:
                done.append(p)
        open_ = going + [[(row, *run)] for run in runs if run != (0, 0)]
    return [_outline(np.array(p), off) * cell for p in done]


def _runs(row: Mask) -> list[tuple[int, int]]:
    """(first, past the last) column of each run of a row."""
    change = np.flatnonzero(np.diff(np.concatenate([[False], row, [False]]).astype(np.int8)))
    return [(int(a), int(b)) for a, b in change.reshape(-1, 2)]


def _outline(p: Ints, off: float) -> Array:
    """Round a piece of (row, first, past) counter-clockwise."""
    row = np.repeat(p[:, 0], 2) + np.tile([0, 1], len(p))
    y = row.astype(np.float64)
    y[0], y[-1] = y[0] - off / 2.0, y[-1] + off / 2.0
    right = _thinned(np.column_stack([np.repeat(p[:, 2], 2), y]), off)
    left = _thinned(np.column_stack([np.repeat(p[:, 1], 2), y]), off)
    return np.concatenate([right, left[::-1]])


def _thinned(line: Array, off: float) -> Array:
    """A line with no more corners than it needs to stay within `off` (Ramer 1972, Douglas and Peucker 1973)."""
    keep = np.zeros(len(line), bool)
    keep[[0, -1]] = True
    todo = [(0, len(line) - 1)]
    while todo:
        a, b = todo.pop()
        if b - a < 2:
            continue
        d = line[b] - line[a]
        between = line[a + 1 : b] - line[a]
        away = np.abs(_cross(d, between)) / max(float(np.hypot(*d)), 1e-12)
        k = int(np.argmax(away))
        if away[k] > off:
            keep[a + 1 + k] = True
            todo += [(a, a + 1 + k), (a + 1 + k, b)]
    return line[keep]
