"""The strain map for the page, with the answer that `strain` gives."""

from __future__ import annotations

from ribwright.documents.views.strain_view import strain_view
from ribwright.ports import JobFiles
from ribwright.work import straining
from ribwright.work.jobs.kind import JobKind, Made, Order, Tell
from ribwright.work.jobs.progress import saying


def run(order: Order, files: JobFiles, tell: Tell) -> Made:
    """The answer of `straining.made` with {view}; view None where there is no blank by balance to read strain from."""
    tell("the blank by balance")
    done = straining.made(files, order.request(), saying(tell), pressure=order.options.get("pressure", ""))
    view = None if done.map is None else strain_view(done.map, done.line)
    return Made(done.answer.json | {"view": view}, done.answer.status, first=done.answer.identity.first)


KIND = JobKind("strain-view", {"pressure": ""}, run, long=lambda options: True)
