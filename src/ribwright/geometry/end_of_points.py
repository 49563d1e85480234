"""Where a face ends, from points scattered over it: the free edge of a flange, the contour of a plain edge, the rim of a hole.

    over a face   N(> x) = m sd G((x - e)/sd),  G(z) = phi(z) - z (1 - Phi(z))   m points a mm, their error sd, the face's end e
                  the k-th point from the end lies at x_k with N = k, so  e = x_k - sd z_k,  G(z_k) = k/(m sd);
                  its standard uncertainty is sqrt(k + 1 + k^2/n)/(m (1 - Phi(z_k))), n points behind m, one for the count
    along the end alone, as an arm follows an edge   e = their mean, sd/sqrt(n)
Points strewn evenly at random are taken for granted in the first; k is what 0.15 mm hold, 3 to 12: more keeps strays from deciding, less is
surer where points are few.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import erf, exp, pi, sqrt

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
LEAST_K, MOST_K, K_MM = 3, 12, 0.15
OUTER, DEEPEST = 0.7, 8.0  # the density is taken from this far inside the end, at most to there [mm]
LINE, MOSTLY = 6, 0.7  # least points of a line; the share of them that must lie on it
SURE_LINE = 10  # least of one among points that may be a thinly strewn face
WIDEST_LINE = 0.06  # how wide such a line may scatter [mm]
LEAST_WITHIN = 24  # points that tell a density
LEAST_SD = 1e-6  # [mm]
STRAY = 3.5  # deviations that make a point a stray


@dataclass(frozen=True)
class End:
    """The end's place [mm], its standard uncertainty, how many points say so, whether they lay along it alone."""

    at: float
    sd: float
    points: int
    line: bool


def end_of(values: Array, near: float, sd: float, reach: float = 2.0, face: float = 2.5) -> End | None:
    """Where values (n,), growing towards the end, cease near `near`, at most `reach` off [mm]. `sd` the points' standard error along
    them, `face` how far inside the end points lie evenly [mm]. None where too few points tell."""
    deep = min(face, DEEPEST)
    x = np.sort(values[(values < near + reach) & (values > near - reach - deep)])
    if len(x) < LINE:
        return None
    within = np.count_nonzero((x > x[-LINE] - deep) & (x < x[-LINE] - OUTER))
    if within < LEAST_WITHIN and (line := line_of(values, near, sd, reach, SURE_LINE)) is not None:
        return line
    inside = within / (deep - OUTER)
    if within < LEAST_WITHIN:
        return None
    k = int(np.clip(K_MM * inside, LEAST_K, MOST_K))
    sd = max(sd, LEAST_SD)
    e = float(x[-k]) - sd * _z_of(k / (inside * sd))
    within = np.count_nonzero((x > e - deep) & (x < e - OUTER))
    if within < LEAST_WITHIN:
        return None
    density = within / (deep - OUTER)
    z = _z_of(k / (density * sd))
    share = (1.0 - erf(z / sqrt(2.0))) / 2.0
    spread = sqrt(k + 1 + k * k / within) / (density * share)
    return _within(End(float(x[-k]) - sd * z, spread, len(x), False), near, reach)


def line_of(values: Array, near: float, sd: float, reach: float = 2.0, least: int = LINE) -> End | None:
    """The end where points (n,) lie along it alone; None where they are under `least` or strewn over more."""
    x = np.sort(values[np.abs(values - near) < reach])
    if len(x) < LINE:
        return None
    middle = float(np.median(x))
    kept = x[np.abs(x - middle) < STRAY * max(sd, 1.4826 * float(np.median(np.abs(x - middle))))]
    spread = float(np.std(kept))
    if len(kept) < max(least, MOSTLY * len(x)) or spread > WIDEST_LINE + 2.0 * sd:
        return None
    return End(float(np.mean(kept)), max(sd, spread) / sqrt(len(kept)), len(kept), True)


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
