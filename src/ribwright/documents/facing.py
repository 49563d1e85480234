"""Which way a print lies on the metal or the wood, told from the way the flanges turn.

The drawing looks at the heel face when the flanges turn down, away from the viewer: heel face of the web and web face of
the block are then seen as drawn. With flanges turned up the drawing looks at the inner face, and both are seen from
behind: as the mirror of the drawing.
"""

from __future__ import annotations

from dataclasses import dataclass

from ribwright.features.part import Part


@dataclass(frozen=True)
class Facing:
    """`up`: large words on the print; `part`, `block`: how it lies on the heel face and on the web face; `pressed`: which
    face of the blank is up on the block."""

    up: str
    part: str
    block: str
    pressed: str
    mirrored: bool


AS_DRAWN = Facing(
    "PRINT UP",
    "Lay it print up on the heel face of the web; flanges turn down, away from you.",
    "Lay it print up on the web face of the block, as the part lies on it, heel face up.",
    "heel face up, flanges turn down",
    False,
)
FROM_BEHIND = Facing(
    "PRINT DOWN",
    "Flanges turn up in the drawing: lay it PRINT DOWN on the heel face of the web. Seen from there all is mirrored.",
    "Flanges turn up in the drawing: lay it PRINT DOWN on the web face of the block. Seen from there all is mirrored.",
    "heel face up on the block, the face drawn lies DOWN: mirror of the drawing",
    True,
)


def facing(part: Part) -> Facing:
    """By the outer flanges; by the holes where there is none; down where nothing turns."""
    turns = [part.flanges[e.flange].turn for e in part.outer.edges if e.flange]
    turns += [h.turn for h in part.holes if h.kind == "lightening"]
    return FROM_BEHIND if turns and turns[0] == "up" else AS_DRAWN
