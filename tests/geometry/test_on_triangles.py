"""Values on triangles, read at corners and points."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.spatial import Delaunay

from ribwright.geometry.on_triangles import Triangles, corner_values

RNG = np.random.default_rng(5)
PLACES = np.concatenate([RNG.uniform(0.0, 10.0, (60, 2)), [[0.0, 0.0], [10.0, 0.0], [10.0, 10.0], [0.0, 10.0]]])
TRIANGLES = Delaunay(PLACES).simplices.astype(np.int64)
MIDDLES = PLACES[TRIANGLES].mean(axis=1)


def plane(p: np.ndarray) -> np.ndarray:
    return np.stack([1.0 + 0.3 * p[..., 0] - 0.2 * p[..., 1], 0.5 * p[..., 1]], axis=-1)


def test_a_plane_of_values_is_read_as_it_is_up_to_the_boundary() -> None:
    found = corner_values(PLACES, TRIANGLES, plane(MIDDLES), np.zeros(len(TRIANGLES), int))
    assert np.allclose(found, plane(PLACES[TRIANGLES]), atol=1e-6)


def test_groups_do_not_mix() -> None:
    group = (MIDDLES[:, 0] > 5.0).astype(int)
    found = corner_values(PLACES, TRIANGLES, group[:, None] * 1.0, group)
    assert np.allclose(found[..., 0], group[:, None], atol=1e-9)


def test_points_are_found_with_their_shares_and_not_outside() -> None:
    points = np.concatenate([RNG.uniform(0.0, 10.0, (50, 2)), [[-1.0, 5.0], [5.0, 10.5]], PLACES[:3]])
    which, shares = Triangles(PLACES, TRIANGLES).find(points)
    assert (which[50:52] == -1).all()
    assert np.isnan(shares[50:52]).all()
    inside = which >= 0
    assert inside.sum() == 53
    back = np.einsum("nc,nck->nk", shares[inside], PLACES[TRIANGLES[which[inside]]])
    assert np.allclose(back, points[inside], atol=1e-9)
    assert (shares[inside] > -1e-9).all()


@pytest.mark.parametrize("count", [1, 2])
def test_a_patch_of_one_or_two_triangles_gives_their_mean_value_where_all_are_alike(count: int) -> None:
    places = np.array([[0.0, 0.0], [1.0, 0.0], [0.0, 1.0], [1.0, 1.0]])
    triangles = np.array([[0, 1, 2], [1, 3, 2]])[:count]
    found = corner_values(places, triangles, np.full((count, 1), 0.7), np.zeros(count, int))
    assert np.allclose(found, 0.7, atol=1e-9)
