"""A line through nodes keeps them, keeps straight lines straight and circles round."""

from __future__ import annotations

import numpy as np

from ribwright.geometry.through import BETWEEN, through


def test_nodes_are_kept_and_a_line_stays_straight() -> None:
    p = np.column_stack([[0.0, 1.0, 2.5, 3.0, 7.0], [0.0, 2.0, 5.0, 6.0, 14.0]])
    q = through(p)
    np.testing.assert_array_equal(q[::BETWEEN], p)
    np.testing.assert_allclose(q[:, 1], 2 * q[:, 0], atol=1e-12)
    np.testing.assert_array_equal(through(p[:2]), p[:2])


def test_a_circle_is_met_between_its_nodes() -> None:
    at = 2 * np.pi * np.arange(25) / 24
    p = 5.0 * np.column_stack([np.cos(at), np.sin(at)])
    p[-1] = p[0]
    np.testing.assert_allclose(np.linalg.norm(through(p), axis=1), 5.0, atol=2e-4)
    np.testing.assert_allclose(np.linalg.norm(through(p[:9]), axis=1), 5.0, atol=5e-3)
