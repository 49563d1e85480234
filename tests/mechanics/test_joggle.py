"""A joggle's step as numbers: held against points on its arcs, and against mechanisms tried one by one."""

from __future__ import annotations

import numpy as np
import pytest

from ribwright.mechanics import joggle


@pytest.mark.parametrize(("depth", "length"), [(0.8, 5.0), (0.5, 2.0), (1.0, 9.0)])
def test_the_step_is_as_long_as_the_chords_along_its_two_arcs(depth: float, length: float) -> None:
    rho = float(joggle.arc_radius(depth, length))
    x = np.linspace(0.0, length / 2, 20001)
    half = rho - np.sqrt(rho**2 - x**2)
    assert half[-1] == pytest.approx(depth / 2)  # both halves meet in the middle
    chords = 2 * np.hypot(np.diff(x), np.diff(half)).sum()
    assert float(joggle.lengthening(depth, length)) == pytest.approx(chords / length - 1, rel=1e-6)
    assert np.tan(float(joggle.slope(depth, length))) == pytest.approx(np.gradient(half, x)[-1], rel=1e-3)


def test_a_flat_step_lengthens_by_two_thirds_of_its_slope_squared() -> None:
    assert float(joggle.lengthening(0.1, 10.0)) == pytest.approx(2 / 3 * 0.01**2, rel=1e-3)


def test_the_band_of_pressure_is_that_of_the_weakest_mechanism_of_either_way_to_be_held() -> None:
    """Strip of span 1, plastic moment 1, pressure p: work of the load equals that of the hinges, hinges tried at every place."""
    x = np.linspace(0.01, 0.99, 981)
    # both ends held: hinges at the ends and at x; sag 1 there, load sinks 1/2 on average
    held = (1 / x + 1 / (1 - x) + (1 / x + 1 / (1 - x))) / 0.5
    # one end slides down without turning, hinges at both ends
    slides = 2.0 / 0.5
    low, told, high = (float(p) for p in joggle.setting_pressure(1.0, 1.0))
    assert high == pytest.approx(held.min(), rel=1e-3)
    assert low == pytest.approx(slides)
    assert told == pytest.approx(np.sqrt(low * high))


def test_a_longer_step_and_a_thinner_sheet_ask_for_less() -> None:
    assert joggle.setting_pressure(20.0, 6.0)[1] < joggle.setting_pressure(20.0, 5.0)[1]
    assert joggle.bending_strain(0.8, 5.0, 0.5) < joggle.bending_strain(0.8, 5.0, 0.8)
