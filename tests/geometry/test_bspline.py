"""Cubic B-splines as poles, and closed surfaces of triangles."""

from __future__ import annotations

import struct

import numpy as np
import pytest
from scipy.interpolate import CubicSpline

from ribwright.geometry.bspline import basis, poles_through
from ribwright.geometry.mesh import enclosed, read_stl

KNOTS = np.array([0.0, 0.1, 0.35, 0.5, 0.9, 1.0])


def test_the_basis_adds_up_to_one_and_is_never_negative() -> None:
    values = basis(KNOTS, np.linspace(0, 1, 201))
    assert np.allclose(values.sum(axis=1), 1)
    assert values.min() >= 0


def test_the_curve_is_the_clamped_spline_of_the_library() -> None:
    rng = np.random.default_rng(3)
    points, ends = rng.normal(size=(2, len(KNOTS), 2)), rng.normal(size=(2, 2, 2))
    poles = poles_through(KNOTS, points, ends[0], ends[1])
    at = np.linspace(0, 1, 301)
    for k in range(2):
        library = CubicSpline(KNOTS, points[k], bc_type=((1, ends[0, k]), (1, ends[1, k])))
        assert np.allclose(basis(KNOTS, at) @ poles[k], library(at), atol=1e-12)


CORNERS = np.array([[0, 0, 0], [1, 0, 0], [0, 1, 0], [0, 0, 1]], float)
TETRAHEDRON = CORNERS[[[0, 2, 1], [0, 1, 3], [1, 2, 3], [0, 3, 2]]]


def test_a_tetrahedron_is_closed_and_encloses_a_sixth() -> None:
    closed, volume = enclosed(TETRAHEDRON)
    assert closed
    assert volume == pytest.approx(1 / 6)


MOVED = TETRAHEDRON.copy()
MOVED[3, 1, 2] = 1.01
TURNED = TETRAHEDRON.copy()
TURNED[0] = TURNED[0, ::-1]


@pytest.mark.parametrize(
    "broken",
    [TETRAHEDRON[:3], np.concatenate([TETRAHEDRON, TETRAHEDRON[:1]]), MOVED, TURNED],
    ids=["a triangle missing", "a triangle twice", "a corner beside its place", "a triangle the wrong way round"],
)
def test_what_does_not_close_is_told(broken: np.ndarray) -> None:
    assert not enclosed(broken)[0]


def test_a_file_cut_short_is_not_read() -> None:
    whole = bytes(80) + struct.pack("<I", 2) + bytes(100)
    assert read_stl(whole).shape == (2, 3, 3)
    with pytest.raises(ValueError, match="whole"):
        read_stl(whole[:-1])
