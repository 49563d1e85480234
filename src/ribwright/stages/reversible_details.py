"""What beads and flutes mean for one block for both hands: each is cut from the web face, into that face only.

Turned over, a bead's groove would lie under the table side and a flute's, which deepens from the bend to the foot, would deepen the wrong
way. A block that is its own mirror image must have an equal one at the mirrored place.
"""

from __future__ import annotations

from collections import Counter

from ribwright.features.part import Part
from ribwright.stages.block import Block
from ribwright.stages.groove import WallGroove

Round = tuple[str, tuple[float, float], tuple[float, float, float]]  # kind, place, sizes


def detail_bars(part: Part, block: Block) -> list[str]:
    """Why the details forbid turning the block over: a sentence a bead, one an edge with flutes."""
    beads = [
        f"Bead no. {i} is cut into one face only; turned over, it would lie on solid block."
        for i in range(1, len(part.beads) + 1)
    ]
    flutes = [
        f"Edge {edge}: {f'the grooves of its {n} flutes deepen' if n > 1 else 'the groove of its flute deepens'} from the web face down; "
        "turned over, the other way."
        for edge, n in Counter(g.edge for g in _of_walls(block)).items()
    ]
    return [*beads, *flutes]


def detail_rounds(part: Part, block: Block) -> list[Round]:
    """Beads by their points, grooves of flutes by their place at the foot, each with its sizes: what must meet its equal in a mirror."""
    out: list[Round] = [
        (f"bead {b.section} {b.turn}", p, (b.width, b.depth, b.radius)) for b in part.beads for p in b.points
    ]
    for g in _of_walls(block):
        out.append(("flute", (float(g.end[0]), float(g.end[1])), (g.profile.width, g.profile.depth, 0.0)))
    return out


def _of_walls(block: Block) -> list[WallGroove]:
    return [g for g in block.grooves if isinstance(g, WallGroove)]
