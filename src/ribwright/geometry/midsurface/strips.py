"""A run of flange as a grid of nodes, rows along it and columns square to it, and its cells cut into triangles.

Cells take their diagonals by turns in both directions, so that a straight strip has no leaning; the count of columns of each
edge is even, so that the mirrored strip is cut the same way.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ribwright.geometry.midsurface.nodes import Nodes
from ribwright.geometry.midsurface.side import Side, placed
from ribwright.geometry.midsurface.values import BEND, FLANGE

Array = NDArray[np.float64]
Ints = NDArray[np.int64]
Ends = Callable[[Array], Array]


@dataclass(frozen=True, eq=False)
class Stretch:
    """One edge of a run: where its columns stand on the drawn line, s (m + 1,) from start to end."""

    side: Side
    s: Array


@dataclass(eq=False)
class Strip:
    """The grid of a run: `ids` (rows + 1, columns), the first column not repeated when `closed`; `s` of each node; `stretch_of`
    a cell's column; `opens` the least of 1 + kappa (x - d) and where in the flat it is."""

    stretches: tuple[Stretch, ...]
    ids: Ints
    s: Array
    stretch_of: Ints
    closed: bool
    opens: float
    worst: tuple[float, float]

    @property
    def first(self) -> Side:
        """The side at its start."""
        return self.stretches[0].side

    @property
    def last(self) -> Side:
        """The side at its end."""
        return self.stretches[-1].side

    @property
    def columns(self) -> int:
        """Cells along the run."""
        return len(self.stretch_of)


def make_strip(
    nodes: Nodes, stretches: tuple[Stretch, ...], closed: bool, start: Ends | None = None, end: Ends | None = None
) -> Strip:
    """The grid of a run. `start`, `end`: by how much the strip reaches beyond its first and last column at the nodes of that
    column, s (rows + 1,), where it is not cut square. Where two edges meet, the shared column stands in the middle between
    what either says."""
    parts = [_part(nodes, x, start if i == 0 else None, end if i == len(stretches) - 1 else None)
             for i, x in enumerate(stretches)]  # fmt: skip
    grids, ses = [p[0] for p in parts], [p[1] for p in parts]
    for i in range(0 if closed else 1, len(grids)):
        nodes.mean(grids[i - 1][:, -1], grids[i][:, 0])
        grids[i] = np.column_stack([grids[i - 1][:, -1], grids[i][:, 1:]])
    keep = [g[:, :-1] for g in grids] + ([] if closed else [grids[-1][:, -1:]])
    worst = min((p[2] for p in parts), key=lambda w: w[0])
    return Strip(
        stretches,
        np.concatenate(keep, axis=1),
        np.concatenate([x[:, :-1] for x in ses] + ([] if closed else [ses[-1][:, -1:]]), axis=1),
        np.repeat(np.arange(len(grids)), [g.shape[1] - 1 for g in grids]),
        closed,
        *worst,
    )


def _part(
    nodes: Nodes, x: Stretch, start: Ends | None, end: Ends | None
) -> tuple[Ints, Array, tuple[float, tuple[float, float]]]:
    side, n, rows = x.side, len(x.s), np.arange(x.side.rows + 1.0)
    s = np.tile(x.s, (len(rows), 1))
    for ends, column in ((start, 0), (end, n - 1)):
        if ends is None:
            continue
        shift = ends(rows)
        # the columns near a slanting end give way, so that none is overtaken
        gap = np.abs(x.s - x.s[column])
        reach = max(2 * float(np.max(np.abs(shift))), float(np.sort(gap)[1]))
        s = s + shift[:, None] * np.maximum(1 - gap / reach, 0.0)
    q = np.repeat(rows, n)
    at = placed(side, s.ravel(), q)
    i = int(np.argmin(np.where(np.isnan(at.opens), -1.0, at.opens)))
    worst = float(at.opens[i]), (float(at.formed[i, 0]), float(at.formed[i, 1]))
    return nodes.on_side(side, at, q).reshape(len(rows), n), s, worst


def cells(strip: Strip) -> tuple[Ints, Ints, Ints]:
    """Corners of every cell (rows, columns, 4), counter-clockwise in the flat from the inner corner at its start; and of each cell
    the part (rows,) and the place (columns,) it belongs to."""
    ids = np.column_stack([strip.ids, strip.ids[:, :1]]) if strip.closed else strip.ids
    corners = np.stack([ids[:-1, :-1], ids[1:, :-1], ids[1:, 1:], ids[:-1, 1:]], axis=-1)
    side = strip.first
    part = np.where(np.arange(side.rows) < side.bend, BEND, FLANGE)
    place = np.array([x.side.place for x in strip.stretches])[strip.stretch_of]
    return corners, part, place


def cut_cells(strip: Strip, kept: NDArray[np.bool_]) -> tuple[Ints, Ints, Ints]:
    """Triangles (n, 3), their part and place, of the cells kept (rows, columns)."""
    corners, part, place = cells(strip)
    j, i = np.nonzero(kept)
    c = corners[j, i]
    turned = (i + j) % 2 == 1
    one = np.where(turned[:, None], c[:, [0, 1, 3]], c[:, [0, 1, 2]])
    two = np.where(turned[:, None], c[:, [1, 2, 3]], c[:, [0, 2, 3]])
    return np.concatenate([one, two]), np.tile(part[j], 2), np.tile(place[i], 2)
