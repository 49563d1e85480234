"""Flat widths of whole flanged rings against a study's three ways of finding them.

Source: this project's feasibility study of blank development, full rings in K 330 MPa, n 0.2, prestrain 0.002,
r-value 1, t 1, inside radius 3, neutral axis in the middle; R is the radius of the bend tangent line, L the straight
length, the widths in mm. `inverse` is a finite-element answer by an independent route (membrane triangles, 2 mm mesh).
"""

from __future__ import annotations

import numpy as np
import pytest

from ribwright.mechanics import annulus, bending

MID_RADIUS = 3.5
#        sign  R    L   angle handbook closed  equation inverse
RINGS = [
    (-1.0, 30, 10, 90, 15.498, 17.603, 17.601, 17.609),
    (-1.0, 30, 15, 60, 18.665, 21.054, 20.527, 20.524),
    (-1.0, 60, 20, 90, 25.498, 28.525, 28.525, 28.533),
    (-1.0, 300, 20, 90, 25.498, 25.929, 25.929, 25.930),
    (1.0, 30, 20, 90, 25.498, 22.901, 22.900, 22.896),
    (1.0, 60, 15, 60, 18.665, 18.219, 18.188, 18.187),
    (1.0, 300, 10, 90, 15.498, 15.381, 15.381, 15.380),
]
RING = ("sign", "r", "length", "angle", "handbook", "closed", "equation", "inverse")


@pytest.mark.parametrize(RING, RINGS)
def test_a_ring_is_as_wide_as_the_study_found(
    sign: float, r: float, length: float, angle: float, handbook: float, closed: float, equation: float, inverse: float
) -> None:
    by_book = float(bending.bend_allowance("k-factor", 3.0, 1.0, angle, 0.5)) + length
    by_closed_form, closes = annulus.closed_form_width(sign / r, MID_RADIUS, angle, length)
    by_equation = annulus.ode_width(sign / r, MID_RADIUS, angle, length)
    assert not closes
    assert by_equation.converged
    assert by_book == pytest.approx(handbook, abs=1e-3)
    assert float(by_closed_form) == pytest.approx(closed, abs=1e-3)
    assert float(by_equation.width) == pytest.approx(equation, abs=1e-3)
    assert float(by_equation.width) == pytest.approx(inverse, abs=0.02)


def test_a_sheet_that_resists_thinning_needs_a_wider_blank_on_a_stretch_flange() -> None:
    # stretch R 60, L 20, 90 deg, r-value 0.5, 1, 1.5; same study, the finite-element answer to 0.01 mm
    r_value = np.array([0.5, 1.0, 1.5])
    width = annulus.develop(-1 / 60, MID_RADIUS, 90, 20.0, r_value / (1 + r_value)).width
    np.testing.assert_allclose(width, [27.39, 28.53, 29.31], atol=0.02)


# Engineering edge strain of holes, inside radius 3, t 1, 90 deg, r-value 1; same study, to 1 %.
@pytest.mark.parametrize(("r", "length", "percent"), [(18, 5, 138), (22, 5, 75), (30, 5, 40), (40, 5, 25), (60, 5, 15)])
def test_hole_edges_stretch_as_the_study_found(r: float, length: float, percent: float) -> None:
    strain = float(annulus.develop(-1 / r, MID_RADIUS, 90, length).edge_strain)
    assert 100 * np.expm1(strain) == pytest.approx(percent, abs=0.6)


def test_a_small_hole_closes_in_the_flat_where_the_handbook_still_leaves_one() -> None:
    # same study: R 18, L 8, 90 deg; the handbook would cut a hole of radius 4.5 mm
    assert bool(annulus.develop(-1 / 18, MID_RADIUS, 90, 8.0).closes)
    assert 18 - (float(bending.bend_allowance("k-factor", 3.0, 1.0, 90, 0.5)) + 8.0) == pytest.approx(4.5, abs=0.01)


@pytest.mark.parametrize("r", [60.0, 200.0, 1000.0])
def test_the_handbook_misses_a_quarter_millimetre_once_the_flange_outgrows_the_root_of_its_radius(r: float) -> None:
    # same study's rule of thumb
    length = np.sqrt(r)
    for sign in (-1.0, 1.0):
        width = float(annulus.develop(sign / r, MID_RADIUS, 90, 1.1 * length).width)
        assert abs(width - (MID_RADIUS * np.pi / 2 + 1.1 * length)) > 0.25
