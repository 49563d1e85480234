"""What comes off the block: the quick formula early, then the section model."""

from __future__ import annotations

from typing import Any

from ribwright.ports import JobFiles
from ribwright.work.jobs.forecasts import OPTIONS, forecasted, stopped
from ribwright.work.jobs.kind import JobKind, Made, Order, Tell
from ribwright.work.jobs.progress import saying


def run(order: Order, files: JobFiles, tell: Tell) -> Made:
    """The answer of `forecasting.made`. Cancelled, what had been computed is in it and its outcome says so."""

    def early(quick: dict[str, Any], first: Any) -> None:
        tell("the quick formula has answered; the section model is at work", early=quick)

    done = forecasted(order, files, saying(tell), early)
    return Made(done.answer.json, done.answer.status, first=done.answer.identity.first, whole=not stopped(done))


KIND = JobKind("forecast", dict(OPTIONS), run, long=lambda options: True)
