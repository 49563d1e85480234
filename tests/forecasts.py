"""Forecasts for tests: the walks run here, with or without those for the bands."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import Any

from building import job_of
from ribwright.shop.shop import Shop
from ribwright.stages import answers
from ribwright.stages.explain import Book
from ribwright.stages.finding import ranked
from ribwright.stages.fingerprint import fingerprint, inputs_of
from ribwright.stages.forecast import Forecast, Prepared, forecast, prepare
from ribwright.stages.forecast_answer import forecast_answer
from ribwright.stages.forecast_ask import Ask
from ribwright.stages.forecast_findings import forecast_findings
from ribwright.stages.judged import judged_answer
from ribwright.stages.making_answers import whole_block_answer
from ribwright.stages.plan import Plan, make_plan


def plan_of(text: str, shop: Shop | None = None, press: str = "", model: str = "closed-form") -> Plan:
    """The plan of a part text."""
    job = job_of(text, shop)
    return make_plan(job, job.shop.press(press) if press else None, model=model)


def walked(p: Prepared, bands: bool = False) -> dict[Any, Any]:
    """Every walk run; without `bands` only those of the values."""
    return {k: w.done() for k, w in p.walks.items() if w.pressures and (bands or k[1] == "")}


def forecast_of(plan: Plan, ask: Ask, bands: bool = False) -> Forecast:
    """The forecast of a plan."""
    p = prepare(plan, ask)
    return forecast(p, walked(p, bands))


def forecast_book(
    text: str, shop: Shop | None = None, press: str = "", ask: Ask | None = None, bands: bool = False
) -> Book:
    """The whole answer with its forecast, as `explain` opens it."""
    ask = ask or Ask()
    plan = plan_of(text, shop, press)
    f = forecast_of(plan, ask, bands)
    plan = replace(plan, findings=ranked([*plan.findings, *forecast_findings(plan, f)]))
    bodies: dict[str, Any] = judged_answer(plan) | {
        "blank": answers.blank_answer(plan),
        "block": whole_block_answer(plan),
        "forecast": forecast_answer(plan, f) | {"elapsed_s": 1.0},
    }
    if plan.setup is not None:
        bodies["setup"] = answers.setup_answer(plan.setup)
    named = (plan.job, plan.blank.method, press, plan.model, ask.as_input())
    name, inputs = fingerprint(*named), inputs_of(*named)
    whole = answers.tidy({**answers.heading(plan, name), **bodies, "inputs": inputs})
    return Book(plan, json.loads(json.dumps(whole)))
