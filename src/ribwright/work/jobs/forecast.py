"""What comes off the block: the quick formula early, then the section model."""

from __future__ import annotations

from typing import Any

from ribwright.ports import JobFiles
from ribwright.work import forecasting
from ribwright.work.forecasting import CANCELLED, SECTION
from ribwright.work.jobs.kind import JobKind, Made, Order, Tell
from ribwright.work.jobs.progress import saying


def run(order: Order, files: JobFiles, tell: Tell) -> Made:
    """The answer of `forecasting.made`. Cancelled, what had been computed is in it and its outcome says so."""
    asked = forecasting.Order(
        order.options.get("forecast_model") or SECTION,
        order.options.get("pressure", ""),
        order.options.get("undercut", ""),
    )

    def early(quick: dict[str, Any], first: Any) -> None:
        tell("the quick formula has answered; the section model is at work", early=quick)

    done = forecasting.made(files, order.request(), asked, saying(tell), early)
    whole = done.answer.json["forecast"]["outcome"] != CANCELLED
    return Made(done.answer.json, done.answer.status, first=done.answer.identity.first, whole=whole)


KIND = JobKind("forecast", {"pressure": "", "undercut": "", "forecast_model": ""}, run, long=lambda options: True)
