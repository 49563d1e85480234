"""The words on a bevel gauge card and in its tables."""

from __future__ import annotations

from ribwright.documents.angle_words import open_or_closed
from ribwright.documents.bevel_card import BASELINE, Card
from ribwright.documents.lean_words import sawn_lean
from ribwright.documents.page import Pair
from ribwright.stages.bevels import Place
from ribwright.units import Unit, show_angle, show_length

MOST_PLACES = 4
HOW = {
    "part": "Wedge inside the flange, or cut-out over the heel. Hold it square to the edge.",
    "block": "Cut-out over the block's edge: web face and wall. Hold it square to the edge.",
}
FOR = {"part": "PART, RELEASED", "block": "BLOCK, WALL"}


def angle_line(c: Card) -> str:
    """'84.0 deg' from flat, in large print; of a wall 'IN 8.5 deg', as it is sawn."""
    return show_angle(c.bevel.angle) if c.use == "part" else sawn_lean(c.bevel.angle)


def sense(c: Card) -> str:
    """Open, closed or square; of a wall what the card is cut to."""
    if c.use == "part":
        return open_or_closed(c.bevel.angle)
    return f"exactly {show_angle(abs(c.bevel.angle - 90.0), 2)}"


def leans(c: Card) -> str:
    """The picture in words."""
    if c.use == "block":
        word = sawn_lean(c.bevel.angle).partition(" ")[0]
        return {"IN": "IN: foot SMALLER than web face", "OUT": "OUT: foot LARGER than web face"}.get(word, "SQUARE")
    turn = c.turns[0] if len(c.turns) == 1 else "either"
    side = {"down": "in under the web", "up": "in over the web"}.get(turn, "back in, towards the web")
    word = sense(c).rpartition(" ")[2]
    return {"open": "OPEN: leans away from the web", "closed": f"CLOSED: leans {side}"}.get(word, "SQUARE")


def place(p: Place, first: Unit) -> str:
    """'spar', or 'spar at 2.362 in (60.00 mm)'."""
    return p.edge if p.along is None else f"{p.edge} at {show_length(p.along, first)}"


def places(c: Card, first: Unit, most: int = MOST_PLACES) -> list[str]:
    """Where the card holds, the rest counted."""
    rest = len(c.bevel.places) - most
    return [place(p, first) for p in c.bevel.places[:most]] + ([f"and {rest} more: see the list"] if rest > 0 else [])


def proof(c: Card, first: Unit) -> str:
    """What to measure on the card to prove its angle."""
    if c.rise < 0.005:
        return "Proof: the flange leg lies on the fine 100 mm line, square to the web leg."
    side = _side(c.foot, c.tip)
    return (
        f"Proof: {BASELINE:.0f} mm along the fine line from the corner, then square to it {side} to the flange leg: "
        f"{show_length(c.rise, first)}."
    )


def _side(foot: Pair, tip: Pair) -> str:
    if abs(tip[0] - foot[0]) > abs(tip[1] - foot[1]):
        return "to the right" if tip[0] > foot[0] else "to the left"
    return "up"
