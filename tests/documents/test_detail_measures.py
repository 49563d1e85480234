"""Notches, drawn flutes and beads on the inspection sheet, and beads with their places on the block drawing."""

from __future__ import annotations

from functools import cache

import pytest

from building import EXAMPLES, example_shop
from documents.sample import outside, said, sample_identity
from ribwright.adapters.facts_toml import load_catalogue
from ribwright.adapters.part_toml import read_part
from ribwright.documents import block_sheet, inspection_sheet
from ribwright.documents.entry_table import in_cell
from ribwright.documents.measures import CANNOT, measures, tolerance_words
from ribwright.documents.page import Document
from ribwright.stages.job import take_in
from ribwright.stages.plan import Plan, make_plan
from ribwright.units import show_length

PARTS = ("Q7-3205-1", "Q7-2101-1-notched", "Q7-2102-1-flutes-drawn", "Q7-3310-1")


@cache
def planned(name: str) -> Plan:
    return make_plan(take_in(read_part(EXAMPLES / f"{name}.part.toml"), example_shop(), load_catalogue(), name))


@cache
def sheet(name: str) -> Document:
    return inspection_sheet.document(planned(name), sample_identity(planned(name)), "letter")


@pytest.mark.parametrize("name", PARTS)
def test_every_notch_flute_and_bead_of_the_file_is_measured_with_its_sizes_as_typed(name: str) -> None:
    plan = planned(name)
    part, asked = plan.job.part, measures(plan, "in")
    named = [
        *((f"notch {i} on {n.edge}", (n.width, n.depth)) for i, n in enumerate(part.notches, 1)),
        *((f"flute {i} on {f.edge}", (f.width, f.depth)) for i, f in enumerate(part.flutes, 1)),
        *((f"bead {i}", (b.depth, b.width)) for i, b in enumerate(part.beads, 1)),
    ]
    assert named
    for what, sizes in named:
        mine = [m for m in asked if m.what.startswith(f"{what}: ")]
        assert {in_cell(show_length(mm, "in")) for mm in sizes} <= {m.nominal for m in mine}
        assert {tolerance_words(part, m, "in") for m in mine} == {CANNOT}
    assert [outside(page) for page in sheet(name).pages] == [[]] * len(sheet(name).pages)


def test_the_cuts_of_notches_are_checked_before_forming() -> None:
    plan, text = planned("Q7-2101-1-notched"), said(sheet("Q7-2101-1-notched"))
    before = text.partition("Formed part")[0]
    for i, n in enumerate(plan.job.part.notches, 1):
        assert f"notch {i} on {n.edge}" in before


def test_details_without_a_tolerance_are_named_by_their_kind() -> None:
    text = said(sheet("Q7-3205-1"))
    assert "sizes of notches" in text
    assert "sizes of beads" in text


def test_the_block_drawing_says_where_the_beads_lie() -> None:
    plan = planned("Q7-3310-1")
    text = said(block_sheet.document(plan, sample_identity(plan), "letter"))
    for bead in plan.job.part.beads:
        for point in bead.points:
            for v in point:
                assert show_length(v, "in").partition(" (")[0] in text
