"""How far a pressure turns a flange over the rounded edge of a block when it does not close it.

The sheet beyond the web is a strip of length L = rho w + s: the bend's arc and the straight part. Rigid-plastic,
M(kappa) = M (rho kappa)^n with M the moment at the block's curvature; the pressure p stands square on the sheet.

    moment at a distance x from the free edge     p x^2/2             (exact with the chord in place of x)
    it lies on the block where that exceeds M     c = sqrt(2 M/p)     length still free of the block
    turned angle, c <= L                          phi = (L - 2 c/(n + 2))/rho
    turned angle, c > L, not yet on the block     phi = n L/((n + 2) rho) (L/c)^(2/n)

rho mid-surface radius of the block's edge [mm]; w angle of the block's wall [rad]; s straight part [mm]; n hardening
exponent. phi = w gives a closing pressure of 8/(n + 2)^2 M/s^2: 1.65 for n = 0.20, 1.71 for 0.16, where the fit to
section models says 1.71 for all. The fit is the anchor here: q = p/pC, c = (n + 2)/2 s/sqrt(q), so that phi = w at
q = 1 and, as long as the sheet lies on the block, phi = w - (s/rho)(1/sqrt(q) - 1).

Own derivation. Left out: elastic bending of the free part, lift of the web, the pad's own resistance (see
`turned_against_pad`). Compared with a numerical strip of the same law and exact chord (tests/mechanics); no formed
part and no section model was compared below the closing pressure.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]
HALVINGS = 60


def free_length(share: ArrayLike, straight: ArrayLike, n: ArrayLike) -> Array:
    """c, length from the free edge to where the sheet lies on the block [mm]; infinite for a share of 0 or less."""
    q, s, n = (np.asarray(x, float) for x in (share, straight, n))
    return np.where(q > 0.0, (n + 2.0) / 2.0 * s / np.sqrt(np.where(q > 0.0, q, 1.0)), np.inf)


def turned_angle(
    share: ArrayLike, straight: ArrayLike, mid_radius: ArrayLike, wall_deg: ArrayLike, n: ArrayLike
) -> Array:
    """Angle under load [deg] at `share` = pressure on the sheet over closing pressure; 0 at 0, the wall's from 1 on.

    `straight` s [mm] > 0, `mid_radius` rho [mm] of the block's edge, `wall_deg` from flat, 0 < n < 1. Rises with the
    pressure everywhere. Fitted anchor: straight flange; for a curved flange or a hole flange it is unverified.
    """
    q, s, rho, w, n = np.broadcast_arrays(*(np.asarray(x, float) for x in (share, straight, mid_radius, wall_deg, n)))
    length = rho * np.radians(w) + s
    c = free_length(q, s, n)
    on_block = (length - 2.0 * np.minimum(c, length) / (n + 2.0)) / rho
    off_block = n * length / ((n + 2.0) * rho) * np.minimum(length / c, 1.0) ** (2.0 / n)
    phi = np.degrees(np.where(c <= length, on_block, off_block))
    return np.asarray(np.where(q >= 1.0, w, np.clip(phi, 0.0, w)))


def straightens_besides(
    share: ArrayLike, straight: ArrayLike, mid_radius: ArrayLike, wall_deg: ArrayLike, n: ArrayLike
) -> Array:
    """What an open flange gives back on release beyond its share of the turned angle [deg], for a springback of 1.

    Springback goes with the moment, M/M0 = (1 - x/c)^2, whose mean over the free part is a third; the turned angle goes with
    the plastic curvature, (1 - x/c)^(2/n), whose mean is n/(n + 2). Of a springback r the flange loses
    r turned_angle + r straightens_besides; 0 from a share of 1 on.
    """
    q, s, rho, w, n = np.broadcast_arrays(*(np.asarray(x, float) for x in (share, straight, mid_radius, wall_deg, n)))
    length = rho * np.radians(w) + s
    c = free_length(q, s, n)
    part = np.minimum(length / c, 1.0)  # of the free part that is there: all of it once the sheet lies on the block
    free = np.minimum(c, length) / rho * (part**2 / 3.0 - n / (n + 2.0) * part ** (2.0 / n))
    return np.asarray(np.where(q >= 1.0, 0.0, np.degrees(free)))


def turned_against_pad(
    pressure: ArrayLike, pad_share: ArrayLike, closing: ArrayLike, straight: ArrayLike, mid_radius: ArrayLike,
    wall_deg: ArrayLike, n: ArrayLike,
) -> Array:  # fmt: skip
    """Angle under load [deg] under a pad that takes its share k G in proportion to the angle, as the pad model does within 2 deg rms
    (docs/section_pad.md).

    Solves phi = turned_angle((p - k G phi/w)/pC) by halving: the right side falls with phi, so there is one root. The
    full k G at every angle, `turned_angle((p - k G)/pC)`, is the least that the flange turns.
    """
    p, kg, pc, w = (np.asarray(x, float) for x in (pressure, pad_share, closing, wall_deg))
    shape = np.broadcast_shapes(p.shape, kg.shape, pc.shape, w.shape, np.shape(straight), np.shape(mid_radius))
    low, high = np.zeros(shape), np.broadcast_to(w, shape).copy()
    if np.all(p - kg >= pc):
        return high
    for _ in range(HALVINGS):
        middle = (low + high) / 2.0
        turns = turned_angle((p - kg * middle / w) / pc, straight, mid_radius, w, n) >= middle
        low, high = np.where(turns, middle, low), np.where(turns, high, middle)
    return np.asarray(np.where(p - kg >= pc, w, low))
