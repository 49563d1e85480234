"""A run of flange as one line: places along its edges as typed, counted on from the run's first edge in the order typed.

Counting as typed gives a part the same numbers whichever way its loop is travelled, mirrored or turned.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ribwright.features.laid import LaidLoop, Run

Array = NDArray[np.float64]


@dataclass(frozen=True)
class RunLine:
    """`edges` the edges' indices in their loop in the order typed, `names` and `lengths` [mm] likewise, `starts` where each begins."""

    edges: tuple[int, ...]
    names: tuple[str, ...]
    lengths: tuple[float, ...]
    closed: bool

    @property
    def starts(self) -> tuple[float, ...]:
        """Where each edge begins on the line [mm]."""
        return tuple(float(x) for x in np.concatenate([[0.0], np.cumsum(self.lengths)[:-1]]))

    def x_of(self, name: str, along: float) -> float:
        """Place on the line of a length along an edge [mm]. ValueError for an edge of another run."""
        return self.starts[self.names.index(name)] + along

    def place(self, x: float) -> tuple[str, float]:
        """(edge, along [mm]) of a place on the line; at a join that of the later edge."""
        k = int(np.clip(np.searchsorted(self.starts, x, "right") - 1, 0, len(self.names) - 1))
        return self.names[k], float(x - self.starts[k])

    def of_stations(self, edge: NDArray[np.int64], along: Array) -> Array:
        """Places on the line of stations (n,): the edge's index in the loop and the length along it."""
        start = dict(zip(self.edges, self.starts, strict=True))
        return np.array([start[int(i)] for i in edge]) + along


def run_line(loop: LaidLoop, run: Run) -> RunLine:
    """The line of a run of this loop."""
    edges = run.edges[::-1] if loop.loop.turned else run.edges
    rows = [loop.edges[i] for i in edges]
    return RunLine(edges, tuple(e.edge.name for e in rows), tuple(e.drawn.length for e in rows), run.closed)
