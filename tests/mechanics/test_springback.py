"""Laws of the flow curve, of springback in closed form and of the undercut that takes it up."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ribwright.mechanics import hardening, pad, springback

SOFT = (330.0, 0.20, 72.4e3, 0.33)
HARD = (690.0, 0.16, 72.4e3, 0.33)


def test_the_flow_curve_starts_at_the_yield_stress_and_rises() -> None:
    prestrain = hardening.prestrain_from_yield([76.0, 345.0], [330.0, 690.0], [0.2, 0.16])
    np.testing.assert_allclose(hardening.flow_stress([330.0, 690.0], [0.2, 0.16], prestrain, 0.0), [76.0, 345.0])
    assert (np.diff(hardening.flow_stress(330.0, 0.2, prestrain[0], np.linspace(0, 0.3, 9))) > 0).all()


def test_necking_begins_where_the_load_is_greatest() -> None:
    n, prestrain = 0.2, 0.01
    at = float(hardening.necking_strain(n, prestrain))
    load = [float(hardening.flow_stress(330, n, prestrain, e)) * np.exp(-e) for e in (at - 0.01, at, at + 0.01)]
    assert load[1] == max(load)
    assert float(hardening.necking_strain(0.05, 0.1)) == 0.0


def test_the_elastic_plastic_moment_is_odd_and_rises_to_its_limit() -> None:
    curvature = np.linspace(-0.05, 0.05, 41)
    moment = springback.elastic_plastic_moment(curvature, 300.0, 77e3, 1.2)
    np.testing.assert_allclose(moment, -moment[::-1], atol=1e-12)
    assert (np.diff(moment) > 0).all()
    assert (np.abs(moment) < 300.0 * 1.2**2 / 4).all()


def test_a_bend_that_never_yielded_springs_flat() -> None:
    limit = 77e3 * 1.2 / (2 * 300.0)
    assert float(springback.springback_ratio(limit, 1.2, 300.0, 77e3)) == pytest.approx(0.0, abs=1e-12)
    assert float(springback.springback_ratio(5 * limit, 1.2, 300.0, 77e3)) == 0.0


def test_the_springback_ratio_is_the_release_of_the_elastic_plastic_moment() -> None:
    # rho/rho_f = 1 - 12 M rho/(E' t^3): the cubic is that, with M of the perfectly plastic sheet
    rho, s, e, t = np.array([4.0, 10.0, 40.0, 120.0]), 300.0, 77e3, 1.2
    moment = springback.elastic_plastic_moment(1 / rho, s, e, t)
    np.testing.assert_allclose(springback.springback_ratio(rho, t, s, e), 1 - 12 * moment * rho / (e * t**3))


@given(
    k=st.floats(100, 1000), n=st.floats(0.0, 0.5), ratio=st.floats(1.0, 10.0),
    thickness=st.floats(0.3, 4.0), angle=st.floats(5.0, 135.0),
)  # fmt: skip
def test_a_bend_made_over_the_undercut_block_comes_back_to_the_part(
    k: float, n: float, ratio: float, thickness: float, angle: float
) -> None:
    radius = ratio * thickness
    u = springback.undercut(k, n, 70e3, 0.33, radius, thickness, angle)
    if not u.converged:
        assert float(u.block_radius) <= 0
        return
    back = springback.released_bend(k, n, 70e3, 0.33, u.block_radius, thickness, angle + u.undercut_deg)
    assert float(back.angle_deg) == pytest.approx(angle, rel=1e-9)
    assert float(back.mid_radius) == pytest.approx(radius + thickness / 2, rel=1e-9)


def test_the_undercut_solves_the_three_equations_together() -> None:
    radius, t, angle = np.array([1.5, 3.0, 8.0]), 1.0, np.array([84.0, 90.0, 97.0])
    u = springback.undercut(*HARD, radius, t, angle)
    arc = (radius + t / 2) * np.radians(angle)
    moment = springback.power_law_moment(690, 0.16, u.block_radius, t)
    np.testing.assert_allclose(u.moment, moment)
    expected = 12 * moment * arc / (springback.plane_strain_modulus(72.4e3, 0.33) * t**3)
    np.testing.assert_allclose(np.radians(u.undercut_deg), expected, rtol=1e-10)
    np.testing.assert_allclose((u.block_radius + t / 2) * np.radians(angle + u.undercut_deg), arc, rtol=1e-12)


def test_stronger_sheet_larger_radius_and_more_bend_need_more_undercut() -> None:
    def deg(sheet: tuple[float, ...], radius: float, angle: float) -> float:
        return float(springback.undercut(*sheet, radius, 1.0, angle).undercut_deg)

    assert deg(HARD, 3, 90) > deg(SOFT, 3, 90)
    assert deg(HARD, 5, 90) > deg(HARD, 3, 90)
    assert deg(HARD, 3, 97) > deg(HARD, 3, 84)


def test_no_bend_needs_no_undercut_and_no_strength_gives_no_springback() -> None:
    assert float(springback.undercut(*HARD, 3.0, 1.0, 0.0).undercut_deg) == 0.0
    nothing = springback.undercut(0.0, 0.2, 72e3, 0.33, 3.0, 1.0, 90.0)
    assert float(nothing.undercut_deg) == 0.0
    assert float(nothing.block_radius) == pytest.approx(3.0)


def test_where_no_block_can_be_made_it_says_so() -> None:
    # a sharp bend in sheet of a tenth of the stiffness would want a block of negative radius
    u = springback.undercut(690.0, 0.16, 7.2e3, 0.33, [0.0, 3.0], 1.0, 90.0)
    assert u.converged.tolist() == [False, True]
    assert float(u.block_radius[0]) < 0
    assert not springback.undercut(690.0, 1.2, 72e3, 0.33, 3.0, 1.0, 90.0).converged


def test_bends_are_solved_alone() -> None:
    together = springback.undercut(*HARD, np.array([[2.0], [5.0]]), 1.0, np.array([80.0, 90.0, 100.0]))
    assert together.undercut_deg.shape == together.block_radius.shape == together.moment.shape == (2, 3)
    alone = springback.undercut(*HARD, 5.0, 1.0, 80.0)
    assert float(alone.undercut_deg) == pytest.approx(float(together.undercut_deg[1, 0]), rel=1e-12)


def test_the_corrected_springback_falls_with_pressure_and_says_where_it_holds() -> None:
    pc = float(pad.closing_pressure(springback.power_law_moment(690, 0.16, 2.4, 0.8), 12.8))
    deg, holds = springback.corrected_springback(*HARD, 2.4, 0.8, 90, pc * np.array([1.0, 1.5, 5.0, 25.0, 40.0]), pc)
    assert holds.tolist() == [False, True, True, True, False]
    assert (np.diff(deg) < 0).all()
    edge, _ = springback.corrected_springback(*HARD, 2.4, 0.8, 90, 30 * pc, pc)
    assert float(deg[-1]) == pytest.approx(float(edge))


# This project's trial of a layered strip, undercut 0, flange 16 mm: 2024-T3 0.8, R/t 3, at 3.5, 7, 14, 35, 70 MPa.
def test_the_corrected_springback_is_nearer_to_the_strip_than_the_closed_form() -> None:
    strip, pressure = np.array([9.3, 8.3, 7.3, 6.5, 6.0]), np.array([3.5, 7.0, 14.0, 35.0, 70.0])
    pc = pad.closing_pressure(springback.power_law_moment(690, 0.16, 2.4, 0.8), 16 - 2.4 - 0.8)
    corrected, holds = springback.corrected_springback(*HARD, 2.4, 0.8, 90, pressure, pc)
    plain = float(springback.closed_form_springback(*HARD, 2.4, 0.8, 90))
    miss = (corrected - strip)[holds]
    assert holds[:3].all()
    assert np.sqrt(np.mean(miss**2)) < np.sqrt(np.mean((plain - strip[holds]) ** 2))
    assert (np.abs(miss) < 2 * 0.77).all()
