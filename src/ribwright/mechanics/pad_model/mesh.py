"""The pad as elements before it is pressed: fine where it will lie over the bend, coarse elsewhere."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ribwright.mechanics.pad_model.rubber import Quads, quads_of

Array = NDArray[np.float64]
Ints = NDArray[np.int64]

GROWTH = 1.3  # from an element to the next outward
WIDEST, TALLEST = 1.0 / 10.0, 1.0 / 8.0  # of half width and thickness of the pad


@dataclass(frozen=True, eq=False)
class PadMesh:
    """Elements; edges (e, 2) of the surface that may touch something, in order from the middle of the bottom round to the
    top of the side; top, middle: nodes under the ram and on the plane of symmetry."""

    quads: Quads
    edges: Ints
    top: Ints
    middle: Ints


@dataclass(frozen=True)
class Zones:
    """Where the pad is fine. The rubber that ends over the bend starts between bend_from and bend_to (elements of size `bend`
    [mm]); from there on to the container it ends along flange, foot and table (size `rest`)."""

    bend_from: float
    bend_to: float
    bend: float
    rest: float


def graded(length: float, first: float, largest: float) -> Array:
    """Places 0 to `length` in steps from `first` growing up to `largest`."""
    steps = [first]
    while sum(steps) < length:
        steps.append(min(steps[-1] * GROWTH, largest))
    if len(steps) > 1 and sum(steps) - length > 0.5 * steps[-1]:
        steps.pop()
    places = np.r_[0.0, np.cumsum(steps)]
    return np.asarray(places * (length / places[-1]))


def _equal(start: float, end: float, size: float) -> Array:
    return np.linspace(start, end, max(round((end - start) / size), 1) + 1)


def pad_mesh(half_width: float, thickness: float, bottom: float, zones: Zones) -> PadMesh:
    """Pad from x = 0 to half_width and up from `bottom` [mm]."""
    a = min(max(zones.bend_from, 0.0), 0.8 * half_width)
    b = min(max(zones.bend_to, a + zones.bend), 0.9 * half_width)
    parts = []
    if a > zones.bend:
        parts.append(a - graded(a, zones.bend, WIDEST * half_width)[::-1])
    parts.append(_equal(a if parts else 0.0, b, zones.bend))
    parts.append(_equal(b, half_width, zones.rest))
    x = np.concatenate([parts[0], *(p[1:] for p in parts[1:])])
    x[0], x[-1] = 0.0, half_width
    y = bottom + graded(thickness, zones.bend, TALLEST * thickness)
    nx, ny = len(x), len(y)
    nodes = np.stack([np.repeat(x, ny), np.tile(y, nx)], 1)
    at = np.arange(nx * ny).reshape(nx, ny)
    quads = np.stack([at[:-1, :-1], at[1:, :-1], at[1:, 1:], at[:-1, 1:]], -1).reshape(-1, 4)
    below = np.stack([at[:-1, 0], at[1:, 0]], 1)
    side = np.stack([at[-1, :-1], at[-1, 1:]], 1)
    return PadMesh(quads_of(nodes, quads), np.vstack([below, side]), at[:, -1], at[0])
