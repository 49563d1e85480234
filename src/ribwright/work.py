"""The use cases: gather the files, calculate, keep what was made. No rule of the trade lives here."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from ribwright.documents.drawings import blank_drawing, block_drawing
from ribwright.documents.identity import Identity, identity_of
from ribwright.documents.page import Document
from ribwright.errors import Fault, InputError, nearest
from ribwright.ports import Files, Keeper, Writers
from ribwright.shop.shop import Press, Shop
from ribwright.stages import answers
from ribwright.stages.develop import METHODS
from ribwright.stages.explain import Book
from ribwright.stages.finding import has_stop
from ribwright.stages.fingerprint import fingerprint, inputs_of
from ribwright.stages.job import Job, take_in
from ribwright.stages.plan import Plan, make_plan
from ribwright.stages.why import why as compare

DEFAULT_METHOD = "strain-corrected"
PAPERS = ("letter", "a4", "roll")
Progress = Callable[[str], None]


def silent(_: str) -> None:
    """No progress shown."""


@dataclass(frozen=True)
class Request:
    """What a person asked: the part file, and where it differs from the default, shop file, press and method."""

    part: Path
    shop: Path | None = None
    press: str = ""
    method: str = DEFAULT_METHOD


@dataclass(frozen=True)
class Answer:
    """The JSON answer, the exit status that goes with it, and the plan it came from."""

    json: dict[str, Any]
    status: int
    plan: Plan
    identity: Identity


def plan_of(files: Files, request: Request) -> tuple[Plan, Identity]:
    """Gather and calculate."""
    if request.method not in METHODS:
        raise _choice("--method", request.method, METHODS)
    part = files.part(request.part)
    found = request.shop or files.nearest_shop(request.part)
    shop = files.shop(found) if found else Shop()
    job = take_in(part, shop, files.catalogue(), str(request.part))
    press = _press(job, request.press)
    plan = make_plan(job, press, request.method)
    return plan, identity_of(plan, fingerprint(job, request.method, request.press))


def _press(job: Job, wanted: str) -> Press | None:
    if not wanted:
        return None
    press = job.shop.press(wanted)
    if press is None and not job.shop.presses:
        raise InputError(
            [
                Fault(
                    job.shop.file or "no shop file",
                    "press",
                    repr(wanted),
                    "a [[press]] of shop.toml; there is no default",
                )
            ]
        )
    if press is None:
        raise _choice("--press", wanted, tuple(p.id for p in job.shop.presses))
    return press


def _choice(key: str, found: str, allowed: tuple[str, ...]) -> InputError:
    return InputError(
        [Fault("command line", key, repr(found), "one of " + ", ".join(allowed), nearest(found, allowed))]
    )


def _answer(plan: Plan, identity: Identity, **bodies: Any) -> Answer:
    inputs = inputs_of(plan.job, plan.blank.method, plan.setup.press.id if plan.setup else "")
    whole = answers.tidy({**answers.heading(plan, identity.fingerprint), **bodies, "inputs": inputs})
    return Answer(whole, 1 if has_stop(plan.findings) else 0, plan, identity)


def check(files: Files, request: Request) -> Answer:
    """Every finding at its place."""
    return _answer(*plan_of(files, request))


def blank(files: Files, request: Request) -> Answer:
    """The flat blank."""
    plan, identity = plan_of(files, request)
    return _answer(plan, identity, blank=answers.blank_answer(plan.blank))


def block(files: Files, request: Request) -> Answer:
    """The form block."""
    plan, identity = plan_of(files, request)
    return _answer(plan, identity, block=answers.block_answer(plan.block))


def setup(files: Files, request: Request) -> Answer:
    """The press set-up. Refuses without a press: there is no default one."""
    if not request.press:
        raise InputError(
            [Fault("command line", "--press", "nothing", "the id of a press of shop.toml; there is no default")]
        )
    plan, identity = plan_of(files, request)
    assert plan.setup is not None
    return _answer(plan, identity, setup=answers.setup_answer(plan.setup))


def everything(files: Files, request: Request) -> Answer:
    """Blank, block and, with a press, set-up in one answer."""
    plan, identity = plan_of(files, request)
    more = {"setup": answers.setup_answer(plan.setup)} if plan.setup else {}
    return _answer(
        plan, identity, blank=answers.blank_answer(plan.blank), block=answers.block_answer(plan.block), **more
    )


def explain(files: Files, request: Request, number: str = "") -> Answer:
    """One number opened, or without one every number that opens."""
    whole = everything(files, request)
    book = Book(whole.plan, whole.json)
    told = {"explanation": book.open(number).as_json()} if number else {"numbers": book.listed()}
    heading = {k: whole.json[k] for k in ("ribwright", "part", "fingerprint", "findings")}
    return Answer(
        answers.tidy({**heading, **told, "inputs": whole.json["inputs"]}), whole.status, whole.plan, whole.identity
    )


def why(files: Files, old: Path, new: Path) -> dict[str, Any]:
    """Which numbers differ between two kept answers, and which changed input each is put down to."""
    before, after = files.answer(old), files.answer(new)
    try:
        compared = answers.tidy(compare(before, after).as_json())
    except (KeyError, TypeError, ValueError, IndexError, AttributeError) as broken:
        allowed = "two answers as this tool wrote them"
        raise InputError([Fault(f"{old}, {new}", "answer", f"something else ({broken!r})"[:120], allowed)]) from broken
    keys = ("ribwright", "part", "fingerprint")
    return {"old": {k: before[k] for k in keys}, "new": {k: after[k] for k in keys}, "why": compared}


def write_blank(answer: Answer, out: Path, writers: Writers, keeper: Keeper) -> None:
    """The blank's cut lines as .dxf or .svg."""
    drawing = blank_drawing(answer.plan, answer.identity)
    keeper.keep({out: _drawn(drawing, out, writers)})


