"""`learn`: the springback book read out, and with a part what it does to the next block."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from ribwright.documents.learn_screen import learn_lines
from ribwright.errors import Fault, InputError
from ribwright.ports import Books, Files
from ribwright.shop.springback_book import Book, Withdrawn
from ribwright.stages.answers import tidy
from ribwright.stages.book_report import report, report_answer
from ribwright.stages.next_block import last_block, next_answer, next_block
from ribwright.version import __version__
from ribwright.work.asking import Answer, Gathered, Progress, Request, answered, gathered, plan_of, silent
from ribwright.work.keeping import cut_of_file

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
    asked = replace(request, shop=found)
    _same_model(gathered(files, asked), book)
    plan, identity = plan_of(files, asked, say)
    part = plan.job.part
    old = last_block(book, part.number, part.hand) if cut_from is None else cut_of_file(plan, files, cut_from)
    body["next_block"] = next_answer(next_block(plan, old))
    done = answered(plan, identity, learn=body)
    return Learnt(done.json, learn_lines(done.json["learn"], first), 0, done)


def _same_model(asked: Gathered, book: Book) -> None:
    """InputError where the part's pieces were forecast by a model that is not asked for: what they teach is then in no number of it, and a
    block that was cut by the one model is not to be filed to the other."""
    part = asked.job.part
    rows = [o for o in book.standing if (o.part, o.hand) == (part.number, part.hand)]
    if not rows:
        return
    last = rows[-1]
    told = last.foretold.family
    if asked.press is None and told != asked.model:
        found = f"nothing, so that the {asked.model} model answers"
        allowed = (
            f"--press {last.press}: the last piece of {part.number} was formed there and forecast by the {told} model"
        )
        raise InputError([Fault("command line", "--press", found, allowed)])
    if asked.model not in {o.foretold.family for o in rows}:
        allowed = f"{told}, by which the pieces of {part.number} in the book were forecast: one model learns nothing from the other"
        raise InputError([Fault("command line", "--model", asked.model, allowed)])


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
