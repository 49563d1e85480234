"""The cut list: sizes to saw, lots that fit, pins and tools, nothing invented."""

from dataclasses import replace

import numpy as np
import pytest

from documents.sample import outside, said, sample_identity, sample_plan, texts_of
from documents.variants import EVERY, planned, with_ring
from ribwright.adapters.write_pdf import write_pdf
from ribwright.documents import cut_list
from ribwright.documents.cut_list import hand_trim, lots_that_fit, rectangle_of
from ribwright.documents.page import Document
from ribwright.shop.shop import Stock
from ribwright.stages.block_stock import rough
from ribwright.stages.plan import Plan


def sheet(plan: Plan, paper: str = "letter") -> Document:
    return cut_list.document(plan, sample_identity(plan), paper)


def with_stock(plan: Plan, *stock: Stock) -> Plan:
    return replace(plan, job=replace(plan.job, shop=replace(plan.job.shop, stock=stock)))


def with_grain(plan: Plan, grain: float | None) -> Plan:
    part = plan.job.part
    return replace(plan, job=replace(plan.job, part=replace(part, sheet=replace(part.sheet, grain=grain))))


def lot(plan: Plan, size: tuple[float, float], **changes: object) -> Stock:
    row = Stock("L-1", plan.job.bought.name, plan.job.t, size, "length", 1, True)
    return replace(row, **changes)  # type: ignore[arg-type]


@pytest.mark.parametrize("paper", ["letter", "a4"])
@pytest.mark.parametrize("case", EVERY)
def test_every_page_renders_and_nothing_prints_past_it(case, paper):
    document = sheet(EVERY[case](), paper)
    assert document.name == "cut-list"
    assert write_pdf(document) == write_pdf(document)
    assert [outside(page) for page in document.pages] == [[]] * len(document.pages)


def test_the_rectangle_is_the_blanks_extent_along_and_across_the_grain():
    plan = sample_plan()
    x, y = plan.blank.size
    along_x, along_y, free = (rectangle_of(with_grain(plan, g)) for g in (0.0, 90.0, None))
    assert (along_x.along, along_x.across) == pytest.approx((x, y))
    assert (along_y.along, along_y.across) == pytest.approx((y, x))
    assert (free.along, free.across) == pytest.approx((x, y))
    assert f"{x / 25.4:.3f} in" in texts_of(sheet(plan))


@pytest.mark.parametrize("grain", [13.0, 45.0, 120.0])
def test_a_slanting_grain_turns_the_rectangle_with_it(grain):
    plan = with_grain(sample_plan("Q7-2101-1"), grain)
    p = np.array(plan.blank.outline.points)
    u = np.array([np.cos(np.radians(grain)), np.sin(np.radians(grain))])
    assert rectangle_of(plan).along == pytest.approx(float(np.ptp(p @ u)))


def test_trim_as_typed_is_in_the_rectangle():
    part = sample_plan("Q7-2101-1").job.part
    net, trimmed = planned(part), planned(replace(part, trim=5.0))
    assert rectangle_of(trimmed).along - rectangle_of(net).along > 5.0
    assert "5.00 mm" in said(sheet(trimmed))
    assert "No trim is typed in" in said(sheet(net))


def test_lots_are_those_of_the_same_sheet_that_hold_the_blank():
    plan = sample_plan()
    size = (rectangle_of(plan).along + 1, rectangle_of(plan).across + 1)
    good = lot(plan, size)
    wrong = (
        lot(plan, size, material="5052-H32"),
        lot(plan, size, thickness_mm=plan.job.t + 0.1),
        lot(plan, size, count=0),
        lot(plan, size, grain="width"),
        lot(plan, (size[0], size[1] - 2)),
        lot(plan, (size[0] - 2, size[1])),
    )
    assert lots_that_fit(with_stock(plan, good, *wrong), 0.0) == (good,)
    assert lots_that_fit(with_stock(plan, good), 1.0) == ()


def test_grain_across_the_lot_turns_the_blank_round():
    plan = sample_plan()
    across = lot(plan, (rectangle_of(plan).across + 1, rectangle_of(plan).along + 1), grain="width")
    assert lots_that_fit(with_stock(plan, across), 0.0) == (across,)
    either = lot(plan, across.sheet_mm, grain="length")
    assert lots_that_fit(with_stock(plan, either), 0.0) == ()
    assert lots_that_fit(with_stock(with_grain(plan, None), either), 0.0) == (either,)


def test_the_lot_is_named_with_its_certificate_or_no_lot_is():
    plan = sample_plan()
    assert "L-0231" in texts_of(sheet(plan))
    assert "yes" in texts_of(sheet(plan))
    uncertified = with_stock(plan, lot(plan, (3000.0, 1000.0), certificate=False))
    assert "NO" in texts_of(sheet(uncertified))
    assert "No lot in shop.toml fits" in said(sheet(with_stock(plan)))


def test_hand_trim_excess_is_the_catalogues_with_its_source():
    plan = sample_plan()
    fact = plan.job.catalogue.practice["hand_trim_excess"]
    assert hand_trim(plan) == pytest.approx(fact.value * (25.4 if fact.unit == "in" else 1.0))
    assert fact.source in said(sheet(plan))


@pytest.mark.parametrize("first", ["in", "mm"])
@pytest.mark.parametrize("size", [3.0, 25.4, 153.31, 786.34])
def test_a_rough_size_leaves_metal_to_saw_off_but_not_much(first, size):
    assert 6.35 - 1e-9 <= rough(size, 6.35, first == "in") - size < 13.0


def test_pins_and_recess_tools_are_listed_by_size():
    plan = sample_plan()
    texts = texts_of(sheet(plan))
    for p in plan.block.pins:
        assert f"{p.diameter / 25.4:.4f} in ({p.diameter:.3f} mm)" in texts
    for r in plan.block.recesses:
        assert f"{r.depth / 25.4:.3f} in" in texts
        assert f"{180 - 2 * r.wall_angle:.2f} deg" in texts


def test_rings_are_items_of_their_own():
    assert "1 loose upper ring" in said(sheet(with_ring()))
    assert "ring" not in said(sheet(sample_plan("Q7-2101-1"))).lower().split()


def test_what_is_only_common_practice_says_so():
    assert said(sheet(sample_plan())).count("common practice") >= 3


def test_the_cut_list_sends_nobody_to_drill_what_the_drill_template_marks_on_the_formed_part():
    text = said(sheet(sample_plan()))
    assert "rivet" not in text
    assert "pilot" not in text
