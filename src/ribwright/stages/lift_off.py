"""Whether the released part comes off its block.

A motion v (v_z >= 0, up from the table) is open when it takes no flange into the block: v . m >= 0 for the outward
normal m at every point of every flange, as `wall_normals` has it, a twist of the bevel included.
    lifts    straight up is open                slides   some other direction is
    trapped  none is: a closed flange hooks under the web face all round

To ask it of the first instant is to ask it of the whole way: a point of the part that later runs into the block would
cross the wall somewhere against its outward normal, and there v . m < 0.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot

import numpy as np
from numpy.typing import NDArray

from ribwright.features.laid import LaidEdge
from ribwright.stages.blank import Blank
from ribwright.stages.wall_normals import step_normals, wall_normals
from ribwright.units import MM_PER_IN, plain, show_fraction

Array = NDArray[np.float64]
TOLERANCE = 1e-6
# sideways for each unit up, tried in turn: the steeper the motion, the shorter its way past other walls; within 3 deg of
# the table counts as along it
REACHES = (0.25, 1.0, 4.0, 20.0)


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


def lift_off(blank: Blank, springback: dict[str, float], side: str) -> LiftOff:
    """Judge the flanges of all loops and the hole flanges in recesses together. `springback` [deg] by edge or hole;
    `side`: the way the flanges turn over the block."""
    normals, worst = [], ("", 0.0, 0.0)
    for s in blank.strips:
        longest = float(np.max(s.at.leg))
        for k in s.run.edges:
            normals.append(wall_normals(blank.laid[s.loop].edges[k], s.at.s[s.at.edge == k], longest))
        i = int(np.argmax(s.at.angle))
        past = float(s.at.angle[i]) - 90.0
        if past > worst[2]:
            name = blank.laid[s.loop].edges[int(s.at.edge[i])].edge.name
            worst = (name, float(s.at.along[i]), past)
    for h in blank.holes:
        if h.straight is not None and h.hole.turn == side:
            normals.append(_ring(h.hole.bend_angle))
            if h.hole.bend_angle - 90.0 > worst[2]:
                worst = (h.hole.name, 0.0, h.hole.bend_angle - 90.0)
    normals += [step_normals(loop) for loop in blank.laid if loop.in_block]
    if not sum(map(len, normals)):
        return LiftOff("lifts", (0.0, 0.0, 1.0))
    how, v = _open_motion(np.concatenate(normals))
    edge, along, past = worst
    return LiftOff(how, v, edge, along, past, past <= springback.get(edge, 0.0) + 1e-9)


def _ring(angle_deg: float) -> Array:
    """Normals of a hole flange in its recess, from the block inward, all round. Its angle is the same all round, so they
    are the same at the bend and at the free edge."""
    t, a = np.radians(np.arange(0.0, 360.0, 5.0)), np.radians(angle_deg)
    return np.column_stack([-np.cos(t) * np.sin(a), -np.sin(t) * np.sin(a), np.full(len(t), np.cos(a))])


def _open_motion(m: Array) -> tuple[str, tuple[float, float, float]]:
    """Straight up if it is open, else the middle of what is open nearest to it at v_z = 1, else along the table."""
    if np.all(m[:, 2] >= -TOLERANCE):
        return "lifts", (0.0, 0.0, 1.0)
    for up, reach in (*((1.0, r) for r in REACHES), (0.0, 1.0)):
        region = _clipped(m[:, :2], -up * m[:, 2], reach)
        # along the table the origin is always open and is no motion: take the farthest corner
        best = np.mean(region, axis=0) if up and len(region) else max(region, key=np.hypot.reduce, default=np.zeros(2))
        if len(region) and (up or np.hypot(*best) > 0.5):
            v = np.array([best[0], best[1], up])
            v = np.round(v / np.linalg.norm(v), 9) + 0.0  # no minus before a zero
            return "slides", (float(v[0]), float(v[1]), float(v[2]))
    return "trapped", (0.0, 0.0, 0.0)


def _clipped(normals: Array, least: Array, reach: float) -> list[Array]:
    """Corners of {v: normals v >= least, |v_x|, |v_y| <= reach}; may be a segment or a point; empty when none."""
    region = [reach * np.array(c) for c in ((-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0))]
    least = least - TOLERANCE
    for _ in range(len(normals)):
        # the most broken condition first: most of the others then hold by themselves
        over = np.min(normals @ np.array(region).T, axis=1) - least
        worst = int(np.argmin(over))
        if over[worst] >= -TOLERANCE * 1e-3:
            break
        region = _cut(region, normals[worst], float(least[worst]))
        if not region:
            break
    return region


def slides_toward(lift: LiftOff, blank: Blank) -> str:
    """Name of the outer edge that a part which slides off is pushed to: the one whose outward normal at its middle lies
    nearest the motion. "" for a part that does not slide."""
    x, y, _ = lift.direction
    if lift.how != "slides" or hypot(x, y) < TOLERANCE:
        return ""

    def along_motion(edge: LaidEdge) -> float:
        half = edge.curve.length / 2
        a, b = edge.curve.point(np.array([half - 0.01, half + 0.01]))
        normal = np.array([b[1] - a[1], a[0] - b[0]])
        return float(normal @ (x, y)) / max(hypot(*normal), TOLERANCE)

    return max(blank.laid[0].edges, key=along_motion).edge.name


def push_words(edge: str, direction: tuple[float, float, float], first: str) -> str:
    """'push toward edge UPPER, about 1/8 in for each inch up' of a part that slides off along `direction`."""
    x, y, z = direction
    if z < TOLERANCE:
        return f"push toward edge {edge.upper()}, along the table"
    aside = hypot(x, y) / z
    if first == "mm":
        return f"push toward edge {edge.upper()}, about {plain(10.0 * aside, 1)} mm for each 10 mm up"
    sixteenths = max(round(16 * aside), 1)
    return f"push toward edge {edge.upper()}, about {show_fraction(sixteenths * MM_PER_IN / 16, 16)} for each inch up"


def _cut(region: list[Array], n: Array, least: float) -> list[Array]:
    """What of a convex region has n v >= least."""
    side = [float(n @ v) - least for v in region]
    kept: list[Array] = []
    for i, v in enumerate(region):
        j = (i + 1) % len(region)
        if side[i] >= 0:
            kept.append(v)
        if (side[i] >= 0) != (side[j] >= 0):
            kept.append(v + (region[j] - v) * side[i] / (side[i] - side[j]))
    return kept
