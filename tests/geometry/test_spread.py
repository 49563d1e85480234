"""Points that share an amount along a line most evenly: never worse than any way that trying all of a grid finds."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from numpy.typing import NDArray

from ribwright.geometry.spread import free_stretches, missed, spread

Array = NDArray[np.float64]
X = np.linspace(0.0, 100.0, 101)


def case(seed: int) -> tuple[Array, list[tuple[float, float]], float, int]:
    """(amount, allowed, apart, n): half of the line gathers nothing, stretches of it are taken."""
    r = np.random.default_rng(seed)
    amount = np.concatenate([[0.0], np.cumsum(np.maximum(r.normal(size=100), 0.0))])
    middles = r.uniform(0, 100, r.integers(0, 6))
    taken = [(c - r.uniform(1, 8), c + r.uniform(1, 8)) for c in middles]
    return amount, free_stretches(0.0, 100.0, taken, 1.0), float(r.uniform(5, 25)), int(r.integers(1, 4))


def tried(amount: Array, allowed: list[tuple[float, float]], apart: float, n: int) -> float:
    """The least miss of all ways on a grid over the allowed stretches, their ends among it; inf where none is far enough apart."""
    rows = [np.linspace(a, b, max(2, int((b - a) / 2) + 1)) for a, b in allowed]
    grid = np.unique(np.concatenate(rows)) if rows else np.zeros(0)
    ways = (np.array(c) for c in itertools.combinations(grid, n))
    return min((missed(X, amount, w, np.ones(n)) for w in ways if n == 1 or np.diff(w).min() >= apart), default=np.inf)


@pytest.mark.parametrize("seed", range(40))
def test_no_way_on_a_grid_is_more_even(seed: int) -> None:
    amount, allowed, apart, n = case(seed)
    best, found = tried(amount, allowed, apart, n), spread(X, amount, n, allowed, apart)
    if found is None:
        assert best == np.inf
        return
    assert found.miss <= best + 1e-9
    assert all(any(a - 1e-9 <= s <= b + 1e-9 for a, b in allowed) for s in found.at)
    assert n == 1 or np.diff(found.at).min() >= apart - 1e-8


@pytest.mark.parametrize("seed", range(40))
def test_the_line_travelled_the_other_way_has_the_same_places(seed: int) -> None:
    amount, allowed, apart, n = case(seed)
    there = spread(X, amount, n, allowed, apart)
    back = spread(100 - X[::-1], amount[-1] - amount[::-1], n, [(100 - b, 100 - a) for a, b in allowed[::-1]], apart)
    assert (there is None) == (back is None)
    if there is not None and back is not None:
        assert there.at == pytest.approx(100 - back.at[::-1], abs=1e-9)


def test_without_anything_in_the_way_each_point_lies_in_the_middle_of_its_share() -> None:
    amount = X**2 / 100
    found = spread(X, amount, 4, [(0.0, 100.0)], 1.0)
    assert found is not None
    assert np.interp(found.at, X, amount) == pytest.approx([12.5, 37.5, 62.5, 87.5], abs=1e-9)
    assert found.miss == pytest.approx(12.5)


def test_two_points_that_want_one_place_stand_to_both_sides_of_it() -> None:
    amount = np.where(X > 49.5, 1.0, 0.0)
    found = spread(X, amount, 2, [(0.0, 100.0)], 20.0)
    assert found is not None
    assert found.at == pytest.approx([39.5, 59.5], abs=0.6)
    assert found.at[1] - found.at[0] == pytest.approx(20.0, abs=1e-8)


def test_points_that_do_not_fit_are_not_placed() -> None:
    assert spread(X, X, 3, [(0.0, 30.0)], 20.0) is None
    assert spread(X, X, 1, [], 20.0) is None
    assert spread(X, X, 2, [(0.0, 1.0), (30.0, 31.0)], 20.0) is not None


def test_stretches_are_what_no_taken_one_covers() -> None:
    assert free_stretches(0, 10, [(2, 3), (2.5, 4), (9, 12)]) == [(0, 2), (4, 9)]
    assert free_stretches(0, 10, [(2, 3), (2.5, 4), (9, 12)], 1.5) == [(5.5, 7.5)]
    assert free_stretches(0, 10, [(-5, 20)]) == []
