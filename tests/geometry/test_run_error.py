"""Two or three wrong points side by side: left out together, told together, and nobody accused where nothing is wrong."""

from __future__ import annotations

import numpy as np
import pytest

from ribwright.geometry.fit_error import THRESHOLD, fit_error
from ribwright.geometry.run_error import run_error
from ribwright.geometry.smoother import smoothers
from ribwright.geometry.suspects import RUN_THRESHOLDS, suspects
from ribwright.stages.table_lines import table_lines
from section_ordinates import as_table, section

STEP = 0.0254


def _line(seed: int) -> np.ndarray:
    """A section's points round the nose [mm]."""
    s = section(np.random.default_rng(seed))
    (line,) = table_lines(as_table(s.upper, s.lower))
    return np.asarray(line.points)


def _judged(points: np.ndarray, k: int) -> np.ndarray:
    return np.flatnonzero(run_error(points, STEP, k).judged)


@pytest.mark.parametrize("k", [2, 3])
def test_what_is_left_out_together_misses_by_what_a_fit_without_it_says(k: int) -> None:
    """Another way to the same: the best linear prediction of the run from the other points alone, by the covariance of the random function
    with a parabola free (universal kriging)."""
    points = _line(3)
    found = smoothers(points)
    y, n, s = found.y, len(points), found.each[8]
    # a covariance with the same P: P is blind to parabolas, so its pseudo-inverse will do, the parabola its null space
    cov = np.linalg.pinv(s.p, rcond=1e-12)
    free = np.linalg.svd(s.p)[0][:, -3:]
    for first in (4, n // 2):
        run = np.arange(first, first + k)
        rest = np.delete(np.arange(n), run)
        system = np.block([[cov[np.ix_(rest, rest)], free[rest]], [free[rest].T, np.zeros((3, 3))]])
        right = np.hstack([cov[np.ix_(run, rest)], free[run]])
        weights = np.linalg.solve(system, right.T)[: len(rest)].T
        alone = y[run] - weights @ y[rest]
        together = np.linalg.solve(s.p[np.ix_(run, run)], (s.p @ y)[run])
        np.testing.assert_allclose(together, alone, rtol=1e-4, atol=1e-8)


@pytest.mark.parametrize("k", [2, 3])
def test_of_a_run_of_one_point_too_few_nothing_is_said_and_ends_are_not_judged(k: int) -> None:
    judged = run_error(_line(5), STEP, k).judged
    assert not judged[0]
    assert not judged[-1]
    assert judged.any()


@pytest.mark.parametrize(("k", "seed"), [(2, 1), (2, 2), (2, 6), (3, 1), (3, 2), (3, 6)])
def test_wrong_ones_side_by_side_are_told_together_and_nobody_else(k: int, seed: int) -> None:
    points = _line(seed)
    could = _judged(points, k)
    # behind the nose, before the trailing edge
    x = points[:, 0] / points[:, 0].max()
    first = int(next(i for i in could if 0.3 < x[i] < 0.7))
    local = run_error(points, STEP, k).local[first].max()
    wrong = points.copy()
    wrong[first : first + k, 1] += 40.0 * local
    assert fit_error(wrong, STEP).share[first : first + k].max() < 40.0  # alone none stands out as far as it is off
    told = suspects(wrong, STEP)
    assert {s.index for s in told} == set(range(first, first + k))
    assert {s.together for s in told} == {k}
    for s in told:
        across = abs(s.normal[1])
        assert abs(s.miss) / across == pytest.approx(40.0 * local, abs=6.0 * local)


def test_a_single_wrong_one_is_told_alone_as_before() -> None:
    points = _line(7)
    i = len(points) // 4
    points[i, 1] += 30.0 * fit_error(points, STEP).local[i]
    assert [(s.index, s.together) for s in suspects(points, STEP)] == [(i, 1)]


@pytest.mark.parametrize("seed", range(20, 32))
def test_of_a_clean_table_nobody_is_accused(seed: int) -> None:
    assert suspects(_line(seed), STEP) == ()


def test_a_long_line_is_judged_in_windows_and_what_is_told_has_its_number_in_the_line() -> None:
    u = np.linspace(0.0, 1.0, 150)
    points = np.column_stack([2000.0 * u, 80.0 * np.sin(3.0 * u)])
    points[:, 1] = np.round(points[:, 1] / STEP) * STEP
    for first in (30, 140):
        wrong = points.copy()
        wrong[first : first + 2, 1] += 0.3
        assert {s.index for s in suspects(wrong, STEP)} == {first, first + 1}


def test_runs_want_more_than_single_points() -> None:
    assert THRESHOLD < RUN_THRESHOLDS[2] < RUN_THRESHOLDS[3]
