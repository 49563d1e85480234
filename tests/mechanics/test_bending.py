"""Laws of bend allowance, setback and deduction, for every rule."""

from __future__ import annotations

import numpy as np
import pytest

from ribwright.errors import InputError
from ribwright.mechanics import bending

RULES = [("faa", None), ("din-6935", None), ("k-factor", 0.42)]
RATIOS = np.array([0.1, 0.5, 1.0, 3.0, 5.0, 12.0])


@pytest.mark.parametrize(("rule", "kf"), RULES)
def test_allowance_grows_with_angle_in_proportion(rule: str, kf: float | None) -> None:
    angle = np.array([0.0, 30.0, 60.0, 90.0])
    ba = bending.bend_allowance(rule, 3.0, 1.0, angle, kf)
    np.testing.assert_allclose(ba, ba[-1] * angle / 90, rtol=1e-14)


@pytest.mark.parametrize(("rule", "kf"), RULES)
def test_twice_the_part_has_twice_the_allowance(rule: str, kf: float | None) -> None:
    once, twice = (bending.bend_allowance(rule, m * 3.0, m * 1.2, 75, kf) for m in (1, 2))
    assert float(twice) == pytest.approx(2 * float(once))


@pytest.mark.parametrize(("rule", "kf"), RULES)
def test_the_effective_k_factor_gives_the_allowance_back(rule: str, kf: float | None) -> None:
    effective = bending.effective_k_factor(rule, RATIOS, 1.0, kf)
    ba = bending.bend_allowance(rule, RATIOS, 1.0, 80, kf)
    np.testing.assert_allclose(np.radians(80) * (RATIOS + effective), ba, rtol=1e-13)


@pytest.mark.parametrize(("rule", "kf"), RULES)
def test_the_neutral_axis_stays_inside_the_sheet(rule: str, kf: float | None) -> None:
    effective = bending.effective_k_factor(rule, RATIOS, 1.0, kf)
    assert ((effective > 0.0) & (effective <= 0.5)).all()


@pytest.mark.parametrize(("rule", "kf"), RULES)
def test_mold_line_legs_lose_the_deduction(rule: str, kf: float | None) -> None:
    flats, ba = 20.0 + 15.0, float(bending.bend_allowance(rule, 3.0, 1.0, 60, kf))
    mold_lines = flats + 2 * float(bending.setback(3.0, 1.0, 60))
    assert mold_lines - float(bending.bend_deduction(rule, 3.0, 1.0, 60, kf)) == pytest.approx(flats + ba)


def test_the_outside_mold_line_is_farther_out_than_the_inside_one() -> None:
    angle = np.array([10.0, 45.0, 90.0, 120.0])
    between = bending.setback(3.0, 1.0, angle) - bending.inside_setback(3.0, angle)
    np.testing.assert_allclose(between, bending.k_chart(angle) * 1.0)


def test_din_factor_rises_with_the_radius_and_stays_in_the_sheet() -> None:
    k = bending.din_factor([0.0, 0.05, 0.2, 1.0, 4.9, 5.1, 100.0], 1.0)
    assert (np.diff(k) >= 0).all()
    assert k[0] == 0.0
    assert k[3] == pytest.approx(0.65)
    assert k[-1] == 1.0
    # from R/t = 5.01 the formula passes 1, which is where the standard stops it
    assert k[5] == pytest.approx(1.0, abs=1e-3)


def test_a_sharp_din_bend_has_no_allowance_rather_than_a_negative_one() -> None:
    assert float(bending.bend_allowance("din-6935", 0.0, 1.0, 90)) == 0.0


def test_din_compensation_at_a_square_bend_is_the_deduction() -> None:
    v = bending.din_compensation(RATIOS, 1.0, 90)
    np.testing.assert_allclose(v, bending.bend_deduction("din-6935", RATIOS, 1.0, 90))
    open_bend = bending.din_compensation(RATIOS, 1.0, 120)
    np.testing.assert_allclose(open_bend, bending.bend_deduction("din-6935", RATIOS, 1.0, 60))


def test_din_compensation_measures_closed_bends_to_the_outer_tangent_and_leaves_flat_ones_out() -> None:
    closed = float(bending.din_compensation(3.0, 1.0, 60))
    assert closed == pytest.approx(2 * (3.0 + 1.0) - float(bending.bend_allowance("din-6935", 3.0, 1.0, 120)))
    assert float(bending.din_compensation(3.0, 1.0, 170)) == 0.0


def test_an_unknown_rule_is_refused_with_the_nearest_one() -> None:
    with pytest.raises(InputError) as caught:
        bending.bend_allowance("din6935", 3.0, 1.0, 90)
    fault = caught.value.faults[0]
    assert fault.nearest == "din-6935"
    assert "faa" in fault.allowed


def test_the_k_factor_rule_asks_for_its_number() -> None:
    with pytest.raises(InputError, match="k_factor"):
        bending.effective_k_factor("k-factor", 3.0, 1.0)
