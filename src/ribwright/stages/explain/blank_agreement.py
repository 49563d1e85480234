"""Numbers of how the strain-corrected blank agrees with the one by balance."""

from __future__ import annotations

from ribwright.stages.agreement import STEP, Apart
from ribwright.stages.chosen_blank import EXACT, Agreement
from ribwright.stages.explain import by_balance
from ribwright.stages.explain import depends as on
from ribwright.stages.explain.explanation import Input, Told
from ribwright.stages.explain.family import Case, Family, always, between

APART = (
    "largest distance of a point of either cut line from the other, both lines walked in steps of "
    f"{STEP:g} mm, put down to the nearest drawn edge; of a hole half the difference of the cut diameters"
)
PLANE = (
    "0: every flange stands on a straight edge at one angle, so it is unrolled without strain, which is in balance with no force; no "
    "mesh is made"
)
VALID = "fits of true lines and arcs are within it, 0.01 mm on either line"


def _agreement(case: Case) -> Agreement:
    a = case.plan.agreement
    assert a is not None
    return a


def _row(case: Case) -> Apart:
    return _agreement(case).apart[case.index]


def _within(case: Case) -> Told:
    a = _agreement(case)
    what = "Farthest that the strain-corrected cut line lies from the one by balance."
    if a.outcome == EXACT:
        flanges = sum(len(s.run.edges) for s in case.plan.blank.strips)
        count = between("flanges", "flanged edges, all of them straight", flanges, "", "part file: web.edge")
        return Told(what, "geometry", PLANE, (count,), by_balance.SOURCE, "no residual stress, no springback")
    inputs = tuple(
        between(f"d_{x.name}", f"apart at {x.kind} {x.name}", x.mm, "mm", "blank.agreement.apart") for x in a.apart
    )
    again = max(x.mm for x in a.apart)
    return Told(
        what, "geometry", "the largest of all edges and holes", inputs, by_balance.SOURCE, VALID, a.within == again,
        compared=by_balance.COMPARED, again=again,
    )  # fmt: skip


def _apart(case: Case) -> Told:
    x = _row(case)
    inputs = (
        *by_balance.sheet(case),
        between("at", f"the place, {x.at[0]:.1f}, {x.at[1]:.1f} mm", x.mm, "mm", "measured"),
    )
    what = f"Farthest that the two blanks lie apart at {x.kind} {x.name}."
    return Told(what, "geometry", APART, inputs, by_balance.SOURCE, VALID, compared=by_balance.COMPARED)


def _at(case: Case) -> Told:
    x, axis = _row(case), int(case.caught[1])
    name = "xy"[axis]
    what = f"{name} of the place where the two blanks lie farthest apart at {x.kind} {x.name}."
    own = Input("apart", "how far", x.mm, "mm", "blank.agreement.apart", "")
    return Told(what, "geometry", APART, (own,), by_balance.SOURCE, VALID)


def _tolerance(case: Case) -> Told:
    own = case.typed("limit", "how far the two blanks may lie apart", on.AGREEMENT[0], "mm")
    return Told(
        "How far the two blanks may lie apart for the strain-corrected one to stand.", "typed", inputs=(own,),
        source="[rules] blank_agreement of the shop file; without it 0.25 mm (0.010 in), what a line cut by hand may be off (our choice)",
    )  # fmt: skip


FAMILIES = (
    Family("blank.agreement.within_mm", always(*on.BLANK), _within),
    Family("blank.agreement.tolerance_mm", always(*on.AGREEMENT), _tolerance),
    Family("blank.agreement.apart[*].apart_mm", always(*on.BLANK), _apart),
    Family("blank.agreement.apart[*].at_mm[*]", always(*on.BLANK), _at),
)
