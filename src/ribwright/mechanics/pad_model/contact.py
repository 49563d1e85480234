"""Rubber against block, table, container and sheet: soft walls, one energy, no friction.

Each edge of the rubber's surface carries a few points; a point that is a depth d inside an obstacle costs k d^2/2 for
each mm of the edge's present length, so k d is a pressure. The present length matters: with the unstrained length a
stretched edge would be pushed in deeper and under high pressure would pay to stretch for ever.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ribwright.mechanics.pad_model.profile import Profile, distance

Array = NDArray[np.float64]
Ints = NDArray[np.int64]

# five Gauss points along an edge: the free edge of a thin sheet must not slip between two of them
_AT, _WEIGHT = np.polynomial.legendre.leggauss(5)
PLACES, SHARES = 0.5 + 0.5 * _AT, 0.5 * _WEIGHT


@dataclass(frozen=True, eq=False)
class Touch:
    """Points that touch: the edge (k,), place along it (k,), sheet segment or -1 (k,); pressure (k,) [MPa], how it rises with
    depth (k,) [MPa/mm], the length (k,) [mm] it acts on, unit direction out of the obstacle (k, 2); energy (k,), force (k, d), stiffness (k, d, d) on
    the edge's two nodes (d = 4) and, of the sheet, x, y, theta of the segment's two nodes (d = 10)."""

    edge: Ints
    place: Array
    segment: Ints
    pressure: Array
    rise: Array
    length: Array
    way: Array
    energy: Array
    force: Array
    stiffness: Array
    index: Ints
    slope: Array


def soft_wall(
    a: Array, b: Array, place: Array, share: Array, k: float, gap: Array, slope: Array, curve: Array, held: Array | None, core: float
) -> tuple[Array, Array, Array, Array, Array, Array]:
    """Pressure, its rise with depth, length, energy, force, stiffness, given gap (n,), its slope (n, d) and curve (n, d, d)."""
    n = len(gap)
    along = b - a
    length = np.hypot(along[:, 0], along[:, 1])
    t = along / length[:, None]
    d = slope.shape[1]
    dl = np.zeros((n, d))
    dl[:, 0:2], dl[:, 2:4] = -t, t
    across = (np.eye(2) - t[:, :, None] * t[:, None, :]) / length[:, None, None]
    d2l = np.zeros((n, d, d))
    d2l[:, 0:2, 0:2] = d2l[:, 2:4, 2:4] = across
    d2l[:, 0:2, 2:4] = d2l[:, 2:4, 0:2] = -across
    left = 1.0 + gap / core  # nought where the point would come to the core
    e, rise = 0.5 * k * gap**2 / left, k / left**3
    pressure = -k * gap * (1.0 + 0.5 * gap / core) / left**2
    force = share[:, None] * (dl * e[:, None] - slope * (length * pressure)[:, None])
    both = dl[:, :, None] * slope[:, None, :]
    h = pressure if held is None else held
    free = 1.0 / np.sqrt(1.0 + 2.0 * h / (k * core))
    depth = core * (1.0 - free) if np.isfinite(core) else h / k
    stiff = d2l * (0.5 * k * depth**2 / free)[:, None, None] - (both + np.swapaxes(both, 1, 2)) * h[:, None, None]
    stiff += slope[:, :, None] * slope[:, None, :] * (length * rise)[:, None, None] - curve * (length * h)[:, None, None]
    return pressure, rise, share * length, share * length * e, force, share[:, None, None] * stiff


def touch_profile(profile: Profile, a: Array, b: Array, k: float, held: Array | None = None) -> Touch:
    """Edges from a to b (m, 2) against block, table and container; k [MPa/mm]."""
    m, q = len(a), len(PLACES)
    points = surface_points(a, b)
    d = distance(profile, points)
    on = np.flatnonzero(d.gap < 0.0)
    edge, place, share = on // q, PLACES[on % q], SHARES[on % q]
    away, near = place, 1.0 - place
    way, bent = d.way[on], d.curve[on]
    n = len(on)
    slope = np.zeros((n, 4))
    slope[:, 0:2], slope[:, 2:4] = near[:, None] * way, away[:, None] * way
    curve = np.zeros((n, 4, 4))
    curve[:, 0:2, 0:2] = (near**2)[:, None, None] * bent
    curve[:, 2:4, 2:4] = (away**2)[:, None, None] * bent
    curve[:, 0:2, 2:4] = curve[:, 2:4, 0:2] = (near * away)[:, None, None] * bent
    out = soft_wall(a[edge], b[edge], place, share, k, d.gap[on], slope, curve, None if held is None else held[on], np.inf)
    assert m * q == len(points)
    return Touch(edge, place, np.full(n, -1), *out[:3], way, *out[3:], on, slope)


def surface_points(a: Array, b: Array) -> Array:
    """The points of edges a to b (m, 2), (5 m, 2)."""
    return (a[:, None] + PLACES[None, :, None] * (b - a)[:, None]).reshape(-1, 2)
