"""A nearly flat face from many points: polynomials come back exactly, others within what is stated, slopes too."""

from __future__ import annotations

import numpy as np
import pytest

from ribwright.geometry.main_plane import main_plane
from ribwright.geometry.slot_fit import fit_slot
from ribwright.geometry.smooth_face import smooth_face


def test_a_plane_is_a_plane_everywhere() -> None:
    p = np.random.default_rng(1).uniform((0, 0), (300, 90), (4000, 2))
    face = smooth_face(p, 0.4 + 0.002 * p[:, 0] - 0.001 * p[:, 1], 0.02)
    assert face is not None
    places = np.array([[10.0, 10.0], [290.0, 80.0]])
    h, _, slope, _ = face.near(places, np.tile([0.0, 1.0], (2, 1)))
    assert h == pytest.approx([0.41, 0.9], abs=1e-9)
    assert slope == pytest.approx([-0.001, -0.001], abs=1e-9)
    assert face.smooth(places)[0] == pytest.approx([0.41, 0.9], abs=1e-9)


def test_height_and_slope_of_a_bow_lie_within_what_is_stated() -> None:
    """60 seeded bows, a cosine that is no polynomial; 95 % asked of so many may miss by 4 %."""
    inside = []
    for seed in range(60):
        rng = np.random.default_rng(seed)
        p = rng.uniform(-1, 1, (3000, 2)) * (150.0, 45.0)
        height = rng.uniform(-0.3, 0.3)

        def bow(x: np.ndarray, b: float = height) -> np.ndarray:
            return b * np.cos(x[:, 0] / 110.0) * np.cos(x[:, 1] / 33.0)

        face = smooth_face(p, bow(p) + rng.normal(0, 0.03, len(p)))
        assert face is not None
        at = np.array([[0.0, 0.0], [100.0, 30.0], [-120.0, -44.0]])
        way = np.tile([0.0, 1.0], (3, 1))
        h, u, m, mu = face.near(at, way)
        inside += list(np.abs(h - bow(at)) <= 2 * u)
        inside += list(np.abs(m - (bow(at + 1e-4 * way) - bow(at)) / 1e-4) <= 2 * mu)
    assert np.mean(inside) > 0.91


def test_too_few_points_make_no_face() -> None:
    assert smooth_face(np.zeros((3, 2)), np.zeros(3)) is None
    assert smooth_face(np.column_stack([np.arange(20.0), np.zeros(20)]), np.zeros(20)) is None


def test_the_plane_of_most_points_is_found_among_others() -> None:
    rng = np.random.default_rng(2)
    web = np.column_stack([rng.uniform(0, 200, (3000, 2)), rng.normal(3.0, 0.02, 3000)])
    rest = rng.uniform(0, 200, (1500, 3))
    plane = main_plane(np.concatenate([web, rest]), 0.5)
    assert plane is not None
    assert abs(plane.normal[2]) == pytest.approx(1.0, abs=1e-5)
    assert abs(plane.offset) == pytest.approx(3.0, abs=0.02)


@pytest.mark.parametrize("length", [0.0, 4.0])
def test_a_hole_and_a_slot_are_found_among_strays(length: float) -> None:
    rng = np.random.default_rng(3)
    way = rng.uniform(0, 2 * np.pi, 200)
    p = 2.5 * np.column_stack([np.cos(way), np.sin(way)])
    p[:, 0] += np.sign(p[:, 0]) * length / 2
    p = np.concatenate([p + (0.2, -0.1) + rng.normal(0, 0.01, p.shape), [[0.5, 0.2], [4.9, 3.0]]])
    slot = fit_slot(p, np.zeros(2), 2.4, np.array([1.0, 0.0]), length)
    assert slot is not None
    assert slot.centre == pytest.approx([0.2, -0.1], abs=4 * np.sqrt(slot.cov[0, 0]) + 1e-4)
    assert slot.radius == pytest.approx(2.5, abs=4 * np.sqrt(slot.cov[2, 2]))
