"""What stands between two flanges of a ring: a relief that the part file says by its circle, or free edges of the web.

A relief is a circle cut into the web about the meeting X of two bend tangent lines, moved along the inward bisector; beside it the web may
stand on the tangent lines. Flange ends that stand off X are a notch: its gap is what both are drawn back together.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ribwright.geometry.drawn_shape import ARC, LINE, Shape, meeting
from ribwright.stages.solid_ring import Item

Array = NDArray[np.float64]
ON_LINE = 0.02  # the web stands on a tangent line; a flange's end at the meeting of two [mm]
OFF_BISECTOR = 0.05  # how far a relief's centre may lie beside the bisector [mm]
SMOOTH_COS = np.cos(np.radians(0.5))
SQUARE_COS = np.sin(np.radians(2.0))
WIDEST = 60.0  # diameter of a relief at the end of a flange beside a free edge [mm]


@dataclass(frozen=True)
class Relieved:
    """A corner between the pieces `before` and `after` (rows of the drawn pieces): relief, diameter, set-back, gap [mm]; `joint` where it
    is drawn, where the two pieces run on in each other and do not say it."""

    before: int
    after: int
    relief: str
    diameter: float | None = None
    set_back: float = 0.0
    gap: float = 0.0
    joint: tuple[float, float] | None = None


def drawn_pieces(items: tuple[Item, ...]) -> tuple[list[Item], list[Relieved]]:
    """(what is drawn of a ring: flanges and free edges without the reliefs between them, the corners)."""
    flanged = [k for k, item in enumerate(items) if item.strip is not None]
    if not flanged:
        return list(items), []
    drawn: list[Item] = []
    corners: list[tuple[Item, Item, Relieved]] = []
    n = len(items)
    for which, k in enumerate(flanged):
        a = items[k]
        after = flanged[(which + 1) % len(flanged)]
        run = [items[(k + 1 + i) % n] for i in range((after - k - 1) % n)]
        b = items[after]
        drawn.append(a)
        if len(flanged) == 1 and not run:
            continue
        whole = _corner(a, b, run)
        if whole is not None:
            corners.append((a, b, whole))
            continue
        if _smooth(a, b) and not run:
            continue
        run, ends = _at_ends(a, b, run)
        corners += ends
        drawn += run
    row = {id(item): i for i, item in enumerate(drawn)}
    made = [replace(c, before=row[id(p)], after=row[id(q)]) for p, q, c in corners]
    return drawn, made


# ---- inside


def _smooth(a: Item, b: Item) -> bool:
    return float(a.shape.way(-1) @ b.shape.way(0)) > SMOOTH_COS


def _corner(a: Item, b: Item, run: list[Item]) -> Relieved | None:
    """The corner of two flanges; None where free edges of the web stand between them, or they run on in each other."""
    assert a.tangent is not None
    assert b.tangent is not None
    assert a.strip is not None
    assert b.strip is not None
    if not run and _smooth(a, b):
        return None
    arcs = [p.shape for p in run if not (_lies_on(a.tangent, p.shape) or _lies_on(b.tangent, p.shape))]
    middle = (a.tangent.points[-1] + b.tangent.points[0]) / 2
    x = meeting(a.tangent, b.tangent, middle)
    if x is None:
        return None
    if any(s.kind != ARC or s.left for s in arcs):
        return None
    if not arcs:
        return Relieved(0, 0, "none")
    c, r = np.array(arcs[0].centre), arcs[0].radius
    if any(np.hypot(*(np.array(s.centre) - c)) > ON_LINE or abs(s.radius - r) > ON_LINE for s in arcs):
        return None
    inward = -(a.strip.out[-1] + b.strip.out[0])
    size = float(np.hypot(*inward))
    if size < 1e-6:
        return None
    inward /= size
    back = float((c - x) @ inward)
    beside = float(np.hypot(*(c - x - back * inward)))
    if beside > OFF_BISECTOR or back < -OFF_BISECTOR or back > 3 * r:
        return None
    gap = _drawn_back(a.shape, a.strip.ends[1], x, -1) - _drawn_back(b.shape, b.strip.ends[0], x, 0)
    gap = 0.0 if gap < ON_LINE else gap
    return Relieved(0, 0, "notch" if gap else "hole", 2 * r, back if back > 1e-3 else 0.0, gap)


def _lies_on(line: Shape, piece: Shape) -> bool:
    """Whether both ends and the middle of a piece lie on a line run on past its ends."""
    middle = piece.points[len(piece.points) // 2] if len(piece.points) > 2 else piece.points.mean(axis=0)
    for p in (*piece.points[[0, -1]], middle):
        if line.kind == ARC:
            off = abs(float(np.hypot(*(p - np.array(line.centre)))) - line.radius)
        else:
            k = int(np.argmin(np.hypot(*(line.points - p).T)))
            v = line.way(0 if k < len(line.points) / 2 else -1)
            off = abs(float((p - line.points[k]) @ np.array([-v[1], v[0]])))
        if off > ON_LINE:
            return False
    return True


def _drawn_back(line: Shape, tip: Array, x: Array, end: int) -> float:
    """Arc length along a drawn line from the foot of a flange's end to the foot of X, in the direction of travel [mm]."""
    if line.kind == ARC:
        p, q = tip - np.array(line.centre), x - np.array(line.centre)
        turn = float(np.arctan2(p[0] * q[1] - p[1] * q[0], p @ q))
        return line.radius * (turn if line.left else -turn)
    return float((x - tip) @ line.way(end))


