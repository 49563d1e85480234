"""Whether grooves of a block leave sound material: clear of walls, bores, foot and each other. Reasons, for the maker of the solid."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from ribwright.geometry.grooved_path import too_short
from ribwright.stages.groove import FaceGroove, Groove, WallGroove
from ribwright.stages.recess import RECESS_FLOOR_MM

Array = NDArray[np.float64]
APART = 0.01


class Bored(Protocol):
    """A hole in the block."""

    @property
    def name(self) -> str: ...

    @property
    def at(self) -> tuple[float, float]: ...

    @property
    def widest(self) -> float: ...


def grooves_clear(
    depths: Sequence[float],
    rings: Sequence[Sequence[Array]],
    bores: Sequence[Bored],
    grooves: Sequence[Groove],
    height: float,
) -> list[str]:
    """Why there is no sound solid with these grooves, at most one reason. `rings`: the loops' points at each of `depths`."""
    import shapely

    taken = [
        (g, shapely.LineString(g.path).buffer(g.profile.width / 2 + APART))
        for g in grooves
        if isinstance(g, FaceGroove)
    ]
    for g, area in taken:
        if too_short(g.path, g.profile.width):
            return [f"{g.name} turns too sharply for its width"]
        if g.profile.depth > height - RECESS_FLOOR_MM:
            return [f"{g.name} leaves less than {RECESS_FLOOR_MM:g} mm of the block below it"]
        for z, level in zip(depths, rings, strict=True):
            outer, *inner = (shapely.Polygon(p) for p in level)
            if z <= g.profile.depth + 1e-9 and not outer.difference(shapely.union_all(inner)).contains(area):
                return [f"{g.name} breaks through a wall at a depth of {z:.1f} mm"]
        for b in bores:
            if area.distance(shapely.Point(b.at)) < b.widest:
                return [f"{g.name} runs into {b.name}"]
    for (first, one), (second, other) in combinations(taken, 2):
        if one.intersects(other):
            return [f"{first.name} runs into {second.name}"]
    return _walls_clear(depths[-1], rings[-1], bores, [g for g in grooves if isinstance(g, WallGroove)])


def _walls_clear(
    foot: float, rings: Sequence[Array], bores: Sequence[Bored], grooves: Sequence[WallGroove]
) -> list[str]:
    """The same for grooves in walls, looked at where they are widest: at the foot."""
    import shapely

    at_foot = [(g, shapely.Polygon(g.outline(foot)).buffer(APART)) for g in grooves]
    for (first, one), (second, other) in combinations(at_foot, 2):
        if one.intersects(other):
            return [f"{first.name} runs into {second.name}"]
    for g, area in at_foot:
        for b in bores:
            if area.distance(shapely.Point(b.at)) < b.widest:
                return [f"{g.name} runs into {b.name}"]
    return []
