"""Findings, margins and tolerances alone: by the quick blank, not held beside the one by balance."""

from __future__ import annotations

from ribwright.ports import JobFiles
from ribwright.work import planning
from ribwright.work.jobs.kind import JobKind, Made, Order, Tell
from ribwright.work.jobs.progress import saying


def run(order: Order, files: JobFiles, tell: Tell) -> Made:
    """The answer of `planning.check`."""
    answer = planning.check(files, order.request(), saying(tell))
    return Made(answer.json, answer.status, first=answer.identity.first)


KIND = JobKind("check", {}, run)
