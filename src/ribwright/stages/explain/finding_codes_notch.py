"""Findings of notches: what their numbers are and what moves them."""

from __future__ import annotations

from ribwright.stages.explain import depends as on
from ribwright.stages.explain.explanation import Input
from ribwright.stages.explain.family import Case, between
from ribwright.stages.explain.judged import Judged, keys, same
from ribwright.stages.notches import LaidNotch


def _notch(case: Case) -> LaidNotch:
    number = int(case.row["where"]["notch"])
    return next(n for n in case.plan.blank.notches if n.number == number)


def _depth(case: Case) -> tuple[Input, ...]:
    return (between("d", "depth as typed", _notch(case).notch.depth, "mm", "part file: notch.depth"),)


def _radius(case: Case) -> tuple[Input, ...]:
    return (
        between(
            "r", "corner radius as typed", _notch(case).notch.corner_radius, "mm", "part file: notch.corner_radius"
        ),
    )


def _proposal(case: Case) -> tuple[Input, ...]:
    edge = case.row["where"]["edge"]
    for i, p in enumerate(case.world.answer.get("proposals", ())):
        if p["edge"] == edge and p["strain"]["after"] == case.row["value"]:
            return (case.number("e", "strain with the notches in", f"proposals[{i}].strain.after"),)
    return (
        between("e", "strain with the notches in, by the same development", float(case.row["value"]), "", "proposals"),
    )


ON_PROPOSAL = (*on.BLANK, *on.RULE, "part.rivets*", "part.units")

NOTCH_CODES: dict[str, Judged] = {
    "notch-in-bend": Judged(
        "Depth of the notch from the drawn line",
        "depth from which its round corners begin inside the flat web",
        keys(*on.NOTCHES),
        keys(*on.SHAPE),
        True,
        "typed",
        "d",
        _depth,
        same,
        limit_origin="formula",
        limit_formula="deepest foot of its two sides on the bend tangent line + corner radius",
    ),
    "relief-notches-proposed": Judged(
        "Engineering strain of the free edge at its worst place, with the notches proposed in it",
        "what the temper takes: flutes side by side where it shrinks, the stretch limit where it stretches",
        keys(
            *ON_PROPOSAL, "*materials[*].facts[shrink_fluted_limit].value", "*materials[*].facts[stretch_limit].value"
        ),
        keys(*on.SHEET, "*materials[*].facts[shrink_fluted_limit].value", "*materials[*].facts[stretch_limit].value"),
        inputs=_proposal,
        again=same,
        formula="e",
    ),
    "notch-corner-small": Judged(
        "Radius of the notch's corners as drawn",
        "half the diameter of a relief hole by the shop's rule",
        keys(*on.NOTCHES),
        keys(*on.RELIEF, *on.FLANGES),
        True,
        "typed",
        "r",
        _radius,
        same,
        limit_origin="formula",
        limit_formula="max(factor R, least drill)/2",
    ),
}
