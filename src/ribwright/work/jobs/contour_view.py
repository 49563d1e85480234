"""The drawn part in plan, for the page to point at places."""

from __future__ import annotations

from dataclasses import replace

from ribwright.documents.views.contour_view import contour_view
from ribwright.ports import JobFiles
from ribwright.stages.plan import CLOSED_FORM
from ribwright.work.asking import plan_of
from ribwright.work.jobs.kind import JobKind, Made, Order, Tell
from ribwright.work.jobs.progress import saying


def run(order: Order, files: JobFiles, tell: Tell) -> Made:
    """{view} as `contour_view` has it; by the quick formula, for the drawn lines need no more."""
    request = replace(order.request(), model=CLOSED_FORM, press="")
    plan, identity = plan_of(files, request, saying(tell))
    return Made({"view": contour_view(plan)}, first=identity.first)


KIND = JobKind("contour-view", {}, run)
