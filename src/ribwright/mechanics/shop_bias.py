"""What measured angles teach of the next: a shift of the forecast and a narrower band, from residuals of formed pieces.

A residual is the measured released angle less the one forecast for the block as cut [deg], positive where the flange stands closed. It is
taken as the sum of what the shop, the alloy in its temper, the flange, the block, the lot, the piece and the place add, each with the
standard deviation that the forecast itself states (`bias.effects`), and the error of the gauge, which is known:

    residual = shop + alloy + flange + block + lot + piece + place + gauge

so the best guess of each is its share of the residual, drawn toward 0 the less was measured (shrinkage; best linear unbiased prediction:
Robinson, Statistical Science 6 (1991) 15, recalled). How large each kind really is comes from the scatter of the residuals
themselves; far outliers lose their weight (`bias.fit`). Without data the forecast's own band comes back.

The shared bias may also change with springback, pressure, R/t or curvature, but only where pieces and whole flanges held out are told
better by it (`scores`). Proved on simulated shops alone (benchmarks/springback_book.py): no formed part was compared.
"""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from ribwright.mechanics.bias.effects import OFFSET, RICHER, SHARES_PIECE, Columns, Conditions, retold, sample
from ribwright.mechanics.bias.fit import STEPS, Best, Point, Rules, fit, points
from ribwright.mechanics.bias.held_out import held_out
from ribwright.mechanics.bias.marginal import FLANGE, LOT, PIECE, PLACE, SHARED, Sample, Weights, weights_on

Array = NDArray[np.float64]
Index = NDArray[np.intp]
LOW_WEIGHT = 0.25  # about four standard deviations off
BETTER, NOT_WORSE = 1.5, 0.5  # logarithms of density, over all held-out groups
LEAST_PIECES, LEAST_FLANGES = 6, 4  # before a richer model is tried
MOST_TERMS = 3
STEPS_MORE = 10  # of a richer model, from where the poorer one stands


@dataclass(frozen=True, eq=False)
class Asked:
    """Places asked about, arrays (m,).

    model, tooling, piece   the forecast's own standard deviations [deg]: the same on every piece, on every piece of the block, different
                            from piece to piece
    springback              forecast, positive [deg]; `pressure` [MPa] > 0; `ratio` R/t > 0; `curvature` of the edge [1/mm]
    alloy, flange, lot, block   ids >= 0 as in what was measured; -1, or one not seen there: none of those measured
    """

    model: Array
    tooling: Array
    piece: Array
    springback: Array
    pressure: Array
    ratio: Array
    curvature: Array
    alloy: Index
    flange: Index
    lot: Index
    block: Index


@dataclass(frozen=True, eq=False)
class Measured(Asked):
    """What was measured, arrays (n,): as `Asked`, with the `residual` [deg], the standard uncertainty of its `gauge` [deg], and `serial`,
    the id of the formed piece. All finite, ids >= 0; only `lot` may be -1, not known: then each piece counts as a lot of its own."""

    residual: Array
    gauge: Array
    serial: Index


@dataclass(frozen=True, eq=False)
class Shift:
    """What is to be expected at the places asked about, arrays (m,) [deg].

    mean      how far the released angle will lie off the forecast, positive closed
    sd        of the angle of the next piece at one place; 1.645 of it either side hold 90 %
    sd_mean   of the mean over pieces of that lot off that block: how well an undercut can be set
    prior_sd  the forecast's own sd of the next piece
    share     (m, n) weight of each residual in `mean`; `moved` (m, n) what each added to it
    """

    mean: Array
    sd: Array
    sd_mean: Array
    prior_sd: Array
    share: Array
    moved: Array


@dataclass(frozen=True)
class Score:
    """How well a model tells what was held out: sums of log densities over pieces and over flanges, and shares of them in the 90 % band."""

    name: str
    pieces: float
    flanges: float
    coverage: float
    flange_coverage: float


@dataclass(frozen=True, eq=False)
class Learned:
    """What the measurements teach. `weight` (n,) how far each is believed, 0 to 1; `outlier` (n,) those hardly at all;
    `chosen` the model in words, `scores` of all that were tried."""

    measured: Measured
    weight: Array
    outlier: NDArray[np.bool_]
    chosen: str
    scores: tuple[Score, ...]
    _weights: Weights | None
    _points: tuple[Point, ...]
    _columns: Columns | None
    _order: Index
    _ids: dict[str, dict[int, int]]
    _rules: Rules

    def of(self, asked: Asked) -> Shift:
        """What to expect at places."""
        n, m = len(self.measured.residual), len(asked.model)
        prior = np.sqrt(asked.model**2 + asked.tooling**2 + asked.piece**2)
        if self._weights is None or self._columns is None:
            nothing = np.zeros((m, n))
            mean_sd = np.sqrt(prior**2 - (1.0 - SHARES_PIECE[0]) * retold(asked.model, asked.piece)[1] ** 2)
            return Shift(np.zeros(m), prior, mean_sd, prior, nothing, nothing)
        c = _conditions(asked, self._ids)
        z = self._columns.loads(c, self._rules.tail)
        new = self._columns.unseen(c)
        means, variances, scatters, shares, parts = [], [], [], [], []
        for p in self._points:
            f, factor = p.solution, np.exp(2.0 * p.theta)
            a = z * self._scale(p.theta)
            half = f.corner @ a.T
            seen = self._as_told(a, np.sum(half**2, axis=0))
            unseen = new[0] * factor[SHARED] + new[1] * factor[FLANGE] + new[2] + new[3] * factor[LOT]
            means.append(a @ f.mean)
            variances.append(seen + unseen)
            scatters.append(_own(c.piece, factor))
            shares.append(p.share)
            parts.append(p.share * (a @ weights_on(f)))
        w = np.array(shares)[:, None]
        mean = np.sum(w * means, axis=0)
        var = np.sum(w * (variances + (np.array(means) - mean) ** 2), axis=0)
        share = np.zeros((m, n))
        share[:, self._order] = np.sum(parts, axis=0)
        moved = share * self.measured.residual
        sd = np.sqrt(var + np.sum(w * scatters, axis=0))
        return Shift(mean, sd, np.sqrt(var), prior, share, moved)

    def _as_told(self, a: Array, seen: Array) -> Array:
        """What is left of the seen effects' variance (m,), those with heavy tails widened from the t's scale to the sd told by as much of
        it as is left: a measurement that says nothing takes nothing off the band."""
        assert self._columns is not None
        heavy, every = np.sum(a[:, self._columns.kind() >= 0] ** 2, axis=1), np.sum(a**2, axis=1)
        left = np.divide(seen, every, out=np.zeros_like(seen), where=every > 0.0)
        return np.asarray(seen + (self._rules.tail**-2 - 1.0) * left**2 * heavy)

    def _scale(self, theta: Array) -> Array:
        assert self._weights is not None
        assert self._columns is not None
        kind = self._columns.kind()
        factor = np.where(kind < 0, 1.0, np.exp(theta)[np.maximum(kind, 0)])
        return np.asarray(factor / np.sqrt(self._weights.effect))


