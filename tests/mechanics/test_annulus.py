"""Laws of the strain-corrected flat width and of the smoothed curvature."""

from __future__ import annotations

import time

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from ribwright.mechanics import annulus

ANGLES = [15.0, 45.0, 60.0, 89.0, 90.0, 97.0, 120.0]


def straight_width(mid_radius: float, angle: float, length: float) -> float:
    return mid_radius * np.radians(angle) + length


@pytest.mark.parametrize("angle", ANGLES)
@pytest.mark.parametrize("k", [0.3, 0.5, 0.6])
def test_a_straight_flange_is_its_mid_surface_laid_flat(angle: float, k: float) -> None:
    d = annulus.develop(0.0, 3.5, angle, 20.0, k)
    assert d.converged
    assert float(d.width) == pytest.approx(straight_width(3.5, angle, 20.0), abs=1e-9)
    assert float(d.edge_strain) == 0.0
    assert float(d.edge_thickness_ratio) == 1.0


@pytest.mark.parametrize("kappa", [-1 / 40, 1 / 40])
def test_a_flange_that_is_not_bent_is_its_own_blank(kappa: float) -> None:
    d = annulus.develop(kappa, 3.5, 0.0, 12.0)
    assert float(d.width) == pytest.approx(12.0, abs=1e-9)
    assert float(d.edge_strain) == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize("angle", ANGLES)
def test_the_width_goes_smoothly_through_a_straight_edge(angle: float) -> None:
    flat = float(annulus.develop(0.0, 3.5, angle, 20.0).width)
    near = annulus.develop([-1e-7, 1e-7], 3.5, angle, 20.0).width
    np.testing.assert_allclose(near, flat, atol=1e-4)
    assert float(np.mean(near)) == pytest.approx(flat, abs=1e-8)


@pytest.mark.parametrize("angle", ANGLES)
@pytest.mark.parametrize("k", [0.3, 0.5, 0.6])
def test_stretch_flanges_need_wider_and_shrink_flanges_narrower_blanks(angle: float, k: float) -> None:
    d = annulus.develop([-1 / 60, 0.0, 1 / 60], 3.5, angle, 12.0, k)
    assert d.converged.all()
    assert d.width[0] > d.width[1] > d.width[2]
    assert d.edge_strain[0] > 0.0 > d.edge_strain[2]
    assert d.edge_thickness_ratio[0] < 1.0 < d.edge_thickness_ratio[2]


@pytest.mark.parametrize("angle", ANGLES)
def test_a_tighter_curve_strains_the_edge_more(angle: float) -> None:
    kappa = -1.0 / np.array([400.0, 200.0, 100.0, 60.0])
    assert (np.diff(annulus.develop(kappa, 3.5, angle, 10.0).edge_strain) > 0).all()
    assert (np.diff(annulus.develop(-kappa, 3.5, angle, 10.0).edge_strain) < 0).all()


def test_on_a_slightly_curved_sharp_square_flange_the_correction_is_k_l2_over_2r() -> None:
    # first order of the closed form, by hand: (1 + kappa y)^(1+k) = 1 + (1+k) kappa L
    for k in (0.3, 0.5, 0.6):
        width = float(annulus.develop(-1 / 5000, 1e-6, 90, 20.0, k).width)
        assert width - 20.0 == pytest.approx(k * 20.0**2 / (2 * 5000), rel=0.01)


def test_the_edge_of_a_sharp_square_hole_flange_strains_by_its_closed_form() -> None:
    # by hand from the closed form on a cylinder of radius r: eps = -ln(1 - (1+k) L/r)/(1+k)
    for k in (0.3, 0.5, 0.6):
        strain = float(annulus.develop(-1 / 25, 1e-9, 90, 6.0, k).edge_strain)
        assert strain == pytest.approx(-np.log(1 - (1 + k) * 6 / 25) / (1 + k), abs=1e-7)


