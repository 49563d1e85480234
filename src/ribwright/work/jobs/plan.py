"""The whole plan: findings, margins, tolerances, blank, block and, with a press, set-up."""

from __future__ import annotations

from ribwright.ports import JobFiles
from ribwright.work.jobs.kind import JobKind, Made, Order, Tell
from ribwright.work.jobs.plans import planned
from ribwright.work.jobs.progress import saying


def run(order: Order, files: JobFiles, tell: Tell) -> Made:
    """The answer of `planning.everything`."""
    tell("planning")
    answer = planned(order, files, saying(tell))
    return Made(answer.json, answer.status, first=answer.identity.first)


KIND = JobKind("plan", {}, run)
