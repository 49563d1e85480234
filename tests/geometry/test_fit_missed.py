"""How far fitted lines and arcs lie from the points they were fitted to, measured on the finished vertices."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from ribwright.geometry.fit import lines_and_arcs, missed
from ribwright.geometry.path import Path


def wave(n: int = 400) -> np.ndarray:
    x = np.linspace(0.0, 100.0, n)
    return np.column_stack([x, 6.0 * np.sin(x / 15.0)])


@pytest.mark.parametrize("tolerance", [0.005, 0.02, 0.1])
def test_it_is_the_distance_to_the_path(tolerance: float) -> None:
    p = wave()
    fitted = lines_and_arcs(p, tolerance)
    path = shapely.LineString(Path(fitted, False).chords(1e-5))
    middles = (p[1:] + p[:-1]) / 2
    far = shapely.distance(path, shapely.points(np.concatenate([p, middles]))).max()
    assert missed(p, fitted) == pytest.approx(far, abs=3e-5)
    assert far <= tolerance * (1 + 1e-9)
    assert far > tolerance / 4


def test_a_line_for_a_bow_misses_by_its_rise() -> None:
    t = np.linspace(-0.1, 0.1, 41)
    p = np.column_stack([100.0 * np.sin(t), 100.0 * np.cos(t)])
    chord = ((p[0, 0], p[0, 1], 0.0), (p[-1, 0], p[-1, 1], 0.0))
    assert missed(p, chord) == pytest.approx(100.0 * (1.0 - np.cos(0.1)), rel=1e-9)
    # of the arc itself the middles of the chords are off, by c^2/8r
    assert missed(p, lines_and_arcs(p, 0.01)) == pytest.approx(0.5**2 / 800.0, rel=1e-2)
