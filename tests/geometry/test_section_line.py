"""The line of a flange's face in its section: exact lines, strays, and the uncertainty of few points."""

from __future__ import annotations

import numpy as np
import pytest

from ribwright.geometry.section_line import section_line


def test_an_exact_line_is_found_and_strays_are_left_out() -> None:
    l = np.linspace(2.0, 12.0, 40)
    d = np.tile([-4.0, -1.0, 2.0, 4.0], 10)
    q = 0.2 - 0.03 * l + 0.01 * d + 0.002 * d * l
    q[[3, 17]] += (0.6, -1.0)
    line = section_line(l, q, d, 1.5, 0.01)
    assert line is not None
    assert (line.a, line.b) == pytest.approx((0.2, -0.03), abs=1e-9)
    assert line.points == 38


@pytest.mark.parametrize("n", [4, 10])
def test_the_slopes_uncertainty_is_that_of_evenly_spaced_points(n: int) -> None:
    """sd/(span sqrt(n (n + 1)/(12 (n - 1)))), the closed form of a straight line's slope."""
    l = np.linspace(3.0, 14.0, n)
    line = section_line(l, 0.01 * l, np.zeros(n), 1.5, 0.05)
    assert line is not None
    assert np.sqrt(line.unit[1, 1]) == pytest.approx(1.0 / (11.0 * np.sqrt(n * (n + 1) / (12.0 * (n - 1)))))


def test_points_without_a_span_give_no_line() -> None:
    assert section_line(np.array([1.0, 1.1, 1.2, 1.3]), np.zeros(4), np.zeros(4), 1.5, 0.01) is None
    assert section_line(np.array([1.0, 5.0]), np.zeros(2), np.zeros(2), 1.5, 0.01) is None
