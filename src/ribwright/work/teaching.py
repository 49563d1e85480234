"""`learn`: the springback book read out, and with a part what it does to the next block."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from ribwright.documents.learn_screen import learn_lines
from ribwright.errors import Fault, InputError
from ribwright.ports import Books, Files
from ribwright.shop.springback_book import Withdrawn
from ribwright.stages.answers import tidy
from ribwright.stages.book_report import report, report_answer
from ribwright.stages.next_block import last_block, next_answer, next_block
from ribwright.stages.observing import cut_of_answer
from ribwright.version import __version__
from ribwright.work.asking import Answer, Progress, Request, answered, plan_of, silent

HERE = Path("book")  # a name in the folder that the command runs in


@dataclass(frozen=True)
class Learnt:
    """The answer as JSON values, the lines for a terminal, the exit status; `answer` where a part was planned."""

    json: dict[str, Any]
    lines: list[str]
    status: int
    answer: Answer | None = None


def learn(
    files: Files, shop: Path | None, request: Request | None = None, cut_from: Path | None = None, say: Progress = silent
) -> Learnt:  # fmt: skip
    """The book beside the shop file: the one named, else the nearest above the part, else above the folder the command runs in. With a
    `request` the next block of its part, planned as `block` plans it; `cut_from`: the answer that the old block was cut from, else the
    block that the part's last measured piece was formed on."""
    found = shop or (request.shop if request else None) or files.nearest_shop(request.part if request else HERE)
    if found is None:
        raise InputError(
            [
                Fault(
                    "no shop file",
                    "--shop",
                    "nothing",
                    "a shop.toml here or above, or --shop FILE: the book lies beside it",
                )
            ]
        )
    book = files.springback_book(found)
    body = {**report_answer(report(book)), "next_block": None}
    body["file"] = Path(book.file).name
    first = files.shop(found).units or "in"
    if request is None:
        if cut_from is not None:
            raise InputError([Fault("command line", "--cut-from", str(cut_from), "a PART whose old block that is")])
        told: dict[str, Any] = tidy({"ribwright": __version__, "learn": body})
        return Learnt(told, learn_lines(told["learn"], first), 0)
    plan, identity = plan_of(files, replace(request, shop=found), say)
    part = plan.job.part
    old = last_block(book, part.number, part.hand)
    if cut_from is not None:
        answer = files.answer(cut_from)
        old = cut_of_answer(answer, f"packet {answer['fingerprint']}")
        if old is None or answer["part"]["number"] != part.number:
            raise InputError(
                [
                    Fault(
                        str(cut_from),
                        "block",
                        f"of {answer['part']['number']}",
                        f"answers.json with the block of {part.number}",
                    )
                ]
            )
    body["next_block"] = next_answer(next_block(plan, old))
    done = answered(plan, identity, learn=body)
    return Learnt(done.json, learn_lines(done.json["learn"], first), 0, done)


def withdraw(files: Files, books: Books, shop: Path | None, row: str, by: str, why: str) -> Learnt:
    """Takes an observation out of the reckoning by a line of its own; the book is then read out. InputError where who or why is missing."""
    faults = [
        Fault("command line", key, "nothing", allowed)
        for key, value, allowed in (("--by", by, "who withdraws it"), ("--why", why, "why: the line says it for good"))
        if not value.strip()
    ]
    found = shop or files.nearest_shop(HERE)
    if found is None:
        faults.append(Fault("no shop file", "--shop", "nothing", "a shop.toml here or above, or --shop FILE"))
    if faults or found is None:
        raise InputError(faults)
    books.withdraw(found, Withdrawn(row, by.strip(), why.strip()))
    return learn(files, found)
