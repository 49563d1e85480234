"""What a step in the line that a flange hangs on does to the flange's free edge in the flat.

Where the tangent line steps sideways by h over the length L (two arcs, a joggle), the flange of a square bend hangs as before, only
further in: a plate bent over its two arcs, which costs no strain of its middle plane. In the flat its upper edge must follow the step
in the web, its lower edge is free. That is a strip of the flange's depth w whose edge y = 0 is moved by v = d(x), u = 0, and whose
edge y = w is free. In plane stress, for d = V cos kx, q = k w, z = k (w - y), Airy's function

    f = a z sinh z + b (z cosh z - sinh z)            free at z = 0;   u = 0 at z = q:  f'' + nu f = 0 (' by z)
    E v = k (-f''' + (2 + nu) f') cos kx,   E du/dx = k^2 (f'' + nu f) cos kx

    H_v(q) = v(w)/v(0),   H_u(q) = strain of the free edge / (k^2 w V);   both 1 at q = 0, gone exponentially for short waves

    step of two parabolas, b = L/2, K = h/b^2, x from its middle:
    D(x) = h/2 + (2K/pi) Int H_v (1 - cos k b) sin(k x)/k^3 dk        how far in the free edge of the flat lies
    kappa(x) =   -(2K/pi) Int H_u (1 - cos k b) sin(k x)/k dk         what curvature its strain answers to, + shrinks

Source of the strip: Timoshenko & Goodier, Theory of Elasticity (1951), art. 23 (plane stress, beam under sinusoidal load); the
boundary values here are this project's. Small strain; nu = 1/2, sheet that flows without change of volume. A bend of angle a keeps
only part of it: the section of the wall leans, d cos a of the step is carried along without strain, (1 - cos a) d is felt, on the
depth w = (L_leg (1 - cos a) + R_mid (a - sin a))/(1 - cos a), so that a long step answers as a curved flange does.
"""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
POISSON = 0.5
STEPS, STEP = 2400, 0.01  # of q, midpoints: H is under 1e-8 past 24
FAR = 12.0  # depths of the strip from the step's middle, past which nothing is left of it


def shares(q: Array, poisson: float = POISSON) -> tuple[Array, Array]:
    """(H_v, H_u) at q = k w > 0, (n,)."""
    s, c = np.sinh(q), np.cosh(q)
    first = (q * s, s + q * c, 2 * c + q * s, 3 * s + q * c)  # z sinh z and its derivatives
    second = (q * c - s, q * s, s + q * c, 2 * c + q * s)
    a = -(second[2] + poisson * second[0]) / (first[2] + poisson * first[0])
    f1, f3 = a * first[1] + second[1], a * first[3] + second[3]
    moved = (2 + poisson) * f1 - f3
    return np.asarray(-2.0 / moved), np.asarray(2.0 * a / (q * moved))


@cache
def _table() -> tuple[Array, Array, Array]:
    q = np.asarray((np.arange(STEPS) + 0.5) * STEP, float)
    return q, *shares(q)


def felt(x: Array, rise: float, length: float, depth: Array) -> tuple[Array, Array]:
    """(D [mm], kappa [1/mm]) of one step at x (n,) [mm] from its middle along the line, for strips `depth` (n,) deep [mm]."""
    q, sideways, strain = _table()
    near = np.abs(x) < FAR * depth + length
    moved, bent = np.where(x > 0, rise, 0.0), np.zeros(len(x))
    w = depth[near][:, None]
    k, b = q / w, length / 2
    wave = np.sin(k * x[near][:, None]) * (1 - np.cos(k * b))
    scale = 2 * rise / b**2 / np.pi * STEP / w[:, 0]
    moved[near] = rise / 2 + scale * np.sum(sideways * wave / k**3, axis=1)
    bent[near] = -scale * np.sum(strain * wave / k, axis=1)
    return moved, bent
