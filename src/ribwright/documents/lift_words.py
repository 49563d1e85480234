"""How the released part is taken off its block, in the words of every sheet and of the screen."""

from __future__ import annotations

from ribwright.stages.lift_off import push_words, slides_toward
from ribwright.stages.plan import Plan


def off_words(plan: Plan) -> str:
    """'lift it straight up', 'push toward edge UPPER, about 1/8 in for each inch up', or that it is trapped."""
    lift = plan.block.lift
    if lift.how == "slides":
        return push_words(slides_toward(lift, plan.blank), lift.direction, plan.job.shop.units or plan.job.part.units)
    return "lift it straight up" if lift.how == "lifts" else "it hooks under the block all round, see the findings"
