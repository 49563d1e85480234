"""How each kind of line on a template looks in print, and the layer it lies on in a drawing file."""

from __future__ import annotations

from dataclasses import dataclass

from ribwright.documents.drawing import (
    BEADS,
    CIRCLES,
    DATUM,
    FLUTES,
    FOOT,
    FREE_EDGE,
    INSIDE_MOLD,
    NOTCHES,
    OUTLINE,
    PART_EDGE,
    TANGENT,
    WEB_FACE,
)
from ribwright.documents.page import Stroke

CUT = Stroke(0.18)
CENTRE = Stroke(0.13)


@dataclass(frozen=True)
class Look:
    """Stroke on paper and layer in a drawing file."""

    stroke: Stroke
    layer: str


# told apart by their dashes alone: a template is printed in black
LOOKS: dict[str, Look] = {
    "cut": Look(CUT, OUTLINE),
    "tangent": Look(Stroke(0.18, 0.0, (3.0, 1.5)), TANGENT),
    "inside": Look(Stroke(0.18, 0.0, (8.0, 1.2, 1.2, 1.2)), INSIDE_MOLD),
    "free": Look(Stroke(0.3, 0.0, (9.0, 3.0)), FREE_EDGE),
    "end": Look(Stroke(0.35), FREE_EDGE),
    "face": Look(CUT, WEB_FACE),
    "foot": Look(Stroke(0.25, 0.0, (6.0, 1.2, 1.2, 1.2, 1.2, 1.2)), FOOT),
    "part": Look(Stroke(0.18, 0.0, (1.0, 1.2)), PART_EDGE),
    "sign": Look(Stroke(0.25), DATUM),
    "tick": Look(Stroke(0.35), DATUM),
    "step": Look(Stroke(0.35, 0.0, (1.6, 0.8)), DATUM),
    "circle": Look(Stroke(0.13, 0.45), CIRCLES),
    "notch": Look(Stroke(0.25, 0.0, (1.2, 0.8)), NOTCHES),
    "flute": Look(Stroke(0.25, 0.0, (4.0, 1.0, 0.6, 1.0)), FLUTES),
    "bead": Look(Stroke(0.25, 0.0, (5.0, 1.0, 1.5, 1.0)), BEADS),
    "datum": Look(Stroke(0.13, 0.0, (12.0, 1.5, 2.0, 1.5)), DATUM),
}