def test_closed_form_keeps_the_area_when_the_sheet_keeps_its_thickness() -> None:
    # k = 1 (r-value without bound) is thickness kept, so the flat ring has the formed ring's area, by Pappus
    formed = 2 * np.pi * (30.0 * 3.5 * np.pi / 2 - 3.5**2 + (30.0 - 3.5) * 10.0)
    width, _ = annulus.closed_form_width(-1 / 30, 3.5, 90, 10.0, 1.0)
    assert np.pi * (30.0**2 - (30.0 - float(width)) ** 2) == pytest.approx(formed, rel=1e-9)


@pytest.mark.parametrize("kappa", [-1 / 60, -1 / 200, 1 / 60, 1 / 200])
def test_near_square_the_equation_and_the_closed_form_agree(kappa: float) -> None:
    closed, _ = annulus.closed_form_width(kappa, 3.5, 90, 15.0)
    assert float(annulus.ode_width(kappa, 3.5, 90, 15.0).width) == pytest.approx(float(closed), abs=2e-3)
    assert float(annulus.develop(kappa, 3.5, 90.001, 15.0).width) == pytest.approx(float(closed), abs=3e-3)


def test_the_flow_curve_hardly_moves_the_flat_width() -> None:
    # the strain field is nearly fixed by geometry: n from 0.1 to 0.3 moves 19.3 mm by hundredths
    width = annulus.ode_width(-1 / 60, 3.5, 60, 15.0, n=[0.1, 0.2, 0.3], prestrain=[0.0, 0.002, 0.01]).width
    assert 0.0 < np.ptp(width) < 0.03


@pytest.mark.parametrize("angle", [45.0, 75.0, 110.0])
def test_twice_as_many_steps_give_the_same_width(angle: float, monkeypatch: pytest.MonkeyPatch) -> None:
    kappa = np.array([-1 / 50, -1 / 100, 1 / 30, 1 / 100])
    coarse = annulus.ode_width(kappa, 3.5, angle, 12.0, prestrain=2e-4)
    monkeypatch.setattr(annulus, "BEND_STEPS", 2 * annulus.BEND_STEPS)
    monkeypatch.setattr(annulus, "STRAIGHT_STEPS", 2 * annulus.STRAIGHT_STEPS)
    fine = annulus.ode_width(kappa, 3.5, angle, 12.0, prestrain=2e-4)
    np.testing.assert_allclose(coarse.width, fine.width, atol=2e-4)


def start_of(width: float, kappa: float, mid_radius: float, angle: float, length: float, k: float, n: float) -> float:
    """y(0) by another road: force and place as unknowns, strain found from force at each place, scipy's integrator."""
    a, eps_r = np.radians(angle), 0.002
    arc = mid_radius * a

    def place(s: float) -> tuple[float, float]:
        turned = min(s, arc) / mid_radius
        return mid_radius * np.sin(turned) + max(s - arc, 0.0) * np.cos(a), np.cos(turned)

    def stress(one: float, other: float) -> float:
        """t sig of direction `one`, in units of K t0."""
        eps2 = ((1 - k) * (one**2 + other**2) + k * (one + other) ** 2) / (1 - k**2)
        secant = (eps2 + eps_r**2) ** ((n - 1) / 2)
        return np.exp(-one - other) * secant * (one + k * other) / (1 - k**2)

    def slopes(s: float, state: np.ndarray) -> list[float]:
        y, force = state
        off, slope = place(s)
        hoop = np.log((1 + kappa * off) / (1 + kappa * y))
        radial = brentq(
            lambda e: (1 + kappa * off) * stress(e, hoop) - force, -k * hoop - 0.5, -k * hoop + 0.15, xtol=1e-14
        )
        return [np.exp(-radial), stress(hoop, radial) * kappa * slope]

    y, force = width, 0.0
    for start, end in ((arc + length, arc), (arc, 0.0)):
        y, force = solve_ivp(slopes, (start, end), [y, force], rtol=1e-7, atol=1e-9).y[:, -1]
    return float(y)


