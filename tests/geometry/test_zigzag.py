"""The zigzag goes, everything smooth stays."""

from __future__ import annotations

import numpy as np

from ribwright.geometry.zigzag import levelled


def test_what_alternates_goes_and_cubics_stay() -> None:
    i = np.arange(12.0)
    cubic = np.column_stack([i, 0.1 * i**3 - i**2])
    wobbly = cubic + 0.3 * ((-1.0) ** i)[:, None]
    got = levelled(wobbly, closed=False)
    np.testing.assert_allclose(got[2:-2], cubic[2:-2], atol=1e-12)
    np.testing.assert_array_equal(got[:2], wobbly[:2])
    np.testing.assert_array_equal(got[-2:], wobbly[-2:])
    np.testing.assert_allclose(levelled(cubic, closed=False), cubic, atol=1e-12)


def test_a_circle_stays_one() -> None:
    for m in (24, 60):
        at = 2 * np.pi * np.arange(m) / m
        circle = np.column_stack([np.cos(at), np.sin(at)])
        got = levelled(circle * (1 + 0.01 * (-1.0) ** np.arange(m))[:, None], closed=True)
        radius = np.linalg.norm(got, axis=1)
        left = 0.01 * (2 * np.pi / m) ** 2 / 2
        np.testing.assert_allclose(radius, 1.0, atol=(np.pi / m) ** 4 + 1.1 * left)
        assert np.ptp(radius) < 0.05 * 0.02


def test_few_nodes_stay_as_they_are() -> None:
    p = np.random.default_rng(0).normal(size=(4, 2))
    np.testing.assert_array_equal(levelled(p, closed=True), p)
