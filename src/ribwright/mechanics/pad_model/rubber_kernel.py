"""The rubber's elements, compiled: see `rubber` for what they say and where it comes from."""

# The names of the equations are kept; numba compiles this once for each machine and keeps it on disk.

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ribwright.mechanics.compiled import compiled

Array = NDArray[np.float64]
Ints = NDArray[np.int64]


@compiled
def _area_slope(x: Array, out: Array) -> float:
    """Area of a quadrilateral with corners x (4, 2), its slope in them into `out` (8,)."""
    for a in range(4):
        n, b = (a + 1) % 4, (a + 3) % 4
        out[2 * a] = 0.5 * (x[n, 1] - x[b, 1])
        out[2 * a + 1] = 0.5 * (x[b, 0] - x[n, 0])
    return 0.5 * ((x[2, 0] - x[0, 0]) * (x[3, 1] - x[1, 1]) - (x[2, 1] - x[0, 1]) * (x[3, 0] - x[1, 0]))


@compiled
def _gradient(slopes: Array, x: Array) -> tuple[float, float, float, float]:
    """F11, F12, F21, F22."""
    f11, f12, f21, f22 = 0.0, 0.0, 0.0, 0.0
    for a in range(4):
        f11 += x[a, 0] * slopes[a, 0]
        f12 += x[a, 0] * slopes[a, 1]
        f21 += x[a, 1] * slopes[a, 0]
        f22 += x[a, 1] * slopes[a, 1]
    return f11, f12, f21, f22


@compiled
def pad_energy(law: Array, quads: Ints, slopes: Array, weights: Array, area: Array, at: Array) -> float:
    """Energy of all elements; infinite where a point or an element is turned inside out."""
    c1, c2, c3, k = law[0], law[1], law[2], law[3]
    x, da = np.empty((4, 2)), np.empty(8)
    total = 0.0
    for e in range(len(quads)):
        for a in range(4):
            x[a, 0], x[a, 1] = at[quads[e, a], 0], at[quads[e, a], 1]
        now = _area_slope(x, da)
        if now <= 0.0:
            return np.inf
        total += 0.5 * k * area[e] * (now / area[e] - 1.0) ** 2
        for p in range(4):
            f11, f12, f21, f22 = _gradient(slopes[e, p], x)
            j = f11 * f22 - f12 * f21
            if j <= 0.0:
                return np.inf
            o = f11**2 + f12**2 + f21**2 + f22**2 - 2.0
            total += weights[e, p] * (o * (c1 + o * (c2 + o * c3)) - 2.0 * c1 * np.log(j))
    return total


@compiled
def pad_response(
    law: Array, quads: Ints, slopes: Array, weights: Array, area: Array, at: Array, held: Array,
    energy: Array, force: Array, stiff: Array, mean: Array, area_slope: Array,
) -> None:  # fmt: skip
    """Fills energy (m,), force (m, 8), stiff (m, 8, 8), mean (m,), area_slope (m, 8); `held` (m,) NaN: the elements' own."""
    c1, c2, c3, k = law[0], law[1], law[2], law[3]
    x, p, cof, f = np.empty((4, 2)), np.empty(4), np.empty(4), np.empty(4)
    d, db = np.empty((4, 4)), np.empty((4, 8))
    for e in range(len(quads)):
        for a in range(4):
            x[a, 0], x[a, 1] = at[quads[e, a], 0], at[quads[e, a], 1]
        total = 0.0
        for q in range(4):
            s, w = slopes[e, q], weights[e, q]
            f[0], f[1], f[2], f[3] = _gradient(s, x)
            cof[0], cof[1], cof[2], cof[3] = f[3], -f[2], -f[1], f[0]
            j = f[0] * f[3] - f[1] * f[2]
            o = f[0] ** 2 + f[1] ** 2 + f[2] ** 2 + f[3] ** 2 - 2.0
            total += w * (o * (c1 + o * (c2 + o * c3)) - 2.0 * c1 * np.log(j))
            w1, w2 = c1 + o * (2.0 * c2 + 3.0 * c3 * o), 2.0 * c2 + 6.0 * c3 * o
            for a in range(4):
                p[a] = w * (2.0 * w1 * f[a] - 2.0 * c1 / j * cof[a])
                for b in range(4):
                    d[a, b] = w * (2.0 * c1 / j**2 * cof[a] * cof[b] + 4.0 * w2 * f[a] * f[b])
                d[a, a] += w * 2.0 * w1
            turn = w * 2.0 * c1 / j
            d[0, 3] -= turn
            d[3, 0] -= turn
            d[1, 2] += turn
            d[2, 1] += turn
            for a in range(4):
                for n in range(4):
                    db[a, 2 * n] = d[a, 0] * s[n, 0] + d[a, 1] * s[n, 1]
                    db[a, 2 * n + 1] = d[a, 2] * s[n, 0] + d[a, 3] * s[n, 1]
            for n in range(4):
                force[e, 2 * n] += p[0] * s[n, 0] + p[1] * s[n, 1]
                force[e, 2 * n + 1] += p[2] * s[n, 0] + p[3] * s[n, 1]
                for b in range(8):
                    stiff[e, 2 * n, b] += s[n, 0] * db[0, b] + s[n, 1] * db[1, b]
                    stiff[e, 2 * n + 1, b] += s[n, 0] * db[2, b] + s[n, 1] * db[3, b]
        now = _area_slope(x, area_slope[e])
        grow = now / area[e] - 1.0
        mean[e] = k * grow
        energy[e] = total + 0.5 * k * area[e] * grow**2
        use = mean[e] if np.isnan(held[e]) else held[e]
        for a in range(8):
            force[e, a] += mean[e] * area_slope[e, a]
            for b in range(8):
                stiff[e, a, b] += k / area[e] * area_slope[e, a] * area_slope[e, b]
        for a in range(4):  # d2(area)/d(corners)2
            n, b = (a + 1) % 4, (a + 3) % 4
            stiff[e, 2 * a, 2 * n + 1] += 0.5 * use
            stiff[e, 2 * a, 2 * b + 1] -= 0.5 * use
            stiff[e, 2 * a + 1, 2 * b] += 0.5 * use
            stiff[e, 2 * a + 1, 2 * n] -= 0.5 * use
