"""What the form block is drawn from."""

from __future__ import annotations

from ribwright.documents.views.block_view import block_view
from ribwright.ports import JobFiles
from ribwright.work.jobs.kind import JobKind, Made, Order, Tell
from ribwright.work.jobs.plans import planned
from ribwright.work.jobs.progress import saying


def run(order: Order, files: JobFiles, tell: Tell) -> Made:
    """The view of the plan's block."""
    answer = planned(order, files, saying(tell))
    return Made(block_view(answer.plan), answer.status, first=answer.identity.first)


KIND = JobKind("block-view", {}, run)
