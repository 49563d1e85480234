"""The cut lines of all three methods over each other."""

from __future__ import annotations

from ribwright.documents.views.methods_view import methods_view
from ribwright.ports import JobFiles
from ribwright.stages.blank import Blank, make_blank
from ribwright.stages.chosen_blank import named
from ribwright.stages.develop import HANDBOOK, INVERSE, STRAIN_CORRECTED
from ribwright.stages.plan import Plan
from ribwright.work.asking import Progress
from ribwright.work.jobs.kind import JobKind, Made, Order, Tell
from ribwright.work.jobs.plans import planned
from ribwright.work.jobs.progress import saying


def run(order: Order, files: JobFiles, tell: Tell) -> Made:
    """Each method's blank of the same part; by balance None where it has no answer."""
    answer = planned(order, files, saying(tell))
    plan = answer.plan
    tell("holding the methods beside each other")
    blanks: dict[str, Blank | None] = {
        HANDBOOK: make_blank(plan.job, HANDBOOK),
        STRAIN_CORRECTED: make_blank(plan.job, STRAIN_CORRECTED),
        INVERSE: _by_balance(plan, saying(tell)),
    }
    view = methods_view(blanks, plan.job.shop.rules.blank_agreement_mm, plan.blank.method)
    return Made(view, answer.status, first=answer.identity.first)


def _by_balance(plan: Plan, say: Progress) -> Blank | None:
    """The blank by balance; that of the plan where it stands there."""
    if plan.blank.method == INVERSE:
        return plan.blank
    chosen = named(plan.job, INVERSE, say)
    return chosen.blank if chosen.inverse is not None and chosen.inverse.answered else None


KIND = JobKind("methods-view", {}, run, long=lambda options: True)
