"""One place of the forecast in section, for the page to play."""

from __future__ import annotations

from ribwright.ports import JobFiles
from ribwright.work.jobs.forecasts import OPTIONS, forecasted, stopped
from ribwright.work.jobs.kind import JobKind, Made, Order, Tell
from ribwright.work.jobs.progress import saying
from ribwright.work.place_views import section_of


def run(order: Order, files: JobFiles, tell: Tell) -> Made:
    """{view} as `section_view` has it, of the place nearest to `along` on `edge`, of `hole`, or of the worst."""
    say = saying(tell)
    made = forecasted(order, files, say)
    if stopped(made):
        raise KeyboardInterrupt
    say("pressing this place step by step")
    view = section_of(made, *(order.options.get(k, "") for k in ("edge", "hole", "along")))
    return Made({"view": view}, first=made.answer.identity.first)


KIND = JobKind("section-view", {**OPTIONS, "edge": "", "hole": "", "along": ""}, run, long=lambda options: True)
