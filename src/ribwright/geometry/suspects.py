"""The points of a line that the curve through all the others does not pass: single ones, and two or three side by side.

A single point is judged by `fit_error`, a run by `run_error`. Of a point and the runs about it the one is told that is farthest past its
threshold: beside one wrong point a run has a right one in it and stays under, and of two wrong ones neither stands out alone.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ribwright.geometry.fit_error import BLOCK, LEAST_POINTS, OVERLAP, THRESHOLD, FitError, fit_error
from ribwright.geometry.run_error import RunError, run_error
from ribwright.geometry.smoother import smoothers

Array = NDArray[np.float64]
RUN_THRESHOLDS = {2: 6.0, 3: 9.0}
"""As THRESHOLD, for runs of so many points: over a wider gap a curve is known less well. Set by trial as that is: of tables of sections
without a planted error fewer than one in a hundred has a larger share (benchmarks/ordinates.py --clean)."""
ASIDE = 6  # points: a wrong one is felt so far


@dataclass(frozen=True)
class Suspect:
    """Point `index` misses the curve through the others by `miss` [mm] along `normal`; `local` its fit error there [mm]. `together`: how
    many points side by side were judged with it, itself included."""

    index: int
    miss: float
    local: float
    normal: tuple[float, float]
    together: int = 1


@dataclass(frozen=True)
class _Run:
    """Points `first` on of those that are left; `past` its threshold, as a share of it."""

    first: int
    past: float
    told: tuple[Suspect, ...]


def suspects(points: Array, step: float, most: int = 20) -> tuple[Suspect, ...]:
    """The points past their threshold, the worst first; points (n, 2) [mm] in order, `step` [mm] the table's last digit. Each is set aside
    before others are sought near it, so that it accuses no neighbour."""
    left = np.arange(len(points))
    found: list[Suspect] = []
    while len(found) < most:
        aside: list[int] = []
        for run in sorted(_past(points[left], step), key=lambda r: (-r.past, r.first)):
            its = range(run.first, run.first + len(run.told))
            if all(abs(i - j) > ASIDE for i in its for j in aside):
                aside += its
                found += [_numbered(s, left) for s in run.told]
        if not aside:
            break
        left = np.delete(left, aside)
    return tuple(found)


def _past(points: Array, step: float) -> list[_Run]:
    """Every point and run past its threshold."""
    one = fit_error(points, step)
    out = [_single(one, int(i)) for i in np.flatnonzero(one.share > THRESHOLD)]
    for first, k, errors in _windows(points, step):
        at = np.flatnonzero(errors.share > RUN_THRESHOLDS[k])
        out += [_run(errors, int(i), first, RUN_THRESHOLDS[k]) for i in at]
    return out


def _windows(points: Array, step: float) -> list[tuple[int, int, RunError]]:
    """The runs of a line in windows that can be solved at once: (number of its first point, length of the runs, errors). Windows overlap:
    near the edge of one a run is known less well than in the next."""
    n = len(points)
    starts = range(0, max(1, n - OVERLAP), BLOCK - OVERLAP) if n > BLOCK else (0,)
    out = []
    for a in starts:
        window = points[a : a + BLOCK]
        if len(window) >= LEAST_POINTS + max(RUN_THRESHOLDS):
            found = smoothers(window)
            out += [(a, k, run_error(window, step, k, found)) for k in RUN_THRESHOLDS]
    return out


def _single(errors: FitError, i: int) -> _Run:
    nx, ny = errors.normal[i]
    told = Suspect(i, float(errors.miss[i]), float(errors.local[i]), (float(nx), float(ny)))
    return _Run(i, float(errors.share[i]) / THRESHOLD, (told,))


def _run(errors: RunError, i: int, first: int, threshold: float) -> _Run:
    k = errors.miss.shape[1]
    told = tuple(
        Suspect(
            first + i + j,
            float(errors.miss[i, j]),
            float(errors.local[i, j]),
            (float(errors.normal[i, j, 0]), float(errors.normal[i, j, 1])),
            k,
        )
        for j in range(k)
    )
    return _Run(first + i, float(errors.share[i]) / threshold, told)


def _numbered(s: Suspect, left: NDArray[np.intp]) -> Suspect:
    return Suspect(int(left[s.index]), s.miss, s.local, s.normal, s.together)
