"""n points on a line that share what has gathered along it most evenly: only in allowed stretches, and so far apart.

`amount` G rises along `x` from 0 to a total; each point takes total/n. What is made as small as can be is the largest amount
that has to travel past any place to reach its point:

    miss = max over x |G(x) - total (points before x)/n| = total/(2 n) + max over k |G(s_k) - total (k - 1/2)/n|

For a bound on the second term each point has a window of places, and the points fit if each can be put at the first allowed
place past its forerunner: that finds a way wherever there is one, so halving the bound finds the least (to 1e-12 of the total).
Of all ways with that least the one is taken whose points lie nearest to where they would lie alone, in least squares.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import isotonic_regression

Array = NDArray[np.float64]
Stretch = tuple[float, float]
HALVINGS = 44
PER_STRETCH = 17  # places of a stretch that are weighed against each other when the stretches are chosen
ROUNDS = 400


@dataclass(frozen=True, eq=False)
class Spread:
    """Places `at` (n,) in rising x, and `miss`, the largest amount that travels past any place."""

    at: Array
    miss: float


def free_stretches(low: float, high: float, taken: list[Stretch], room: float = 0.0) -> list[Stretch]:
    """Stretches from low to high outside every taken one, each drawn in by `room` at both ends; those that vanish are left out."""
    out, start = [], low
    for a, b in [*sorted(taken), (high, np.inf)]:
        if min(a, high) - room >= start + room:
            out.append((start + room, min(a, high) - room))
        start = max(start, b)
    return out


def spread(x: Array, amount: Array, n: int, allowed: list[Stretch], apart: float) -> Spread | None:
    """The most even places of n points. x (m,) and amount (m,) never fall, amount begins at 0; None where n points do not fit."""
    if n < 1 or not allowed:
        return None
    total = float(amount[-1])
    shares = total * (np.arange(n) + 0.5) / n
    most = total
    if _first_fit(_windows(x, amount, shares, most), allowed, apart) is None:
        return None
    low, high = 0.0, most
    for _ in range(HALVINGS):
        middle = (low + high) / 2.0
        fits = _first_fit(_windows(x, amount, shares, middle), allowed, apart) is not None
        low, high = (low, middle) if fits else (middle, high)
    windows = _windows(x, amount, shares, high + 1e-12 * total)
    at = _nearest(windows, _windows(x, amount, shares, 0.0), allowed, apart)
    return Spread(at, float(missed(x, amount, at, np.full(n, total / n))))


def missed(x: Array, amount: Array, at: Array, takes: Array) -> float:
    """The largest |G(x) - takes before x| over the line, takes (n,) scaled to the total of G: the amount that travels past a place."""
    total = float(amount[-1])
    if not len(at) or total <= 0.0:
        return total
    after = np.cumsum(takes) / np.sum(takes) * total
    before = np.concatenate([[0.0], after[:-1]])
    here = np.interp(at, x, amount)
    return float(np.max(np.abs([here - before, here - after])))


def _windows(x: Array, amount: Array, shares: Array, bound: float) -> list[Stretch]:
    """First and last place where the amount lies within `bound` of each share."""
    return [(_first(x, amount, v - bound), _last(x, amount, v + bound)) for v in shares]


def _first(x: Array, amount: Array, value: float) -> float:
    k = int(np.searchsorted(amount, value, "left"))
    if k == 0 or k >= len(x):
        return float(x[min(k, len(x) - 1)])
    return float(x[k - 1] + (x[k] - x[k - 1]) * (value - amount[k - 1]) / (amount[k] - amount[k - 1]))


def _last(x: Array, amount: Array, value: float) -> float:
    k = int(np.searchsorted(amount, value, "right"))
    if k == 0 or k >= len(x):
        return float(x[max(k - 1, 0)])
    return float(x[k - 1] + (x[k] - x[k - 1]) * (value - amount[k - 1]) / (amount[k] - amount[k - 1]))


def _first_fit(windows: list[Stretch], allowed: list[Stretch], apart: float) -> Array | None:
    """Each point at the first allowed place of its window that is far enough past its forerunner; None where one has none."""
    out: list[float] = []
    for low, high in windows:
        start = low if not out else max(low, out[-1] + apart)
        place = next((max(start, a) for a, b in allowed if max(start, a) <= b), None)
        if place is None or place > high + 1e-12:
            return None
        out.append(place)
    return np.array(out)


def _last_fit(windows: list[Stretch], allowed: list[Stretch], apart: float) -> Array | None:
    turned = _first_fit([(-b, -a) for a, b in reversed(windows)], [(-b, -a) for a, b in reversed(allowed)], apart)
    return None if turned is None else -turned[::-1]


def _nearest(windows: list[Stretch], alone: list[Stretch], allowed: list[Stretch], apart: float) -> Array:
    """Places in the windows nearest to the middle of where each point would lie alone: which stretch each lies in by weighing
    places of all stretches, then the exact least squares within those."""
    wish = np.array([(a + b) / 2.0 for a, b in alone])
    fits = [f for f in (_first_fit(windows, allowed, apart), _last_fit(windows, allowed, apart)) if f is not None]
    rows = [
        _places(w, q, allowed, [float(f[k]) for f in fits]) for k, (w, q) in enumerate(zip(windows, wish, strict=True))
    ]
    picked = _weighed(rows, wish, apart)
    bounds = [next((max(a, w[0]), min(b, w[1])) for a, b in allowed if a - 1e-9 <= p <= b + 1e-9)
              for p, w in zip(picked, windows, strict=True)]  # fmt: skip
    return _least_squares(picked, wish, np.array(bounds), apart)


def _places(window: Stretch, wish: float, allowed: list[Stretch], sure: list[float]) -> Array:
    out = list(sure)
    for a, b in allowed:
        low, high = max(a, window[0]), min(b, window[1])
        if low <= high:
            out += [*np.linspace(low, high, PER_STRETCH), float(np.clip(wish, low, high))]
    return np.unique(out)


def _weighed(rows: list[Array], wish: Array, apart: float) -> Array:
    """One place of each row, far enough apart, with the least sum of squares: by steps from the first row to the last."""
    cost = (rows[0] - wish[0]) ** 2
    came: list[NDArray[np.int64]] = []
    for k in range(1, len(rows)):
        best = np.minimum.accumulate(cost)
        who = np.maximum.accumulate(np.where(cost <= best, np.arange(len(cost)), 0))
        last = np.searchsorted(rows[k - 1], rows[k] - apart + 1e-9, "right") - 1
        came.append(np.where(last >= 0, who[np.maximum(last, 0)], -1))
        cost = np.where(last >= 0, best[np.maximum(last, 0)], np.inf) + (rows[k] - wish[k]) ** 2
    j = int(np.argmin(cost))
    out = [rows[-1][j]]
    for k in range(len(rows) - 1, 0, -1):
        j = int(came[k - 1][j])
        out.append(rows[k - 1][j])
    return np.array(out[::-1])


def _least_squares(start: Array, wish: Array, bounds: Array, apart: float) -> Array:
    """The places nearest to the wished ones within bounds (n, 2) and so far apart; `start` where that is not found in time.

    With u_k = s_k - k apart the places are apart where u never falls: turns of clipping and of isotonic regression (Dykstra).
    """
    shift = apart * np.arange(len(wish))
    low, high = bounds[:, 0] - shift, bounds[:, 1] - shift
    u = wish - shift
    p, q = np.zeros(len(u)), np.zeros(len(u))
    for _ in range(ROUNDS):
        inside = np.clip(u + p, low, high)
        p = u + p - inside
        rising = np.asarray(isotonic_regression(inside + q).x)
        q = inside + q - rising
        done = float(np.max(np.abs(rising - inside)))
        u = rising
        if done < 1e-12:
            break
    inside = np.clip(u, low, high)
    good = bool(np.all(np.diff(inside) >= -1e-9))
    return inside + shift if good else start
