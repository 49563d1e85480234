"""The map of a picture of a flat sheet, held against scikit-image's and against the scatter that noise makes."""

from __future__ import annotations

import numpy as np
import pytest

from ribwright.geometry.homography import Homography, best_four, fit_homography, flattest

TRUE = np.array([(0, 0), (300, 0), (300, 200), (0, 200), (150, 100), (150, 0)], float)
# sheet to picture: unequal scale, a turn, perspective
TO_PICTURE = np.array([[3.0, 0.2, 100.0], [-0.1, -2.8, 700.0], [2e-4, -3e-4, 1.0]])


def _seen(true: np.ndarray) -> np.ndarray:
    q = np.column_stack([true, np.ones(len(true))]) @ TO_PICTURE.T
    return q[:, :2] / q[:, 2:]


@pytest.mark.parametrize("marks", [4, 5, 6])
def test_perspective_and_unequal_scale_are_removed(marks: int) -> None:
    found = fit_homography(_seen(TRUE[:marks]), TRUE[:marks], 0.1, 0.05)
    p = np.random.default_rng(1).uniform((0, 0), (300, 200), (100, 2))
    assert found.moved(_seen(p)) == pytest.approx(p, abs=1e-7)


def test_the_map_of_four_marks_is_the_one_of_scikit_image() -> None:
    transform = pytest.importorskip("skimage.transform")
    rng = np.random.default_rng(2)
    seen = _seen(TRUE[:4]) + rng.normal(0.0, 3.0, (4, 2))
    theirs = transform.ProjectiveTransform()
    theirs.params = np.eye(3)
    theirs = (
        transform.ProjectiveTransform.from_estimate(seen, TRUE[:4])
        if hasattr(transform.ProjectiveTransform, "from_estimate")
        else transform.estimate_transform("projective", seen, TRUE[:4])
    )
    p = _seen(rng.uniform((0, 0), (300, 200), (50, 2)))
    assert fit_homography(seen, TRUE[:4], 0.1, 0.05).moved(p) == pytest.approx(theirs(p), abs=1e-6)


@pytest.mark.parametrize(("marks", "sd_seen", "sd_true"), [(4, 0.2, 0.0001), (4, 0.0001, 0.1), (6, 0.2, 0.1)])
def test_the_stated_uncertainty_is_the_scatter_that_the_marks_make(marks: int, sd_seen: float, sd_true: float) -> None:
    rng = np.random.default_rng(3)
    at = _seen(np.array([(150.0, 100.0), (290.0, 10.0), (20.0, 150.0)]))
    exact = fit_homography(_seen(TRUE[:marks]), TRUE[:marks], sd_seen, sd_true)
    moved = []
    for _ in range(800):
        typed = TRUE[:marks] + rng.normal(0.0, sd_true, (marks, 2))
        moved.append(
            fit_homography(_seen(TRUE[:marks]) + rng.normal(0.0, sd_seen, (marks, 2)), typed, sd_seen, sd_true).moved(
                at
            )
        )
    off = np.array(moved) - exact.moved(at)
    worst = np.sqrt([np.linalg.eigvalsh(np.cov(off[:, k].T))[-1] for k in range(3)])
    assert exact.sd(at) == pytest.approx(worst, rel=0.12)


def test_slopes_are_those_of_the_map() -> None:
    found = fit_homography(_seen(TRUE[:4]), TRUE[:4], 0.1, 0.05)
    p = _seen(np.array([(40.0, 170.0), (222.0, 31.0)]))
    step = 1e-4
    numeric = np.stack(
        [(found.moved(p + d) - found.moved(p - d)) / (2 * step) for d in (np.array([step, 0]), np.array([0, step]))],
        axis=2,
    )
    assert found.slopes(p) == pytest.approx(numeric, rel=1e-6, abs=1e-8)


def test_three_marks_in_line_are_told_and_the_widest_four_are_found() -> None:
    assert flattest(TRUE[:4]) > 0.3
    assert flattest(TRUE) == pytest.approx(0.0)
    assert set(best_four(TRUE)[0]) == {0, 1, 2, 3}
    assert best_four(np.array([(0, 0), (1, 0), (2, 0), (3, 1)], float))[1] == 0.0


def test_marks_that_no_picture_shows_so_are_refused() -> None:
    crossed = TRUE[[0, 2, 1, 3]]
    with pytest.raises(ValueError, match="no picture"):
        fit_homography(_seen(TRUE[:4]), crossed, 0.1, 0.05)
    assert isinstance(fit_homography(_seen(TRUE[:4]), TRUE[:4], 0.1, 0.05), Homography)
