"""Beads and steps of joggles on the set-up card: what they need, what the press does to them, what is left to the hand."""

from __future__ import annotations

from functools import cache

import pytest

from building import EXAMPLES, example_shop
from documents.sample import outside, said, sample_identity
from ribwright.adapters.facts_toml import load_catalogue
from ribwright.adapters.part_toml import read_part
from ribwright.documents import setup_card
from ribwright.documents.page import Document
from ribwright.documents.what_sets import detail_rows
from ribwright.stages.job import take_in
from ribwright.stages.plan import Plan, make_plan


@cache
def planned(name: str, press: str) -> Plan:
    shop = example_shop()
    return make_plan(
        take_in(read_part(EXAMPLES / f"{name}.part.toml"), shop, load_catalogue(), name), shop.press(press)
    )


@cache
def card(name: str, press: str) -> Document:
    plan = planned(name, press)
    return setup_card.document(plan, sample_identity(plan), "letter")


@pytest.mark.parametrize(("name", "press"), [("Q7-2110-1", "P1"), ("Q7-3310-1", "P1"), ("Q7-3310-1", "P2")])
def test_every_bead_and_step_stands_in_the_table_of_what_the_press_closes(name: str, press: str) -> None:
    plan = planned(name, press)
    assert plan.setup is not None
    rows = detail_rows(plan.setup, "in")
    assert len(rows) == len(plan.setup.beads) + len(plan.setup.joggles) > 0
    text = said(card(name, press))
    for row in rows:
        assert row[0] in text
    assert [outside(page) for page in card(name, press).pages] == [[]] * len(card(name, press).pages)


def test_a_step_that_the_press_does_not_set_is_a_finding_and_a_step_of_the_procedure() -> None:
    plan, text = planned("Q7-2110-1", "P1"), said(card("Q7-2110-1", "P1"))
    finding = next(f for f in plan.findings if f.code == "joggle-not-set")
    assert finding.say.split(" takes ")[0] in text
    assert "NOT SET" in text
    assert "fibre drift" in text


@pytest.mark.parametrize(("press", "does"), [("P1", "NOT FILLED"), ("P2", "is filled")])
def test_a_bead_is_filled_or_not_as_the_checks_say(press: str, does: str) -> None:
    plan = planned("Q7-3310-1", press)
    assert plan.setup is not None
    assert {row[3] for row in detail_rows(plan.setup, "in")} == {does}
    assert ("bead-not-filled" in {f.code for f in plan.findings}) == (does == "NOT FILLED")


def test_what_the_block_stands_is_said_where_nothing_is_pumped_to() -> None:
    text = said(card("Q7-3310-1", "P1"))
    assert "no pressure is pumped to" in text
