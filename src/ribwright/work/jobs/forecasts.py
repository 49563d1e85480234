"""Forecasts that were just made: a place of one is looked at without pressing the whole part again."""

from __future__ import annotations

from collections import OrderedDict
from typing import Any

from ribwright.ports import Files
from ribwright.work import forecasting
from ribwright.work.asking import Progress, silent
from ribwright.work.forecasting import CANCELLED, SECTION, Early, Forecasted
from ribwright.work.jobs.keys import plan_key
from ribwright.work.jobs.kind import Order

MOST = 3  # one of a large part takes some MB
OPTIONS = {"pressure": "", "undercut": "", "forecast_model": SECTION}

_kept: OrderedDict[tuple[str, ...], Forecasted] = OrderedDict()


def forecasted(order: Order, files: Files, say: Progress = silent, early: Early | None = None) -> Forecasted:
    """The forecast, made or still there. One that was stopped is given back and not kept."""
    told = {name: order.options.get(name, "") or default for name, default in OPTIONS.items()}
    key = (plan_key(files, order), *told.values())
    if key not in _kept:
        asked = forecasting.Order(told["forecast_model"], told["pressure"], told["undercut"])
        made = forecasting.made(files, order.request(), asked, say, early)
        if stopped(made):
            return made
        _kept[key] = made
    _kept.move_to_end(key)
    while len(_kept) > MOST:
        _kept.popitem(last=False)
    return _kept[key]


def stopped(made: Forecasted) -> bool:
    """Whether it was cancelled on the way."""
    outcome: Any = made.answer.json["forecast"]["outcome"]
    return bool(outcome == CANCELLED)
