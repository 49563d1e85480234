"""The margins and the tolerances of a finished plan, as rows and under their JSON keys."""

from __future__ import annotations

from typing import Any

from ribwright.stages.checks.context import Looked
from ribwright.stages.margins import Margin, margins
from ribwright.stages.plan import Plan
from ribwright.stages.stack import Stack
from ribwright.stages.tolerances import tolerances


def plan_margins(plan: Plan) -> tuple[Margin, ...]:
    """Every margin of the plan, the least first."""
    return margins(Looked(plan.job, plan.blank, plan.block, plan.setup))


def plan_tolerances(plan: Plan) -> tuple[Stack, ...]:
    """Every characteristic with its forecast band, by quantity."""
    return tolerances(plan.job, plan.blank, plan.block, plan.setup)


def judged_answer(plan: Plan) -> dict[str, Any]:
    """The keys `margins` and `tolerances`."""
    return {
        "margins": [row.as_json() for row in plan_margins(plan)],
        "tolerances": [row.as_json() for row in plan_tolerances(plan)],
    }
