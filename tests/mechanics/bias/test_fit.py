"""Sizes and weights found from samples that were made with known ones; groups held out against the rest solved again."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from ribwright.mechanics.bias import marginal as m
from ribwright.mechanics.bias.fit import FREEDOM, SPREAD, T90, Rules, centre, fit, points
from ribwright.mechanics.bias.held_out import held_out

NORMAL = Rules(freedom=np.inf)


def made(seed, pieces=400, places=3, lots=40, factors=(1.0, 1.0, 1.0, 1.0, 1.0), freedom=np.inf):
    """Pieces of many lots and flanges; effects `factors` times shared 1, flange 0.5, lot 0.4, piece 0.3, place 0.2."""
    rng = np.random.default_rng(seed)
    n = pieces * places
    piece = np.repeat(np.arange(pieces), places)
    lot, flange = (piece % lots), (piece % 30)
    tail = 1.0 if np.isinf(freedom) else 1.0 / T90

    def draw(size):
        return rng.normal(size=size) if np.isinf(freedom) else rng.standard_t(freedom, size)

    z = np.column_stack([np.ones(n), 0.5 * np.eye(30)[flange], 0.4 * np.eye(lots)[lot]]) * tail
    kind = np.array([m.SHARED] + [m.FLANGE] * 30 + [m.LOT] * lots)
    factor = np.array(factors)
    e = z @ (factor[kind] * draw(len(kind)))
    e = (
        e
        + tail * (0.3 * factor[m.PIECE] * draw(pieces)[piece] + 0.2 * factor[m.PLACE] * draw(n))
        + rng.normal(0, 0.1, n)
    )
    return m.Sample(
        e, z, kind, np.full(n, 0.3 * tail), np.full(n, (0.2 * tail) ** 2), np.full(n, 0.01), piece, np.arange(0, n, places)
    )  # fmt: skip


def test_the_rule_of_points_gives_the_forecasts_variance_back():
    """2 d points at sqrt(d) standard deviations of the prior: the mean square factor is 1, so no data means the forecast's own band."""
    spread = np.array(SPREAD)
    d, mu = len(spread), centre(spread)
    at = [mu + side * np.sqrt(d) * spread[k] * np.eye(d)[k] for k in range(d) for side in (1, -1)]
    assert np.mean(np.exp(2.0 * np.array(at)), axis=0) == pytest.approx(np.ones(d))


@pytest.mark.parametrize("seed", range(3))
@pytest.mark.parametrize(("rules", "freedom"), [(NORMAL, np.inf), (Rules(), FREEDOM)], ids=["normal", "heavy"])
def test_sizes_are_found_from_many_pieces(seed, rules, freedom):
    """Lots, pieces and places twice, half and once as wide as forecast, as 40 lots and 400 pieces leave open."""
    s = made(seed, factors=(1.0, 1.0, 2.0, 0.5, 1.0), freedom=freedom)
    found = np.exp(fit(s, rules).theta)
    assert found[m.LOT] == pytest.approx(2.0, rel=0.27)
    assert found[m.PIECE] == pytest.approx(0.5, rel=0.17)
    assert found[m.PLACE] == pytest.approx(1.0, rel=0.1)


def test_the_greatest_of_the_posterior_is_where_it_is_level():
    s = made(5, pieces=60)
    best = fit(s, NORMAL)
    spread = np.array(SPREAD)
    slope = m.slopes(s, best.theta, best.weights, best.solution, m.squared(s, best.solution))
    assert slope - (best.theta - centre(spread)) / spread**2 == pytest.approx(np.zeros(m.SIZES), abs=0.1)
    told = points(s, best, NORMAL)
    assert sum(p.share for p in told) == pytest.approx(1.0)
    assert min(p.share for p in told) > 0.0


def test_a_far_place_and_a_far_piece_lose_their_weight_and_no_others():
    s = made(7, pieces=60)
    e = s.e.copy()
    e[4] += 6.0
    e[30:33] -= 6.0
    w = fit(replace(s, e=e), Rules()).weights
    assert w.place[4] < 0.05
    assert w.piece[10] < 0.1
    assert np.mean(np.delete(w.place, [4, 30, 31, 32]) < 0.25) < 0.01
    assert np.mean(np.delete(w.piece, 10) < 0.25) < 0.02


def test_what_is_held_out_is_told_by_the_rest_solved_alone():
    """Each piece's mean residual less the dense conditional mean of the others, with the covariance of that, at the same sizes."""
    s = made(3, pieces=12, lots=4)
    best = fit(s, NORMAL)
    found = held_out(s, best, NORMAL, s.piece)
    f = best.solution
    same = s.piece[:, None] == s.piece[None, :]
    k = f.a @ f.a.T + np.diag(f.noise) + same * f.tau2[s.piece][:, None] * np.outer(s.g, s.g)
    for p in range(12):
        out, rest = s.piece == p, s.piece != p
        told = k[np.ix_(out, rest)] @ np.linalg.inv(k[np.ix_(rest, rest)])
        assert found.off[p] == pytest.approx(np.mean(s.e[out] - told @ s.e[rest]), abs=1e-9)
        assert found.sd[p] ** 2 == pytest.approx(np.mean(k[np.ix_(out, out)] - told @ k[np.ix_(rest, out)]), abs=1e-9)


@pytest.mark.parametrize("seed", range(2))
def test_bands_of_pieces_held_out_hold_nine_in_ten(seed):
    """400 pieces, so within 4.5 in a hundred (three standard deviations of a binomial)."""
    s = made(seed)
    assert held_out(s, fit(s, NORMAL), NORMAL, s.piece).coverage == pytest.approx(0.9, abs=0.045)
