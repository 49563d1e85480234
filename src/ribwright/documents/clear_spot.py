"""A free place on a drawing for something that must be printed there."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray

from ribwright.documents.page import Pair

Array = NDArray[np.float64]
Box = tuple[float, float, float, float]
MOST = 3000  # places looked at


def clear_spot(outline: Sequence[Pair], taken: Sequence[shapely.Geometry], shape: Sequence[Pair]) -> Pair | None:
    """Where the origin of `shape` (corners of a convex polygon, mm) goes so that it lies inside the outline and off
    everything `taken`. The place nearest to the middle; None when there is none."""
    room = shapely.make_valid(shapely.Polygon(outline)).buffer(-2.0)
    free = shapely.difference(room, shapely.union_all(list(taken))) if taken else room
    if free.is_empty:
        return None
    places = _lattice(free.bounds)
    shapes = shapely.polygons(np.asarray(shape)[None, :, :] + places[:, None, :])
    shapely.prepare(free)
    fits = shapely.contains(free, shapes)
    if not fits.any():
        return None
    middle = np.array([(free.bounds[0] + free.bounds[2]) / 2, (free.bounds[1] + free.bounds[3]) / 2])
    away = np.hypot(*(places - middle).T)
    order = np.lexsort((places[:, 1], places[:, 0], np.round(away, 6), ~fits))
    x, y = places[order[0]]
    return float(x), float(y)


def _lattice(bounds: Box) -> Array:
    """Evenly spaced places over the bounds, as fine as MOST of them allow and no finer than 2 mm, (n, 2) [mm]."""
    w, h = bounds[2] - bounds[0], bounds[3] - bounds[1]
    step = max(2.0, float(np.sqrt(w * h / MOST)), w / 400, h / 400)
    xs, ys = (bounds[i] + np.arange(0.0, size + 1e-9, step) + (size % step) / 2 for i, size in ((0, w), (1, h)))
    return np.stack(np.meshgrid(xs, ys), axis=-1).reshape(-1, 2)