def write_block(answer: Answer, out: Path, writers: Writers, keeper: Keeper) -> None:
    """The block as .dxf (web face and foot) or .pdf (drawing with sections)."""
    # the sheets are many files: only what prints them loads them
    from ribwright.documents.sheets import block_sheet

    if out.suffix.lower() == ".pdf":
        keeper.keep({out: writers.pdf(block_sheet(answer.plan, answer.identity))})
        return
    keeper.keep({out: _drawn(block_drawing(answer.plan, answer.identity), out, writers, (".dxf", ".svg", ".pdf"))})


def write_template(answer: Answer, out: Path, paper: str, writers: Writers, keeper: Keeper) -> None:
    """The blank template at 1:1 as .pdf on the named paper, or its cut lines as .dxf."""
    from ribwright.documents.sheets import template_sheet

    if paper not in PAPERS:
        raise _choice("--paper", paper, PAPERS)
    if out.suffix.lower() == ".dxf":
        keeper.keep({out: writers.dxf(blank_drawing(answer.plan, answer.identity))})
    elif out.suffix.lower() == ".pdf":
        keeper.keep({out: writers.pdf(template_sheet(answer.plan, answer.identity, paper))})
    else:
        raise _choice("--out", out.name, (".pdf", ".dxf"))


def _drawn(drawing: Any, out: Path, writers: Writers, allowed: tuple[str, ...] = (".dxf", ".svg")) -> bytes:
    if out.suffix.lower() == ".dxf":
        return writers.dxf(drawing)
    if out.suffix.lower() == ".svg":
        return writers.svg(drawing)
    raise _choice("--out", out.name, allowed)


def packet(
    files: Files, request: Request, out: Path, paper: str, writers: Writers, keeper: Keeper, say: Progress = silent
) -> tuple[Answer, tuple[Path, ...]]:
    """All documents of the job into one folder: PDFs, DXFs, one JSON of all answers, the same fingerprint on each."""
    from ribwright.documents.sheets import SHEET_NAMES, packet_sheets

    if paper not in PAPERS:
        raise _choice("--paper", paper, PAPERS)
    say("planning")
    answer = everything(files, request)
    made: dict[Path, bytes] = {}
    sheets: tuple[Document, ...] = packet_sheets(answer.plan, answer.identity, paper)
    for sheet in sheets:
        say(f"writing {sheet.name}")
        made[out / f"{sheet.name}.pdf"] = writers.pdf(sheet)
    say("writing the cut lines")
    made[out / "blank.dxf"] = writers.dxf(blank_drawing(answer.plan, answer.identity))
    made[out / "block.dxf"] = writers.dxf(block_drawing(answer.plan, answer.identity))
    made[out / "answers.json"] = as_text(answer.json).encode()
    # a set-up card of an earlier press must not lie beside the new job card
    stale = {out / f"{name}.pdf" for name in SHEET_NAMES} - set(made)
    keeper.keep(made, gone=tuple(sorted(stale)))
    return answer, tuple(sorted(made))


def as_text(answer: dict[str, Any]) -> str:
    """The answer as JSON text, the same bytes every time."""
    return json.dumps(answer, indent=1, ensure_ascii=False, allow_nan=False) + "\n"
