"""A part that makes a pair: which of the two is drawn, which is its mirror."""

from __future__ import annotations

from collections.abc import Iterator

from ribwright.stages.checks.context import Finding, Looked

MARK = "Mark every blank, block and part with its own number: turned over, a blank of one hand is a blank of the other."


def findings(looked: Looked) -> Iterator[Finding]:
    """One note, worded by the hand that is planned here."""
    part = looked.job.part
    if not part.opposite:
        return
    hand = "" if part.hand == "none" else f", {part.hand} hand,"
    say = (
        f"{part.number}{hand} makes a pair with {part.opposite}, its mirror, x to -x, made from this drawing too."
        if part.drawn
        else f"{part.number}{hand} is not drawn: it is the mirror, x to -x, of {part.opposite}, which the part file draws."
    )
    yield Finding("opposite-mirrored", "note", say, MARK, {"key": "part.opposite"}, source="the part file")
