"""Bevel gauge cards: one for each angle, near enough to each other, right by construction and proved by a rise."""

from __future__ import annotations

from math import atan2, degrees, hypot

import numpy as np
import pytest

from building import RandomPart, box, job_of
from ribwright.documents.bevel_card import Card, card, cards, turns_of
from ribwright.stages.bevels import SAME_DEG, STEP_DEG, Bevel, Bevels, bevels
from ribwright.stages.plan import make_plan

VARYING = "[[0, 84], [60, 90], ['end', 97]]"


def of(text: str) -> Bevels:
    plan = make_plan(job_of(text))
    return bevels(plan.job, plan.blank, plan.block)


def test_equal_flanges_share_one_card_and_the_block_has_its_own() -> None:
    made = of(box())
    assert [b.angle for b in made.part] == [90.0]
    assert {p.edge for p in made.part[0].places} == {"south", "east", "north", "west"}
    assert len(made.block) == 1
    assert made.block[0].angle > 90.0
    assert made.block[0].low is not None
    assert made.runs == ()


def test_a_varying_bevel_has_cards_at_its_stations_and_never_far_apart() -> None:
    made = of(box(angle=VARYING, flanges=(True, False, False, False)))
    along = {p.along: b.angle for b in made.part for p in b.places}
    assert {0.0: 84.0, 60.0: 90.0, 200.0: 97.0}.items() <= along.items()
    angles = [a for _, a in sorted((x, a) for x, a in along.items() if x is not None)]
    assert max(abs(np.diff(angles))) <= STEP_DEG + 1e-9
    (run,) = made.runs
    assert run.bend == pytest.approx(np.interp(run.along, [0, 60, 200], [84, 90, 97]))


@pytest.mark.parametrize("seed", range(6))
def test_every_flanged_edge_has_a_card_of_its_angle_and_its_wall(seed: int) -> None:
    plan = make_plan(job_of(RandomPart(seed).text()))
    made = bevels(plan.job, plan.blank, plan.block)
    for b in plan.block.edges:
        for angle, group in ((float(b.angle[0]), made.part), (float(b.under.wall[0]), made.block)):
            mine = [c for c in group if any(p.edge == b.edge for p in c.places)]
            assert len(mine) == 1
            assert mine[0].angle == pytest.approx(angle, abs=SAME_DEG)


def test_a_card_clears_the_bend_of_every_place_it_serves() -> None:
    text = box(radius=4.0, t=1.0)
    made = of(text)
    # (R + t) tan 45 from the corner of the heel faces
    assert made.part[0].clear == pytest.approx(5.0)
    assert all(c.hole > c.bevel.clear for c in cards(made, turns_of(job_of(text).part)))


@pytest.mark.parametrize("angle", [15.0, 44.0, 45.0, 46.0, 84.0, 90.0, 97.0, 134.0, 135.0, 136.0, 165.0])
def test_the_legs_enclose_the_angle_and_the_rise_proves_it(angle: float) -> None:
    c: Card = card(1, "part", Bevel(angle, (), 4.0))
    web, leg = c.legs()
    assert web[0][1] == web[1][1] == 0.0
    turn = degrees(atan2(leg[1][1] - leg[0][1], leg[1][0] - leg[0][0]))
    assert turn == pytest.approx(180.0 - angle)
    # measured as a person would: 100 mm along the line, then square to it to the leg
    assert hypot(*c.foot) == pytest.approx(100.0)
    square = (c.tip[0] - c.foot[0]) * c.foot[0] + (c.tip[1] - c.foot[1]) * c.foot[1]
    assert square == pytest.approx(0.0, abs=1e-9)
    assert c.rise == pytest.approx(hypot(c.tip[0] - c.foot[0], c.tip[1] - c.foot[1]))
    assert c.rise <= 100.0 + 1e-9
    assert degrees(atan2(c.tip[1], c.tip[0])) == pytest.approx(180.0 - angle)
    # both legs run out through the card's edge: cut along them it falls into wedge and cut-out
    x0, y0, x1, y1 = c.box
    for x, y in (web[1], leg[1]):
        assert min(abs(x - x0), abs(x - x1), abs(y - y0), abs(y - y1)) < 1e-9
        assert x0 - 1e-9 <= x <= x1 + 1e-9
        assert y0 - 1e-9 <= y <= y1 + 1e-9


def test_a_block_whose_undercut_is_not_known_has_no_card() -> None:
    made = of(box().replace("thickness =", 'formed_in = "W"\nthickness ='))
    assert made.block == ()
    assert len(made.part) == 1
