"""A sample of every line on a template and what it means."""

from __future__ import annotations

from ribwright.documents.check_distances import triangle
from ribwright.documents.page import Circle, Item, Line, Polyline, Text
from ribwright.documents.register_marks import mark_items
from ribwright.documents.template_kinds import TemplateKind
from ribwright.documents.template_looks import CENTRE, CUT, LOOKS
from ribwright.documents.template_spread import cross

STEP = 5.6  # height of a row [mm]
LONG = 17.0  # of a sample [mm]


def legend(kind: TemplateKind, x: float, y: float) -> tuple[Item, ...]:
    """The rows of the kind under the word Lines, whose base line is at y [mm]."""
    out: list[Item] = [Text(x, y, "Lines", 14, "bold")]
    for k, (sample, meaning) in enumerate(kind.legend):
        row = y - 1.9 - STEP * (k + 1)
        out += [*_sample(sample, x, row + 1.1), Text(x + LONG + 3.0, row, meaning, 9)]
    return tuple(out)


def _sample(name: str, x: float, y: float) -> tuple[Item, ...]:
    """The sample with its middle line at y."""
    at = x + LONG / 2
    if name in LOOKS:
        stroke = LOOKS[name].stroke
        if name == "sign":
            dot, tip = Circle(x + 2.0, y, 0.6, stroke), x + LONG - 1.0
            head = Polyline(((tip - 2.5, y + 0.9), (tip, y), (tip - 2.5, y - 0.9)), False, stroke)
            return dot, Line(x + 2.6, y, tip, y, stroke), head
        if name == "circle":
            return Circle(at, y, 1.6, stroke), Text(at + 2.4, y - 0.9, "C5-R5", 6)
        if name in ("end", "tick", "step"):
            return (Line(at, y - 2.0, at, y + 2.0, stroke),)
        return (Line(x, y, x + LONG, y, stroke),)
    if name == "hole":
        return Circle(at, y, 1.6, CUT), *cross(at, y, 2.3)
    if name == "centre":
        return cross(at, y, 2.0)
    if name == "pin":
        return Circle(at, y, 1.2, CUT), *cross(at, y, 2.6)
    if name == "pilot":
        return Circle(at, y, 1.8, CUT), Circle(at, y, 0.8, CENTRE), *cross(at, y, 2.3)
    if name == "mark":
        return Polyline(triangle((at - 2.0, y + 1.8), True, 3.6), True, CUT), Text(at + 1.5, y - 1.2, "M1", 9, "bold")
    assert name == "square", name
    return mark_items(at - 2.0, y, "7", True, False)
