"""The bevel gauge cards as a drawing for a cutter: cards beside each other, with a proof of scale."""

from __future__ import annotations

from ribwright.documents.bevel_card import Card, cards, turns_of
from ribwright.documents.bevel_words import FOR, HOW, angle_line, places, proof, sense
from ribwright.documents.drawing import DATUM, HOLE, OUTLINE, TEXT, Contour, Drawing, Label, Ring, Shape, crossed
from ribwright.documents.identity import Identity
from ribwright.documents.template_drawing import LETTER_MM, proof_bars
from ribwright.stages.bevels import bevels
from ribwright.stages.plan import Plan
from ribwright.units import Unit

GAP = 10.0  # between cards [mm]


def bevel_drawing(plan: Plan, identity: Identity) -> Drawing:
    """Edges and legs of the cards on OUTLINE, corner holes on HOLE, baselines on DATUM, words on TEXT; in mm. The first
    card's corner is the origin."""
    items: list[Shape] = []
    x = 0.0
    for i, c in enumerate(cards(bevels(plan.job, plan.blank, plan.block), turns_of(plan.job.part))):
        x = 0.0 if i == 0 else x - c.box[0]
        items += _card(c, x, identity.first)
        x += c.box[2] + GAP
    items += proof_bars(0.0, -60.0)
    released = "" if identity.released else " - NOT RELEASED"
    head = f"{identity.line}: bevel gauge cards{released}. {identity.material}, {identity.thickness}"
    items.append(Label(TEXT, 0.0, -80.0, head, LETTER_MM))
    drawing = Drawing(tuple(items), f"{identity.line}: bevel gauge cards")
    return crossed(drawing, identity.stops[0]) if identity.stops else drawing


def _card(c: Card, dx: float, first: Unit) -> list[Shape]:
    x0, y0, x1, y1 = c.box
    out: list[Shape] = [
        Contour(OUTLINE, tuple((x + dx, y, 0.0) for x, y in ((x0, y0), (x1, y0), (x1, y1), (x0, y1)))),
        *(Contour(OUTLINE, tuple((x + dx, y, 0.0) for x, y in leg), False) for leg in c.legs()),
        Ring(HOLE, dx, 0.0, c.hole),
        Contour(DATUM, ((dx, 0.0, 0.0), (c.foot[0] + dx, c.foot[1], 0.0)), False),
    ]
    rows = (f"{c.number} {FOR[c.use]}", f"{angle_line(c)}, {sense(c)}", *places(c, first), HOW[c.use], proof(c, first))
    out += [Label(TEXT, x0 + dx, y0 - (i + 1) * 1.4 * 2.0, row, 2.0) for i, row in enumerate(rows)]
    return out
