"""Where a face ends: seeded faces of known end are found within the stated uncertainty."""

from __future__ import annotations

import numpy as np
import pytest

from ribwright.geometry.end_of_points import end_of


@pytest.mark.parametrize(("a_mm", "sd"), [(20.0, 0.03), (250.0, 0.03), (250.0, 0.1), (2500.0, 0.01), (60.0, 0.0)])
def test_a_face_strewn_with_points_ends_where_it_was_cut(a_mm: float, sd: float) -> None:
    """400 seeded faces each: nothing systematic beyond 0.15 of the scatter, and 92 to 98 % within twice the stated sd."""
    rng = np.random.default_rng(5)
    off, share = [], []
    for _ in range(400):
        end = 12.7 + rng.uniform(-0.5, 0.5)
        x = rng.uniform(4.0, end, rng.poisson(a_mm * (end - 4.0))) + 0.0
        e = end_of(x + rng.normal(0, sd, len(x)), 12.7, sd, face=7.0)
        assert e is not None
        assert not e.line
        off.append(e.at - end)
        share.append(abs(e.at - end) < 2 * e.sd)
    assert abs(np.mean(off)) < 0.15 * np.std(off) + 1e-4
    assert 0.92 < np.mean(share) < 0.985


def test_an_edge_followed_by_an_arm_is_the_mean_of_its_points() -> None:
    rng = np.random.default_rng(6)
    inside = []
    for _ in range(400):
        e = end_of(rng.normal(3.2, 0.02, 12), 3.0, 0.02)
        assert e is not None
        assert e.line
        inside.append(abs(e.at - 3.2) < 2 * e.sd)
    assert np.mean(inside) > 0.92


def test_a_stray_point_beyond_the_end_moves_little() -> None:
    rng = np.random.default_rng(7)
    x = rng.uniform(0.0, 10.0, 4000) + rng.normal(0, 0.02, 4000)
    clean, dirty = end_of(x, 10.0, 0.02), end_of(np.append(x, [11.2, 11.5]), 10.0, 0.02)
    assert clean is not None
    assert dirty is not None
    assert abs(clean.at - dirty.at) < 0.01


def test_too_few_points_tell_nothing() -> None:
    assert end_of(np.linspace(0, 10, 12), 10.0, 0.02) is None
    assert end_of(np.zeros(0), 10.0, 0.02) is None
    assert end_of(np.random.default_rng(1).uniform(0, 5, 3000), 10.0, 0.02) is None
