"""The pad as elements before it is pressed: fine where it has to flow over the block's edge, coarse elsewhere."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ribwright.mechanics.pad_model.rubber import Quads, quads_of

Array = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class PadMesh:
    """Elements; edges (e, 2) of the surface that may touch something, in order from the middle of the bottom round to the
    top of the side; top, middle: nodes under the ram and on the plane of symmetry."""

    quads: Quads
    edges: Ints
    top: Ints
    middle: Ints


def graded(length: float, first: float, growth: float, largest: float) -> Array:
    """Steps from `first` growing by `growth` up to `largest`, stretched to end at `length`; places from 0 on."""
    steps = [first]
    while sum(steps) < length:
        steps.append(min(steps[-1] * growth, largest))
    if len(steps) > 1 and sum(steps) - length > 0.5 * steps[-1]:
        steps.pop()
    places = np.r_[0.0, np.cumsum(steps)]
    return places * (length / places[-1])


def pad_mesh(
    half_width: float, thickness: float, bottom: float, fine_from: float, fine_to: float, size: float, growth: float = 1.3
) -> PadMesh:
    """Pad from x = 0 to half_width and up from `bottom` [mm]; elements of `size` between fine_from and fine_to."""
    largest = half_width / 10.0
    left = fine_from - graded(fine_from, size, growth, largest)[::-1] if fine_from > size else np.zeros(1)
    count = max(int(round((fine_to - fine_from) / size)), 1)
    xs = [left, np.linspace(fine_from, fine_to, count + 1)[1:]]
    if half_width - fine_to > size:
        xs.append(fine_to + graded(half_width - fine_to, size, growth, largest)[1:])
    x = np.concatenate(xs)
    x[0], x[-1] = 0.0, half_width
    y = bottom + graded(thickness, size, growth, thickness / 8.0)
    nx, ny = len(x), len(y)
    nodes = np.stack([np.repeat(x, ny), np.tile(y, nx)], 1)
    at = np.arange(nx * ny).reshape(nx, ny)
    quads = np.stack([at[:-1, :-1], at[1:, :-1], at[1:, 1:], at[:-1, 1:]], -1).reshape(-1, 4)
    below = np.stack([at[:-1, 0], at[1:, 0]], 1)
    side = np.stack([at[-1, :-1], at[-1, 1:]], 1)
    return PadMesh(quads_of(nodes, quads), np.vstack([below, side]), at[:, -1], at[0])
