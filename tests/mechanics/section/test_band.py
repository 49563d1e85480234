"""The compiled banded solver against LAPACK's."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.linalg import solve_banded

from ribwright.mechanics.section.band import ROW, WIDE, solve_band


def chain(rng: np.random.Generator, nodes: int, scatter: float) -> np.ndarray:
    """(3 n, 3 n) a matrix as wide about its diagonal as the band, rows of sizes that differ by 10^scatter, no weight on the
    diagonal."""
    n = 3 * nodes
    full = rng.normal(size=(n, n)) * 10.0 ** rng.uniform(-scatter, scatter, (n, 1))
    at = np.arange(n)
    full[np.abs(at[:, None] - at[None, :]) > WIDE] = 0.0
    return full


def banded(full: np.ndarray) -> np.ndarray:
    n = len(full)
    rows = np.zeros((n, ROW))
    for i in range(n):
        first, last = max(0, i - WIDE), min(n, i + WIDE + 1)
        rows[i, WIDE + first - i : WIDE + last - i] = full[i, first:last]
    return rows


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 10**6), st.integers(1, 40), st.floats(0, 4))
def test_a_chain_of_blocks_is_solved_as_lapack_solves_it(seed: int, nodes: int, scatter: float) -> None:
    rng = np.random.default_rng(seed)
    full = chain(rng, nodes, scatter)
    b = full @ rng.normal(size=3 * nodes)
    x, n = b.copy(), len(full)
    ab = np.zeros((2 * WIDE + 1, n))
    for j in range(n):
        first, last = max(0, j - WIDE), min(n, j + WIDE + 1)
        ab[WIDE + first - j : WIDE + last - j, j] = full[first:last, j]
    theirs = solve_banded((WIDE, WIDE), ab, b)
    assert solve_band(banded(full), x)
    # to working precision as far as the matrix itself allows it
    allowed = 1e-13 * np.linalg.cond(full) * np.abs(theirs).max() + 1e-12
    assert np.abs(x - theirs).max() <= allowed
    assert np.abs(full @ x - b).max() <= 1e-10 * (np.abs(full) @ np.abs(x)).max()


def test_it_changes_rows_where_a_pivot_is_nothing() -> None:
    full = chain(np.random.default_rng(1), 6, 0.0)
    full[0, 0] = full[4, 4] = 0.0
    b = np.arange(18.0)
    x = b.copy()
    assert solve_band(banded(full), x)
    np.testing.assert_allclose(full @ x, b, atol=1e-9)


@pytest.mark.parametrize("column", [0, 7, 17])
def test_a_singular_chain_is_said_to_be_so(column: int) -> None:
    full = chain(np.random.default_rng(2), 6, 0.0)
    full[:, column] = 0.0
    assert not solve_band(banded(full), np.ones(18))