@pytest.mark.parametrize(("kappa", "angle", "k"), [(-1 / 60, 60.0, 0.5), (-1 / 40, 45.0, 0.4), (1 / 40, 110.0, 0.5)])
def test_the_undifferentiated_balance_of_forces_agrees(kappa: float, angle: float, k: float) -> None:
    width = float(annulus.ode_width(kappa, 3.5, angle, 10.0, k).width)
    assert start_of(width, kappa, 3.5, angle, 10.0, k, 0.2) == pytest.approx(0.0, abs=5e-4)


def test_a_concave_edge_tighter_than_the_bend_reaches_is_a_fold_and_has_no_number() -> None:
    d = annulus.develop([-1 / 3.4, -1 / 30], 3.5, 90, 2.0)
    assert d.folds.tolist() == [True, False]
    assert np.isnan(d.width[0])
    assert np.isnan(d.edge_strain[0])
    assert d.converged.tolist() == [False, True]


def test_a_convex_flange_bent_far_past_square_folds_too() -> None:
    assert bool(annulus.develop(1 / 10, 3.5, 150, 20.0).folds)
    assert not bool(annulus.develop(1 / 10, 3.5, 90, 20.0).folds)


@settings(max_examples=60, deadline=None)
@given(
    kappa=st.floats(-0.06, 0.06),
    mid_radius=st.floats(0.5, 9.0),
    angle=st.floats(0.0, 135.0),
    length=st.floats(0.0, 30.0),
    k=st.floats(0.25, 0.65),
    n=st.floats(0.02, 0.35),
)
def test_no_flange_gets_a_number_that_is_not_marked(
    kappa: float, mid_radius: float, angle: float, length: float, k: float, n: float
) -> None:
    d = annulus.develop(kappa, mid_radius, angle, length, k, n=n)
    nothing = bool(d.folds) or bool(d.closes)
    assert np.isnan(float(d.width)) == nothing
    assert not (nothing and bool(d.converged))
    assert np.isfinite(float(d.edge_strain)) == (not nothing)
    if d.converged and length > 0:
        assert float(d.width) * (1 + abs(kappa) * float(d.width)) > 0


def test_losing_width_to_the_neutral_axis_stretches_the_edge_that_is_cut() -> None:
    whole = annulus.develop(-1 / 60, 3.5, 90, 12.0)
    less = annulus.develop(-1 / 60, 3.5, 90, 12.0, shift=0.1)
    assert float(whole.width - less.width) == pytest.approx(0.1, abs=1e-12)
    cut, rim = 60 - float(less.width), 60 - 3.5
    assert float(less.edge_strain) == pytest.approx(np.log(rim / cut), abs=1e-12)


def test_stations_are_solved_alone() -> None:
    kappa, angle = np.array([-1 / 50, 0.0, 1 / 80, -1 / 3.0]), np.array([60.0, 75.0, 90.0, 60.0])
    together = annulus.develop(kappa, 3.5, angle, 12.0)
    for i in range(4):
        alone = annulus.develop(kappa[i], 3.5, angle[i], 12.0)
        np.testing.assert_allclose(together.width[i], alone.width, rtol=1e-9)
        assert bool(together.converged[i]) == bool(alone.converged)


def test_four_hundred_stations_take_a_tenth_of_a_second() -> None:
    kappa, angle = np.linspace(-1 / 40, 1 / 40, 400), np.linspace(60, 110, 400)
    spans = []
    for _ in range(4):
        start = time.process_time()
        assert annulus.ode_width(kappa, 3.5, angle, 12.0).converged.all()
        spans.append(time.process_time() - start)
    assert min(spans) < 0.1


# ---------------------------------------------------------------- smoothed curvature


def stations(turns: int = 200, period: float = 150.0) -> np.ndarray:
    return np.linspace(0.0, period, turns + 1)


