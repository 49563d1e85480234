"""The section of a groove: an arc where it leaves the flat, a straight flank or none, and an arc at its bottom, alike on both sides.

x from the groove's middle, f its depth below the flat. With e the radius at the edge, b that of the bottom, S = e + b, the arcs turn by
theta and the flank between them is l long (l = 0: the arcs meet):

    width/2 = S sin(theta) + l cos(theta)        depth = S (1 - cos(theta)) + l sin(theta)

so that (width/2) sin(theta) + (S - depth) cos(theta) = S. A surface parallel to it, lower by h, has the same width, depth, theta and l
with e - h and b + h. theta is less than 90 deg: a part leaves the groove. With e = 0 the groove has a sharp edge.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
GAUSS_X, GAUSS_W = np.polynomial.legendre.leggauss(24)
STEEPEST = np.radians(89.5)


@dataclass(frozen=True)
class GrooveProfile:
    """One section [mm]: width over all, depth, radius at the edge and of the bottom, flank; `turn` theta [rad]."""

    width: float
    depth: float
    edge: float
    bottom: float
    turn: float
    flank: float

    def lower(self, by: float) -> GrooveProfile:
        """The surface parallel to this one, `by` further from the side the groove opens to."""
        return replace(self, edge=self.edge - by, bottom=self.bottom + by)

    def scaled(self, by: float) -> GrooveProfile:
        """The similar section."""
        return GrooveProfile(
            by * self.width, by * self.depth, by * self.edge, by * self.bottom, self.turn, by * self.flank
        )

    @property
    def knots(self) -> Array:
        """(4, 2): (x, f) at the bottom, where the bottom's arc ends, where the edge's begins, at the rim."""
        a = self.bottom * np.sin(self.turn)
        low = self.depth - self.bottom * (1 - np.cos(self.turn))
        c, s = np.cos(self.turn), np.sin(self.turn)
        return np.array(
            [[0.0, self.depth], [a, low], [a + self.flank * c, low - self.flank * s], [self.width / 2, 0.0]],
            dtype=float,
        )

    @property
    def length(self) -> float:
        """Length of the section over the whole width, along the surface [mm]."""
        return 2 * ((self.edge + self.bottom) * self.turn + self.flank)

    def deep(self, x: Array) -> Array:
        """Depth f at distances x (n,) from the middle, 0 beyond the rim [mm]."""
        x = np.abs(np.asarray(x, float))
        (_, _), (a, low), (b, _), (rim, _) = self.knots
        out = self.depth - self.bottom + np.sqrt(np.maximum(self.bottom**2 - x**2, 0.0))
        out = np.where(x > a, low - (x - a) * np.tan(self.turn), out)
        arc = self.edge - np.sqrt(np.maximum(self.edge**2 - (rim - x) ** 2, 0.0))
        return np.asarray(np.where(x >= rim, 0.0, np.where(x > b, arc, out)))

    def slope(self, x: Array) -> Array:
        """df/d|x| at distances x (n,): 0 or less."""
        x = np.abs(np.asarray(x, float))
        (_, _), (a, _), (b, _), (rim, _) = self.knots
        out = -x / np.sqrt(np.maximum(self.bottom**2 - x**2, 1e-30)) if self.bottom > 0 else np.zeros(len(x))
        out = np.where(x > a, -np.tan(self.turn), out)
        y = rim - x
        arc = -y / np.sqrt(np.maximum(self.edge**2 - y**2, 1e-30)) if self.edge > 0 else np.zeros(len(x))
        return np.asarray(np.where(x >= rim, 0.0, np.where(x > b, arc, out)))

    def line(self, most_turn: float = 0.1) -> Array:
        """Points (n, 2) of one half, from the bottom to the rim, arcs cut so that none turns by more than `most_turn` [rad]."""
        n = max(1, int(np.ceil(self.turn / most_turn)))
        phi = np.linspace(0.0, self.turn, n + 1)
        rows = [np.column_stack([self.bottom * np.sin(phi), self.depth - self.bottom * (1 - np.cos(phi))])]
        if self.edge > 0:
            back = phi[::-1]
            rows.append(np.column_stack([self.width / 2 - self.edge * np.sin(back), self.edge * (1 - np.cos(back))]))
        else:
            rows.append(self.knots[3:])
        p = np.concatenate(rows)
        return np.asarray(p[np.concatenate([[True], np.hypot(*np.diff(p, axis=0).T) > 1e-9])])

    def moments(self) -> tuple[float, float]:
        """(area of the whole section [mm2], integral of x f over one half [mm3])."""
        (_, _), (a, _), (b, _), (rim, _) = self.knots
        area = first = 0.0
        phi, w = (GAUSS_X + 1) * self.turn / 2, GAUSS_W * self.turn / 2
        for x, f, dx in (
            (self.bottom * np.sin(phi), self.depth - self.bottom * (1 - np.cos(phi)), self.bottom * np.cos(phi) * w),
            (rim - self.edge * np.sin(phi), self.edge * (1 - np.cos(phi)), self.edge * np.cos(phi) * w),
            (a + (b - a) * (GAUSS_X + 1) / 2, self._flank_depth((GAUSS_X + 1) / 2), (b - a) * GAUSS_W / 2),
        ):
            area += float(np.sum(f * dx))
            first += float(np.sum(x * f * dx))
        return 2 * area, first

    def _flank_depth(self, share: Array) -> Array:
        low, high = self.knots[1, 1], self.knots[2, 1]
        return np.asarray(low + (high - low) * share)


def widest_radii(width: float, depth: float) -> float:
    """Largest sum of the radii at edge and bottom that this width and depth hold [mm]: arcs that meet without a flank; where it is deeper
    than half its width, flanks that all but stand square."""
    return float((width**2 + 4 * depth**2) / (8 * depth)) if 2 * depth < width else width / 2 * float(np.sin(STEEPEST))


def groove_profile(width: float, depth: float, edge: float, bottom: float | None = None) -> GrooveProfile | None:
    """The section of this width and depth [mm] with these radii of its surface; `bottom` None: as large as goes. None: there is no
    such section, the radii are more than width and depth hold (`widest_radii`)."""
    most = widest_radii(width, depth)
    bottom = most - edge if bottom is None else bottom
    total = edge + bottom
    if bottom < -1e-9 or edge < -1e-9 or total > most * (1 + 1e-9):
        return None
    half, high = width / 2, min(total, most) - depth
    turn = float(np.arcsin(min(total / np.hypot(half, high), 1.0)) - np.arctan2(high, half))
    flank = (half - total * np.sin(turn)) / np.cos(turn) if turn < np.pi / 2 else -1.0
    if turn > STEEPEST + 1e-9 or flank < -1e-6 * width:
        return None
    return GrooveProfile(width, depth, max(edge, 0.0), max(bottom, 0.0), turn, max(float(flank), 0.0))
