"""A block is known by the name of the packet that it was cut from, whatever was measured since."""

from __future__ import annotations

from dataclasses import replace

import pytest

from building import box, example_shop, job_of
from ribwright.shop.springback_book import Book, Withdrawn
from ribwright.stages.fingerprint import fingerprint
from ribwright.stages.former_blocks import former_block, states
from ribwright.stages.plan import Plan, make_plan
from taught_books import observation

SHOP = example_shop()
ROWS = tuple(
    replace(observation(off, serial, along=along, date=f"2031-03-1{serial}"), id=f"{serial}-{along:g}")
    for serial, off in (("0", -2.0), ("1", -1.0), ("2", -1.5))
    for along in (40.0, 80.0)
)
OUT = Withdrawn("0-40", "W. Heron", "read off the web")
NOW = Book(ROWS, (OUT,))


def plan(book: Book) -> Plan:
    return make_plan(job_of(box(), SHOP, book))


def name(p: Plan) -> str:
    return fingerprint(p.job, p.asked, "", p.model)


@pytest.mark.parametrize(
    "then",
    [Book(), Book(ROWS[:2]), Book(ROWS[:4]), Book(ROWS[:4], (OUT,)), Book(ROWS)],
    ids=["empty", "one piece", "two", "two, one reading withdrawn", "three, before it was withdrawn"],
)
def test_the_block_of_a_packet_is_made_as_the_book_stood_when_it_was_printed(then: Book) -> None:
    was, now = plan(then), plan(NOW)
    assert name(was) != name(now)
    found = former_block(now, name(was), "")
    assert found is not None
    for a, b in zip(found.edges, was.block.edges, strict=True):
        assert a.under.deg == pytest.approx(b.under.deg)
    south = next(e.under.deg[0] for e in now.block.edges if e.edge == "south")
    assert next(e.under.deg[0] for e in found.edges if e.edge == "south") != pytest.approx(south, abs=1e-3)


def test_the_name_of_no_state_of_the_book_finds_none() -> None:
    now = plan(NOW)
    assert former_block(now, "0" * 16, "") is None
    # half of a piece was never a state of the book: a piece is kept at once
    assert former_block(now, name(plan(Book(ROWS[:3]))), "") is None
    # another shop's book gives other names
    assert former_block(now, name(plan(Book(ROWS[2:4]))), "") is None
    assert former_block(plan(Book()), name(now), "") is None


def test_every_state_of_a_book_is_tried_the_latest_first() -> None:
    assert [(len(b.observations), len(b.withdrawn)) for b in states(NOW)] == [
        (6, 1),
        (6, 0),
        (4, 1),
        (4, 0),
        (2, 1),
        (2, 0),
    ]
