"""The algebra of random effects: held against the dense formula, and two worked examples of textbooks."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import multivariate_normal

from ribwright.mechanics.bias import marginal as m

HUGE = 1e4  # sd of an effect that is as good as fixed


def ones(s):
    return m.Weights(np.ones(len(s.e)), np.ones(len(s.starts)), np.ones(len(s.kind)))


def sample(e, columns, kind, place, serial=None, g=0.0, gauge=0.0):
    serial = np.arange(len(e)) if serial is None else serial
    n = len(e)
    starts = np.flatnonzero(np.diff(serial, prepend=-1))
    return m.Sample(
        np.asarray(e, float), columns, np.asarray(kind), np.full(n, g), np.full(n, place), np.full(n, gauge), serial, starts
    )  # fmt: skip


def random_sample(seed):
    rng = np.random.default_rng(seed)
    n = int(rng.integers(5, 40))
    serial = np.sort(rng.integers(0, 6, n))
    serial = np.unique(serial, return_inverse=True)[1]
    kind = rng.choice([m.FIXED, m.SHARED, m.FLANGE, m.LOT], 7)
    s = sample(rng.normal(0, 2, n), rng.normal(0, 1, (n, 7)) * (rng.random((n, 7)) < 0.5), kind, 0.1, serial, 0.5, 0.04)
    w = m.Weights(rng.uniform(0.2, 1.2, n), rng.uniform(0.2, 1.2, len(s.starts)), np.where(kind == m.LOT, 0.6, 1.0))
    return s, w, rng.normal(0, 0.5, m.SIZES)


def dense(s, f):
    same = s.piece[:, None] == s.piece[None, :]
    return f.a @ f.a.T + np.diag(f.noise) + same * f.tau2[s.piece][:, None] * np.outer(s.g, s.g)


@pytest.mark.parametrize("seed", range(12))
def test_likelihood_and_inverse_are_those_of_the_dense_matrix(seed):
    s, w, theta = random_sample(seed)
    f = m.solve(s, theta, w)
    k = dense(s, f)
    assert f.log_likelihood == pytest.approx(multivariate_normal(np.zeros(len(k)), k).logpdf(s.e), abs=1e-8)
    assert f.alpha == pytest.approx(np.linalg.solve(k, s.e), abs=1e-9)
    assert m.block_of_inverse(s, f, np.arange(len(k))) == pytest.approx(np.linalg.inv(k), abs=1e-8)
    assert f.inverse == pytest.approx(np.diag(np.linalg.inv(k)), abs=1e-8)
    assert m.weights_on(f) @ s.e == pytest.approx(f.mean, abs=1e-9)


@pytest.mark.parametrize("seed", range(12))
def test_slopes_are_the_differences_of_the_likelihood(seed):
    s, w, theta = random_sample(seed)
    f = m.solve(s, theta, w)
    steps = 1e-5 * np.eye(m.SIZES)
    by_difference = [
        (m.solve(s, theta + d, w).log_likelihood - m.solve(s, theta - d, w).log_likelihood) / 2e-5 for d in steps
    ]
    assert m.slopes(s, theta, w, f, m.squared(s, f)) == pytest.approx(by_difference, abs=1e-4)


def test_the_average_information_of_one_variance():
    """n normals of sd exp(theta): log L = -n theta - S exp(-2 theta)/2 with S the sum of squares. Observed information 2 S exp(-2 theta) at
    any theta; with K linear in the variance the average information is that of Gilmour, Thompson & Cullis, v' K^-1 v/2, v = 2 e."""
    e = np.array([0.3, -1.2, 0.7, 0.1])
    s = sample(e, np.zeros((4, 1)), [m.SHARED], 1.0)
    theta = np.zeros(m.SIZES)
    theta[m.PLACE] = 0.2
    w = ones(s)
    found = m.information(s, theta, w, m.solve(s, theta, w))
    assert found[m.PLACE, m.PLACE] == pytest.approx(2.0 * e @ e * np.exp(-0.4))


