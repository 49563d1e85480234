"""Where the block stands: turned or not, its load under the ram's axis as far as the press asks for it, what room is left.

The load is taken to pass through the middle of the area the block bears with (web face less recesses). In a container that
the rubber has filled it passes through the middle of the opening instead, wherever the block stands; before that, and
under a loose pad, it does not. So the bearing area is the safe one to hold against an off-centre limit.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ribwright.shop.shop import Press
from ribwright.stages.block import Block

Array = NDArray[np.float64]
Pair = tuple[float, float]


@dataclass(frozen=True)
class Place:
    """Turn of the block [deg]; middle of its extent from the table's middle [mm]; the load's middle from the middle of the
    extent [mm]; distance of the load from the ram's axis [mm]; least margins to pad and table edge [mm]."""

    turned_deg: float
    at: Pair
    load: Pair
    off_centre: float
    pad_margin: float
    table_margin: float
    extent: Pair


def place_block(block: Block, press: Press) -> Place:
    """Centred by its extent, the better of 0 and 90 deg. Where that puts the load past the press's off-centre limit the
    block is moved: load under the ram if the pad still stands past the block by its height, else just to the limit."""
    turned, extent = _turned(block, press.pad.size_mm)
    load = _load(block, turned)
    tables = [press.table_mm] + ([press.bolster.size_mm] if press.bolster else [])

    def placed(x: float, y: float) -> Place:
        off = float(np.hypot(load[0] + x, load[1] + y))
        table = min(_margin(extent, size, (x, y)) for size in tables)
        return Place(turned, (x + 0.0, y + 0.0), load, off, _margin(extent, press.pad.size_mm, (x, y)), table, extent)

    centred, limit = placed(0.0, 0.0), press.off_centre_limit_mm
    if limit is None or centred.off_centre <= limit:
        return centred
    under_ram = placed(-load[0], -load[1])
    if under_ram.pad_margin >= block.height and under_ram.table_margin >= 0:
        return under_ram
    share = 1 - limit / centred.off_centre
    at_limit = placed(-load[0] * share, -load[1] * share)
    return at_limit if min(at_limit.pad_margin, at_limit.table_margin) >= 0 else centred


def turned_points(points: Array, deg: float) -> Array:
    """(n, 2) points of the part turned as the block is set up, counter-clockwise."""
    a = np.radians(deg)
    return points @ np.array([[np.cos(a), np.sin(a)], [-np.sin(a), np.cos(a)]])


def middle_of(block: Block, deg: float) -> Array:
    """Middle of the turned block's extent, web face and foot together."""
    p = turned_points(np.concatenate([block.outlines[0], block.feet[0]]), deg)
    return np.asarray((p.min(axis=0) + p.max(axis=0)) / 2)


def _turned(block: Block, size: Pair) -> tuple[float, Pair]:
    """0 or 90 deg, whichever leaves more pad past the block, and the block's extent so turned."""
    w, h = np.ptp(np.concatenate([block.outlines[0], block.feet[0]]), axis=0)
    rows = [(_margin((w, h), size), 0.0, (w, h)), (_margin((h, w), size), 90.0, (h, w))]
    _, turn, (x, y) = max(rows, key=lambda r: (round(r[0], 9), -r[1]))
    return turn, (float(x), float(y))


def _margin(extent: Pair, size: Pair, at: Pair = (0.0, 0.0)) -> float:
    return float(min(s / 2 - abs(c) - e / 2 for s, e, c in zip(size, extent, at, strict=True)))


def _load(block: Block, deg: float) -> Pair:
    """Middle of the bearing area from the middle of the extent, turned [mm]."""
    moments = [_area_moment(p) for p in block.outlines]
    moments += [(-np.pi * r.diameter**2 / 4, -np.pi * r.diameter**2 / 4 * np.array(r.at)) for r in block.recesses]
    area = sum(a for a, _ in moments)
    centre = sum((m for _, m in moments), np.zeros(2)) / area
    x, y = turned_points(centre[None, :], deg)[0] - middle_of(block, deg)
    return float(x), float(y)


def _area_moment(p: Array) -> tuple[float, Array]:
    """Signed area of a ring and its first moments."""
    q = np.roll(p, -1, axis=0)
    cross = p[:, 0] * q[:, 1] - q[:, 0] * p[:, 1]
    return float(cross.sum() / 2), (p + q).T @ cross / 6
