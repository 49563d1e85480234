"""The drawing's tolerances against the forecast: will a first piece lie inside, and one off a corrected block?"""

from __future__ import annotations

from collections.abc import Iterator

from ribwright.stages.as_pressed import UNDER_LOAD
from ribwright.stages.checks.context import Finding, Looked, margin, place
from ribwright.stages.checks.left_open import FINISH
from ribwright.stages.stack import LEFT_OPEN, Stack, show_chance
from ribwright.stages.tolerances import tolerances, worst

MORE_LIKELY_OUT = 0.5  # a first piece is more likely outside than inside
HOLDS = 0.9  # neither the first piece nor a corrected block keeps it nine times in ten
MAY_OPEN_HELPS = (
    "More pressure makes sure that it closes: a press that gives it, or a smaller pad. Else form one on scrap, and expect to finish some "
    "by hand on the block."
)
SEEN = {"deg": 0.05, "mm": 0.01}  # a mean that lies off by less is not written
NAMES = {
    "flange_angle": "flange angle",
    "flange_width": "flange width",
    "contour": "contour",
    "bend_radius": "bend radius",
    "web_flatness": "web flatness",
    "hole_position": "hole position",
    "hole_diameter": "hole diameter",
}


def findings(looked: Looked) -> Iterator[Finding]:
    """At most one finding a characteristic, at its worst place; only where it is forecast whole."""
    rows = tolerances(looked.job, looked.blank, looked.block, looked.setup)
    # a flange that comes off open has a finding of its own, and would hide all that a corrected block can still mend
    for row in worst(tuple(r for r in rows if not _told_open(r))).values():
        first, later = row.chance_first, row.chance_corrected
        if first is None or not (first < MORE_LIKELY_OUT or max(first, later or 0.0) < HOLDS):
            continue
        level = MORE_LIKELY_OUT if first < MORE_LIKELY_OUT else HOLDS
        yield Finding(
            "tolerance-not-met-by-forecast",
            "warn",
            f"{place(row.where)}: {_size(looked, row)}; {_chances(row)}.",
            helps(row),
            {**row.where, "tolerance": row.quantity},
            first, level, margin(first, level, least=True), "chance", f"{row.model}; scatter taken as normal and independent",
        )  # fmt: skip


def _told_open(row: Stack) -> bool:
    return row.fixed == LEFT_OPEN and row.allowed is not None and not -row.allowed[0] <= row.shift <= row.allowed[1]


def _size(looked: Looked, row: Stack) -> str:
    assert row.allowed is not None
    assert row.half is not None
    minus, plus = row.allowed
    shown = (lambda x: f"{x:.2g} deg") if row.unit == "deg" else looked.length
    drawn = f"± {shown(minus)}" if minus == plus else f"- {shown(minus)} / + {shown(plus)}"
    shift = (
        f", {shown(abs(row.shift))} {'over' if row.shift > 0 else 'under'} nominal"
        if abs(row.shift) > SEEN[row.unit]
        else ""
    )
    return f"forecast of the {NAMES[row.quantity]} is ± {shown(row.half)} (90 %){shift}, the drawing allows {drawn}"


def _chances(row: Stack) -> str:
    first, later = row.chance_first, row.chance_corrected
    assert first is not None
    begun = f"chance to be inside {show_chance(first)} on the first piece"
    if row.fixed == LEFT_OPEN:
        return f"{begun}; the press leaves this flange open, and no other block changes that"
    if row.fixed:
        return f"{begun}; the part file asks for a block without undercut, so the block is not corrected"
    if later is None:
        return f"{begun}; the shop file lists no gauge to correct it by"
    if later < first - 0.005:
        return begun
    return f"{begun}, {show_chance(later)} once corrected by a measured piece"


def helps(row: Stack) -> str:
    """What to do about a characteristic that is not met."""
    first, later = row.chance_first or 0.0, row.chance_corrected or 0.0
    if row.fixed == LEFT_OPEN:
        return FINISH
    if row.contributors and max(row.contributors, key=lambda c: c.sd).name == UNDER_LOAD:
        return MAY_OPEN_HELPS
    if row.fixed:
        return "Dress every piece to its angle by hand, or let the undercut vary."
    what = "the blank" if row.quantity in ("flange_width", "hole_diameter") else "the block"
    if later >= HOLDS:
        return f"Form one on scrap, measure it and correct {what} by what it measures before the lot."
    if later > first:
        return f"Form one on scrap, measure, correct {what}; then expect hand work, or ask for a wider tolerance."
    return "Correcting by one piece does not help: cut and make it more exactly, or ask for a wider tolerance."


__all__ = ["HOLDS", "MORE_LIKELY_OUT", "NAMES", "findings"]
