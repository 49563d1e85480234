"""Laying measured places onto drawn ones: held against a library's turn, an exact case worked by hand, and its own covariance."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from ribwright.geometry.register import register, rigid, turned

PINS = np.array([[20.0, -23.0], [328.0, 7.6], [142.0, 23.0]])
X, Y = np.array([[1.0, 0.0]]), np.array([[0.0, 1.0]])


def both(points: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Each point twice, to be looked at along x and along y."""
    return np.repeat(points, 2, axis=0), np.tile(np.vstack([X, Y]), (len(points), 1))


@pytest.mark.parametrize("seed", range(5))
def test_the_turn_is_that_of_scipys_align_vectors(seed: int) -> None:
    rng = np.random.default_rng(seed)
    p, q = rng.normal(0, 50, (9, 2)), rng.normal(0, 50, (9, 2))
    k = rng.uniform(0.1, 3, 9)
    angle, shift = rigid(p, q, k)
    flat = [np.column_stack([v - (k @ v) / k.sum(), np.zeros(9)]) for v in (q, p)]
    # turned about z alone: a heavy pair along z keeps the library's turn in the plane
    z = np.array([[0.0, 0.0, 1e5]])
    theirs, _ = Rotation.align_vectors(np.vstack([flat[0], z]), np.vstack([flat[1], z]), [*k, 1e6])
    assert angle == pytest.approx(theirs.as_rotvec()[2], abs=1e-6)
    assert turned(angle) @ ((k @ p) / k.sum()) + shift == pytest.approx((k @ q) / k.sum())


@pytest.mark.parametrize("degrees", [-170.0, -3.0, 0.0, 0.5, 40.0, 120.0])
def test_a_move_that_was_made_is_found(degrees: float) -> None:
    r = turned(np.radians(degrees))
    targets, ways = both(PINS)
    points = (targets - (7.0, -4.0)) @ r
    m = register(points, targets, ways, np.full(6, 0.01))
    assert m.moved(points) == pytest.approx(targets, abs=1e-9)
    assert m.held
    assert m.rms < 1e-9


def test_a_slot_carries_only_across_its_long_axis() -> None:
    """Hole at the origin, slot 100 mm off along x with its axis along x: what the slot's place says along x moves nothing."""
    for slip in (0.0, 0.4):
        points = np.array([[0.0, 0.0], [0.0, 0.0], [100.0 + slip, 0.3]])
        targets = np.array([[0.0, 0.0], [0.0, 0.0], [100.0, 0.0]])
        m = register(points, targets, np.vstack([X, Y, Y]), np.full(3, 0.01))
        assert m.turn == pytest.approx(-np.arctan2(0.3, 100.0 + slip), abs=1e-9)
        assert m.moved(points[:1]) == pytest.approx(np.zeros((1, 2)), abs=1e-9)


def test_the_covariance_of_hole_and_slot_is_that_worked_by_hand() -> None:
    """Hole at 0 and slot at L along x, sd of each row s: y of the line at x is y0 (1 - x/L) + y1 x/L, so at the hole sd s, in the middle
    s/sqrt 2, at the slot s, at 2 L beyond it s sqrt 5; and the turn's sd is s sqrt 2/L. (Worked by hand.)"""
    size, s = 80.0, 0.02
    at = np.array([[0.0, 0.0], [0.0, 0.0], [size, 0.0]])
    m = register(at, at, np.vstack([X, Y, Y]), np.full(3, s))
    assert np.sqrt(m.cov[2, 2]) == pytest.approx(s * np.sqrt(2) / size)
    for x, expected in ((0.0, s), (size / 2, s / np.sqrt(2)), (size, s), (2 * size, s * np.sqrt(5))):
        g = np.array([0.0, 1.0, x - m.about[0]])
        assert np.sqrt(g @ m.cov @ g) == pytest.approx(expected)


@pytest.mark.parametrize("alike", [False, True])
def test_errors_of_the_places_scatter_the_move_as_its_covariance_says(alike: bool) -> None:
    """Unequal errors, both with their own weights and with every pin alike: 4000 seeded trials, the scatter within 5 %."""
    rng = np.random.default_rng(3)
    targets, ways = both(PINS)
    sd = np.repeat([0.01, 0.05, 0.02], 2)
    weights = np.ones(6) if alike else None
    got = []
    for _ in range(4000):
        m = register(targets + ways * rng.normal(0, sd)[:, None], targets, ways, sd, weights)
        got.append([*(m.moved(m.about[None])[0] - m.about), m.turn])
    measured = np.cov(np.array(got).T)
    assert np.sqrt(np.diag(measured)) == pytest.approx(np.sqrt(np.diag(m.cov)), rel=0.05)


def test_rows_that_leave_a_shift_free_say_so() -> None:
    at = np.array([[0.0, 0.0], [50.0, 0.0], [100.0, 0.0]])
    m = register(at + (3.0, 0.2), at, np.repeat(Y, 3, axis=0), np.full(3, 0.1))
    assert not m.held
    assert np.isinf(m.cov[0, 0])
    assert np.abs(m.left).max() < 1e-9
