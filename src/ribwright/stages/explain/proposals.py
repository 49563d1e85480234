"""Numbers of proposed relief notches: what they are sized by."""

from __future__ import annotations

from ribwright.stages.explain.explanation import Told
from ribwright.stages.explain.family import Case, Family, always, between
from ribwright.stages.explain.finding_codes_notch import ON_PROPOSAL
from ribwright.stages.relief_notches import LEAST_PIECE, Proposal

SOURCE = "proposal of this version; sizes by the relief rule, number and places by the development of the edge with the notches in it"
LIMITS = ("*materials[*].facts[shrink_fluted_limit].value", "*materials[*].facts[stretch_limit].value")
STRAINS = {
    "before": ("Engineering strain of the free edge at its worst place without the notches.", "of the edge as drawn"),
    "after": ("The same with the notches proposed, developed once more with them in.", "of the edge with the notches"),
    "one_fewer": (
        "The same with one notch fewer, at the best places for that; it is past the limit.",
        "with one notch fewer",
    ),
    "limit": ("What the temper takes.", "limit of the record"),
}
SIZES = {
    "width": "Diameter of the shop's relief hole, rounded up to 1/64 in or 0.5 mm.",
    "corner_radius": "Half the width: the floor is a drilled hole.",
    "depth": "From the drawn line: foot of the sides on the bend tangent line, set-back of the relief rule and corner radius, rounded up.",
    "spacing": "Between two middles along the bend tangent line; 0 of one notch.",
}


def _of(case: Case) -> Proposal:
    return [p for p in case.plan.proposals if isinstance(p, Proposal)][case.index]


def _strain(case: Case) -> Told:
    p, which = _of(case), case.caught[1]
    what, words = STRAINS[which]
    value = {"before": p.before, "after": p.after, "one_fewer": p.fewer, "limit": p.limit}[which]
    inputs = (between("e", words, float(value or 0.0), "", p.source if which == "limit" else "develop"),)
    return Told(what, "solved", "strain of the free edge, hoop strain less what the cuts let out", inputs, SOURCE,
        "flanges turned 60 to 100 deg; petals of at least half a flange width", compared="the blank by balance, tests/stages",
        again=value)  # fmt: skip


def _size(case: Case) -> Told:
    p, which = _of(case), case.caught[1]
    n = p.notches[0]
    inputs = (
        between("d", "diameter of the relief hole", n.width, "mm", f"relief rule {p.rule}"),
        between("set_back", "set-back of the rule", p.set_back, "mm", f"relief rule {p.rule}"),
        between(
            "least",
            "least piece between two cuts, of the flange's width",
            LEAST_PIECE,
            "",
            "common practice, from memory",
        ),
    )
    return Told(SIZES[which], "geometry", SIZES[which], inputs, SOURCE)


def _along(case: Case) -> Told:
    n = _of(case).notches[int(case.caught[1])]
    inputs = (between("along", "place on the edge", float(n.at[1]), "mm", "the search for the least number"),)
    return Told(
        "Middle of a notch proposed, arc length along its edge as typed.",
        "geometry",
        "evenly spaced about the middle of the curve, clear of ends, rivets and holes; rounded to 0.01 in or 0.1 mm",
        inputs,
        SOURCE,
    )


FAMILIES = (
    Family("proposals[*].strain.(before|after|one_fewer|limit)", always(*ON_PROPOSAL, *LIMITS), _strain),
    Family("proposals[*].(width|depth|corner_radius|spacing)_mm", always(*ON_PROPOSAL, *LIMITS), _size),
    Family("proposals[*].notches[*].along_mm", always(*ON_PROPOSAL, *LIMITS), _along),
)
