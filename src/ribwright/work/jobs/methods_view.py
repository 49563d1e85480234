"""The cut lines of all three methods over each other."""

from __future__ import annotations

from ribwright.documents.views.methods_view import methods_view
from ribwright.ports import JobFiles
from ribwright.stages.blank import Blank, make_blank
from ribwright.stages.chosen_blank import named
from ribwright.stages.develop import DEFAULT, HANDBOOK, INVERSE, STRAIN_CORRECTED
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
    quick = make_blank(plan.job, STRAIN_CORRECTED)
    blanks: dict[str, Blank | None] = {
        HANDBOOK: make_blank(plan.job, HANDBOOK),
        STRAIN_CORRECTED: quick,
        INVERSE: _by_balance(plan, quick, saying(tell)),
    }
    view = methods_view(blanks, plan.job.shop.rules.blank_agreement_mm, plan.blank.method)
    return Made(view, answer.status, first=answer.identity.first)


def _by_balance(plan: Plan, quick: Blank, say: Progress) -> Blank | None:
    """The blank by balance; where the plan has asked it, its answer."""
    # compiled code: only who asks for it loads it
    from ribwright.stages.inverse_cut import put_in

    made = plan.inverse or named(plan.job, INVERSE, say).inverse
    return put_in(plan.job, quick, made) if made is not None and made.answered else None


def _asks_again(options: dict[str, str]) -> bool:
    """Whether the plan has no answer by balance to draw: it goes by another method."""
    return options.get("method", "") not in ("", DEFAULT, INVERSE)


KIND = JobKind("methods-view", {}, run, long=_asks_again)
