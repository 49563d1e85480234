"""Holes in a scan: the middle of each by points of its wall, or by the gap it leaves in the web's points; of a flanged one by its flange.

Points of a wall or a rim lie thick about the drawn outline; where they do, middle and size are fitted to them. Where a scan has only the
web round a hole, the innermost point of each of sixteen sectors is taken: their distances from the true rim are alike in every direction,
so that the middle is right, and the size, a little too large, is not told. A round hole's fit is that of geometry/circle_fit.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ribwright.features.inspected import OUTER
from ribwright.features.part import Hole
from ribwright.geometry.circle_fit import fit_circle
from ribwright.geometry.slot_fit import FittedSlot, fit_slot, slot_distance
from ribwright.mechanics.coverage import widened
from ribwright.stages.scan_faces import ScanFaces

Array = NDArray[np.float64]
SECTORS, LEAST_SECTORS = 16, 11
LOOK_IN, LOOK_OUT = 1.2, 2.5  # points of a hole lie so far inside and outside its drawn outline [mm]
THICK = 3.0  # times as thick along the outline as in the web beside it: a wall
ABOUT = 0.25  # of the outline, for a wall's points once the middle is roughly known [mm]
LEAST = 6  # points of a wall
WIDEST_GAP = 2.4  # between the directions of a wall's points [rad]
IN_THE_SHEET = 0.2  # deeper than the web beside it a point lies on the wall [mm]
BELOW = 2.0  # a probe goes so far past the sheet [mm]
ALIKE = 1e-3


@dataclass(frozen=True, eq=False)
class SeenHole:
    """A hole's middle less its drawn one (2,) [mm] with its covariance (2, 2); `diameter` and its standard uncertainty, None where only the
    web round it was seen; `points` behind it; `wall`: its wall was seen."""

    hole: Hole
    off: Array
    cov: Array
    diameter: float | None
    sd_diameter: float
    points: int
    wall: bool

    @property
    def axis(self) -> Array:
        """Its long axis (2,)."""
        return _axis(self.hole)


def _axis(h: Hole) -> Array:
    a = np.radians(h.slot_angle)
    return np.array([np.cos(a), np.sin(a)])


def seen_holes(faces: ScanFaces, local: Array, sd: float | None) -> tuple[SeenHole, ...]:
    """The pin and plain holes that points x, y, h (n, 3) show; `sd` of one point as the file says."""
    t = faces.plan.job.t
    inward = 1.0 if faces.face == OUTER else -1.0
    flat = local[np.abs(local[:, 2]) < t + BELOW]
    out = []
    for h in faces.plan.job.part.holes:
        if h.kind == "lightening":
            continue
        reach = h.diameter / 2 + h.slot / 2 + LOOK_OUT
        near = flat[(np.abs(flat[:, 0] - h.at[0]) < reach) & (np.abs(flat[:, 1] - h.at[1]) < reach)]
        found = _hole(h, near[:, :2] - h.at, inward * near[:, 2], sd)
        if found is not None:
            out.append(found)
    return tuple(out)


def _hole(h: Hole, p: Array, deep: Array, sd: float | None) -> SeenHole | None:
    """The hole from points (n, 2) about its drawn middle and how deep they lie in the sheet."""
    r, axis, zero = h.diameter / 2, _axis(h), np.zeros(2)
    d, _ = slot_distance(p, zero, r, axis, h.slot)
    on = (d > -min(LOOK_IN, 0.8 * r)) & (d < LOOK_OUT)
    p, deep, d = p[on], deep[on], d[on]
    if len(p) < LEAST:
        return None
    beside = d > LOOK_IN
    inside = deep > IN_THE_SHEET + (float(np.median(deep[beside])) if beside.any() else 0.0)
    wall = _by_wall(h, p[inside & (d < LOOK_IN)], zero, r, axis, sd, LOOK_IN)
    gap = None if wall is not None else _by_gap(h, p, r, axis)
    if gap is not None:
        wall = _by_wall(h, p, gap.centre, gap.radius, axis, sd, ABOUT)
    elif wall is None:
        wall = _by_wall(h, p, zero, r, axis, sd, LOOK_IN / 1.5)
    if wall is not None:
        more = widened(wall.points - 3) if sd is None or wall.sd > sd else 1.0
        return SeenHole(
            h,
            wall.centre,
            wall.cov[:2, :2] * more**2,
            2 * wall.radius,
            2 * more * float(np.sqrt(wall.cov[2, 2])),
            wall.points,
            True,
        )
    if gap is None:
        return None
    return SeenHole(h, gap.centre, gap.cov[:2, :2] * widened(gap.points - 3) ** 2, None, 0.0, gap.points, False)


def _by_gap(h: Hole, p: Array, r: float, axis: Array) -> FittedSlot | None:
    """By the innermost point of each sector; twice, the second time about the middle just found."""
    centre, found = np.zeros(2), None
    for _ in range(3):
        d, _ = slot_distance(p, centre, r, axis, h.slot)
        v = p - centre
        sector = ((np.arctan2(v[:, 1], v[:, 0]) / (2 * np.pi) + 0.5) * SECTORS).astype(int) % SECTORS
        order = np.lexsort((d, sector))
        _, first = np.unique(sector[order], return_index=True)
        if len(first) < LEAST_SECTORS:
            return None
        found = fit_slot(p[order[first]], centre, r, axis, h.slot)
        if found is None or np.hypot(*found.centre) > LOOK_OUT:
            return None
        centre = found.centre
    return found


def _by_wall(
    h: Hole, p: Array, start: Array, r: float, axis: Array, sd: float | None, about: float
) -> FittedSlot | None:
    """By points within `about` of the outline, where they lie thicker than in the web beside it."""
    d, _ = slot_distance(p, start, r, axis, h.slot)
    on = np.abs(d) < about
    if on.sum() < LEAST or not _goes_round(p[on] - start):
        return None
    first = fit_slot(p[on], start, r, axis, h.slot, sd)
    if first is None:
        return None
    d, _ = slot_distance(p, first.centre, first.radius, axis, h.slot)
    narrow = max(3.5 * first.sd, ALIKE)
    kept, beside = p[np.abs(d) < narrow], (d > narrow + 0.1) & (d < LOOK_OUT)
    if len(kept) < LEAST or len(kept) / (2 * narrow) < THICK * beside.sum() / (LOOK_OUT - narrow - 0.1):
        return None
    if h.slot > 0.0:
        return first
    c = fit_circle(kept, max(first.sd, sd or 0.0))
    assert c.cov is not None
    return FittedSlot(c.centre, c.radius, c.cov, first.sd, len(kept))


def _goes_round(v: Array) -> bool:
    """Whether directions (n, 2) leave no wide gap."""
    ways = np.sort(np.arctan2(v[:, 1], v[:, 0]))
    return bool(np.max(np.diff(ways, append=ways[0] + 2 * np.pi)) < WIDEST_GAP)
