"""A circle through measured points, with what it is worth."""

from __future__ import annotations

import numpy as np
import pytest

from ribwright.geometry.circle_fit import fit_circle


def _arc(n: int, turn: float, r: float = 6.0) -> np.ndarray:
    a = np.linspace(0.0, turn, n, endpoint=turn < 6.2)
    return np.column_stack([30.0 + r * np.cos(a), -12.0 + r * np.sin(a)])


@pytest.mark.parametrize("turn", [0.3, 1.5, 2 * np.pi])
def test_points_of_a_circle_give_that_circle(turn: float) -> None:
    found = fit_circle(_arc(40, turn))
    assert found.centre == pytest.approx([30.0, -12.0], abs=1e-7)
    assert found.radius == pytest.approx(6.0, abs=1e-7)


@pytest.mark.parametrize("turn", [1.5, 3.0, 2 * np.pi])
@pytest.mark.parametrize("known", [True, False])
def test_the_covariance_is_the_scatter_that_noise_makes(turn: float, known: bool) -> None:
    rng = np.random.default_rng(7)
    errors, cov = [], np.zeros((3, 3))
    for _ in range(600):
        found = fit_circle(_arc(30, turn) + rng.normal(0.0, 0.03, (30, 2)), 0.03 if known else None)
        errors.append([*(found.centre - (30.0, -12.0)), found.radius - 6.0])
        cov += found.cov / 600
    seen = np.sqrt(np.mean(np.square(errors), axis=0))
    # 600 trials tell a standard deviation to 3 % (one sd)
    assert seen == pytest.approx(np.sqrt(np.diag(cov)), rel=0.1)


def test_three_points_are_a_circle_whose_worth_nobody_knows() -> None:
    found = fit_circle(np.array([(0.0, 0.0), (2.0, 0.0), (1.0, 1.0)]))
    assert found.centre == pytest.approx([1.0, 0.0])
    assert found.radius == pytest.approx(1.0)
    assert found.cov is None
    assert found.sd is None
    assert fit_circle(np.array([(0.0, 0.0), (2.0, 0.0), (1.0, 1.0)]), 0.01).sd is not None


@pytest.mark.parametrize(
    "bad",
    [np.zeros((5, 2)), np.array([(0, 0), (1, 1), (2, 2), (7, 7)], float), np.zeros((2, 2)), np.full((4, 2), np.nan)],
)
def test_what_is_no_circle_is_refused(bad: np.ndarray) -> None:
    with pytest.raises(ValueError, match="circle"):
        fit_circle(bad)
