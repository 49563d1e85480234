"""What a strip looks like: angle, radius, gaps, lift, thickness, stress. Measured as the bench would."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ribwright.mechanics.block_section import distance, sides
from ribwright.mechanics.section.faces import face_distance
from ribwright.mechanics.section.strip import State, Strip

Array = NDArray[np.float64]
FELT = 1e-6  # equivalent plastic strain: less is no yielding
ROUND = (0.22, 0.78)  # of the wall's angle: where the inner face is taken for the bend's radius


@dataclass(frozen=True, eq=False)
class Formed:
    """The section at one moment. Lengths mm, angles deg, stresses MPa.

    angle            of the line fitted to the mid-surface between 1 t past the bend and the free edge, from flat
    inside_radius    of the circle fitted to the inner face over the middle of the bend; None where fewer than 5 nodes lie there
    lift             largest gap under the web, crown_gap over the edge's arc, wall_gap beside the wall (block in place)
    thickness        least over the bend; stress: largest size at a layer (residual, once released)
    x, y, slope      mid-surface and its slope from flat; inner and outer faces (N, 2); moment [N], push [MPa] along it
    plastic          equivalent plastic strain of every layer so far (N - 1, layers); None where it was not kept
    """

    angle: float
    inside_radius: float | None
    lift: float
    crown_gap: float
    wall_gap: float
    thickness: float
    stress: float
    x: Array
    y: Array
    slope: Array
    inner: Array
    outer: Array
    moment: Array
    push: Array
    plastic: Array | None = None


@dataclass(frozen=True)
class Again:
    """What yields as the sheet is let go: `share` of the layers that had yielded under load, `most` equivalent plastic strain that
    any layer adds [-]. 0 and 0: what it gives back is elastic. Soft sheet 1.6 mm over R 2.4 from 70 MPa: 0.07 and 0.0007, whatever
    the steps of pressure that led there."""

    share: float
    most: float


def yields_again(loaded: Formed, released: Formed) -> Again | None:
    """From the section under load to the same section let go; None where the strains were not kept."""
    if loaded.plastic is None or released.plastic is None:
        return None
    added, had = released.plastic - loaded.plastic, loaded.plastic > FELT
    share = float(np.mean(added[had] > FELT)) if had.any() else 0.0
    return Again(share, max(float(np.max(added)), 0.0))


def look(s: Strip, state: State) -> Formed:
    """Measure a strip."""
    q, half = state.q, s.t / 2.0
    x, y, th = q[:, 0], q[:, 1], q[:, 2]
    up = np.stack([-np.sin(th), np.cos(th)], axis=1)
    inner, outer = (q[:, :2] + side * _faces(s, q, side)[:, None] * up for side in (-1.0, 1.0))
    arc = (s.radius + half) * s.wall
    gaps, zones = distance(inner, s.radius, s.wall), sides(inner, s.radius, s.wall)
    thick = _thickness(s, state)
    bend = (s.arc[1:] > 0.0) & (s.arc[:-1] < arc)
    lift, crown, beside = (max(float(np.max(gaps[m], initial=0.0)), 0.0) for m in zones)
    return Formed(
        angle=fitted_angle(s, state),
        inside_radius=_radius(inner, -th, s.wall),
        lift=lift,
        crown_gap=crown,
        wall_gap=beside,
        thickness=float(np.min(thick[bend])),
        stress=float(np.max(np.abs(state.stress))),
        x=x,
        y=y,
        slope=-th,
        inner=inner,
        outer=outer,
        moment=-state.moment,
        push=state.push,
        plastic=state.history[..., 4].copy(),
    )


def _faces(s: Strip, q: Array, side: float) -> Array:
    """Distance of the inner (-1) or outer (+1) face from the mid-surface at the nodes [mm]."""
    case = s.case()
    return np.array([face_distance(case, s.arc, q, i, side) for i in range(len(q))])


def fitted_angle(s: Strip, state: State) -> float:
    """Angle from flat [deg] of the line fitted to the mid-surface between 1 t past the bend and the free edge."""
    past = s.arc > (s.radius + s.t / 2.0) * s.wall + s.t
    if past.sum() < 3:  # hardly any flange: its last three nodes
        past = np.arange(len(s.arc)) >= len(s.arc) - 3
    points = state.q[past, :2]
    d = points - points.mean(axis=0)
    way = np.linalg.svd(d, full_matrices=False)[2][0]
    way = way if way @ (points[-1] - points[0]) > 0 else -way
    turned = -float(state.q[past, 2].mean())  # which turn of the circle
    angle = float(np.arctan2(-way[1], way[0]))
    return float(np.degrees(angle + 2 * np.pi * np.round((turned - angle) / (2 * np.pi))))


def _radius(inner: Array, slope: Array, wall: float) -> float | None:
    """Least-squares circle (Kasa) through the inner face where its slope is in the middle of the bend."""
    turned = float(slope[-1])
    mid = (slope > ROUND[0] * turned) & (slope < ROUND[1] * turned)
    if mid.sum() < 5:
        return None
    p = inner[mid]
    a = np.column_stack([2 * p, np.ones(len(p))])
    c, *_ = np.linalg.lstsq(a, (p**2).sum(axis=1), rcond=None)
    return float(np.sqrt(c[2] + c[0] ** 2 + c[1] ** 2))


def _thickness(s: Strip, state: State) -> Array:
    """Thickness of each element [mm]: every layer's volume is kept, t = sum of w t0/(lambda_along lambda_across)."""
    q, long = state.q, np.diff(s.arc)
    zeta, weight = s.gauss()
    th = (q[1:, 2] + q[:-1, 2]) / 2
    k = np.diff(q[:, 2]) / long
    l = (np.diff(q[:, 0]) * np.cos(th) + np.diff(q[:, 1]) * np.sin(th)) / long
    hoop = np.ones_like(l)
    if s.axis is not None:
        flat = s.axis + s.sign * (s.arc[1:] + s.arc[:-1]) / 2
        hoop = (s.axis + s.sign * (q[1:, 0] + q[:-1, 0]) / 2) / flat
    lam = np.sqrt(np.maximum(l[:, None] ** 2 - 2 * k[:, None] * zeta * s.t / hoop[:, None], 0.04))
    return np.asarray((weight * s.t / (lam * hoop[:, None])).sum(axis=1))
