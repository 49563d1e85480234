"""Which block the next one is held against: the one that the part's last measured piece came off, as far as its places say."""

from __future__ import annotations

from dataclasses import replace

import pytest

from ribwright.shop.springback_book import Book, Observation, Withdrawn
from ribwright.stages.next_block import last_block
from ribwright.stages.observing import Cut
from taught_books import observation


def row(serial: str, undercut: float, place: str = "south", along: float = 10.0, day: int = 10) -> Observation:
    o = observation(serial=serial, place=place, along=along, date=f"2031-03-{day}")
    return replace(o, undercut=undercut, id=f"{serial} {place} {along:g}")


def last(*rows: Observation, out: tuple[str, ...] = ()) -> Cut:
    cut = last_block(Book(rows, tuple(Withdrawn(x, "A", "b") for x in out)), "T-1", "none")
    assert cut is not None
    return cut


OLD = (row("1", 0.4, along=10.0), row("1", 0.4, along=50.0), row("1", 0.4, "north"))
FILED = (row("2", 2.2, along=10.0), row("2", 2.2, along=50.0), row("2", 2.2, along=90.0))


def test_a_block_that_was_filed_is_as_the_last_piece_found_it_at_every_place_of_that_edge() -> None:
    cut = last(*OLD, *FILED)
    assert [cut.at("south", False, s) for s in (10.0, 30.0, 90.0)] == [2.2, 2.2, 2.2]
    # how the other edge stands since then, nobody has said
    assert cut.at("north", False, 10.0) is None


def test_a_withdrawn_reading_takes_its_angle_out_and_does_not_bring_the_block_of_an_earlier_piece_back() -> None:
    cut = last(*OLD, *FILED, out=("2 south 10",))
    assert cut.at("south", False, 10.0) == 2.2
    # of a last piece that is withdrawn whole nobody knows what block it came off
    book = Book((*OLD, *FILED), tuple(Withdrawn(o.id, "A", "b") for o in FILED))
    assert last_block(book, "T-1", "none") is None


def test_earlier_pieces_of_the_same_block_say_how_the_other_edges_are_cut() -> None:
    cut = last(*OLD, row("2", 0.45, along=50.0))
    assert cut.at("north", False, 10.0) == 0.4
    assert cut.at("south", False, 50.0) == 0.45


def test_the_last_piece_is_the_one_measured_last_and_not_the_one_kept_last() -> None:
    assert last(row("2", 2.2, day=12), row("1", 0.4, day=11)).at("south", False, 10.0) == pytest.approx(2.2)
