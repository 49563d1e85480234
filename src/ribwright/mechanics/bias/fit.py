"""How large each kind of effect is, and how far each observation, piece and lot is believed.

Sizes: factors exp(theta) on what was forecast, theta normal about a mean that makes the mean square factor 1, so that without data the
forecast's own variance is what remains. The greatest of the posterior is found, and 2 d points about it (sqrt(d) standard deviations
along each principal direction of the information there, as the unscented rule has them) stand for all of it, each weighted by how the
posterior there compares with a normal one.

Heavy tails: all but blocks and gauge follow Student's t with FREEDOM degrees, as normals whose precision is itself random (Lange, Little &
Taylor, J. Amer. Stat. Assoc. 84 (1989) 881, recalled): w = (f + 1)/(f + E[(x/s)^2]). A t is taken whose middle 90 % is that of the normal
of the standard deviation told, so bands of 1.645 of those hold 90 %.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ribwright.mechanics.bias.marginal import (
    FIXED,
    LOT,
    SIZES,
    Sample,
    Solution,
    Weights,
    information,
    slopes,
    solve,
    squared,
)

Array = NDArray[np.float64]
FREEDOM = 4.0
T90 = 2.131847 / 1.644854  # 95 % point of Student's t of 4 degrees over that of the normal
# how well the forecast's own standard deviations are thought known: one sd is a factor of 1.65, our choice
SPREAD = (0.5,) * SIZES
STEPS, NEAR, LONGEST = 100, 2e-3, 0.7
FIRST = 6  # steps that move the weights alone, before a far outlier has widened all
CALM = 15  # from here shorter steps of the sizes, which may swing with the weights
REACH = 1.5  # most that the logarithm of a point's weight may differ from the normal's


@dataclass(frozen=True, eq=False)
class Rules:
    """`freedom` of the heavy tails, infinite for normals; `spread` (SIZES,) sd of the logarithm of each factor, 0 to hold all at 1."""

    freedom: float = FREEDOM
    spread: tuple[float, ...] = SPREAD

    @property
    def tail(self) -> float:
        """Scale of the t over the sd told."""
        return 1.0 / T90 if np.isfinite(self.freedom) else 1.0


@dataclass(frozen=True, eq=False)
class Point:
    """Sizes `theta`, their share of the posterior, the effects there."""

    theta: Array
    share: float
    solution: Solution


@dataclass(frozen=True, eq=False)
class Best:
    """The most likely sizes `theta`, the weights, the effects there."""

    theta: Array
    weights: Weights
    solution: Solution


def centre(spread: Array) -> Array:
    """Mean of theta at which the mean square factor is 1 by the rule of 2 d points."""
    d = len(spread)
    return np.asarray(-0.5 * np.log((np.cosh(2.0 * spread * np.sqrt(d)) - 1.0) / d + 1.0))


def fit(s: Sample, rules: Rules, start: Best | None = None, steps: int = STEPS) -> Best:
    """Sizes and weights from a sample of at least one observation: both moved in turn until they stand. `start` another model's of the
    same observations."""
    spread = np.array(rules.spread)
    mu = centre(spread)
    robust = np.isfinite(rules.freedom)
    theta, w = mu.copy(), Weights(np.ones(len(s.e)), np.ones(len(s.starts)), np.ones(len(s.kind)))
    if start is not None:
        theta = start.theta
        lots = start.weights.effect[-int(np.sum(s.kind == LOT)) :]
        w = Weights(start.weights.place, start.weights.piece, np.concatenate([np.ones(len(s.kind) - len(lots)), lots]))
    still = 0.0 if start is not None or not robust else FIRST
    for step in range(steps):
        f = solve(s, theta, w)
        moments = squared(s, f)
        after, moved = theta, 0.0
        if step >= still:
            change = _newton(s, theta, w, f, moments, mu, spread) * (1.0 if step < CALM else 0.4)
            after, moved = theta + change, float(np.max(np.abs(change)))
        if robust:
            new = _believed(s, w, moments, rules.freedom)
            moved = max(moved, *(_most(getattr(new, k), getattr(w, k)) for k in ("place", "piece", "effect")))
            w = new
        theta = after
        if step >= still and moved < NEAR:
            break
    return Best(theta, w, solve(s, theta, w))


def _believed(s: Sample, w: Weights, moments: tuple[Array, Array, Array], f: float) -> Weights:
    noises, pieces, effects = moments
    lots = np.where(s.kind != FIXED, (f + 1.0) / (f + effects / w.effect), 1.0)
    return Weights((f + 1.0) / (f + noises / w.place), (f + 1.0) / (f + pieces / w.piece), lots)


def _most(a: Array, b: Array) -> float:
    return float(np.max(np.abs(a - b), initial=0.0))


def _newton(
    s: Sample, theta: Array, w: Weights, f: Solution, moments: tuple[Array, Array, Array], mu: Array, spread: Array
) -> Array:
    """A step of theta toward the greatest of the posterior, no longer than LONGEST."""
    free = spread > 0.0
    out = np.zeros(len(theta))
    if free.any():
        slope = slopes(s, theta, w, f, moments)[free] - ((theta - mu)[free] / spread[free] ** 2)
        bent = information(s, theta, w, f)[np.ix_(free, free)] + np.diag(spread[free] ** -2)
        out[free] = np.linalg.solve(bent, slope)
    return np.asarray(out * min(1.0, LONGEST / max(float(np.max(np.abs(out))), 1e-12)))


def points(s: Sample, best: Best, rules: Rules) -> tuple[Point, ...]:
    """The posterior of the sizes by a few points about its greatest."""
    spread = np.array(rules.spread)
    mu, own = centre(spread), np.flatnonzero(spread > 0.0)
    d = len(own)
    if d == 0:
        return (Point(best.theta, 1.0, best.solution),)
    unit = spread[own]  # in units of the prior's sd, where the posterior is as narrow as 1 or narrower
    bent = information(s, best.theta, best.weights, best.solution)[np.ix_(own, own)] * np.outer(unit, unit) + np.eye(d)
    value, axes = np.linalg.eigh(bent)
    at, logs = [], []
    for i in range(d):
        for side in (1.0, -1.0):
            moved = best.theta.copy()
            moved[own] += side * np.sqrt(d / value[i]) * axes[:, i] * unit
            f = solve(s, moved, best.weights)
            at.append((moved, f))
            logs.append(_log_posterior(f, moved, mu, spread))
    over = np.array(logs) - _log_posterior(best.solution, best.theta, mu, spread) + d / 2.0
    share = np.exp(np.clip(over, -REACH, REACH))
    share /= share.sum()
    return tuple(Point(theta, float(q), f) for (theta, f), q in zip(at, share, strict=True))


def _log_posterior(f: Solution, theta: Array, mu: Array, spread: Array) -> float:
    off = np.where(spread > 0.0, theta - mu, 0.0) / np.where(spread > 0.0, spread, 1.0)
    return f.log_likelihood - 0.5 * float(off @ off)
