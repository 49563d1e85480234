"""Waves about a surface: height and slope at a place within what is stated, whatever their length; nothing where there is only scatter."""

from __future__ import annotations

import numpy as np
import pytest

from ribwright.geometry.missed_waves import missed_waves, unexplained


@pytest.mark.parametrize("length", [40.0, 70.0, 150.0])
def test_height_and_slope_of_waves_lie_within_what_is_stated(length: float) -> None:
    """16 seeded waves, places strewn over 200 x 100 mm, asked inside and at the edge; 95 % asked of so many may miss by 5 %."""
    inside = []
    for seed in range(16):
        rng = np.random.default_rng(seed)
        at = rng.uniform((0, 0), (200, 100), (500, 2))
        k = 2 * np.pi / length * np.array([np.cos(seed), np.sin(seed)])
        left = 0.1 * np.sin(at @ k + seed)
        found = missed_waves(at, left + rng.normal(0, 0.006, 500), np.full(500, 0.006))
        for p in np.array([[100.0, 50.0], [60.0, 1.0], [199.0, 70.0]]):
            way = np.array([0.6, 0.8])
            h, h_sd, m, m_sd = found.near(p, way)
            inside += [
                abs(h - 0.1 * np.sin(p @ k + seed)) <= 2 * h_sd,
                abs(m - 0.1 * np.cos(p @ k + seed) * (k @ way)) <= 2 * m_sd,
            ]
    assert np.mean(inside) > 0.92


def test_far_from_every_place_nothing_is_known() -> None:
    rng = np.random.default_rng(1)
    at = rng.uniform(0, 100, (300, 2))
    found = missed_waves(at, 0.1 * np.sin(at[:, 0] / 10.0), np.full(300, 0.005))
    h, h_sd, m, _ = found.near(np.array([900.0, 900.0]), np.array([1.0, 0.0]))
    assert (h, m) == pytest.approx((0.0, 0.0), abs=1e-9)
    assert h_sd == pytest.approx(1.25 * found.size, rel=1e-6)


def test_scatter_alone_is_no_wave() -> None:
    """Chi square within its own spread; a wave of half the errors' size over so many places is more."""
    rng = np.random.default_rng(2)
    at = rng.uniform(0, 100, (400, 2))
    r = rng.normal(0, 0.01, 400)
    assert not unexplained(r, np.full(400, 0.01), 6)
    assert unexplained(r + 0.01 * np.sin(at[:, 0] / 10.0), np.full(400, 0.01), 6)