# Yield of dyestuff, six batches of five: Davies & Goldsmith, Statistical Methods in Research and Production (4th ed., 1972), section 6.4;
# Box & Tiao, Bayesian Inference in Statistical Analysis (1973), section 5.1.2. As kept in the R package lme4 (Dyestuff).
DYESTUFF = np.array(
    [
        [1545, 1440, 1440, 1520, 1580],
        [1540, 1555, 1490, 1560, 1495],
        [1595, 1550, 1605, 1510, 1560],
        [1445, 1440, 1595, 1465, 1545],
        [1595, 1630, 1515, 1635, 1625],
        [1520, 1455, 1450, 1480, 1445],
    ],
    float,
)


def dyestuff(overall, level=0.0):
    """Batches as lots of sd 1, preparations as places of sd 1, about `level`; the overall mean an effect of sd `overall`."""
    batch = np.repeat(np.eye(6), 5, axis=0)
    return sample(
        DYESTUFF.ravel() - level, np.column_stack([np.full(30, overall), batch]), [m.FIXED] + [m.LOT] * 6, 1.0
    )


def sizes(batch_variance, variance):
    theta = np.zeros(m.SIZES)
    theta[m.LOT], theta[m.PLACE] = 0.5 * np.log([batch_variance, variance])
    return theta


def test_dyestuff_by_greatest_likelihood():
    """-2 log L = 327.3271: the check that the package OpenMx keeps against lme4 (inst/models/passing/xxm-2.R). Balanced, so the
    estimates are exact: within mean square 2451.25, (5/6 of the between mean square 11271.5 - 2451.25)/5 = 1388.33. Slopes vanish there."""
    within = DYESTUFF.var(axis=1, ddof=1).mean()
    between = 5 * DYESTUFF.mean(axis=1).var(ddof=1)
    assert (within, between) == pytest.approx((2451.25, 11271.5))
    s, theta = dyestuff(0.0, DYESTUFF.mean()), sizes((between * 5 / 6 - within) / 5, within)
    f = m.solve(s, theta, ones(s))
    assert -2.0 * f.log_likelihood == pytest.approx(327.3271, abs=5e-5)
    assert m.slopes(s, theta, ones(s), f, m.squared(s, f))[[m.LOT, m.PLACE]] == pytest.approx([0.0, 0.0], abs=1e-8)


def test_dyestuff_with_a_free_mean_is_restricted_likelihood_and_the_batches_are_shrunk():
    """Restricted likelihood of a balanced layout is the analysis of variance: (11271.5 - 2451.25)/5 = 1764.05. Each batch is shrunk by
    5 s_b^2/(5 s_b^2 + s^2) = 0.78253; batch A by 17.607 below the mean (lme4 prints -17.6068514: from memory)."""
    s, theta = dyestuff(HUGE, 1500.0), sizes(1764.05, 2451.25)
    f = m.solve(s, theta, ones(s))
    assert m.slopes(s, theta, ones(s), f, m.squared(s, f))[[m.LOT, m.PLACE]] == pytest.approx([0.0, 0.0], abs=1e-4)
    batches = f.mean[1:] * np.sqrt(1764.05)
    assert batches == pytest.approx(0.7825269 * (DYESTUFF.mean(axis=1) - DYESTUFF.mean()), abs=2e-3)
    assert batches[0] == pytest.approx(-17.6068514, abs=2e-3)


def test_sires_and_herds():
    """Nine first lactations of daughters of four sires in three herds, sire variance a tenth of the rest: the example of Robinson, "That
    BLUP is a good thing", Statistical Science 6 (1991) 15. His answers (from memory, computed again by the dense formula): herds
    105.64, 104.28, 105.46; sires 0.40, 0.52, 0.76, -1.67."""
    milk = np.array([110, 100, 110, 100, 100, 110, 110, 100, 100], float)
    herd, sire = np.eye(3)[[0, 0, 1, 1, 1, 2, 2, 2, 2]], np.eye(4)[[0, 3, 1, 3, 3, 2, 2, 3, 3]]
    s = sample(milk, np.column_stack([HUGE * herd, np.sqrt(0.1) * sire]), [m.FIXED] * 3 + [m.LOT] * 4, 1.0)
    f = m.solve(s, np.zeros(m.SIZES), ones(s))
    assert f.mean[:3] * HUGE == pytest.approx([105.64, 104.28, 105.46], abs=0.005)
    assert f.mean[3:] * np.sqrt(0.1) == pytest.approx([0.40, 0.52, 0.76, -1.67], abs=0.005)
