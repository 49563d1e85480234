"""Points projected onto drawn lines: the place and the distance are those they were made with."""

from __future__ import annotations

import numpy as np
import pytest

from ribwright.geometry.curve import Arc, Curve, Line, Spline
from ribwright.geometry.near_curves import NearCurves
from ribwright.geometry.offset import outward

LINES: dict[str, Curve] = {
    "line": Line((0.0, 0.0), (200.0, 30.0)),
    "arc": Arc.through((0.0, -37.0), (178.0, -27.0), (356.0, -13.0)),
    "hard arc": Arc.through((0.0, 0.0), (40.0, 20.0), (80.0, 0.0)),
    "arc to the right": Arc.through((0.0, 0.0), (20.0, -40.0), (80.0, 0.0)),
    "spline": Spline([(0, 0), (60, 18), (140, 20), (220, 6), (260, 0)], None, None),
}


@pytest.mark.parametrize("name", list(LINES))
def test_place_and_distance_are_found(name: str) -> None:
    curve, rng = LINES[name], np.random.default_rng(1)
    s, u = rng.uniform(0, curve.length, 3000), rng.uniform(-8, 12, 3000)
    points = curve.point(s) + u[:, None] * outward(curve.tangent(s))
    line, at, off = NearCurves([curve], 30.0).project(points)
    assert (line == 0).all()
    assert at == pytest.approx(
        s, abs=1e-4
    )  # of the order k' u t^2/2: a place 8 mm off a spline, a quarter of a millimetre from a sample
    assert off == pytest.approx(u, abs=1e-6)


def test_the_nearest_of_several_lines_is_named() -> None:
    """Against the distance to a fine polyline of each."""
    curves = [LINES["line"], Line((0.0, 60.0), (200.0, 90.0)), Arc.through((210, 30), (240, 60), (210, 90))]
    points = np.random.default_rng(2).uniform((0, 0), (240, 90), (2000, 2))
    line, _, off = NearCurves(curves, 30.0).project(points)
    fine = [c.point(np.linspace(0, c.length, 20001)) for c in curves]
    for p, i, u in zip(points, line, off, strict=True):
        far = [np.hypot(*(f - p).T).min() for f in fine]
        assert far[i] <= min(far) + 0.75  # a cell lies across the border of two lines
        if 1 < far[i] < 40:
            assert abs(u) <= far[i] + 1e-3


def test_points_far_off_do_no_harm() -> None:
    line, s, u = NearCurves([LINES["spline"]], 10.0).project(np.array([[1e6, -1e6], [-5000.0, 3.0]]))
    assert np.isfinite(s).all()
    assert np.isfinite(u).all()
    assert (line == 0).all()
