"""The flange of a lightening hole in a scan, all round at once: its angle, its middle, its rim.

The section of stages/scan_faces.py turned about the hole's axis, outward of the metal is towards the middle: u = r0 - r, r0 the mold
line's radius. A middle that lies off by (x, y) shows as a wave round the hole, so that
    q = A + B l + C cos w + D sin w,   x = -C/sin a, y = -D/sin a      w the direction from the drawn middle
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ribwright.features.inspected import OUTER
from ribwright.geometry.end_of_points import end_of
from ribwright.geometry.smooth_face import SmoothFace
from ribwright.stages.flat_holes import FlatHole
from ribwright.stages.scan_faces import ScanFaces

Array = NDArray[np.float64]
PAST_BEND, BEFORE_EDGE, LEAST_SPAN = 0.6, 0.5, 0.8  # [mm]
HOLE_REACH = 1.0  # how far off its drawn place the rim is looked for [mm]
NEAR = 1.5  # of the drawn face [mm]
LEAST, STRAY, ROUNDS = 24, 3.5, 6
LEAST_SIDES = 8  # of twelve parts of the turn that have points


@dataclass(frozen=True, eq=False)
class SeenFlange:
    """Bend angle and its standard uncertainty [rad], middle less the drawn one (2,) with its standard uncertainty, rim diameter and its
    own, None where points do not reach the rim; mm. `points` behind it."""

    angle: float
    angle_sd: float
    off: Array
    off_sd: float
    rim: float | None
    rim_sd: float
    points: int


def hole_flange(faces: ScanFaces, flat: FlatHole, local: Array, web: SmoothFace, sd: float) -> SeenFlange | None:
    """What points x, y, h (n, 3) show of a flanged hole; None where they are too few or do not go round."""
    h, t = flat.hole, faces.plan.job.t
    if flat.straight is None or flat.tangent_diameter is None or flat.outcome != "good":
        return None
    way = 1.0 if h.turn == faces.main else -1.0
    outside = (faces.face == OUTER) == (way > 0)
    a = float(np.radians(h.bend_angle))
    radius = h.bend_radius + (t if outside else 0.0)
    back, rt = radius * float(np.tan(a / 2)), flat.tangent_diameter / 2
    width, centre = back + flat.straight, np.asarray(h.at, float)
    near = local[(np.abs(local[:, 0] - h.at[0]) < rt) & (np.abs(local[:, 1] - h.at[1]) < rt)]
    low, high = back + PAST_BEND, width - BEFORE_EDGE
    if high - low < LEAST_SPAN:
        low, high = back + 0.3, width - 0.2
    found, root = None, _root(web, centre, rt, way)
    around = root.plane
    z = way * (near[:, 2] - around[0] - near[:, :2] @ around[1:])
    for _ in range(3):
        v = near[:, :2] - centre
        r, w = np.hypot(v[:, 0], v[:, 1]), np.arctan2(v[:, 1], v[:, 0])
        u = rt - back - r
        l, q = u * np.cos(a) + z * np.sin(a), u * np.sin(a) - z * np.cos(a)  # noqa: E741
        on = (np.abs(q) < NEAR) & (l > low) & (l < high)
        if on.sum() < LEAST or len(np.unique((w[on] / (2 * np.pi) * 12).astype(int))) < LEAST_SIDES:
            return None
        found = _fitted(l[on], q[on], w[on], sd)
        if found is None:
            return None
        c, cov, _ = found
        centre = centre - c[2:] / np.sin(a)
    assert found is not None
    c, cov, kept = found
    angle = a - float(np.arctan(c[1])) - root.lean
    rim, rim_sd = None, 0.0
    wave = c[2] * np.cos(w) + c[3] * np.sin(w)
    on = np.abs(q - c[0] - c[1] * l - wave) < 4.0 * max(sd, 0.01)
    end = end_of(l[on], width, sd, HOLE_REACH, max(flat.straight - HOLE_REACH, 1.2))
    if end is not None:
        inward = end.at * np.cos(a) + (c[0] + c[1] * end.at) * np.sin(a)
        own = 2.0 * (rt - back - float(inward))
        rim = own if outside else own - 2.0 * t * float(np.sin(angle))
        along = np.array([np.sin(a), end.at * np.sin(a)])
        rim_sd = 2.0 * float(np.hypot(end.sd * np.cos(a), np.sqrt(along @ cov[:2, :2] @ along)))
        rim_sd = float(np.hypot(rim_sd, 2.0 * np.cos(a) * root.off_plane))
    off_sd = float(np.hypot(np.sqrt(max(cov[2, 2], cov[3, 3])), root.tips * (low + high) / 2)) / float(np.sin(a))
    return SeenFlange(
        angle, float(np.hypot(np.sqrt(cov[1, 1]), root.lean_sd)), centre - h.at, off_sd, rim, rim_sd, kept
    )


def _fitted(l: Array, q: Array, w: Array, sd: float) -> tuple[Array, Array, int] | None:  # noqa: E741
    """(A, B, C, D), their covariance, points kept."""
    x = np.column_stack([np.ones(len(l)), l, np.cos(w), np.sin(w)])
    keep = np.ones(len(l), bool)
    c = np.zeros(4)
    for _ in range(ROUNDS):
        c = np.linalg.lstsq(x[keep], q[keep], rcond=None)[0]
        left = q - x @ c
        keep = np.abs(left) < STRAY * max(1.4826 * float(np.median(np.abs(left[keep]))), sd)
        if keep.sum() < LEAST:
            return None
    own = float(np.sqrt(np.sum(left[keep] ** 2) / (keep.sum() - 4)))
    return c, max(own, sd) ** 2 * np.linalg.inv(x[keep].T @ x[keep]), int(keep.sum())


def _ring(centre: Array, rt: float) -> tuple[Array, Array]:
    """Places where the flange leaves the web (24, 2), and the ways to the middle."""
    w = np.linspace(0, 2 * np.pi, 24, endpoint=False)
    inward = -np.column_stack([np.cos(w), np.sin(w)])
    return centre - rt * inward, inward


@dataclass(frozen=True, eq=False)
class _Root:
    """The web where a hole's flange leaves it: its `plane` (a, b, c), h = a + b x + c y, that the flange stands on; `lean` towards the
    middle beyond that, on average, with its standard uncertainty [rad]; `tips` how much more on one side than on the other [rad]: it leans
    the flange's axis; `off_plane` the most it stands off the plane [mm]."""

    plane: Array
    lean: float
    lean_sd: float
    tips: float
    off_plane: float


def _root(web: SmoothFace, centre: Array, rt: float, way: float) -> _Root:
    at, inward = _ring(centre, rt)
    h, _, slope, sd = web.near(at, inward)
    x = np.column_stack([np.ones(len(at)), at])
    plane = np.asarray(np.linalg.lstsq(x, h, rcond=None)[0])
    m = way * (slope - inward @ plane[1:])
    tips = float(np.hypot(*(2.0 * np.mean(m[:, None] * inward, axis=0))))
    return _Root(plane, float(np.arctan(np.mean(m))), float(np.mean(sd)), tips, float(np.max(np.abs(h - x @ plane))))
