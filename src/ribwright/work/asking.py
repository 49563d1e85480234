"""What a person asks and what is answered; gathering the files a plan needs."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass
from os import cpu_count
from pathlib import Path
from typing import Any

from ribwright.documents.identity import Identity, identity_of
from ribwright.errors import Fault, InputError, nearest
from ribwright.features.mirrored import mirrored
from ribwright.features.part import Part
from ribwright.ports import Files
from ribwright.shop.shop import UNDERCUT_MODELS, Press, Shop
from ribwright.stages import answers
from ribwright.stages.crew import Crew
from ribwright.stages.develop import ASKED, DEFAULT
from ribwright.stages.finding import has_stop
from ribwright.stages.fingerprint import fingerprint, inputs_of
from ribwright.stages.job import Job, take_in
from ribwright.stages.plan import CLOSED_FORM, SECTION, Plan, make_plan

PAPERS = ("letter", "a4", "roll")
HANDS = DRAWN, OPPOSITE, BOTH = "drawn", "opposite", "both"
Progress = Callable[[str], None]


def silent(_: str) -> None:
    """No progress shown."""


@dataclass(frozen=True)
class Request:
    """What a person asked: the part file, and where it differs from the default, shop file, press and method. `model`: the one
    for springback; "" leaves it to the shop file, else the section model answers where a press is named. `opposite`: the mirrored
    hand of the part file is meant."""

    part: Path
    shop: Path | None = None
    press: str = ""
    method: str = DEFAULT
    model: str = CLOSED_FORM
    opposite: bool = False


@dataclass(frozen=True)
class Answer:
    """The JSON answer, the exit status that goes with it, and the plan it came from."""

    json: dict[str, Any]
    status: int
    plan: Plan
    identity: Identity

    @property
    def first(self) -> Any:
        """The unit the shop reads first."""
        return self.identity.first


@dataclass(frozen=True)
class Gathered:
    """Everything that a plan is made from, read and resolved but not yet calculated. `fingerprint`: its name."""

    job: Job
    press: Press | None
    model: str
    fingerprint: str


def gathered(files: Files, request: Request) -> Gathered:
    """The files of a request, read. InputError with every fault of the first file that has any."""
    if request.method not in ASKED:
        raise choice("--method", request.method, ASKED)
    part = hand_of(files.part(request.part), request)
    found = request.shop or files.nearest_shop(request.part)
    shop = files.shop(found) if found else Shop()
    book = files.springback_book(found) if found else None
    job = take_in(part, shop, files.catalogue(), str(request.part), book)
    press = _press(job, request.press)
    model = model_of(request, shop)
    return Gathered(job, press, model, fingerprint(job, request.method, request.press, model))


def plan_of(files: Files, request: Request, say: Progress = silent, compare: bool = False) -> tuple[Plan, Identity]:
    """Gather and calculate, telling how far the models are. `compare`: by the default method hold the blank beside the one by
    balance, some seconds of a large part; what must be quick leaves it."""
    g = gathered(files, request)
    plan = make_plan(g.job, g.press, request.method, g.model, Crew(cpu_count() or 2, say), compare)
    return plan, identity_of(plan, g.fingerprint)


def hand_of(part: Part, request: Request) -> Part:
    """The part of the hand that is asked for. InputError where the opposite of a part without one is."""
    if request.opposite and not part.opposite:
        allowed = 'the number of the opposite part, like opposite = "Q7-2101-2"; or the hand as drawn'
        raise InputError([Fault(str(request.part), "part.opposite", "nothing", allowed)])
    return mirrored(part) if request.opposite else part


def model_of(request: Request, shop: Shop) -> str:
    """The model for springback: the command line's, else the shop's, else the section model where a press is named. Without a
    press the closed form answers: the section model needs a pressure."""
    if request.model not in ("", *UNDERCUT_MODELS):
        raise choice("--model", request.model, UNDERCUT_MODELS)
    if not request.press:
        if request.model == SECTION:
            raise InputError(
                [
                    Fault(
                        "command line",
                        "--model",
                        "section without --press",
                        "--press with it: the model needs a pressure",
                    )
                ]
            )
        return CLOSED_FORM
    return request.model or shop.rules.undercut or SECTION


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
        raise choice("--press", wanted, tuple(p.id for p in job.shop.presses))
    return press


def choice(key: str, found: str, allowed: tuple[str, ...]) -> InputError:
    return InputError(
        [Fault("command line", key, repr(found), "one of " + ", ".join(allowed), nearest(found, allowed))]
    )


def answered(plan: Plan, identity: Identity, **bodies: Any) -> Answer:
    press = plan.setup.press.id if plan.setup else ""
    inputs = inputs_of(plan.job, plan.asked, press, plan.model)
    whole = answers.tidy({**answers.heading(plan, identity.fingerprint), **bodies, "inputs": inputs})
    return Answer(whole, 1 if has_stop(plan.findings) else 0, plan, identity)


def as_text(answer: dict[str, Any]) -> str:
    """The answer as JSON text, the same bytes every time."""
    return json.dumps(answer, indent=1, ensure_ascii=False, allow_nan=False) + "\n"
