"""Answers of the plan: findings, blank, block, set-up."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from ribwright.errors import Fault, InputError
from ribwright.ports import Files
from ribwright.stages import answers
from ribwright.stages.answers import blank_answer
from ribwright.stages.finding import ranked
from ribwright.stages.judged import judged_answer
from ribwright.stages.making_answers import whole_block_answer
from ribwright.stages.plan import Plan
from ribwright.stages.relief_notches import Proposal
from ribwright.stages.route_answer import route_answer
from ribwright.stages.route_findings import route_findings
from ribwright.work.asking import Answer, Progress, Request, answered, plan_of, silent


def check(files: Files, request: Request, say: Progress = silent) -> Answer:
    """Every finding at its place; every margin, also where nothing is wrong; the tolerances against the forecast."""
    plan, identity = plan_of(files, request, say)
    plan = with_route(plan)
    return answered(plan, identity, **judged_answer(plan))


def blank(files: Files, request: Request, say: Progress = silent) -> Answer:
    """The flat blank. By the inverse method, where that has no answer, the strain-corrected blank stands and its name says so."""
    plan, identity = plan_of(files, request, say, compare=True)
    return answered(plan, identity, blank=blank_answer(plan))


def block(files: Files, request: Request, say: Progress = silent) -> Answer:
    """The form block."""
    plan, identity = plan_of(files, request, say)
    return answered(plan, identity, block=whole_block_answer(plan))


def setup(files: Files, request: Request, say: Progress = silent) -> Answer:
    """The press set-up. Refuses without a press: there is no default one."""
    if not request.press:
        raise InputError(
            [Fault("command line", "--press", "nothing", "the id of a press of shop.toml; there is no default")]
        )
    plan, identity = plan_of(files, request, say)
    assert plan.setup is not None
    return answered(plan, identity, setup=answers.setup_answer(plan.setup))


def route(files: Files, request: Request, say: Progress = silent) -> Answer:
    """The ways to the finished part by the temper formed in: which hold, and which is proposed. The part is not changed."""
    plan, identity = plan_of(files, request, say)
    plan = with_route(plan)
    return answered(plan, identity, route=route_answer(plan.job, plan.route))


def with_route(plan: Plan) -> Plan:
    """The plan with what is found of the drawing's way among its findings."""
    found = tuple(route_findings(plan.route, any(isinstance(p, Proposal) for p in plan.proposals)))
    if not found:
        return plan
    more = replace(plan, findings=ranked([*plan.findings, *found]))
    more.__dict__["route"] = plan.route  # the ways are judged once
    return more


def everything(files: Files, request: Request, say: Progress = silent) -> Answer:
    """Margins and tolerances, blank, block, the ways by temper and, with a press, set-up in one answer."""
    plan, identity = plan_of(files, request, say, compare=True)
    plan = with_route(plan)
    return answered(plan, identity, **everything_of(plan))


def everything_of(plan: Plan) -> dict[str, Any]:
    """The bodies of that answer."""
    more = judged_answer(plan) | ({"setup": answers.setup_answer(plan.setup)} if plan.setup else {})
    ways = {"route": route_answer(plan.job, plan.route)}
    return {"blank": blank_answer(plan), "block": whole_block_answer(plan), **more, **ways}
