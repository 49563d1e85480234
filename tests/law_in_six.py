"""The sheet's law written a second way: Hill's (1948) yield in six components, rates integrated by a general solver.

Nothing is shared with the compiled law but the flow curve: no sums and differences, no return, no plane-stress measure. The
strain rate across the thickness follows from the stress held there.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import solve_ivp

from ribwright.mechanics.sheet_law import SheetLaw

Array = NDArray[np.float64]


def hill(r: float) -> Array:
    """(6, 6) P of k^2 = x . P x, order 11 22 33 23 31 12; the one strain ratio r in every direction of the sheet; in tension
    along 1 or 2 k is the stress. F = G = 1/(1 + r), H = r/(1 + r), N = (1 + 2 r)/(1 + r), L = M = 3/2."""
    f = g = 1.0 / (1.0 + r)
    h, n = r / (1.0 + r), (1.0 + 2.0 * r) / (1.0 + r)
    p = np.zeros((6, 6))
    p[:3, :3] = [[g + h, -h, -g], [-h, f + h, -f], [-g, -f, f + g]]
    p[3, 3] = p[4, 4] = 2.0 * 1.5
    p[5, 5] = 2.0 * n
    return p


def elastic(e: float, nu: float) -> Array:
    """(6, 6) stress by engineering strain."""
    lame, g = e * nu / ((1 + nu) * (1 - 2 * nu)), e / (2 * (1 + nu))
    c = np.diag([2 * g] * 3 + [g] * 3)
    c[:3, :3] += lame
    return c


def follow(law: SheetLaw, path: Array, through: float) -> tuple[float, float, float]:
    """(stress along, across, p) at the end of straight pieces through the points of `path` (m, 2), from 0, `through` [MPa] held.

    The sheet is first put under `through` alone, its strains free, and strained after that.
    """
    c, p6 = elastic(law.e, law.nu), hill(law.r)
    free = through * np.array([-law.nu, -law.nu]) / law.e  # strains along and across under the stress through it alone
    y = np.concatenate([[0.0, 0.0, through, 0.0, 0.0, 0.0], np.zeros(6), [0.0]])  # stress, back stress, p
    at = free
    for goal in path:
        y = _piece(law, c, p6, y, np.asarray(goal) - at)
        at = np.asarray(goal)
    return float(y[0]), float(y[1]), float(y[12])


def _piece(law: SheetLaw, c: Array, p6: Array, y: Array, change: Array) -> Array:
    """One straight piece: elastic up to yield, then plastic; and again if it unloads."""

    def radius(p: float) -> float:
        return float(law.curve.stress(np.asarray(p))) - law.back * (1.0 - np.exp(-p / law.back_strain))

    def measure(y: Array) -> float:
        x = y[:6] - y[6:12]
        return float(np.sqrt(x @ p6 @ x)) - radius(y[12])

    def strain_rate(d: Array) -> Array:
        """With the third component such that the stress through the sheet stands still, stress rate = d e."""
        e = np.zeros(6)
        e[:2] = change
        e[2] = -(d[2, :2] @ change) / d[2, 2]
        return e

    def elastic_rate(_: float, y: Array) -> Array:
        return np.concatenate([c @ strain_rate(c), np.zeros(7)])

    def plastic_parts(y: Array) -> tuple[Array, Array, Array, float]:
        x, p = y[:6] - y[6:12], y[12]
        k = float(np.sqrt(x @ p6 @ x))
        n = p6 @ x / k  # engineering strain per p
        fade = np.exp(-p / law.back_strain)
        dk = float(law.curve.slope(np.asarray(p))) - law.back / law.back_strain * fade
        db = law.back / law.back_strain * (x / k - y[6:12] / law.back) if law.back > 0.0 else np.zeros(6)
        hard = n @ c @ n + dk + n @ db
        return n, db, c - np.outer(c @ n, n @ c) / hard, hard

    def plastic_rate(_: float, y: Array) -> Array:
        n, db, d, hard = plastic_parts(y)
        e = strain_rate(d)
        dp = float(n @ c @ e) / hard
        return np.concatenate([d @ e, db * dp, [dp]])

    def yields(_: float, y: Array) -> float:
        return measure(y) - 1e-10

    def unloads(_: float, y: Array) -> float:
        n, _db, d, hard = plastic_parts(y)
        return float(n @ c @ strain_rate(d)) / hard

    yields.terminal, yields.direction = True, 1  # type: ignore[attr-defined]
    unloads.terminal, unloads.direction = True, -1  # type: ignore[attr-defined]
    t, plastic = 0.0, measure(y) > -1e-6 and unloads(0.0, y) > 0.0
    while t < 1.0:
        rate, event = (plastic_rate, unloads) if plastic else (elastic_rate, yields)
        run = solve_ivp(rate, (t, 1.0), y, events=event, rtol=1e-9, atol=1e-10, max_step=0.02)
        t, y = float(run.t[-1]), run.y[:, -1]
        plastic = not plastic
    return np.asarray(y)
