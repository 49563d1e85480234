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


LIKE = [n for n in ("t3-r3-14-undercut", "t3-r3-14-open-wall", "t3-r3-14-edge", "t3-r3-35-edge") if n in KEPT]


@pytest.mark.parametrize("name", LIKE)
def test_other_walls_and_an_edge_under_pressure_spring_back_as_the_continuum(name):
    """Walls at 75 and 98 deg, 14 MPa; pressure on the cut edge, 14 and 35 MPa: within 0.15 deg."""
    a, b = ours(name), KEPT[name]
    assert a["loaded_deg"] == pytest.approx(b["loaded_deg"], abs=0.15)
    for key in TURNED:
        assert a[key] == pytest.approx(b[key], abs=0.15), key


def test_pressure_on_the_cut_edge_adds_as_much_springback_as_in_the_continuum():
    """2024-T3 1.0 R3, 14 MPa: 0.11 deg more by the continuum."""
    for key in TURNED:
        more = KEPT["t3-r3-14-edge"][key] - KEPT["t3-r3-14"][key]
        assert ours("t3-r3-14-edge")[key] - ours("t3-r3-14")[key] == pytest.approx(more, abs=0.05), key


def test_at_70_mpa_the_springback_is_no_more_than_a_third_of_a_degree_higher():
    """2024-T3 1.0 R3. What it is hangs on the block's penalty here: 5.1, 4.0, 3.3 and 3.0 deg with 0.1, 0.3, 1 and 2.8 E/t."""
    a, b = ours("t3-r3-70"), KEPT["t3-r3-70"]
    assert a["loaded_deg"] == pytest.approx(b["loaded_deg"], abs=0.15)
    for key in TURNED:
        assert 0.0 < a[key] - b[key] < 0.33, key


def test_a_flange_under_less_than_its_closing_pressure_stands_and_springs_back_as_in_the_continuum():
    """1.2 of 1.63 MPa: a degree further under load, 0.2 deg less springback."""
    a, b = ours("t3-r3-1.2"), KEPT["t3-r3-1.2"]
    assert 0.0 < a["loaded_deg"] - b["loaded_deg"] < 1.2
    for key in TURNED:
        assert -0.25 < a[key] - b[key] < 0.0, key
    assert closing(CASES["t3-r3-1.2"]) is None


@pytest.mark.parametrize("name", [n for n in KEPT if CASES[n].undercut])
def test_a_flange_closes_on_another_wall_at_the_pressure_of_the_continuum(name):
    """Within half a degree of walls at 75 and 98 deg: 2.5 %."""
    assert closing(CASES[name]) == pytest.approx(KEPT[name]["closing_mpa"], rel=0.025)


def test_at_r_over_t_1_5_a_finer_mesh_moves_the_continuum_by_half_a_degree():
    """Six elements through and 0.11 mm along instead of four and 0.16: 2.70 instead of 2.16 deg on the block. The strip is held to the
    finer one, within 0.2 deg."""
    coarse, fine = KEPT["t3-r1.2-14"], KEPT["t3-r1.2-14-fine"]
    for key in TURNED:
        assert 0.5 < fine[key] - coarse[key] < 0.6, key
        assert ours("t3-r1.2-14")[key] == pytest.approx(fine[key], abs=0.2), key


def test_a_block_two_and_a_half_times_as_hard_hardly_moves_the_continuum():
    for key in TURNED:
        assert KEPT["t3-r3-14-hard"][key] == pytest.approx(KEPT["t3-r3-14"][key], abs=0.05), key
