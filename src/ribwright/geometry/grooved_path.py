"""A groove cut into a flat face along a path: its depth at a point is that of its section at the point's distance from the path.

So its ends are the section turned half round about the end, and at a bend of the path the outer side is the section turned about it, the
inner side is mitred. With A the area of the section, m the integral of x f over one half of it, L the straight lengths and a the
turns of the path, the volume is exact:

    V = A sum(L) + 2 pi m + m sum(|a| - 2 tan(|a|/2))
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from ribwright.geometry.groove_profile import GrooveProfile

Array = NDArray[np.float64]
SHARPEST = np.radians(120.0)


@dataclass(frozen=True, eq=False)
class Seam:
    """Where the section stands in the plane z = 0: points (4, 3) of one half, from the bottom to the rim, at a path point on one side
    (`side` +1 left of travel, -1 right). `shift`: how far forward along the path a point goes for each mm from it (mitre)."""

    at: int
    side: int
    forward: Array
    left: Array
    shift: float

    def placed(self, origin: Array, flat: Array) -> Array:
        """(n, 3) places of points (x, f) (n, 2) of the half section."""
        x, f = flat[:, 0], flat[:, 1]
        p = origin + x[:, None] * (self.side * self.left + self.shift * self.forward)
        return np.column_stack([p, -f])


def turns(path: Array) -> Array:
    """Signed turns of the path at its inner points (n - 2,) [rad], left positive."""
    u = np.diff(path, axis=0)
    cross = u[:-1, 0] * u[1:, 1] - u[:-1, 1] * u[1:, 0]
    return np.asarray(np.arctan2(cross, np.sum(u[:-1] * u[1:], axis=1)))


def seams(path: Array) -> list[tuple[Seam, Seam, Seam, Seam]]:
    """For each straight piece the half sections at its ends: (start left, start right, end left, end right)."""
    a = np.concatenate([[0.0], turns(path), [0.0]])
    out = []
    for i, (p, q) in enumerate(pairwise(path)):
        forward = (q - p) / np.linalg.norm(q - p)
        left = np.array([-forward[1], forward[0]])
        rows = []
        for k, way in ((i, 1.0), (i + 1, -1.0)):
            cut = float(np.tan(abs(a[k]) / 2))
            for side in (1, -1):
                rows.append(Seam(k, side, forward, left, way * cut if side * a[k] > 0 else 0.0))
        out.append((rows[0], rows[1], rows[2], rows[3]))
    return out


def corners(path: Array, profile: GrooveProfile) -> Array:
    """Every point (n, 3) at which faces of the groove meet: the section's knots at every seam."""
    rows = [s.placed(path[s.at], profile.knots) for four in seams(path) for s in four]
    return np.concatenate(rows)


def volume(path: Array, profile: GrooveProfile) -> float:
    """What the groove takes off [mm3]."""
    area, first = profile.moments()
    bends = np.abs(turns(path))
    long = float(np.sum(np.linalg.norm(np.diff(path, axis=0), axis=1)))
    return area * long + 2 * np.pi * first + first * float(np.sum(bends - 2 * np.tan(bends / 2)))


def too_short(path: Array, width: float) -> bool:
    """Whether a straight piece is used up by the mitres at its ends, or the path turns back on itself."""
    a = np.concatenate([[0.0], np.abs(turns(path)), [0.0]])
    if np.max(a) > SHARPEST:
        return True
    cut = width / 2 * np.tan(a / 2)
    return bool(np.any(np.linalg.norm(np.diff(path, axis=0), axis=1) <= cut[:-1] + cut[1:] + 1e-6))


def distance(path: Array, points: Array) -> tuple[Array, Array]:
    """(distance (m,) of points (m, 2) from the path, unit direction (m, 2) away from it; zero on it)."""
    best = np.full(len(points), np.inf)
    away = np.zeros((len(points), 2))
    for p, q in pairwise(path):
        u = q - p
        share = np.clip((points - p) @ u / (u @ u), 0.0, 1.0)
        off = points - p - share[:, None] * u
        d = np.linalg.norm(off, axis=1)
        near = d < best
        best[near], away[near] = d[near], off[near]
    return best, away / np.maximum(best, 1e-30)[:, None]


def rim(path: Array, half: float) -> tuple[tuple[float, float, float], ...]:
    """The line `half` [mm] from the path all round as vertices (x, y, bulge) of true lines and arcs, counter-clockwise."""
    four, bends = seams(path), turns(path)
    out: list[tuple[float, float, float]] = []

    def at(seam: Seam, bulge: float = 0.0) -> None:
        x, y, _ = seam.placed(path[seam.at], np.array([[half, 0.0]]))[0]
        out.append((float(x), float(y), bulge))

    # forward on the right, round the end, back on the left, round the start; a bend is an arc on its outer side
    for k, (_, start, _, end) in enumerate(four):
        if k == 0 or bends[k - 1] > 0:
            at(start)
        at(end, float(np.tan(bends[k] / 4)) if k < len(bends) and bends[k] > 0 else 1.0 if k == len(bends) else 0.0)
    for k in range(len(four) - 1, -1, -1):
        start, _, end, _ = four[k]
        if k == len(bends) or bends[k] < 0:
            at(end)
        at(start, float(np.tan(-bends[k - 1] / 4)) if k and bends[k - 1] < 0 else 1.0 if k == 0 else 0.0)
    return tuple(out)
