"""What the block is sawn from: slab, boards, pins, plate; nothing made up that the shop did not say."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from building import RandomPart, box, job_of
from ribwright.shop.sheet import BlockMaterial
from ribwright.shop.shop import Shop
from ribwright.stages.plan import Plan, make_plan

OAK = BlockMaterial("OAK", "white oak", 7.0, "trial")
PIN = '[[hole]]\nname = "{name}"\nkind = "tooling"\nat = {at}\ndiameter = {d}\npin_fit = 0.08\n'


def planned(text: str, **more: float) -> Plan:
    return make_plan(job_of(text, Shop(block_materials=(replace(OAK, **more),))))  # type: ignore[arg-type]


def test_what_the_shop_does_not_say_is_not_said() -> None:
    stock = planned(box()).making.stock
    assert (stock.boards, stock.board, stock.stack, stock.weight) == (None, None, None, None)
    assert "common practice" in stock.allowance_by


@pytest.mark.parametrize("board", [6.0, 12.7, 19.05, 30.0])
def test_boards_reach_the_height_and_one_less_does_not(board: float) -> None:
    plan = planned(box(width=22.0), board_thickness_mm=board)
    stock = plan.making.stock
    assert stock.boards is not None
    assert stock.stack == pytest.approx(stock.boards * board)
    assert stock.stack >= plan.block.height - 1e-6
    assert (stock.boards - 1) * board < plan.block.height


def test_a_board_exactly_as_thick_as_the_block_is_one_board() -> None:
    height = planned(box()).block.height
    assert planned(box(), board_thickness_mm=height).making.stock.boards == 1


@pytest.mark.parametrize("seed", range(20))
def test_the_slab_holds_web_face_and_foot_with_the_allowance_and_not_much_more(seed: int) -> None:
    plan = planned(RandomPart(seed).text(), allowance_mm=4.0)
    stock, points = plan.making.stock, np.concatenate([plan.block.outlines[0], plan.block.feet[0]])
    for rough, size in zip(stock.rough, np.ptp(points, axis=0), strict=True):
        assert size + 4.0 - 1e-6 <= rough < size + 4.0 + 6.4
    assert stock.allowance_by == "the shop file"
    assert stock.finished[2] == plan.block.height


def test_weight_is_density_times_volume() -> None:
    plan = planned(box(), density_kg_m3=700.0)
    assert plan.making.stock.weight == pytest.approx(700.0 * plan.block.volume / 1e9)


def test_pins_of_one_size_stand_together_and_their_length_adds_up() -> None:
    rows = (("P1", [40, 30], 4.76), ("P2", [160, 60], 6.35), ("P3", [100, 70], 4.76))
    plan = planned(box() + "".join(PIN.format(name=n, at=at, d=d) for n, at, d in rows))
    pins = plan.making.stock.pins
    assert [p.names for p in pins] == [("P1", "P3"), ("P2",)]
    for p in pins:
        assert p.length == pytest.approx(plan.block.height + plan.job.t + p.diameter)


def test_the_longer_side_takes_the_grain() -> None:
    assert planned(box(w=200, h=100)).making.stock.grain_along == "x"
    assert planned(box(w=100, h=200)).making.stock.grain_along == "y"


def test_the_plates_stock_holds_the_plate_and_there_is_none_without_it() -> None:
    plan = planned(box())
    size = np.ptp(plan.making.plate.outline, axis=0)
    assert plan.making.stock.plate is not None
    assert all(r > s for r, s in zip(plan.making.stock.plate, size, strict=True))
    narrow = planned(box(h=9.0, width=8.0, radius=2.0, flanges=(True, False, True, False)))
    assert narrow.making.stock.plate is None