def test_even_curvature_of_a_closed_run_is_left_alone_whatever_the_length() -> None:
    s = np.cumsum(np.concatenate([[0.0], np.linspace(0.2, 1.4, 100)]))
    length = np.linspace(0.5, 90.0, len(s))
    smooth = annulus.smooth_curvature(s, np.full(100, -0.02), length, closed=True)
    np.testing.assert_allclose(smooth, -0.02, rtol=1e-12)


def test_a_closed_run_keeps_its_total_turning() -> None:
    s = stations(2000)
    cells = np.where((s[:-1] > 30) & (s[:-1] < 70), 1 / 20, -1 / 300)
    smooth = annulus.smooth_curvature(s, cells, 6.0, closed=True, kinks=((110.0, 0.01),))
    assert np.trapezoid(smooth, s) == pytest.approx(float(np.diff(s) @ cells) + 0.01, abs=1e-5)


def test_smoothing_does_not_care_which_way_the_run_is_walked() -> None:
    s = np.concatenate([[0.0], np.cumsum(np.linspace(0.3, 1.5, 120))])
    cells = np.sin(np.arange(120) / 9.0) / 50
    length = np.linspace(3.0, 8.0, 121)
    for closed in (False, True):
        there = annulus.smooth_curvature(s, cells, length, closed, ((20.0, 0.01),))
        back = annulus.smooth_curvature(s[-1] - s[::-1], cells[::-1], length[::-1], closed, ((s[-1] - 20.0, 0.01),))
        np.testing.assert_allclose(there, back[::-1], atol=1e-14)


def test_curvature_is_halved_at_a_free_end_and_whole_far_from_it() -> None:
    s = stations()
    smooth = annulus.smooth_curvature(s, np.full(200, 1 / 40), 5.0)
    np.testing.assert_allclose(smooth[[0, -1]], 1 / 80, rtol=1e-9)
    assert smooth[100] == pytest.approx(1 / 40, rel=1e-6)
    # one length in from the end the missing half of the kernel is exp(-1)/2
    inside = annulus.smooth_curvature([0.0, 5.0, 150.0], [1 / 40, 1 / 40], 5.0)[1]
    assert inside == pytest.approx((1 - np.exp(-1) / 2) / 40, rel=1e-9)


def test_cells_may_be_cut_finer_without_changing_the_answer() -> None:
    s, cells = np.array([0.0, 20.0, 50.0, 80.0]), np.array([0.0, 1 / 30, -1 / 100])
    coarse = annulus.smooth_curvature(s, cells, 7.0)
    fine = annulus.smooth_curvature(np.linspace(0, 80, 81), np.repeat(cells, [20, 30, 30]), 7.0)
    np.testing.assert_allclose(fine[[0, 20, 50, 80]], coarse, atol=1e-14)


def test_a_closed_run_is_the_middle_of_many_turns_of_an_open_one() -> None:
    s, cells = stations(100, 60.0), np.cos(np.arange(100) / 7.0) / 40
    closed = annulus.smooth_curvature(s, cells, 8.0, closed=True, kinks=((13.0, 0.02),))
    laps = 15
    long = np.concatenate([s[:-1] + 60.0 * i for i in range(laps)] + [[60.0 * laps]])
    many = annulus.smooth_curvature(
        long, np.tile(cells, laps), 8.0, kinks=tuple((13.0 + 60.0 * i, 0.02) for i in range(laps))
    )
    np.testing.assert_allclose(many[700:801], closed, atol=1e-12)


def test_a_kink_is_a_very_short_and_very_tight_arc() -> None:
    s = np.array([0.0, 40.0 - 5e-4, 40.0 + 5e-4, 90.0])
    arc = annulus.smooth_curvature(s, [0.0, 0.01 / 1e-3, 0.0], 6.0)
    kink = annulus.smooth_curvature(s, np.zeros(3), 6.0, kinks=((40.0, 0.01),))
    np.testing.assert_allclose(arc, kink, rtol=1e-4)
