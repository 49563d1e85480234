"""The nodes of a mesh as they are gathered, in the flat where all meshing is done and formed."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ribwright.geometry.midsurface.side import Placed, Side

Array = NDArray[np.float64]
Ints = NDArray[np.int64]
_COLUMNS = {
    "flat": 2,
    "formed": 3,
    "normal": 3,
    "out": 2,
    "row": 1,
    "angle": 1,
    "bent": 1,
    "mid": 1,
    "neutral": 1,
    "up": 1,
}


class Nodes:
    """Grows while the mesh is built. `row` counts rows of its flange, 0 on the web and its tangent line, `bent` the share of the
    bend turned there (0 to 1); `out`, `angle`, `mid`, `neutral`, `up` are its side's."""

    def __init__(self) -> None:
        self._parts: list[Array] = []
        self._all = np.zeros((0, sum(_COLUMNS.values())))
        self._count = 0
        self._same: list[tuple[int, int]] = []

    def __len__(self) -> int:
        return self._count

    def _add(self, *columns: Array) -> Ints:
        rows = np.column_stack(columns)
        self._parts.append(rows)
        first, self._count = self._count, self._count + len(rows)
        return np.arange(first, self._count)

    def on_web(self, flat: Array) -> Ints:
        """Numbers of new nodes of the flat web at (n, 2)."""
        n = len(flat)
        up, rest = np.tile([0.0, 0.0, 1.0], (n, 1)), np.zeros((n, 8))
        return self._add(flat, np.column_stack([flat, np.zeros(n)]), up, rest)

    def on_side(self, side: Side, at: Placed, q: Array) -> Ints:
        """Numbers of new nodes of a flange."""
        n = len(q)
        row, bent = np.maximum(q, 0.0), np.clip(q / side.bend, 0.0, 1.0)
        own = np.tile([side.mid_radius, side.neutral_radius, side.up], (n, 1))
        return self._add(at.flat, at.formed, at.normal, at.out, row, at.angle, bent, own)

    def _table(self) -> Array:
        if self._parts:
            self._all = np.concatenate([self._all, *self._parts])
            self._parts = []
        return self._all

    def get(self, name: str) -> Array:
        """One column of all nodes so far, (N, k) or (N,)."""
        start = 0
        for key, width in _COLUMNS.items():
            if key == name:
                column = self._table()[:, start : start + width]
                return column if width > 1 else column[:, 0]
            start += width
        raise KeyError(name)

    def mean(self, keep: Ints, other: Ints) -> None:
        """Let the nodes `keep` stand in the middle between themselves and `other`."""
        table = self._table()
        table[keep] = (table[keep] + table[other]) / 2
        for columns in (slice(5, 8), slice(8, 10)):
            size = np.linalg.norm(table[keep][:, columns], axis=1, keepdims=True)
            table[keep, columns] = table[keep][:, columns] / np.where(size > 0, size, 1.0)

    def move_flat(self, ids: Ints, flat: Array) -> None:
        """Set the place of nodes in the flat."""
        self._table()[ids, :2] = flat

    def unite(self, keep: int, drop: int) -> None:
        """Two nodes at one place are one."""
        if keep != drop:
            self._same.append((keep, drop))

    @property
    def united(self) -> Ints:
        """The number each node goes by (N,)."""
        name = np.arange(self._count)
        for keep, drop in self._same:
            a, b = name[keep], name[drop]
            name[name == b] = a
        return name
