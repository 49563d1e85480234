"""The circle fit against published figures.

Points: W. Gander, G. Golub, R. Strebel, "Least-squares fitting of circles and ellipses", BIT 34 (1994) 558: (1,7)(2,6)(5,8)(7,7)(9,5)(3,7).
Orthogonal fit published as 4.7398, 2.9835, r 4.7142; recomputed to seven digits apart from this program, sum of squares 1.2275991.
Algebraic fit by Taubin as published with N. Chernov's test program: 4.613933, 2.795209, r 4.879213.
"""

from __future__ import annotations

import numpy as np
import pytest

from ribwright.geometry.circle_fit import fit_circle, taubin_circle

GANDER_GOLUB_STREBEL = np.array([(1, 7), (2, 6), (5, 8), (7, 7), (9, 5), (3, 7)], float)


def test_the_orthogonal_fit_is_the_published_one() -> None:
    found = fit_circle(GANDER_GOLUB_STREBEL)
    assert found.centre == pytest.approx([4.7397824, 2.9835327], abs=6e-8)
    assert found.radius == pytest.approx(4.7142261, abs=6e-8)
    assert found.rms**2 * found.points == pytest.approx(1.2275991, abs=6e-8)


def test_the_algebraic_start_is_the_published_fit_by_taubin() -> None:
    centre, radius = taubin_circle(GANDER_GOLUB_STREBEL)
    assert centre == pytest.approx([4.613933, 2.795209], abs=6e-7)
    assert radius == pytest.approx(4.879213, abs=6e-7)


@pytest.mark.parametrize("by", [(1000.0, -4000.0), (0.001, 0.0)])
def test_a_shift_of_the_published_points_shifts_the_circle_and_nothing_else(by: tuple[float, float]) -> None:
    found = fit_circle(GANDER_GOLUB_STREBEL + by)
    assert found.centre - by == pytest.approx([4.7397824, 2.9835327], abs=1e-7)
    assert found.radius == pytest.approx(4.7142261, abs=1e-7)
