"""The factor of an uncertainty from few readings, against scipy's t distribution."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from ribwright.mechanics.coverage import TABLE, widened


@pytest.mark.parametrize("free", [n for n, _ in TABLE])
def test_the_table_is_that_of_students_t(free: int) -> None:
    """Two decimals, as the table gives it."""
    assert 2 * widened(free) == pytest.approx(stats.t.ppf(0.97725, free), abs=0.006)


def test_between_its_rows_it_stays_within_half_a_percent() -> None:
    for free in range(2, 400):
        assert 2 * widened(free) == pytest.approx(stats.t.ppf(0.97725, free), rel=0.005)
    assert widened(np.inf) == 1.0
