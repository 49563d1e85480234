"""Springback books that the tests share: pieces measured so and so far off what was forecast."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from ribwright.adapters.springback_book import id_of
from ribwright.shop.springback_book import CLOSED_FORM, Book, Foretold, Observation


def observation(
    off: float = -1.0, serial: str = "1", place: str = "south", part: str = "T-1", material: str = "2024-O", lot: str = "L1",
    family: str = CLOSED_FORM, hole: bool = False, along: float = 0.0, date: str = "2031-03-10", springback: float = 4.0,
    u: float = 0.5, block: str = "B1",
) -> Observation:  # fmt: skip
    """A place of a piece that came out `off` degrees from its forecast, + closed."""
    value = 90.0
    told = Foretold(
        value, value - 2.6, value + 2.6, springback, 1.5, 0.3, 0.3, family, "a model", (value, value - 2.6, value + 2.6), 0,
        "0123456789abcdef", "0.1",
    )  # fmt: skip
    o = Observation(
        part, "A", "none", serial, lot, material, 1.0, place, hole, along, 3.0, 90.0, 0.0, "P1", 7.0, 70.0, 150.0, block,
        4.0, value + off, u, "G-05", 1, date, "W. Heron", told,
    )  # fmt: skip
    return replace(o, id=id_of(o))


def book_of(rows: Iterable[Observation]) -> Book:
    """The book that holds them."""
    return Book(tuple(rows), (), "springback.jsonl")


def book(offs: Iterable[float], **more: object) -> Book:
    """One piece for each of `offs`."""
    return book_of(observation(off, str(i + 1), **more) for i, off in enumerate(offs))  # type: ignore[arg-type]
