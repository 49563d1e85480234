"""One element of the layered strip, compiled: forces on its two nodes and their slopes.

Nodes carry (x, y, theta) of the flat sheet's mid-surface; theta turns the thickness direction n = (-sin, cos), 0 flat, negative
down over the block. One point along (Reissner 1972; Simo 1985). For an element of flat length L, with its mean angle:

    l = r' . t  stretch,  g = r' . n  shear,  k = theta'  bending,  r' = (dx, dy)/L
    layer at zeta   lambda^2 = l^2 - 2 k zeta/h       bending with the volume kept, h hoop stretch of the mid-surface
                    eps_along = ln lambda,   eps_across = ln((r + zeta n_r)/r0) round an axis, 0 in plane strain
                    s = sigma - sigma_through         where the volume is kept a stress all round does no work
    N = int s d eps/d l,  M = int s d eps/d k,  Q = 5/6 G t g,  and those on x and theta of the mid-surface round an axis

The stress through the sheet goes straight from the block's push on the inner face to the pressure on the outer one. It enters the law by
the elastic change of volume alone; what the faces' loads do as the sheet thins is theirs (`faces`).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ribwright.mechanics.compiled import compiled
from ribwright.mechanics.law_kernel import HALF, HISTORY, respond, tried

Array = NDArray[np.float64]
SHEAR_FACTOR = 5.0 / 6.0
T, RADIUS, WALL, AXIS, SIGN, FRICTION, RING, THROUGH, EDGE = range(9)  # of a case's row of numbers
LEAST_STRETCH2 = 0.04  # square of the least layer stretch that is let in: Newton may ask for nonsense on its way


@compiled
def element(
    case: Array, law: Array, points: Array, zeta: Array, weight: Array, ends: Array, long: float, flat_x: float,
    push: float, pressure: float, was: Array, now: Array, force: Array, slope: Array, by_push: Array, out: Array, stress: Array,
) -> bool:  # fmt: skip
    """Writes `force` (6,), `slope` (6, 6), `by_push` (6,) the force's slope with the push, the new history `now`, `out`
    (moment, normal force, of the whole stress along) and `stress` of the layers.

    `ends` (6,): x, y, theta of both nodes; `flat_x`: x of the middle in the flat [mm]; `push`,
    `pressure` [MPa] on inner and outer face, 0 where stress through the sheet is left out.
    """
    t, ring, sign = case[T], case[RING] > 0.0, case[SIGN]
    dx, dy = ends[3] - ends[0], ends[4] - ends[1]
    th, k = 0.5 * (ends[2] + ends[5]), (ends[5] - ends[2]) / long
    c, s = np.cos(th), np.sin(th)
    l, g = (dx * c + dy * s) / long, (dy * c - dx * s) / long
    flat_r, hoop, by_x, now_r = 1.0, 1.0, 0.0, 1.0
    if ring:
        flat_r = case[AXIS] + sign * flat_x
        now_r = case[AXIS] + sign * 0.5 * (ends[0] + ends[3])
        hoop, by_x = now_r / flat_r, sign / now_r
    n_, m_, k_ll, k_lk, k_kk = 0.0, 0.0, 0.0, 0.0, 0.0
    hr, ht, k_rr, k_rt, k_tr, k_tt, m_whole, n_whole = 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0
    k_rl, k_rk, k_tl, k_tk, k_lr, k_kr, k_lt, k_kt = 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0
    n_p, m_p, hr_p, ht_p, swell = 0.0, 0.0, 0.0, 0.0, (1.0 - 2.0 * law[1]) / law[0]
    solved, cp, cm, pp, pm = True, law[10], law[11], law[12], law[13]
    straight, cross = 0.5 * (cp + cm), 0.5 * (cp - cm)
    for i in range(len(zeta)):
        z, w = zeta[i] * t, weight[i] * t
        lam2 = max(l * l - 2.0 * k * z / hoop, LEAST_STRETCH2)
        fibre, across = 1.0, 0.0
        if ring:
            fibre = max(now_r - sign * z * s, 1e-3)
            across = np.log(fibre / flat_r)
        through = -push * (0.5 - zeta[i]) - pressure * (0.5 + zeta[i])
        along, squeeze = 0.5 * np.log(lam2), law[14] * through
        elastic, tp, tm, _, _ = tried(
            cp, cm, pp, pm, along - was[i, 0] - squeeze, across - was[i, 1] - squeeze, was[i, 2], was[i, 3], was[i, 5]
        )
        if elastic:
            for h in range(HISTORY):
                now[i, h] = was[i, h]
            sa, sc = (tp + tm) * HALF + through, (tp - tm) * HALF + through
            d11, d12, d21, d22 = straight, cross, cross, straight
        else:
            sa, sc, d11, d12, d21, d22, fine = respond(law, points, along, across, through, was[i], now[i])
            solved = solved and fine
        stress[i] = sa
        el, ek = l / lam2, -z / hoop / lam2
        n_whole += w * sa * el
        m_whole += w * sa * ek
        sa, sc = sa - through, sc - through
        near = w * (0.5 - zeta[i]) * swell
        by = near * (d11 + d12)
        n_p += by * el
        m_p += by * ek
        n_ += w * sa * el
        m_ += w * sa * ek
        k_ll += w * (d11 * el * el + sa * (1.0 / lam2 - 2.0 * el * el))
        k_lk += w * (d11 - 2.0 * sa) * el * ek
        k_kk += w * (d11 - 2.0 * sa) * ek * ek
        if ring:
            er, et, en = sign / fibre, -sign * z * c / fibre, -k * ek * by_x
            hr_p += by * en
            by = near * (d21 + d22)
            hr_p += by * er
            ht_p += by * et
            hr += w * (sc * er + sa * en)
            ht += w * sc * et
            k_rr += w * (
                (d22 - sc) * er * er + (d12 + d21) * er * en + (d11 - 2.0 * sa) * en * en - 2.0 * sa * en * by_x
            )
            k_rt += w * ((d22 - sc) * er + d12 * en) * et
            k_tr += w * ((d22 - sc) * er + d21 * en) * et
            k_tt += w * ((d22 - sc) * et * et + sc * sign * z * s / fibre)
            k_rl += w * (d21 * er + (d11 - 2.0 * sa) * en) * el
            k_rk += w * ((d21 * er + (d11 - 2.0 * sa) * en) * ek - sa * ek * by_x)
            k_tl += w * d21 * et * el
            k_tk += w * d21 * et * ek
            k_lr += w * (d12 * er + (d11 - 2.0 * sa) * en) * el
            k_kr += w * ((d12 * er + (d11 - 2.0 * sa) * en) * ek - sa * ek * by_x)
            k_lt += w * d12 * et * el
            k_kt += w * d12 * et * ek
    out[0], out[1] = m_whole, n_whole
    shear = SHEAR_FACTOR * law[0] / (2.0 * (1.0 + law[1])) * t
    q = shear * g
    # local unknowns: dx, dy, mean theta, k, mean x
    bl = (c / long, s / long, g)
    bg = (-s / long, c / long, -l)
    kk = np.zeros((5, 6))  # a column of room
    for i in range(3):
        for j in range(3):
            kk[i, j] = k_ll * bl[i] * bl[j] + shear * bg[i] * bg[j]
        kk[i, 3] = k_lk * bl[i]
        kk[3, i] = k_lk * bl[i]
    kk[3, 3] = k_kk
    gx, gy = (-n_ * s - q * c) / long, (n_ * c - q * s) / long
    kk[0, 2] += gx
    kk[2, 0] += gx
    kk[1, 2] += gy
    kk[2, 1] += gy
    kk[2, 2] -= n_ * l + q * g
    if ring:
        kk[4, 4] = k_rr
        kk[4, 2] += k_rt
        kk[2, 4] += k_tr
        kk[2, 2] += k_tt
        for i in range(3):
            kk[4, i] += k_rl * bl[i]
            kk[i, 4] += k_lr * bl[i]
            kk[2, i] += k_tl * bl[i]
            kk[i, 2] += k_lt * bl[i]
        kk[4, 3] += k_rk
        kk[3, 4] += k_kr
        kk[2, 3] += k_tk
        kk[3, 2] += k_kt
    f = (n_ * bl[0] + q * bg[0], n_ * bl[1] + q * bg[1], n_ * bl[2] + q * bg[2] + ht, m_, hr)
    to_nodes(f, kk, long, long * flat_r, force, slope)
    weigh = long * flat_r
    by_push[0], by_push[1], by_push[5] = -n_p * bl[0] * weigh, -n_p * bl[1] * weigh, m_p * flat_r
    half = 0.5 * (n_p * bl[2] + ht_p) * weigh
    by_push[2], by_push[3], by_push[4], by_push[5] = half - m_p * flat_r, -by_push[0], -by_push[1], half + m_p * flat_r
    if ring:
        by_push[0] += 0.5 * hr_p * weigh
        by_push[3] += 0.5 * hr_p * weigh
    return solved


@compiled
def to_nodes(
    f: tuple[float, float, float, float, float], kk: Array, long: float, weight: float, force: Array, slope: Array
) -> None:
    """Local (dx, dy, mean theta, k, mean x) to (x, y, theta) of both nodes."""
    # x1 = -dx + x/2, y1 = -dy, theta1 = theta/2 - k/L, x2 = dx + x/2, y2 = dy, theta2 = theta/2 + k/L, rows first, then columns
    h = weight
    force[0], force[1], force[2] = h * (0.5 * f[4] - f[0]), -h * f[1], h * (0.5 * f[2] - f[3] / long)
    force[3], force[4], force[5] = h * (0.5 * f[4] + f[0]), h * f[1], h * (0.5 * f[2] + f[3] / long)
    for a in range(5):
        x, t, k = 0.5 * kk[a, 4], 0.5 * kk[a, 2], kk[a, 3] / long
        dx, dy = kk[a, 0], kk[a, 1]
        kk[a, 0], kk[a, 1], kk[a, 2], kk[a, 3], kk[a, 4], kk[a, 5] = x - dx, -dy, t - k, x + dx, dy, t + k
    for j in range(6):
        x, t, k, dx, dy = 0.5 * kk[4, j], 0.5 * kk[2, j], kk[3, j] / long, kk[0, j], kk[1, j]
        slope[0, j], slope[1, j], slope[2, j] = h * (x - dx), -h * dy, h * (t - k)
        slope[3, j], slope[4, j], slope[5, j] = h * (x + dx), h * dy, h * (t + k)
