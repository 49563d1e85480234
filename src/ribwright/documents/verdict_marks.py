"""A verdict as a mark that needs no colour, and in words: inside a hollow ring, outside a filled disc, cannot tell a crossed ring."""

from __future__ import annotations

from ribwright.documents.page import Circle, Item, Line, Stroke
from ribwright.stages.found import CANNOT_TELL, INSIDE, OUTSIDE

NOT_MEASURED = "not-measured"
VERDICTS = {
    INSIDE: "inside",
    OUTSIDE: "outside",
    CANNOT_TELL: "cannot tell",
    NOT_MEASURED: "not measured",
}
R = 1.1  # radius of a mark [mm]
RING = Stroke(0.3)


def verdict_mark(x: float, y: float, verdict: str, r: float = R) -> tuple[Item, ...]:
    """The mark with its middle at (x, y) [mm]; nothing for what was not measured."""
    if verdict == OUTSIDE:
        return (Circle(x, y, r, RING, 0.0),)
    if verdict == INSIDE:
        return (Circle(x, y, r, RING, 1.0),)
    if verdict == CANNOT_TELL:
        d = 0.7071 * r
        ring = Circle(x, y, r, RING, 1.0)
        return (ring, Line(x - d, y - d, x + d, y + d, RING), Line(x - d, y + d, x + d, y - d, RING))
    return ()
