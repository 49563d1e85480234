"""What was found: how surely the move is known at a place, in closed form."""

from __future__ import annotations

import numpy as np
import pytest

from ribwright.stages.found import Fit


@pytest.mark.parametrize(
    ("normal", "variance"),
    [((0.0, 1.0), 0.04 + 2 * 10 * 0.001 + 100 * 1e-4), ((1.0, 0.0), 0.01 - 2 * 20 * -0.0005 + 400 * 1e-4)],
)
def test_the_moves_uncertainty_at_a_place_takes_its_arm_the_right_way_round(
    normal: tuple[float, float], variance: float
) -> None:
    """A turn w moves (x, y) by (-w y, w x): (10, 20) off the middle var y grows by 2 x cov + x^2 var w, var x by -2 y cov + y^2 var w."""
    cov = np.array([[0.01, 0.0, -0.0005], [0.0, 0.04, 0.001], [-0.0005, 0.001, 1e-4]])
    fit = Fit(0.0, 0.0, 0.0, 0.0, "pins", cov, (5.0, 5.0))
    assert fit.sd(np.array([[15.0, 25.0]]), np.array([normal])) == pytest.approx([np.sqrt(variance)], rel=1e-12)
