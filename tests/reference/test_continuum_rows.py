"""The strip against the continuum where the block or the load is another: undercut and open walls, 70 MPa, pressure on the cut edge,
friction, a flange that stays open, R/t 2; and what the continuum itself doubts. Both are models: nothing is compared with a real part.

`continuum.csv` keeps the continuum's figures; `cd tests && python -m reference.continuum_beside` shows both beside each other.
"""

from __future__ import annotations

from functools import cache

import pytest

from reference.continuum_beside import closing, figures
from reference.continuum_case import CASES
from reference.continuum_record import recorded

pytestmark = [pytest.mark.reference, pytest.mark.slow]
KEPT = recorded()
TURNED = ("springback_deg", "springback_block_away_deg")


@cache
def ours(name: str) -> dict[str, float]:
    return figures(CASES[name])


LIKE = ("t3-r3-14-undercut", "t3-r3-14-open-wall", "t3-r3-14-edge", "t3-r3-70")


@pytest.mark.parametrize("name", LIKE)
def test_other_walls_an_edge_under_pressure_and_70_mpa_spring_back_as_in_the_continuum(name):
    """Walls at 75 and 98 deg and pressure on the cut edge, at 14 MPa; 70 MPa: within 0.16 deg."""
    a, b = ours(name), KEPT[name]
    assert a["loaded_deg"] == pytest.approx(b["loaded_deg"], abs=0.05)
    for key in TURNED:
        assert a[key] == pytest.approx(b[key], abs=0.165), key


@pytest.mark.parametrize("name", LIKE)
def test_the_shape_under_load_is_that_of_the_continuum(name):
    """Web lift within 0.0045 mm, gap at the wall up to 0.003 mm lower, thinnest place up to 0.5 %, inside radius 1.4 to 2.4 % smaller."""
    a, b = ours(name), KEPT[name]
    assert -0.0015 < a["web_lift_mm"] - b["web_lift_mm"] < 0.0045
    assert -0.0035 < a["wall_gap_mm"] - b["wall_gap_mm"] < 0.0
    assert -0.0055 < a["thinnest_mm"] / b["thinnest_mm"] - 1.0 < 0.0
    assert -0.026 < a["formed_inside_radius_mm"] / b["formed_inside_radius_mm"] - 1.0 < 0.0


def test_pressure_on_the_cut_edge_adds_as_much_springback_as_in_the_continuum():
    """2024-T3 1.0 R3, 14 MPa: 0.11 deg more by the continuum."""
    for key in TURNED:
        more = KEPT["t3-r3-14-edge"][key] - KEPT["t3-r3-14"][key]
        assert ours("t3-r3-14-edge")[key] - ours("t3-r3-14")[key] == pytest.approx(more, abs=0.05), key


def test_a_flange_under_less_than_its_closing_pressure_springs_back_as_in_the_continuum():
    """1.2 of 1.63 MPa: within 0.15 deg. Under load it stands 0.6 deg less far, which is what 0.6 % of pressure does there."""
    a, b = ours("t3-r3-1.2"), KEPT["t3-r3-1.2"]
    assert -0.7 < a["loaded_deg"] - b["loaded_deg"] < 0.0
    for key in TURNED:
        assert a[key] == pytest.approx(b[key], abs=0.15), key
    assert closing(CASES["t3-r3-1.2"]) is None


@pytest.mark.parametrize("name", [n for n in KEPT if CASES[n].undercut])
def test_a_flange_closes_on_another_wall_at_the_pressure_of_the_continuum(name):
    """Within half a degree of walls at 75 and 98 deg: up to 1 % lower."""
    assert -0.01 < closing(CASES[name]) / KEPT[name]["closing_mpa"] - 1.0 < 0.0


def test_a_sharp_bend_in_the_continuum_is_coarse_by_four_elements_through_and_fine_the_strip_agrees():
    """R/t 1.5. The continuum with six elements through instead of four, 0.11 mm instead of 0.16 along, springs back 0.54 and 0.58 deg
    more. The strip is 0.2 and 0.27 deg under that, with 40 layers and twice the elements 0.12 and 0.19."""
    coarse, fine = KEPT["t3-r1.2-14"], KEPT["t3-r1.2-14-fine"]
    strip = figures(CASES["t3-r1.2-14"], layers=40, fine=2.0)
    for key in TURNED:
        assert 0.5 < fine[key] - coarse[key] < 0.6, key
        assert -0.28 < ours("t3-r1.2-14")[key] - fine[key] < -0.15, key
        assert -0.2 < strip[key] - fine[key] < 0.0, key


def test_a_block_two_and_a_half_times_as_hard_hardly_moves_the_continuum():
    """5e5 instead of 2e5 N/mm3, 2024-T3 1.0 R3 at 14 MPa: 0.03 and 0.04 deg less."""
    for key in TURNED:
        assert KEPT["t3-r3-14-hard"][key] == pytest.approx(KEPT["t3-r3-14"][key], abs=0.05), key
