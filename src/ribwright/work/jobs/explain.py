"""One number opened, or the list of those that open."""

from __future__ import annotations

from ribwright.ports import Files, JobFiles
from ribwright.work import forecasting, opening
from ribwright.work.asking import Answer, Progress, Request
from ribwright.work.forecasting import SECTION, Forecasted
from ribwright.work.forecasting import Order as Forecast
from ribwright.work.jobs.forecasts import forecasted
from ribwright.work.jobs.kind import JobKind, Made, Order, Tell
from ribwright.work.jobs.plans import planned
from ribwright.work.jobs.progress import saying

FORECAST = ("pressure", "undercut", "place")
COMPUTED = ("forecast", "under_pad", "strain", "circles", "web_slip")


def run(order: Order, files: JobFiles, tell: Tell) -> Made:
    """The answer of `opening.explain`; a number of the plan opens from the plan that is still there."""
    typed = {name: order.options.get(name, "") for name in FORECAST}
    asked = Forecast(order.options.get("model") or SECTION, **typed) if any(typed.values()) else None

    def from_plan(files: Files, request: Request, say: Progress) -> Answer:
        return planned(order, files, say)

    def from_forecast(files: Files, request: Request, asked: Forecast, say: Progress) -> Forecasted:
        # a model that is named is the forecast's too; only without one it is the forecast that the page shows
        named = bool(request.model or asked.place)
        return forecasting.made(files, request, asked, say) if named else forecasted(order, files, say)

    number = order.options.get("number", "")
    answer = opening.explain(
        files, order.request(), number, asked, saying(tell), planned=from_plan, forecasts=from_forecast
    )
    return Made(answer.json, answer.status, first=answer.identity.first)


KIND = JobKind(
    "explain",
    {"number": "", **dict.fromkeys(FORECAST, "")},
    run,
    long=lambda options: options.get("number", "").startswith(COMPUTED),
)
