"""Whether a block that was cut to one undercut can be filed to another: material only comes off.

Both sections start at the same bend tangent line and keep the arc of the bend. At depth z a section stands x(z) out of that line
(`stages.section.reach`); what comes off there is x of the old one less x of the new one. A greater undercut has the smaller edge radius and
leans further in, so that it lies inside the old section: the block is filed. Where anything would have to be put on, it is a new block.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ribwright.stages.section import reach
from ribwright.stages.undercut import kept_arc_radius

Array = NDArray[np.float64]
STAYS, FILE, NEW = "stays", "file", "new-block"
LEAST_MM = 0.02  # less than this nobody files, and a file leaves
DEPTHS = 60


@dataclass(frozen=True)
class Rework:
    """One place of the old block. `off_foot`, `off_most` what comes off at the foot and at most [mm], square to the edge in plan, `depth`
    where that is below the web face; negative: must be put on. `what` is STAYS, FILE or NEW; `sharp`: no edge keeps the arc."""

    old: float
    new: float
    off_foot: float
    off_most: float
    depth: float
    what: str
    sharp: bool = False


def rework(radius: float, t: float, angle: float, old: float, new: float, height: float) -> Rework:
    """From undercut `old` to `new` [deg] on a bend of inside radius `radius` and drawn `angle`, down to `height` [mm]."""
    u = np.array([old, new])
    edge = kept_arc_radius(radius, t, np.full(2, angle), u)
    if float(edge[1]) <= 0.0:
        return Rework(old, new, 0.0, 0.0, 0.0, NEW, True)
    wall = np.radians(angle + u)
    ends = np.maximum(edge, 0.0) * (1 - np.cos(wall))
    z = np.unique(
        np.concatenate([np.linspace(0.0, height, DEPTHS), np.minimum(np.linspace(0.0, ends.max(), DEPTHS), height)])
    )
    x = [_reach(float(w), max(float(r), 0.0), z) for w, r in zip(wall, edge, strict=True)]
    off = x[0] - x[1]
    i = int(np.argmax(np.abs(off)))
    least, most = float(np.min(off)), float(np.max(off))
    what = NEW if least < -LEAST_MM else FILE if most > LEAST_MM else STAYS
    return Rework(old, new, float(off[-1]), float(off[i]), float(z[i]), what)


def worst(rows: list[Rework]) -> str:
    """What the whole block needs: a new one where any place does, else filing where any place does."""
    found = {r.what for r in rows}
    return NEW if NEW in found else FILE if FILE in found else STAYS


def _reach(w: float, radius: float, z: Array) -> Array:
    return np.array([float(reach(np.array([w]), np.array([radius]), float(d))[0]) for d in z])
