"""Stretch of the sheet away from its edges against the limit line: as a finding and as a margin."""

from __future__ import annotations

from ribwright.stages.explain.by_balance import BALANCE, keys, sheet
from ribwright.stages.explain.depends import FLOW, Keys
from ribwright.stages.explain.explanation import Input
from ribwright.stages.explain.family import Case, Place, between
from ribwright.stages.explain.judged import Judged
from ribwright.stages.strain_limit import LimitLine, limit_line


def _on_strain(place: Place) -> Keys:
    return keys(place.world)


def _on_limit(place: Place) -> Keys:
    return (*keys(place.world), *FLOW, "practice.limit_line_share.value")


def _limit(case: Case) -> tuple[Input, ...]:
    line = limit_line(case.plan.job)
    assert isinstance(line, LimitLine)  # else the row has no limit
    return (
        between("share", "share of rule F1", line.share, "", "practice: limit_line_share"),
        between("n", "exponent of the flow curve", line.n, "", "material record: hardening"),
        between("prestrain", "its prestrain", line.prestrain, "", "material record: hardening"),
        between("strain", "major strain there", float(case.row["value"]), "", "the value beside it; its ratio says where the line is met"),
    )  # fmt: skip


STRAIN_CODES: dict[str, Judged] = {
    "strain-past-limit-line": Judged(
        "True major strain of the sheet away from its edge, at the place of this edge or hole with the least room",
        "major strain of the limit line at the same ratio of minor to major",
        _on_strain,
        _on_limit,
        origin="solved",
        formula=f"{BALANCE}; greater principal value of the strain",
        inputs=sheet,
        limit_origin="formula",
        limit_formula="e0/(1 + min(minor/major, 0)), e0 = share (n - sqrt(3)/2 prestrain)",
        limit_inputs=_limit,
    )
}
