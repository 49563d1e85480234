"""Where a face ends, from points scattered over it: the free edge of a flange, the contour of a plain edge, the rim of a hole.

    over a face   N(> x) = m sd G((x - e)/sd),  G(z) = phi(z) - z (1 - Phi(z))   m points a mm, their error sd, the face's end e
                  the k-th point from the end lies at x_k with N = k, so  e = x_k - sd z_k,  G(z_k) = k/(m sd);
                  its standard uncertainty is sqrt(k)/(m (1 - Phi(z_k)))
    along the end alone, as an arm follows an edge   e = their mean, sd/sqrt(n)
Points strewn evenly at random are taken for granted in the first; k = 12 keeps a few strays from deciding.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import erf, exp, pi, sqrt

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
KTH = 12
INNER, OUTER = 2.5, 0.7  # the density is taken between these distances inside the end [mm]
FACE, LINE = 0.3, 5  # points a mm inside over those at the end, below which they are a line; the least there [-]
LEAST_SD = 1e-6  # [mm]
STRAY = 3.5  # deviations that make a point a stray


@dataclass(frozen=True)
class End:
    """The end's place [mm], its standard uncertainty, how many points say so, whether they lay along it alone."""

    at: float
    sd: float
    points: int
    line: bool


def end_of(values: Array, near: float, sd: float, reach: float = 2.0) -> End | None:
    """Where values (n,), growing towards the end, cease near `near`, at most `reach` off [mm]. `sd` the points' standard error along
    them. None where too few points tell."""
    x = np.sort(values[np.abs(values - near) < reach + INNER])
    if len(x) < LINE:
        return None
    top = float(np.median(x[-min(len(x), LINE) :]))
    at_end = x[x > top - 0.4]
    inside = np.count_nonzero((x > top - INNER) & (x < top - OUTER)) / (INNER - OUTER)
    if len(at_end) >= LINE and inside < FACE * len(at_end):
        middle = float(np.median(at_end))
        kept = at_end[np.abs(at_end - middle) < STRAY * max(sd, 1.4826 * float(np.median(np.abs(at_end - middle))))]
        spread = max(sd, float(np.std(kept)))
        return _within(End(float(np.mean(kept)), spread / sqrt(len(kept)), len(kept), True), near, reach)
    if inside * (INNER - OUTER) < KTH or len(x) < 2 * KTH:
        return None
    sd = max(sd, LEAST_SD)
    e = float(x[-KTH]) - sd * _z_of(KTH / (inside * sd))
    density = np.count_nonzero((x > e - INNER) & (x < e - OUTER)) / (INNER - OUTER)
    if density * (INNER - OUTER) < KTH:
        return None
    z = _z_of(KTH / (density * sd))
    share = (1.0 - erf(z / sqrt(2.0))) / 2.0
    spread = sqrt(KTH + (KTH / sqrt(density * (INNER - OUTER))) ** 2) / (density * share)
    return _within(End(float(x[-KTH]) - sd * z, spread, len(x), False), near, reach)


def _within(end: End, near: float, reach: float) -> End | None:
    return end if abs(end.at - near) <= reach else None


def _z_of(g: float) -> float:
    """z with phi(z) - z (1 - Phi(z)) = g; falls from +inf to 0 as z grows."""
    if g > 8.0:
        return -g  # there G(z) = -z
    low, high = -9.0, 8.0
    for _ in range(60):
        z = (low + high) / 2
        tail = (1.0 - erf(z / sqrt(2.0))) / 2.0
        low, high = (z, high) if exp(-z * z / 2) / sqrt(2 * pi) - z * tail > g else (low, z)
    return (low + high) / 2
