"""Whole answers without disk: what `--json` would print for a job."""

from __future__ import annotations

import json
from typing import Any

from building import job_of
from ribwright.shop.shop import Shop
from ribwright.stages import answers
from ribwright.stages.explain import Book
from ribwright.stages.fingerprint import fingerprint, inputs_of
from ribwright.stages.job import Job
from ribwright.stages.judged import judged_answer
from ribwright.stages.making_answers import whole_block_answer
from ribwright.stages.plan import make_plan


def book_of(
    job: Job, press: str = "", method: str = "strain-corrected", model: str = "closed-form", compare: bool = False
) -> Book:
    """The plan with its whole answer, as it would be read back from JSON."""
    plan = make_plan(job, job.shop.press(press) if press else None, method, model, compare=compare)
    bodies: dict[str, Any] = judged_answer(plan) | {
        "blank": answers.blank_answer(plan),
        "block": whole_block_answer(plan),
    }
    if plan.setup is not None:
        bodies["setup"] = answers.setup_answer(plan.setup)
    heading = answers.heading(plan, fingerprint(job, method, press, model))
    whole = answers.tidy({**heading, **bodies, "inputs": inputs_of(job, method, press, model)})
    return Book(plan, json.loads(json.dumps(whole)))


def book(
    text: str, shop: Shop | None = None, press: str = "", method: str = "strain-corrected", model: str = "closed-form",
    compare: bool = False,
) -> Book:  # fmt: skip
    """The same from the text of a part file."""
    return book_of(job_of(text, shop), press, method, model, compare)
