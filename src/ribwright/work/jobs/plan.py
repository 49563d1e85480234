"""The whole plan: findings, margins, tolerances, blank, block and, with a press, set-up."""

from __future__ import annotations

from typing import Any

from ribwright.documents.procedure import DEFERS, steps
from ribwright.documents.readings import press_numbers
from ribwright.documents.what_closes import what_it_does
from ribwright.ports import JobFiles
from ribwright.stages.finding import has_stop
from ribwright.stages.plan import Plan
from ribwright.work.jobs.kind import JobKind, Made, Order, Tell
from ribwright.work.jobs.plans import planned
from ribwright.work.jobs.progress import saying


def run(order: Order, files: JobFiles, tell: Tell) -> Made:
    """The answer of `planning.everything`, and with a press the steps at it as the set-up card has them."""
    tell("planning")
    answer = planned(order, files, saying(tell))
    return Made(answer.json | at_the_press(answer.plan), answer.status, first=answer.identity.first)


def at_the_press(plan: Plan) -> dict[str, Any]:
    """`at_the_press`, as the set-up card has it: `boxes` the readings, `does` what each flange of `setup.flanges` does, `procedure` steps
    and cautions in order, each caution before the step it belongs to. Empty without a press."""
    s = plan.setup
    if s is None:
        return {}
    boxes = press_numbers(s, has_stop(plan.findings))
    rows = [("caution", DEFERS), *steps(plan, s)]
    return {
        "at_the_press": {
            "boxes": [
                {"label": b.label, "value": b.value, "under": b.under, "by": b.by, "loud": b.loud} for b in boxes
            ],
            "does": [what_it_does(r, s) for r in s.reached],
            "procedure": [{"kind": kind, "say": words} for kind, words in rows],
        }
    }


KIND = JobKind("plan", {}, run)
