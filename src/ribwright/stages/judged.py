"""The margins and the tolerances of a finished plan, as rows and under their JSON keys."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from ribwright.stages.checks.context import Looked
from ribwright.stages.detail_margins import detail_margins
from ribwright.stages.develop import INVERSE
from ribwright.stages.margins import Margin, margins, ordered
from ribwright.stages.plan import Plan
from ribwright.stages.proposal_answer import proposals_answer
from ribwright.stages.stack import Stack
from ribwright.stages.strain_limit import LINE
from ribwright.stages.tolerances import tolerances

if TYPE_CHECKING:
    from ribwright.stages.strain_margins import SplitMargin


def plan_margins(plan: Plan) -> tuple[Margin, ...]:
    """Every margin of the plan, the least first; of a plan by balance also the room of each place to the limit line."""
    looked = Looked(plan.job, plan.blank, plan.block, plan.setup, flutes=plan.fluting)
    return ordered([*margins(looked), *detail_margins(looked), *_sheet(plan)])


def plan_split(plan: Plan) -> tuple[SplitMargin, ...]:
    """Room to split of every place, where the blank is by balance; else none."""
    if plan.inverse is None or plan.blank.method != INVERSE:
        return ()
    # compiled code: only a blank by balance loads it
    from ribwright.stages.strain_map import strain_map
    from ribwright.stages.strain_margins import split_margins

    m = strain_map(plan.job, plan.inverse)
    return () if m is None else split_margins(plan.job, m)


def _sheet(plan: Plan) -> Iterator[Margin]:
    """Stretch of the sheet away from its edges; edges have rows of their own."""
    for r in plan_split(plan):
        if r.by == LINE:
            yield Margin("sheet_stretch", {r.kind: r.name}, r.value, r.limit, r.margin, r.unit, r.source)


def plan_tolerances(plan: Plan) -> tuple[Stack, ...]:
    """Every characteristic with its forecast band, by quantity."""
    return tolerances(plan.job, plan.blank, plan.block, plan.setup)


def judged_answer(plan: Plan) -> dict[str, Any]:
    """The keys `margins`, `tolerances` and `proposals`."""
    return {
        "margins": [row.as_json() for row in plan_margins(plan)],
        "tolerances": [row.as_json() for row in plan_tolerances(plan)],
        "proposals": proposals_answer(plan.proposals, plan.job.part.units),
    }
