"""One membrane triangle from formed to flat, compiled: strain, stress, and the slopes of both.

    G = sum X_i (x) grad N_i      2 x 2, formed to flat, linear in the flat places X_i
    B = G G^T,   h = -1/2 ln B    logarithmic strain of the formed sheet, laid in the axes of the flat blank
    G = Q S                       Q the rotation from the triangle's plane to the flat blank
    sigma = Q^T (secant C h) Q    in the triangle's plane; C from `hill`
    secant = flow(q)/q,           q^2 = ebar^2 + eps_r^2

With m and d half the sum and half the difference of the diagonal of B, o its other component, rho^2 = d^2 + o^2 and J = det G

    ln B = ln J I + phi (d, o; o, -d),   phi = atanh(rho/m)/rho

phi is smooth where the two eigenvalues meet; a series takes over there. The rolling direction is the x axis of the flat blank.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ribwright.mechanics.compiled import compiled
from ribwright.mechanics.law_kernel import flow

Array = NDArray[np.float64]
NEAR = 1e-2  # of (rho/m)^2: below it five terms of the series are good to 1e-13


@compiled
def ratio(x: float) -> tuple[float, float]:
    """(atanh(sqrt x)/sqrt x, its slope), 0 <= x < 1."""
    if x < NEAR:
        a = 1.0 + x * (1 / 3 + x * (1 / 5 + x * (1 / 7 + x * (1 / 9 + x * (1 / 11 + x * (1 / 13 + x / 15))))))
        s = 1 / 3 + x * (2 / 5 + x * (3 / 7 + x * (4 / 9 + x * (5 / 11 + x * (6 / 13 + x * 7 / 15)))))
        return a, s
    root = np.sqrt(x)
    a = np.arctanh(root) / root
    return a, 0.5 * (1.0 / (1.0 - x) - a) / x


@compiled
def strain(g11: float, g12: float, g21: float, g22: float, slopes: Array) -> tuple[float, float, float, float]:
    """(h11, h22, 2 h12, J) of G with J > 0; writes d(h11, h22, 2 h12)/d(G11, G12, G21, G22) into slopes (3, 4)."""
    b11, b22, o = g11 * g11 + g12 * g12, g21 * g21 + g22 * g22, g11 * g21 + g12 * g22
    j = g11 * g22 - g12 * g21
    m, d = 0.5 * (b11 + b22), 0.5 * (b11 - b22)
    rho2 = d * d + o * o
    x = rho2 / (m * m)
    a, da = ratio(x)
    phi = a / m
    area = -0.5 * np.log(j)
    for k in range(4):
        if k == 0:
            dj, dm, dd, do = g22, g11, g11, g21
        elif k == 1:
            dj, dm, dd, do = -g21, g12, g12, g22
        elif k == 2:
            dj, dm, dd, do = -g12, g21, -g21, g11
        else:
            dj, dm, dd, do = g11, g22, -g22, g12
        dx = 2.0 * ((d * dd + o * do) / (m * m) - x * dm / m)
        dphi = (da * dx - phi * dm) / m
        darea = -0.5 * dj / j
        slopes[0, k] = darea - 0.5 * (dphi * d + phi * dd)
        slopes[1, k] = darea + 0.5 * (dphi * d + phi * dd)
        slopes[2, k] = -(dphi * o + phi * do)
    return area - 0.5 * phi * d, area + 0.5 * phi * d, -phi * o, j


@compiled
def stress(
    law: Array, points: Array, c: Array, regular: float, e1: float, e2: float, g: float, out: Array
) -> tuple[float, float]:
    """(ebar, how much the secant falls) with strains e1, e2 and shear g = 2 e12; out: sigma11, sigma22, sigma12, then P^-1 e
    (three), then the secant.

    d sigma = secant C de + fall (C e) (C e) . de
    """
    u1 = c[0, 0] * e1 + c[0, 1] * e2
    u2 = c[0, 1] * e1 + c[1, 1] * e2
    u3 = c[2, 2] * g
    square = u1 * e1 + u2 * e2 + u3 * g
    q2 = square + regular * regular
    q = np.sqrt(q2)
    s, ds = flow(law, points, q)
    secant = s / q
    out[0], out[1], out[2] = secant * u1, secant * u2, secant * u3
    out[3], out[4], out[5], out[6] = u1, u2, u3, secant
    return np.sqrt(max(square, 0.0)), (ds - secant) / q2


@compiled
def respond(
    law: Array,
    points: Array,
    c: Array,
    regular: float,
    soften: float,
    g11: float,
    g12: float,
    g21: float,
    g22: float,
    slopes: Array,
    mid: Array,
    out: Array,
) -> float:
    """J of G. out (3, 5): sigma11, sigma22, sigma12 [MPa] in the triangle's plane and their slopes to G11, G12, G21, G22.
    soften 1: the slopes themselves; 0: as if the secant stood still (Kachanov's method); slopes (3, 4), mid (7,): room to work in.
    J <= 0: nothing is written."""
    if g11 * g22 - g12 * g21 <= 0.0:
        return -1.0
    e1, e2, g, j = strain(g11, g12, g21, g22, slopes)
    _, fall = stress(law, points, c, regular, e1, e2, g, mid)
    s1, s2, s3, secant = mid[0], mid[1], mid[2], mid[6]
    a, b = g11 + g22, g21 - g12
    r = np.sqrt(a * a + b * b)
    co, si = a / r, b / r
    cc, ss, cs = co * co, si * si, co * si
    out[0, 0] = cc * s1 + ss * s2 + 2.0 * cs * s3
    out[1, 0] = ss * s1 + cc * s2 - 2.0 * cs * s3
    out[2, 0] = cs * (s2 - s1) + (cc - ss) * s3
    for k in range(4):
        d1, d2, d3 = slopes[0, k], slopes[1, k], slopes[2, k]
        along = soften * fall * (mid[3] * d1 + mid[4] * d2 + mid[5] * d3)
        t1 = secant * (c[0, 0] * d1 + c[0, 1] * d2) + along * mid[3]
        t2 = secant * (c[0, 1] * d1 + c[1, 1] * d2) + along * mid[4]
        t3 = secant * c[2, 2] * d3 + along * mid[5]
        if k == 0:
            turned = -b / (r * r)
        elif k == 1:
            turned = -a / (r * r)
        elif k == 2:
            turned = a / (r * r)
        else:
            turned = -b / (r * r)
        t1 += turned * 2.0 * s3
        t2 -= turned * 2.0 * s3
        t3 += turned * (s2 - s1)
        out[0, k + 1] = cc * t1 + ss * t2 + 2.0 * cs * t3
        out[1, k + 1] = ss * t1 + cc * t2 - 2.0 * cs * t3
        out[2, k + 1] = cs * (t2 - t1) + (cc - ss) * t3
    return j
