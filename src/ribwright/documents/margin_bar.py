"""A margin as a bar about its limit: to the right the room that is left, to the left, black, what is missing."""

from __future__ import annotations

from ribwright.documents.judged_words import margin_words
from ribwright.documents.layout import SMALL_PT, rectangle
from ribwright.documents.lettering import text_width
from ribwright.documents.page import Item, Line, Polyline, Stroke, Text

HIGH = 3.0
FIGURE = 15.0  # room for the figure on the right [mm]


def margin_bar(x: float, y: float, width: float, margin: float | None) -> list[Item]:
    """Bar and figure in `width` x 3 mm with its upper left corner at (x, y). Full length is a margin of 1 on either side; a
    longer one ends in an arrow."""
    words = margin_words(margin)
    figure = Text(x + width, y - HIGH / 2 - 1.0, words, SMALL_PT, "bold" if (margin or 0.0) < 0 else "regular", "end")
    if margin is None:
        return [figure]
    half = (width - max(FIGURE, text_width(words, SMALL_PT) + 2.0)) / 2 - 1.5
    zero, middle = x + 1.5 + half, y - HIGH / 2
    long = min(abs(margin), 1.0) * half
    items: list[Item] = [
        Line(zero - half, middle, zero + half, middle, Stroke(0.15, 0.55)),
        Line(zero, y + 0.5, zero, y - HIGH - 0.5, Stroke(0.5)),
    ]
    if long > 0.05:
        left = zero - long if margin < 0 else zero
        items.append(rectangle(left, y - HIGH + 0.3, long, HIGH - 0.6, Stroke(0.25), 0.0 if margin < 0 else 1.0))
    if abs(margin) > 1.0:
        tip, sign = zero + (half + 1.5) * (1 if margin > 0 else -1), 1 if margin > 0 else -1
        arrow = ((tip, middle), (tip - 1.5 * sign, middle + 1.3), (tip - 1.5 * sign, middle - 1.3))
        items.append(Polyline(arrow, True, None, 0.0))
    return [*items, figure]
