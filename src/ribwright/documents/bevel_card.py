"""One bevel gauge card: its cut lines, and the baseline that proves its angle after printing and cutting.

The corner of the two faces is the card's origin. The web leg runs along +x, the flange leg from the corner at the
included angle beta = 180 - angle from it. Cut along both legs, the card falls into a wedge for the inside of the flange and
a cut-out for its heel. The hole at the corner keeps both off the rounding of the bend.
Proof: from the corner 100 mm along whichever of the directions 0, 90 or 180 deg lies nearest to the flange leg; there the leg
stands 100 tan|beta - direction| away, measured square to the baseline.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import cos, radians, sin, tan
from typing import Literal

from ribwright.documents.page import Pair
from ribwright.features.part import Part
from ribwright.stages.bevels import Bevel, Bevels

BASELINE = 100.0  # [mm]
PAST = 4.0  # the card goes on past the end of the baseline [mm]
BODY = 12.0  # width of the card outside its legs [mm]
WEB_LEG = 52.0
PRINT = 47.0  # room for the words inside the wedge [mm]
LEAST_HOLE = 2.5  # radius [mm]

Box = tuple[float, float, float, float]


@dataclass(frozen=True)
class Card:
    """Places in mm from the corner of the two faces. `foot`: end of the baseline; `rise` from there to the leg, at `tip`.
    `words`: upper left corner of the room for print."""

    number: int
    use: Literal["part", "block"]
    bevel: Bevel
    box: Box
    hole: float
    web_end: Pair
    leg_end: Pair
    foot: Pair
    tip: Pair
    rise: float
    words: Pair
    turns: tuple[str, ...] = ("down",)
    """The ways its flanges turn from the web; a block's card has none to tell."""

    @property
    def beta(self) -> float:
        """Included angle [deg]."""
        return self.bevel.included

    def legs(self) -> tuple[tuple[Pair, Pair], tuple[Pair, Pair]]:
        """Web leg and flange leg, each from the hole's edge to the edge of the card."""
        b = radians(self.beta)
        return ((self.hole, 0.0), self.web_end), ((self.hole * cos(b), self.hole * sin(b)), self.leg_end)


def cards(made: Bevels, turns: Mapping[str, str]) -> tuple[Card, ...]:
    """The part's cards, then the block's, numbered through. `turns`: edge -> the way its flange turns."""
    both: list[tuple[Literal["part", "block"], Bevel]] = [("part", b) for b in made.part]
    both += [("block", b) for b in made.block]
    return tuple(
        replace(card(i + 1, use, bevel), turns=tuple(dict.fromkeys(turns[p.edge] for p in bevel.places)))
        for i, (use, bevel) in enumerate(both)
    )


def turns_of(part: Part) -> dict[str, str]:
    """Edge -> "down" or "up", of every flanged edge."""
    return {e.name: part.flanges[e.flange].turn for loop in part.loops for e in loop.edges if e.flange}


def card(number: int, use: Literal["part", "block"], bevel: Bevel) -> Card:
    """The card of one angle between 0 and 180 deg."""
    beta = bevel.included
    direction = 0.0 if beta < 45 else 180.0 if beta > 135 else 90.0
    off = radians(beta - direction)
    rise, reach = BASELINE * tan(abs(off)), BASELINE + PAST
    hole = max(LEAST_HOLE, 1.15 * bevel.clear + 0.5)
    if direction == 90.0:
        # the leg runs out through the upper edge
        lean = -tan(off)
        right = max(WEB_LEG, reach * lean + PRINT) + PAST
        box = (min(0.0, reach * lean) - BODY, -BODY, right, reach)
        leg, foot, tip = (reach * lean, reach), (0.0, BASELINE), (BASELINE * lean, BASELINE)
        words = (max(hole + 2.0, reach * lean + 3.0), reach - 3.0)
    elif direction == 0.0:
        box = (-BODY, -BODY, reach, max(reach * tan(off) + BODY, reach))
        leg, foot, tip = (reach, reach * tan(off)), (BASELINE, 0.0), (BASELINE, rise)
        words = (-BODY + 3.0, box[3] - 3.0)
    else:
        box = (-reach, -BODY, WEB_LEG + PAST, reach)
        leg, foot, tip = (-reach, reach * tan(abs(off))), (-BASELINE, 0.0), (-BASELINE, rise)
        words = (hole + 2.0, reach - 3.0)
    return Card(number, use, bevel, box, hole, (box[2], 0.0), leg, foot, tip, rise, words)