def _at_ends(a: Item, b: Item, run: list[Item]) -> tuple[list[Item], list[tuple[Item, Item, Relieved]]]:
    """The free edges between two flanges without what belongs to the flanges' ends: steps from the tangent line out to the mold line, and
    reliefs beside a free edge, which are told."""
    corners: list[tuple[Item, Item, Relieved]] = []
    if len(run) > 1 and _is_step(a, run[0].shape, -1):
        run = run[1:]
    if len(run) > 1 and _is_step(b, run[-1].shape, 0):
        run = run[:-1]
    if len(run) > 1 and (found := _end_relief(a, run[0], run[1], -1)) is not None:
        run = run[1:]
        corners.append((a, run[0], found))
    if len(run) > 1 and (found := _end_relief(b, run[-1], run[-2], 0)) is not None:
        run = run[:-1]
        corners.append((run[-1], b, found))
    return run, corners


def _is_step(flange: Item, piece: Shape, end: int) -> bool:
    """Whether a free line leads from a flange's tangent line square out to its drawn line."""
    assert flange.tangent is not None
    far = piece.points[-1 if end == -1 else 0]
    square = abs(float(piece.way(0) @ flange.shape.way(end))) < SQUARE_COS
    return piece.kind == LINE and square and float(np.hypot(*(far - flange.shape.points[end]))) < 2 * ON_LINE


def _end_relief(flange: Item, arc: Item, plain: Item, end: int) -> Relieved | None:
    """A relief beside a free edge: its circle on the flange's tangent line or inward of it, square to the drawn corner."""
    assert flange.strip is not None
    assert flange.tangent is not None
    s = arc.shape
    if s.kind != ARC or s.left or 2 * s.radius > WIDEST:
        return None
    near = flange.shape.points[end]
    one, two = (flange.shape, plain.shape) if end == -1 else (plain.shape, flange.shape)
    out, way, sign = flange.strip.out[end], flange.shape.way(end), 1.0 if end == -1 else -1.0
    centre = np.array(s.centre)
    on = _lies_on(flange.shape, plain.shape)
    # where the free edge goes on in the mold line the circle alone says where the flange would end
    corner = near + float((centre - near) @ way) * way if on else meeting(one, two, near)
    if corner is None:
        return None
    if abs(float((centre - corner) @ way)) > OFF_BISECTOR:
        return None
    back = -float((centre - flange.tangent.points[end]) @ out)
    if not -OFF_BISECTOR < back < 3 * s.radius:
        return None
    drawn = sign * _drawn_back(flange.shape, flange.strip.ends[end], corner, end)
    gap = 2 * (drawn - s.radius)
    gap = 0.0 if gap < ON_LINE else gap
    joint = (float(corner[0]), float(corner[1])) if on else None
    return Relieved(0, 0, "notch" if gap else "hole", 2 * s.radius, back if back > 1e-3 else 0.0, gap, joint)
