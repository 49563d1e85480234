"""Laws of the pad: modulus, closing pressure, pressure at the ram, shortest flange."""

from __future__ import annotations

import numpy as np
import pytest

from ribwright.mechanics import pad, springback


def test_a_harder_pad_is_stiffer_and_the_relations_own_range_is_marked() -> None:
    found = pad.shear_modulus([10.0, 20.0, 50.0, 80.0, 81.0])
    assert (np.diff(found.shear_mpa) > 0).all()
    assert found.extrapolated.tolist() == [True, False, False, False, True]


def test_at_100_shore_the_relation_has_no_value_and_says_so() -> None:
    found = pad.shear_modulus([100.0, 105.0])
    assert np.isinf(found.shear_mpa).all()
    assert found.extrapolated.all()


def test_the_pad_coefficient_is_held_outside_its_two_trials() -> None:
    found = pad.pad_coefficient([40.0, 60.0, 75.0, 90.0, 95.0])
    np.testing.assert_allclose(found.k, [2.2, 2.2, 1.85, 1.5, 1.5])
    np.testing.assert_allclose(found.sd, [0.55, 0.55, 0.425, 0.3, 0.3])
    assert found.held.tolist() == [True, False, False, False, True]


def test_a_narrower_flange_needs_more_pressure_and_none_at_all_cannot_be_closed() -> None:
    pressure = pad.closing_pressure(100.0, [20.0, 10.0, 0.0, -1.0])
    assert pressure[1] == pytest.approx(4 * pressure[0])
    assert np.isinf(pressure[2:]).all()


def test_the_ram_gives_the_pad_its_share_first() -> None:
    ram = pad.ram_pressure(0.8, 2.2, 1.2, 0.55)
    assert float(ram.pressure) == pytest.approx(0.8 + 2.2 * 1.2)
    assert float(ram.sd) == pytest.approx(np.hypot(0.04 * 0.8, 1.2 * 0.55))
    assert float(ram.sd) > float(pad.ram_pressure(0.8, 2.2, 1.2).sd)


def test_the_shortest_straight_part_needs_just_the_pressure_there_is() -> None:
    moment = float(springback.power_law_moment(690, 0.16, 3.0, 1.0))
    s = float(pad.shortest_straight(moment, 7.0, 2.2, 1.2))
    assert float(pad.ram_pressure(pad.closing_pressure(moment, s), 2.2, 1.2).pressure) == pytest.approx(7.0)


def test_a_hard_pad_on_a_weak_press_bends_nothing() -> None:
    g = pad.shear_modulus(90).shear_mpa
    assert np.isinf(pad.shortest_straight(100.0, 7.0, pad.pad_coefficient(90).k, g))


def test_thicker_sheet_needs_a_wider_flange() -> None:
    def width(t: float) -> float:
        moment = springback.power_law_moment(330, 0.2, 3 * t, t)
        return float(pad.shortest_flange(3 * t, t, 90, pad.shortest_straight(moment, 7.0, 2.2, 1.2)))

    assert width(1.6) > width(1.0) > width(0.5)


def test_starting_a_flange_takes_less_pressure_than_closing_it() -> None:
    # hardening and the arc are left out of the start: about a third
    for t in (0.8, 1.6):
        start = float(pad.start_pressure(2 / np.sqrt(3) * 76, t, 12.0))
        closing = float(pad.closing_pressure(springback.power_law_moment(330, 0.2, 3 * t, t), 12.0))
        assert 0.15 < start / closing < 0.5


RAMP = np.linspace(0.0, 8.0, 161)


def bent(even: np.ndarray) -> np.ndarray:
    """A flange under an even pressure: turned to the wall of 90 deg at 2 MPa, not at all without any."""
    return 90.0 * np.minimum(even / 2.0, 1.0) ** 1.5


@pytest.mark.parametrize("share", [0.0, 0.4, 3.0])
def test_what_a_flange_feels_rises_with_the_rams_pressure_and_has_no_step(share: float) -> None:
    ram = np.linspace(0.01, 1.5 * (2.0 + share), 2000)
    felt = np.array([pad.felt_pressure(float(p), share, RAMP, bent(RAMP), 89.5) for p in ram])
    assert (np.diff(felt) > -1e-9).all()
    assert (felt <= ram + 1e-9).all()
    # past closing the whole share comes back over 3 % of the closing pressure
    steepest = 1.0 + share / (pad.RETURN * 2.0)
    assert np.diff(felt).max() < 1.01 * steepest * (ram[1] - ram[0])
    np.testing.assert_allclose(felt[ram > 1.04 * (2.0 + share)], ram[ram > 1.04 * (2.0 + share)])


@pytest.mark.parametrize("share", [0.4, 3.0])
def test_an_open_flange_has_its_share_kept_in_proportion_to_its_angle(share: float) -> None:
    for p in np.linspace(0.1, 1.9 + share, 30):
        felt = pad.felt_pressure(float(p), share, RAMP, bent(RAMP), 89.5)
        angle = float(np.interp(felt, RAMP, bent(RAMP)))
        assert felt == pytest.approx(p - share * min(angle / 89.5, 1.0), abs=1e-3)


def test_a_ramp_that_ends_before_the_pressure_says_nothing() -> None:
    assert np.isnan(pad.felt_pressure(9.0, 0.5, RAMP[:20], bent(RAMP[:20]), 89.5))
