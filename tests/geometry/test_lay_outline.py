"""An outline laid on its drawing from anywhere."""

from __future__ import annotations

import numpy as np
import pytest

from ribwright.geometry.lay_outline import area_middle, evenly, layings
from ribwright.geometry.register import turned

RIB = np.array([(0, 0), (180, 10), (360, 30), (360, 70), (180, 90), (0, 85)], float)
HOLES = np.array([(20.0, 20.0), (300.0, 50.0)])
NONE = np.zeros((0, 2))


@pytest.mark.parametrize("turn", [0.0, 1.0, np.pi, -2.2])
@pytest.mark.parametrize("mirrored", [False, True])
def test_any_pose_is_found_and_told_mirrored_or_not(turn: float, mirrored: bool) -> None:
    rng = np.random.default_rng(4)
    flip = np.array([-1.0, 1.0]) if mirrored else 1.0
    seen = (evenly(RIB, 900) * flip) @ turned(turn).T + (500.0, -80.0) + rng.normal(0.0, 0.1, (900, 2))
    best = layings(seen, RIB, (HOLES * flip) @ turned(turn).T + (500.0, -80.0), HOLES)[0]
    assert best.mirrored is mirrored
    assert best.moved(seen) == pytest.approx(evenly(RIB, 900), abs=0.6)
    assert best.rms < 0.2


def test_a_rectangle_goes_four_ways_and_its_holes_choose_one() -> None:
    box = np.array([(0, 0), (200, 0), (200, 100), (0, 100)], float)
    alone = layings(evenly(box, 500), box, NONE, NONE)
    assert sum(way.rms < 0.5 for way in alone) == 4
    with_holes = layings(
        evenly(box, 500), box, np.array([(20.0, 20.0), (180.0, 30.0)]), np.array([(20.0, 20.0), (180.0, 30.0)])
    )
    assert with_holes[0].rms < 0.5 < with_holes[1].rms
    assert abs(with_holes[0].turn) < 1e-3


def test_another_part_fits_no_way() -> None:
    other = RIB * (1.0, 1.6)
    assert layings(evenly(other, 500), RIB, NONE, NONE)[0].rms > 5.0


def test_the_middle_of_area_is_that_of_a_triangle() -> None:
    area, middle = area_middle(np.array([(0, 0), (3, 0), (0, 6)], float))
    assert area == pytest.approx(9.0)
    assert middle == pytest.approx([1.0, 2.0])
