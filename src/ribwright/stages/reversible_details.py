"""What beads and drawn flutes mean for one block for both hands: each is cut from the web face, into that face only.

Turned over, a bead's groove would lie under the table side and a flute, which grows from the bend to the free edge, would run out the
wrong way. A block that is its own mirror image must have an equal one at the mirrored place.
"""

from __future__ import annotations

import numpy as np

from ribwright.features.part import Part, along_of
from ribwright.stages.blank import Blank

Round = tuple[str, tuple[float, float], tuple[float, float, float]]  # kind, place, sizes


def detail_bars(part: Part) -> list[str]:
    """Why the details forbid turning the block over, one sentence each."""
    beads = [
        f"Bead no. {i} is cut into one face only; turned over, it would lie on solid block."
        for i in _numbers(part.beads)
    ]
    flutes = [
        f"Flute no. {i} on edge {f.edge} deepens from the web face down; turned over, it would deepen the other way."
        for i, f in enumerate(part.flutes, 1)
    ]
    return [*beads, *flutes]


def detail_rounds(part: Part, blank: Blank) -> list[Round]:
    """Beads by their points, flutes by their middles on the drawn line, each with its sizes: what must meet its equal in a mirror."""
    out: list[Round] = [
        (f"bead {b.section} {b.turn}", p, (b.width, b.depth, b.radius)) for b in part.beads for p in b.points
    ]
    edges = {e.edge.name: e for loop in blank.laid for e in loop.edges}
    for f in part.flutes:
        e = edges[f.edge]
        at = e.along(np.array([along_of(f.at, e.curve.length)]))
        x, y = e.curve.point(at)[0]
        out.append((f"flute {f.turn}", (float(x), float(y)), (f.width, f.depth, 0.0)))
    return out


def _numbers(rows: tuple[object, ...]) -> range:
    return range(1, len(rows) + 1)
