"""The sheet's law at one point, compiled: see `sheet_law` for what it says and where it comes from.

`law` is a row of numbers (`SheetLaw.row`): E, nu, r, B, e_b, kind of flow curve, three constants, factor. History at a point is
(plastic strain along, across, back stress along, across, p, radius k).
"""

# The names of the equations are kept; numba compiles this once for each machine and keeps it on disk.

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ribwright.mechanics.compiled import compiled

Array = NDArray[np.float64]
HISTORY = 6
SWIFT, VOCE, TABLE = 0.0, 1.0, 2.0
ROOT2 = np.sqrt(2.0)
EXACT, ENOUGH = 1e-11, 1e-9
MOST_GUESS = 0.5  # plastic strain: more in `now` is not what an earlier look at this step left there


@compiled
def flow(law: Array, points: Array, p: float) -> tuple[float, float]:
    """Flow stress [MPa] and its slope [MPa] at equivalent plastic strain p. `points` (2, m): a table's strains, stresses."""
    kind, c0, c1, c2, factor = law[5], law[6], law[7], law[8], law[9]
    if kind == SWIFT:
        s = c0 * (c2 + p) ** c1
        return factor * s, factor * c1 * s / (c2 + p)
    if kind == VOCE:
        e = np.exp(-c2 * p)
        return factor * (c0 + c1 * (1.0 - e)), factor * c1 * c2 * e
    m = points.shape[1]
    if p >= points[0, m - 1]:
        return factor * points[1, m - 1], 0.0
    i = np.searchsorted(points[0], p, side="right") - 1
    slope = (points[1, i + 1] - points[1, i]) / (points[0, i + 1] - points[0, i])
    return factor * (points[1, i] + slope * (p - points[0, i])), factor * slope


@compiled
def respond(
    law: Array, points: Array, along: float, across: float, through: float, was: Array, now: Array
) -> tuple[float, float, float, float, float, float, bool]:
    """(stress along, across, d11, d12, d21, d22, solved); writes the new history into `now`; the plastic
    strain that an earlier look at the same step left there is where the search begins.

    Stresses and slopes [MPa] at log strains `along`, `across` with `through` [MPa] held on the sheet's plane.
    """
    e, nu, r, back, strain = law[0], law[1], law[2], law[3], law[4]
    cp, cm = e / (1.0 - nu), e / (1.0 + nu)
    pp, pm = 1.0 / (1.0 + r), (1.0 + 2.0 * r) / (1.0 + r)
    swell = (1.0 - 2.0 * nu) * through / e
    e1, e2 = along - was[0] - swell, across - was[1] - swell
    tp, tm = cp * (e1 + e2) / ROOT2, cm * (e1 - e2) / ROOT2
    bp, bm = (was[2] + was[3]) / ROOT2, (was[2] - was[3]) / ROOT2
    p0, k = was[4], was[5]
    if pp * (tp - bp) ** 2 + pm * (tm - bm) ** 2 <= k * k:
        for i in range(HISTORY):
            now[i] = was[i]
        d11, d12 = 0.5 * (cp + cm), 0.5 * (cp - cm)
        return (tp + tm) / ROOT2 + through, (tp - tm) / ROOT2 + through, d11, d12, d12, d11, True
    fade = 1.0 / strain
    faded = np.exp(-p0 * fade)
    x, miss, h, f = now[4] - p0, np.inf, 1.0, 1.0
    if not 0.0 < x < MOST_GUESS:
        x = 0.0
    kb, dkb, ap, am, up, um, vp, vm = 1.0, 0.0, 1.0, 1.0, 0.0, 0.0, 0.0, 0.0
    for _ in range(40):
        p = p0 + x
        k, dk = flow(law, points, p)
        f = 1.0
        if back > 0.0:
            f = np.exp(-x * fade)
            g = faded * f
            k -= back * (1.0 - g)
            dk -= back * fade * g
        kb, dkb = k + back * (1.0 - f), dk + back * fade * f
        ap, am = kb + x * cp * pp, kb + x * cm * pm
        up, um = (tp - bp * f) / ap, (tm - bm * f) / am
        q = np.sqrt(pp * up**2 + pm * um**2)
        vp = (bp * fade * f - up * (dkb + cp * pp)) / ap
        vm = (bm * fade * f - um * (dkb + cm * pm)) / am
        h = -(pp * up * vp + pm * um * vm)
        miss = abs(q - 1.0)
        if miss < EXACT:
            break
        x = max(x + (q - 1.0) * q * q / h, 0.5 * x)  # Newton on 1/q = 1, nearly straight in x
    gp, gm = -bp * fade * f + dkb * up + kb * vp, -bm * fade * f + dkb * um + kb * vm
    a1, a2 = pp * up * cp / ap / h, pm * um * cm / am / h
    mpp, mpm, mmp, mmm = kb / ap * cp + gp * a1, gp * a2, gm * a1, kb / am * cm + gm * a2
    fp, fm = x * pp * up, x * pm * um
    tbp, tbm = bp * f + back * (1.0 - f) * up, bm * f + back * (1.0 - f) * um
    now[0], now[1] = was[0] + (fp + fm) / ROOT2, was[1] + (fp - fm) / ROOT2
    now[2], now[3] = (tbp + tbm) / ROOT2, (tbp - tbm) / ROOT2
    now[4], now[5] = p0 + x, k
    sp, sm = bp * f + kb * up, bm * f + kb * um
    return (
        (sp + sm) / ROOT2 + through,
        (sp - sm) / ROOT2 + through,
        0.5 * (mpp + mpm + mmp + mmm),
        0.5 * (mpp - mpm + mmp - mmm),
        0.5 * (mpp + mpm - mmp - mmm),
        0.5 * (mpp - mpm - mmp + mmm),
        miss < ENOUGH,
    )