def learn(measured: Measured, rules: Rules | None = None, richer: bool = True) -> Learned:
    """What residuals teach. `richer` False: the offset alone, whatever is held out."""
    rules = rules or Rules()
    n = len(measured.residual)
    if n == 0:
        none = np.zeros(0, np.intp)
        return Learned(measured, np.zeros(0), np.zeros(0, bool), OFFSET, (), None, (), None, none, {}, rules)
    order, serial, ids = _in_order(measured)
    c = _sorted(_conditions(measured, ids), order)
    own_lot = c.lot < 0
    lots = len(ids["lot"])
    c.lot[own_lot] = lots + serial[own_lot]
    pieces = int(serial[-1]) + 1

    def columns(names: tuple[str, ...]) -> Columns:
        return Columns(
            names, len(ids["alloy"]), len(ids["flange"]), len(ids["block"]), lots + (pieces if own_lot.any() else 0)
        )

    def tried(names: tuple[str, ...], start: Best | None = None) -> tuple[Columns, Sample, Best, Score]:
        cols = columns(names)
        s = sample(measured.residual[order], measured.gauge[order], c, serial, cols, rules.tail)
        found = fit(s, rules, start, STEPS if start is None else STEPS_MORE)
        by_piece, by_flange = (held_out(s, found, rules, group) for group in (serial, np.maximum(c.flange, 0)))
        told = Score(" + ".join(names), by_piece.log_score, by_flange.log_score, by_piece.coverage, by_flange.coverage)
        return cols, s, found, told

    names: tuple[str, ...] = (OFFSET,)
    best = tried(names)
    scores = [best[3]]
    enough = richer and pieces >= LEAST_PIECES and len(ids["flange"]) >= LEAST_FLANGES
    while enough and len(names) < MOST_TERMS:
        found = [(tried((*names, extra), best[2]), (*names, extra)) for extra in RICHER if extra not in names]
        scores += [f[0][3] for f in found]
        held = best[3]
        good = [
            f for f in found if f[0][3].flanges > held.flanges + BETTER and f[0][3].pieces > held.pieces - NOT_WORSE
        ]
        if not good:
            break
        best, names = max(good, key=lambda f: f[0][3].flanges + f[0][3].pieces)
    cols, s, fitted, told = best
    w = fitted.weights
    weight = np.zeros(n)
    weight[order] = np.minimum(w.place * w.piece[serial], 1.0)
    return Learned(
        measured, weight, weight < LOW_WEIGHT, told.name, tuple(scores), w, points(s, fitted, rules), cols, order, ids, rules
    )  # fmt: skip


def _in_order(m: Measured) -> tuple[Index, Index, dict[str, dict[int, int]]]:
    """Observations in an order that their values alone give, pieces together; each piece's number there; ids as numbers from 0 in that
    order. So neither the order of the book nor the names in it move anything."""
    values = [getattr(m, f.name) for f in fields(m) if getattr(m, f.name).dtype.kind == "f"]
    by_value = np.lexsort(values)
    serial = _numbered(m.serial[by_value])
    rank = np.array([serial[int(i)] for i in m.serial[by_value]])
    again = np.argsort(rank, kind="stable")
    order = by_value[again]
    ids = {name: _numbered(getattr(m, name)[order]) for name in ("alloy", "flange", "lot", "block")}
    return order, rank[again], ids


def _numbered(ids: Index) -> dict[int, int]:
    out: dict[int, int] = {}
    for i in ids:
        if i >= 0:
            out.setdefault(int(i), len(out))
    return out


def _conditions(asked: Asked, ids: dict[str, dict[int, int]]) -> Conditions:
    named = {
        name: np.array([ids[name].get(int(i), -1) for i in getattr(asked, name)], np.intp)
        for name in ("alloy", "flange", "lot", "block")
    }
    model, piece = retold(asked.model, asked.piece)
    return Conditions(
        model, asked.tooling, piece, asked.springback, asked.pressure, asked.ratio, asked.curvature, **named
    )  # fmt: skip


def _sorted(c: Conditions, order: Index) -> Conditions:
    return Conditions(*(getattr(c, f.name)[order] for f in fields(c)))


def _own(piece: Array, factor: Array) -> Array:
    """Variance of a new piece at one place about its lot's mean [deg^2]."""
    return np.asarray(piece**2 * (SHARES_PIECE[1] * factor[PIECE] + SHARES_PIECE[2] * factor[PLACE]))
