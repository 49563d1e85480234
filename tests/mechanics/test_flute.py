"""One flute: what it gathers, against measured length of its own section, the handbook's figure and the rule of the catalogue."""

from __future__ import annotations

import numpy as np
import pytest

from ribwright.mechanics import flute

SIZES = [(10.16, 2.286), (6.35, 1.4), (8.0, 0.5), (12.0, 6.0), (10.0, 0.01)]


@pytest.mark.parametrize(("width", "depth"), SIZES)
def test_a_flute_gathers_the_length_of_its_section_less_its_width(width: float, depth: float) -> None:
    u = np.linspace(-width / 2, width / 2, 400_001)
    length = np.hypot(np.diff(u), np.diff(flute.section(u, width, depth))).sum()
    assert flute.gather(width, depth) == pytest.approx(length - width, abs=2e-6 * width)


@pytest.mark.parametrize(("width", "depth"), SIZES)
def test_a_single_arc_over_the_same_width_and_depth_is_as_long(width: float, depth: float) -> None:
    radius = (width**2 / 4 + depth**2) / (2 * depth)
    assert flute.gather(width, depth) == pytest.approx(2 * radius * 2 * np.arctan(2 * depth / width) - width, abs=1e-9)


@pytest.mark.parametrize(("width", "depth"), [*SIZES[:3], (12.0, 5.0), SIZES[4]])
def test_the_section_is_a_groove_without_kinks_with_arcs_of_one_radius(width: float, depth: float) -> None:
    u = np.linspace(-0.499 * width, 0.499 * width, 20_001)
    z = flute.section(u, width, depth)
    assert z.max() == pytest.approx(depth, rel=1e-6)
    slope = np.gradient(z, u)
    bend = np.gradient(slope, u) / (1 + slope**2) ** 1.5
    clear = np.abs(np.abs(u) - width / 4) > width / 500
    assert np.abs(bend[clear][3:-3]) == pytest.approx(1 / float(flute.arc_radius(width, depth)), rel=0.02)
    assert np.abs(np.diff(slope)).max() < 0.01 * max(np.abs(slope).max(), 1e-3)


def test_the_handbooks_flute_gathers_0_039_in_as_two_straight_lines_and_0_052_in_as_it_is_shaped() -> None:
    assert float(flute.vee_gather(0.40, 0.09)) == pytest.approx(0.039, abs=5e-4)
    assert float(flute.gather(0.40, 0.09)) == pytest.approx(0.0520, abs=5e-5)


@pytest.mark.parametrize(("width", "depth"), SIZES)
def test_depth_for_a_gather_and_depth_for_a_radius_undo_gather_and_radius(width: float, depth: float) -> None:
    assert flute.depth_for(width, float(flute.gather(width, depth))) == pytest.approx(depth, abs=1e-6)
    assert flute.deepest_for_radius(width, float(flute.arc_radius(width, depth))) == pytest.approx(depth, abs=1e-9)


def test_no_flute_gathers_more_than_one_half_as_deep_as_it_is_wide() -> None:
    assert flute.depth_for(10.0, 10.0) == float("inf")
    assert flute.depth_for(10.0, float(flute.gather(10.0, 5.0))) == pytest.approx(5.0, abs=1e-6)
    assert flute.depth_for(10.0, 0.0) == 0.0


def test_a_shallow_flute_gathers_two_thirds_of_depth_squared_over_width_more_than_a_vee() -> None:
    # series: arcs 8 d^2/(3 w), two lines 2 d^2/w
    assert float(flute.gather(10.0, 0.01)) == pytest.approx(8 * 0.01**2 / 30, rel=1e-4)
    assert float(flute.vee_gather(10.0, 0.01)) == pytest.approx(2 * 0.01**2 / 10, rel=1e-4)
