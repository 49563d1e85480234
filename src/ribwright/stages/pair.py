"""Two hands of one part beside each other: one block for both or one for each, and what a mirror makes of the blank.

The opposite is the mirror, x -> -x, of the part drawn. Its flat blank is therefore the drawn blank turned over about the y axis, holes,
slots and grain with it: the two differ only by the face that lies up, and by their marks. A block is no sheet: it serves both hands only
where it is its own mirror image or may be turned over (`reversible`), judged on the block of each hand.
"""

from __future__ import annotations

from dataclasses import dataclass

from ribwright.stages.plan import Plan

TURNED_OVER = (
    "Turned over, a blank of one hand is a blank of the other, on the pins too: one blank template does for both, "
    "and only the number marked on a blank tells whose it is."
)
UNLIKE = "The blocks of the two hands are not judged alike."


@dataclass(frozen=True)
class Pair:
    """`one_block`: one serves both hands. `how`: "mirror-image" (as it stands), "turned-over", or "" for a block each; `why`: each
    reason as a sentence. `blank`: what the mirror makes of the blank."""

    one_block: bool
    how: str
    why: tuple[str, ...]
    blank: str = TURNED_OVER


def pair_of(drawn: Plan, opposite: Plan) -> Pair:
    """One block only where the block of either hand says so for the same reason; else the reasons against it."""
    one, other = drawn.making.reversible, opposite.making.reversible
    if one.how != other.how:
        against = next(r for r in (one, other) if not r.yes) if not (one.yes and other.yes) else one
        return Pair(False, "", (UNLIKE, *against.why))
    return Pair(one.yes, one.how, one.why)
