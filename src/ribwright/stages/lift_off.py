"""Whether the released part comes off its block.

A motion v (v_z >= 0, up from the table) is open when it takes no flange into the block: v . m >= 0 for every flange,
m = n sin a + z cos a the outward normal of a flange that turns down by a [deg from flat], n its plan normal.
    lifts    straight up is open                slides   some other direction is
    trapped  none is: a closed flange hooks under the web face all round
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ribwright.stages.blank import Blank

Array = NDArray[np.float64]
TOLERANCE = 1e-6


@dataclass(frozen=True)
class LiftOff:
    """`how` lifts / slides / trapped; `direction` of an open motion; the most closed edge, its angle past square [deg],
    and whether its own springback could spring it open by that much."""

    how: str
    direction: tuple[float, float, float]
    edge: str = ""
    along: float = 0.0
    past_square: float = 0.0
    springs: bool = True


def lift_off(blank: Blank, springback: dict[str, float]) -> LiftOff:
    """Judge the outer flanges and those of cutouts together."""
    normals, worst = [], ("", 0.0, 0.0)
    for s in blank.strips:
        a = np.radians(s.at.angle)
        normals.append(np.column_stack([s.at.normal * np.sin(a)[:, None], np.cos(a)]))
        i = int(np.argmax(s.at.angle))
        past = float(s.at.angle[i]) - 90.0
        if past > worst[2]:
            name = blank.laid[s.loop].edges[int(s.at.edge[i])].edge.name
            worst = (name, float(s.at.along[i]), past)
    if not normals:
        return LiftOff("lifts", (0.0, 0.0, 1.0))
    m = np.concatenate(normals)
    how, v = _open_motion(m, blank)
    edge, along, past = worst
    return LiftOff(how, v, edge, along, past, past <= springback.get(edge, 0.0) + 1e-9)


def _open_motion(m: Array, blank: Blank) -> tuple[str, tuple[float, float, float]]:
    if np.all(m[:, 2] >= -TOLERANCE):
        return "lifts", (0.0, 0.0, 1.0)
    free = [v for v in _candidates(blank) if np.all(m @ v >= -TOLERANCE)]
    if not free:
        return "trapped", (0.0, 0.0, 0.0)
    best = max(free, key=lambda v: [round(float(v[i]), 9) + 0.0 for i in (2, 0, 1)])
    return "slides", (float(best[0]), float(best[1]), float(best[2]))


def _candidates(blank: Blank) -> list[Array]:
    """Directions to try: a grid over the upper half sphere, and along every edge both ways."""
    azimuth = np.radians(np.arange(0, 360, 2.0))
    up = np.radians(np.arange(0, 91, 3.0))
    grid = [np.array([np.cos(e) * np.cos(t), np.cos(e) * np.sin(t), np.sin(e)]) for e in up for t in azimuth]
    for s in blank.strips:
        for n in s.at.normal[:: max(1, len(s.at.normal) // 8)]:
            grid += [np.array([-n[1], n[0], 0.0]), np.array([n[1], -n[0], 0.0])]
    return grid
