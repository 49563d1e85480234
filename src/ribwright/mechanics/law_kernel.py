"""The sheet's law at one point, compiled: see `sheet_law` for what it says and where it comes from.

`law` is a row of numbers (`SheetLaw.row`): E, nu, r, B, e_b, kind of flow curve, three constants, factor; then what follows from them
and would be worked out at every point: E/(1 - nu), E/(1 + nu), 1/(1 + r), (1 + 2 r)/(1 + r), (1 - 2 nu)/E, 1/e_b. History at a point is
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
HALF = np.sqrt(0.5)
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
def tried(
    cp: float, cm: float, pp: float, pm: float, e1: float, e2: float, b1: float, b2: float, k: float
) -> tuple[bool, float, float, float, float]:  # fmt: skip
    """(elastic, trial stress as sum and difference, back stress likewise) at elastic strains e1, e2 and back stress b1, b2 [MPa], radius k.

    Numbers alone and no arrays, so that it is worked out where it is asked: most points of a sheet are elastic.
    """
    tp, tm = cp * (e1 + e2) * HALF, cm * (e1 - e2) * HALF
    bp, bm = (b1 + b2) * HALF, (b1 - b2) * HALF
    return pp * (tp - bp) ** 2 + pm * (tm - bm) ** 2 <= k * k, tp, tm, bp, bm


@compiled
def respond(
    law: Array, points: Array, along: float, across: float, through: float, was: Array, now: Array
) -> tuple[float, float, float, float, float, float, bool]:
    """(stress along, across, d11, d12, d21, d22, solved); writes the new history into `now`; the plastic
    strain that an earlier look at the same step left there is where the search begins.

    Stresses and slopes [MPa] at log strains `along`, `across` with `through` [MPa] held on the sheet's plane.
    """
    back, cp, cm, pp, pm, fade = law[3], law[10], law[11], law[12], law[13], law[15]
    swell = law[14] * through
    e1, e2 = along - was[0] - swell, across - was[1] - swell
    p0, k = was[4], was[5]
    elastic, tp, tm, bp, bm = tried(cp, cm, pp, pm, e1, e2, was[2], was[3], k)
    if elastic:
        for i in range(HISTORY):
            now[i] = was[i]
        d11, d12 = 0.5 * (cp + cm), 0.5 * (cp - cm)
        return (tp + tm) * HALF + through, (tp - tm) * HALF + through, d11, d12, d12, d11, True
    faded = np.exp(-p0 * fade)
    x, miss, h, f = now[4] - p0, np.inf, 1.0, 1.0
    guessed = 0.0 < x < MOST_GUESS
    if not guessed:
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
        newton = x + (q - 1.0) * q * q / h  # on 1/q = 1, nearly straight in x
        if guessed and newton < 0.5 * x:
            x, guessed = 0.0, False  # a guess far above the root: by halves it would never come to a root at 0
        else:
            x = max(newton, 0.5 * x)
    gp, gm = -bp * fade * f + dkb * up + kb * vp, -bm * fade * f + dkb * um + kb * vm
    a1, a2 = pp * up * cp / ap / h, pm * um * cm / am / h
    mpp, mpm, mmp, mmm = kb / ap * cp + gp * a1, gp * a2, gm * a1, kb / am * cm + gm * a2
    fp, fm = x * pp * up, x * pm * um
    tbp, tbm = bp * f + back * (1.0 - f) * up, bm * f + back * (1.0 - f) * um
    now[0], now[1] = was[0] + (fp + fm) * HALF, was[1] + (fp - fm) * HALF
    now[2], now[3] = (tbp + tbm) * HALF, (tbp - tbm) * HALF
    now[4], now[5] = p0 + x, k
    sp, sm = bp * f + kb * up, bm * f + kb * um
    return (
        (sp + sm) * HALF + through,
        (sp - sm) * HALF + through,
        0.5 * (mpp + mpm + mmp + mmm),
        0.5 * (mpp - mpm + mmp - mmm),
        0.5 * (mpp + mpm - mmp - mmm),
        0.5 * (mpp - mpm - mmp + mmm),
        miss < ENOUGH,
    )
