"""Laying a closed outline on a drawn one when nobody knows how it lies: any turn, any shift, this way up or mirrored.

    start   middles of area on each other, STARTS turns; the mean distance, cut off at a share of the size, ranks them
    then    the best of them, each moved by feet on the drawn outline and their normals until it settles (Y. Chen, G. Medioni, Image and
            Vision Computing 10 (1992) 145, in the plane; from memory), distances beyond three times the usual left out at each step

Openings tell apart what the outline alone does not: the distance of each drawn opening's middle from the nearest one seen is added to the
mean square. Rms is of the outline's points against the drawing, openings' middles with it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from ribwright.geometry.outline_distance import OutlineDistance
from ribwright.geometry.register import turned

Array = NDArray[np.float64]
STARTS, POINTS, KEPT, STEPS = 72, 240, 3, 25
CUT_OFF = 0.05  # of the outline's size: further off is as bad
HELD = 1e-9
SAME_TURN = 5.0  # deg: layings nearer than this are one


@dataclass(frozen=True, eq=False)
class Laying:
    """x' = R(turn) M x + shift, M the mirror x -> -x where `mirrored`; `rms` [mm]."""

    turn: float
    shift: Array
    mirrored: bool
    rms: float

    def moved(self, points: Array) -> Array:
        """Points (n, 2) on the drawing."""
        return np.asarray(_mirror(points, self.mirrored) @ turned(self.turn).T + self.shift)


def area_middle(ring: Array) -> tuple[float, Array]:
    """(area, + counter-clockwise, middle of area (2,)) of a closed outline (n, 2)."""
    p, q = ring, np.roll(ring, -1, axis=0)
    cross = p[:, 0] * q[:, 1] - q[:, 0] * p[:, 1]
    area = float(cross.sum() / 2.0)
    if abs(area) < 1e-12:
        return 0.0, np.asarray(ring.mean(axis=0))
    return area, np.asarray(((p + q) * cross[:, None]).sum(axis=0) / (6.0 * area))


def evenly(ring: Array, n: int) -> Array:
    """n places (n, 2) evenly along a closed outline."""
    closed = np.concatenate([ring, ring[:1]])
    s = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(closed, axis=0).T))])
    at = np.arange(n) * s[-1] / n
    return np.column_stack([np.interp(at, s, closed[:, 0]), np.interp(at, s, closed[:, 1])])


def layings(seen: Array, drawn: Array, seen_openings: Array, drawn_openings: Array) -> list[Laying]:
    """Ways to lay the outline `seen` (n, 2) on `drawn` (m, 2, counter-clockwise), the best first; middles of openings (k, 2), (l, 2).
    Layings of other turn or mirror only."""
    target = OutlineDistance([drawn], spacing=1.0)
    dense = cKDTree(evenly(drawn, 4 * POINTS))
    size = float(np.hypot(*np.ptp(drawn, axis=0)))
    middle = area_middle(drawn)[1]
    found: list[Laying] = []
    for mirrored in (False, True):
        own = evenly(_mirror(seen, mirrored), POINTS)
        openings = _mirror(seen_openings, mirrored)
        centre = area_middle(own)[1]
        turns = np.arange(STARTS) * 2.0 * np.pi / STARTS
        laid = np.stack([(own - centre) @ turned(a).T + middle for a in turns])
        far = np.minimum(dense.query(laid.reshape(-1, 2))[0], CUT_OFF * size).reshape(STARTS, -1)
        for k in np.argsort((far**2).mean(axis=1))[: 2 * KEPT]:
            a = float(turns[k])
            found.append(
                _settled(own, openings, target, drawn_openings, a, middle - turned(a) @ centre, mirrored, size)
            )
    found.sort(key=lambda way: way.rms)
    out: list[Laying] = []
    for way in found:
        if not any(w.mirrored == way.mirrored and _apart(w.turn, way.turn) < SAME_TURN for w in out):
            out.append(way)
    return out


def _mirror(points: Array, mirrored: bool) -> Array:
    return points * (-1.0, 1.0) if mirrored else points


def _apart(a: float, b: float) -> float:
    """Degrees between two turns [rad]."""
    return float(np.degrees(abs((a - b + np.pi) % (2.0 * np.pi) - np.pi)))


def _settled(
    own: Array, openings: Array, target: OutlineDistance, drawn: Array, turn: float, shift: Array, mirrored: bool, size: float
) -> Laying:  # fmt: skip
    for _ in range(STEPS):
        p = own @ turned(turn).T + shift
        near = target.of(p, workers=1)
        off = np.abs(near.deviation)
        keep = off <= 3.0 * max(float(np.median(off)), 1e-3)
        way = np.where(off[:, None] > 1e-9, (p - near.foot) / np.maximum(off, 1e-9)[:, None], 0.0)[keep]
        about = p[keep].mean(axis=0)
        arm = (p[keep] - about) / size
        jac = np.column_stack([way, way[:, 1] * arm[:, 0] - way[:, 0] * arm[:, 1]])
        # a direction that nothing holds, such as round a circle, is left as it is
        step = -np.linalg.solve(jac.T @ jac + HELD * len(jac) * np.eye(3), jac.T @ off[keep])
        by = turned(step[2] / size)
        turn, shift = turn + float(step[2]) / size, by @ (shift - about) + about + step[:2]
        if np.abs(step).max() < 1e-3:
            break
    off = np.minimum(np.abs(target.of(own @ turned(turn).T + shift, workers=1).deviation), CUT_OFF * size)
    squares = float((off**2).mean())
    if len(drawn) and len(openings):
        gap = np.minimum(cKDTree(openings @ turned(turn).T + shift).query(drawn)[0], CUT_OFF * size)
        squares += float((gap**2).mean())
    return Laying(float((turn + np.pi) % (2.0 * np.pi) - np.pi), shift, mirrored, float(np.sqrt(squares)))
