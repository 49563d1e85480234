"""Where the slopes of every patch go in the matrix: worked out once a mesh, before any number is known.

Unknowns are numbered node by node, two to a node, in an order that keeps the factors sparse; so the matrix comes in 2 x 2 blocks
and no later factorisation has to look for an order.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ribwright.mechanics.compiled import compiled

Array = NDArray[np.float64]
Ints = NDArray[np.int64]
Mask = NDArray[np.bool_]


@dataclass(frozen=True, eq=False)
class Pattern:
    """number (N,): place of each node among the unknown ones, -1 where it is held. Of the matrix by columns: starts (2 n + 1,), rows.
    slot (P, m, m): where in its numbers the block of corner i (rows) and j (columns) begins, -1 if either is held; width (n,): from
    one column of a node to its other; own (n,): slot of each node's block with itself."""

    number: Ints
    starts: NDArray[np.int32]
    rows: NDArray[np.int32]
    slot: Ints
    width: Ints
    own: Ints

    @property
    def size(self) -> int:
        """Count of unknowns."""
        return 2 * len(self.own)

    def matrix(self, data: Array) -> Any:
        """The sparse matrix with these numbers."""
        from scipy.sparse import csc_matrix

        made = csc_matrix((data, self.rows, self.starts), shape=(self.size, self.size))
        made.has_sorted_indices = made.has_canonical_format = True
        return made


def pattern_of(corners: Ints, number: Ints) -> Pattern:
    """Pattern of patches with corners (P, m) and the nodes' numbers (N,)."""
    n = int((number >= 0).sum())
    first, row, slot, own = _blocks(corners, number, n)
    width = 2 * np.diff(first)
    starts = np.empty(2 * n + 1, np.int32)
    starts[0::2] = 4 * first
    starts[1::2] = 4 * first[:-1] + width
    rows = np.empty(4 * len(row), np.int32)
    node = np.repeat(np.arange(n), np.diff(first))
    place = 4 * first[node] + 2 * (np.arange(len(row)) - first[node])
    for beta in (0, 1):
        for alpha in (0, 1):
            rows[place + beta * width[node] + alpha] = 2 * row + alpha
    return Pattern(number, starts, rows, slot, width, own)


@compiled
def _blocks(corners: Ints, number: Ints, n: int) -> tuple[Ints, Ints, Ints, Ints]:
    """(first (n + 1,), row): neighbours of each unknown node, rising, itself among them; slot; own."""
    count, m = corners.shape
    start = np.zeros(n + 1, np.int64)
    for p in range(count):
        for i in range(m):
            a = number[corners[p, i]]
            if a >= 0:
                start[a + 1] += 1
    for a in range(n):
        start[a + 1] += start[a]
    fill, patch = start[:-1].copy(), np.empty(start[n], np.int64)
    for p in range(count):
        for i in range(m):
            a = number[corners[p, i]]
            if a >= 0:
                patch[fill[a]] = p
                fill[a] += 1
    first, row = np.zeros(n + 1, np.int64), np.empty(m * start[n], np.int64)
    seen, place, at = np.full(n, -1), np.empty(n, np.int64), 0
    slot, own = np.full((count, m, m), -1), np.empty(n, np.int64)
    for b in range(n):
        begin = at
        for q in range(start[b], start[b + 1]):
            for i in range(m):
                a = number[corners[patch[q], i]]
                if a >= 0 and seen[a] != b:
                    seen[a] = b
                    row[at] = a
                    at += 1
        row[begin:at] = np.sort(row[begin:at])
        for r in range(begin, at):
            place[row[r]] = 4 * begin + 2 * (r - begin)
        own[b] = place[b]
        for q in range(start[b], start[b + 1]):
            p = patch[q]
            for j in range(m):
                if number[corners[p, j]] == b:
                    for i in range(m):
                        a = number[corners[p, i]]
                        if a >= 0:
                            slot[p, i, j] = place[a]
        first[b + 1] = at
    return first, row[:at], slot, own


def numbered(triangles: Ints, fixed: Mask) -> Ints:
    """Number of each node (N,) among those that are not fixed, by minimum degree on the graph of nodes; -1 where fixed or in no
    triangle."""
    from scipy.sparse.linalg import splu

    free = ~fixed
    used = np.zeros(len(fixed), bool)
    used[triangles.ravel()] = True
    free &= used
    n = int(free.sum())
    number = np.full(len(fixed), -1)
    if n == 0:
        return number
    number[free] = np.arange(n)
    first, row, _, _ = _blocks(triangles, number, n)
    graph = _graph(first, row, n)
    lu = splu(graph, permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options={"SymmetricMode": True})
    number[free] = lu.perm_c
    return number


def _graph(first: Ints, row: Ints, n: int) -> Any:
    """A matrix with the graph's places that can be factorised: its Laplacian and one."""
    from scipy.sparse import csc_matrix

    column = np.repeat(np.arange(n), np.diff(first))
    values = np.where(row == column, np.diff(first)[column] + 1.0, -1.0)
    return csc_matrix((values, row.astype(np.int32), first.astype(np.int32)), shape=(n, n))
