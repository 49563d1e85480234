"""A scan of both faces of the sheet: told apart, the one that was asked for kept, and the thickness between them.

Over a small cell of the web, and a short stretch of a flange, the points of two faces leave a gap of about a thickness in which there is
none. Where most cells have such a gap both faces were scanned. The sheet lies from the heel face, h = 0, towards the flanges.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ribwright.features.inspected import OUTER
from ribwright.geometry.smooth_face import cells_of
from ribwright.stages.scan_faces import ScanFaces
from ribwright.stages.scan_holes import LOOK_OUT
from ribwright.stages.scan_web import on_web

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]
Ints = NDArray[np.int64]
GAP, MOST = 0.6, 1.3  # times the thickness: a gap between two faces
LEAST, EACH = 6, 2  # points of a cell that tells; of either face in it
MOSTLY = 0.5  # of the cells that tell
STRETCH = 5.0  # of a flange [mm]
NEAR = 2.5  # of a flange's drawn face [mm]


@dataclass(frozen=True, eq=False)
class TwoFaces:
    """Which points (n,) lie on the face asked for or tell of holes and edges; thickness of the web, mean over `cells` of them, with its
    standard uncertainty [mm]."""

    keep: Mask
    thickness: float
    sd: float
    cells: int


def both_faces(faces: ScanFaces, local: Array) -> bool:
    """Whether points x, y, h (n, 3) lie on both faces of the web."""
    web = np.flatnonzero(on_web(faces, local, *faces.near.project(local[:, :2])))
    return len(web) > LEAST and _shares(_parted(cells_of(local[web, :2]), local[web, 2], faces.plan.job.t)) > MOSTLY


def told_apart(faces: ScanFaces, local: Array) -> TwoFaces:
    """One face of a scan of both."""
    t, heel = faces.plan.job.t, faces.face == OUTER
    line, s, u = faces.near.project(local[:, :2])
    keep = np.zeros(len(local), bool)
    web = np.flatnonzero(on_web(faces, local, line, s, u))
    cell = cells_of(local[web, :2])
    parts = _parted(cell, local[web, 2], t)
    side = _side(cell, local[web, 2], parts)
    keep[web[side == (-1 if heel else 1)]] = True
    apart = parts.upper - parts.lower
    good = parts.good & (apart < MOST * t)
    thick = apart[good]
    sd = float(np.std(thick) / np.sqrt(len(thick))) if len(thick) > 1 else 0.0
    for k, e in enumerate(faces.edges):
        mine = np.flatnonzero((line == k) & (u > -40.0) & (u < 40.0))
        if e.flange is None:
            # the sheet's own face and its cut one, near the edge
            keep[mine[np.abs(u[mine]) < 3.0]] = True
            continue
        x = faces.section(k, s[mine])
        h = local[mine, 2] if faces.with_most(k) else -local[mine, 2]
        up = u[mine] + x.mold
        l, q = up * np.cos(x.angle) + h * np.sin(x.angle), up * np.sin(x.angle) - h * np.cos(x.angle)  # noqa: E741
        on = (np.abs(q) < NEAR) & (l > x.setback) & (l < x.width + 2.0)
        rows = mine[on]
        cells = (
            (s[rows] / STRETCH).astype(np.int64) - int(np.floor(s[rows].min() / STRETCH))
            if len(rows)
            else np.zeros(0, np.int64)
        )
        off = _straightened(cells, l[on], q[on])
        side = _side(cells, off, _parted(cells, off, t))
        keep[rows[side == (1 if faces.outside(k) else -1)]] = True
    for flat in faces.plan.blank.holes:
        r = (flat.tangent_diameter or flat.hole.diameter) / 2 + flat.hole.slot / 2 + LOOK_OUT
        around = (local[:, 0] - flat.hole.at[0]) ** 2 + (local[:, 1] - flat.hole.at[1]) ** 2 < r * r
        if flat.hole.kind != "lightening":
            keep |= around
    return TwoFaces(keep, float(np.mean(thick)) if len(thick) else 0.0, sd, len(thick))


@dataclass(frozen=True, eq=False)
class _Parts:
    """Of each cell: where its widest gap is, the mean on either side, whether it parts two faces."""

    at: Array
    lower: Array
    upper: Array
    good: Mask
    told: Mask


def _parted(cell: Ints, h: Array, t: float) -> _Parts:
    n = int(cell.max()) + 1 if len(cell) else 0
    at, lower, upper = np.zeros(n), np.zeros(n), np.zeros(n)
    good, told = np.zeros(n, bool), np.zeros(n, bool)
    order = np.lexsort((h, cell))
    c, z = cell[order], h[order]
    starts = np.searchsorted(c, np.arange(n + 1))
    for i in range(n):
        own = z[starts[i] : starts[i + 1]]
        if len(own) < LEAST:
            continue
        told[i] = True
        gaps = np.diff(own)[EACH - 1 : len(own) - EACH]
        j = int(np.argmax(gaps)) + EACH - 1
        at[i] = (own[j] + own[j + 1]) / 2
        lower[i], upper[i] = float(np.median(own[: j + 1])), float(np.median(own[j + 1 :]))
        # means lie a thickness apart, and no point between: noise of a third of it would fill the gap
        good[i] = gaps.max() > GAP / 2 * t and upper[i] - lower[i] > GAP * t
    return _Parts(at, lower, upper, good, told)


def _shares(parts: _Parts) -> float:
    return float(parts.good.sum() / max(int(parts.told.sum()), 1))


def _side(cell: Ints, h: Array, parts: _Parts) -> NDArray[np.int64]:
    """-1 below a cell's gap, 1 above it, 0 where the cell tells nothing."""
    if not len(cell):
        return np.zeros(0, np.int64)
    return np.where(parts.good[cell], np.where(h > parts.at[cell], 1, -1), 0)


def _straightened(cell: Ints, l: Array, q: Array) -> Array:  # noqa: E741
    """q less the slope that both faces share in each stretch, by least squares."""
    off = q.copy()
    for i in np.unique(cell):
        own = cell == i
        x, y = l[own], q[own]
        if len(x) < LEAST:
            continue
        b = np.linalg.lstsq(np.column_stack([np.ones(len(x)), x]), y, rcond=None)[0][1]
        off[own] = y - b * x
    return off
