"""The line of a flange's face in its section, from points along a short stretch of it.

    q = A + B l + C d + D d l     l along the face from the mold line, q off the drawn face, d along the edge from the place asked for
C and D take what the face changes along the stretch, so that uneven points there do not lean the line; few points leave them out.
Least squares of q, points farther than 3.5 standard deviations (1.4826 of the median deviation) left out as strays and the rest fitted
again. q stands for the distance square to the line, and errors of l count for nothing: with B of 0.1 (6 deg) the first is out by half a
percent of the points' error, the second leans the line by B sd^2/var(l), 1e-5 for 0.03 mm over 10 mm.

    cov = sd^2 (X^T X)^-1 of A, B

Evenly spaced points over a span give sd(B) = sd/(span sqrt(n (n + 1)/(12 (n - 1)))), the formula of a straight line's slope.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
STRAY, ROUNDS = 3.5, 6
FULL, FEW = 14, 4  # points for all four terms; least for a line
PAIRS = 40  # up to so many points a line is started through the medians of all pairs' slopes


@dataclass(frozen=True, eq=False)
class SectionLine:
    """A [mm], B [-]; `unit` (2, 2) their covariance for points of standard deviation 1; `squares` the sum of squares left and `free` its
    degrees of freedom; `points` kept."""

    a: float
    b: float
    unit: Array
    squares: float
    free: int
    points: int


def section_line(l: Array, q: Array, d: Array, span: float, floor: float) -> SectionLine | None:  # noqa: E741
    """The line through points l, q, d (n,); None where fewer than FEW or less than `span` [mm] of l are left. `floor`: points nearer to
    the line than 3.5 times this are no strays [mm]."""
    if len(l) < FEW or np.ptp(l) < span:
        return None
    keep = np.ones(len(l), bool)
    terms = 2
    c = _start(l, q)
    for turn in range(ROUNDS):
        left = q - _design(l, d, terms) @ c
        middle = float(np.median(left[keep]))
        far = STRAY * max(1.4826 * float(np.median(np.abs(left[keep] - middle))), floor)
        now = np.abs(left - (middle if turn == 0 else 0.0)) <= far
        if now.sum() < FEW or np.ptp(l[now]) < span:
            return None
        same = turn > 1 and bool(np.array_equal(now, keep))
        keep = now
        terms = 4 if keep.sum() >= FULL else 2
        x = _design(l[keep], d[keep], terms)
        c = np.asarray(np.linalg.lstsq(x, q[keep], rcond=None)[0])
        if same:
            break
    x = _design(l[keep], d[keep], terms)
    left = q[keep] - x @ c
    free = int(keep.sum()) - terms
    if free < 1:
        return None
    inverse = np.asarray(np.linalg.pinv(x.T @ x))
    return SectionLine(
        float(c[0]), float(c[1]), inverse[:2, :2], float(left @ left) / (1.0 + c[1] ** 2), free, int(keep.sum())
    )


def _design(l: Array, d: Array, terms: int) -> Array:  # noqa: E741
    return np.column_stack([np.ones(len(l)), l, d, d * l][:terms])


def _start(l: Array, q: Array) -> Array:  # noqa: E741
    """A and B that strays hardly move: of few points the medians of all pairs, else least squares."""
    if len(l) > PAIRS:
        x = _design(l, l, 2)
        return np.asarray(np.linalg.lstsq(x, q, rcond=None)[0])
    i, j = np.triu_indices(len(l), 1)
    apart = np.abs(l[i] - l[j]) > 0.1
    b = float(np.median((q[j] - q[i])[apart] / (l[j] - l[i])[apart])) if apart.any() else 0.0
    return np.array([float(np.median(q - b * l)), b])
