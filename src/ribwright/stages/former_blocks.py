"""The block of a packet that was made before the springback book moved: the same plan, with the book as it stood then.

The name of a packet tells what it was made from. The book only grows by lines, so each of its former states can be made again, and the one
under which the plan bears that name is the one that the block was cut by.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from ribwright.shop.springback_book import Book
from ribwright.stages.block import Block, make_block
from ribwright.stages.fingerprint import canonical, inputs_of, name_of
from ribwright.stages.job import Job
from ribwright.stages.learning import Learned
from ribwright.stages.plan import Plan
from ribwright.stages.taught import taught_sections, without_book

MOST_STATES = 1000  # of the book, the latest first


def former_block(plan: Plan, packet: str, press: str) -> Block | None:
    """The block of the plan as it was made under the name `packet`; None where the book at no time gave it that name."""
    now = plan.job.learned
    if now is None:
        return None
    base = without_book(plan.job)
    rest = inputs_of(base, plan.asked, press, plan.model)
    if name_of(rest) == packet:  # before anything was measured
        return make_block(base, plan.blank)
    for _, book in zip(range(MOST_STATES), states(now.book), strict=False):
        then = Learned(book, now.material, now.part, now.lot)
        named = then.named(plan.model)
        if named and name_of({**rest, "learned": canonical(named)}) == packet:
            return make_block(_taught(base, then), plan.blank)
    return None


def states(book: Book) -> Iterator[Book]:
    """The book after each time that something was added, the latest first. Between which of the measurements a line was withdrawn is not
    written down, so every order is tried."""
    rows = book.observations
    ends = [k for k in range(1, len(rows)) if (rows[k].piece, rows[k].date) != (rows[k - 1].piece, rows[k - 1].date)]
    for k in (len(rows), *reversed(ends)):
        there = {o.id for o in rows[:k]}
        gone = [w for w in book.withdrawn if w.id in there]
        for j in range(len(gone), -1, -1):
            yield Book(rows[:k], tuple(gone[:j]), book.file)


def _taught(base: Job, learned: Learned) -> Job:
    """The job with what the book taught."""
    job = replace(base, learned=learned)
    return job if base.sections is None else replace(job, sections=taught_sections(job, base.sections))
