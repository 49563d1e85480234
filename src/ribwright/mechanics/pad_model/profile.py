"""What the rubber lies against: block, table and container wall as one smooth chain of lines and arcs.

The chain runs with the free side on its left. A right turn is a rounded edge (rubber outside the circle), a left turn a
filleted corner (rubber inside). Every corner has a radius, so distance and its first derivative are continuous and the
second is exact. A corner that rubber has to fill needs a fillet: it would never quite fill a sharp one.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]

FAR = 1e4  # [mm] the first and the last line go on to here


@dataclass(frozen=True, eq=False)
class Profile:
    """Lines (start, unit direction, length) and arcs (centre, radius, +1 rounded edge or -1 fillet, middle, half)."""

    starts: Array  # (k, 2)
    ways: Array  # (k, 2)
    lengths: Array  # (k,)
    centres: Array  # (j, 2)
    radii: Array  # (j,)
    turns: Array  # (j,)
    middles: Array  # (j, 2) unit direction from the centre to the middle of the arc
    halves: Array  # (j,) cosine of half its angle

    def rows(self) -> tuple[Array, Array]:
        """Lines (k, 5) and arcs (j, 7) as the compiled distance takes them."""
        lines = np.column_stack([self.starts, self.ways, self.lengths])
        arcs = np.column_stack([self.centres, self.radii, self.turns, self.middles, self.halves])
        return np.ascontiguousarray(lines), np.ascontiguousarray(arcs)


def chain(corners: ArrayLike, radii: ArrayLike) -> Profile:
    """The chain through corners (n, 2) with a radius at each inner one (n - 2,) [mm]; the end lines go on for ever."""
    p = np.asarray(corners, float)
    r = np.asarray(radii, float)
    way = np.diff(p, axis=0)
    length = np.hypot(*way.T)
    way = way / length[:, None]
    turn = np.arctan2(way[:-1, 0] * way[1:, 1] - way[:-1, 1] * way[1:, 0], (way[:-1] * way[1:]).sum(1))
    cut = r * np.tan(0.5 * np.abs(turn))  # from the corner to the tangent point
    before, after = np.r_[0.0, cut], np.r_[cut, 0.0]
    starts = p[:-1] + before[:, None] * way
    lengths = length - before - after
    starts[0] -= FAR * way[0]
    lengths[0] += FAR
    lengths[-1] += FAR
    left = np.stack([-way[:-1, 1], way[:-1, 0]], 1)
    side = np.sign(turn)
    centres = p[1:-1] - cut[:, None] * way[:-1] + (side * r)[:, None] * left
    to_corner = p[1:-1] - centres
    middles = to_corner / np.maximum(np.hypot(*to_corner.T), 1e-300)[:, None]
    return Profile(starts, way, lengths, centres, r, -side, middles, np.cos(0.5 * np.abs(turn)))


def press_profile(
    edge: float, height: float, radius: float, wall_deg: float, container: float | None, foot: float, corner: float
) -> Profile:
    """Block, table and container of a half section, the middle of the block at x = 0 and the table at y = 0.

    edge [mm]: x where the plane of the block's top meets the plane of its wall; wall_deg: angle turned from the top to
    the wall, 90 square; radius of the block's edge; container: x of its wall, None for a loose pad; foot, corner: fillets
    at the foot of the wall and at the container [mm].
    """
    a = np.radians(wall_deg)
    foot_at = edge + height * np.cos(a) / np.sin(a)
    end = container if container is not None else foot_at + 1000.0
    points = [[-1000.0, height], [edge, height], [foot_at, 0.0], [end, 0.0]]
    radii = [radius, foot]
    if container is not None:
        points.append([container, 1000.0])
        radii.append(corner)
    return chain(points, radii)
