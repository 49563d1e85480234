"""Notches of the part laid out on its edges: where each interrupts its flange, what it takes off the web, what is wrong with it.

A notch that cannot be where it is drawn (past an end of its edge, over another one) is left out of blank and mesh, and a stop says
so; one that ends in the bend is cut to the bend, and a stop says that (`notch_faults`).
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from ribwright.features.laid import LaidEdge, LaidLoop
from ribwright.features.part import Notch, Part, along_of
from ribwright.geometry.notch import NotchCut, cut_notch
from ribwright.stages.corners import Join

SAME = 1e-6  # lengths this near each other are one [mm]
PAST_END, OVERLAP, IN_BEND = "past-end", "overlap", "in-bend"


@dataclass(frozen=True, eq=False)
class LaidNotch:
    """A notch on its edge.

    `number` counts the tables from 1; `loop`, `edge` indices; `along` of its middle as typed [mm], `turned` where the
    edge is travelled against that; `cut` None
    where it has no place at all. `fault`: "", or why it is not as drawn."""

    number: int
    notch: Notch
    loop: int
    edge: int
    along: float
    flanged: bool
    cut: NotchCut | None
    turned: bool = False
    fault: str = ""

    @property
    def stands(self) -> bool:
        """Blank and mesh have it."""
        return self.cut is not None and self.fault in ("", IN_BEND)

    @property
    def open_along(self) -> tuple[float, float]:
        """From where to where the edge is interrupted, arc length as typed, rising [mm]."""
        assert self.cut is not None
        a, b = (self.along + (x - self.cut.middle) * (-1.0 if self.turned else 1.0) for x in self.cut.cuts)
        return min(a, b), max(a, b)

    @property
    def where(self) -> dict[str, object]:
        """Its place in a finding."""
        return {"notch": self.number, "edge": self.notch.edge, "along_mm": self.along}


def lay_notches(part: Part, laid: tuple[LaidLoop, ...], joins: tuple[tuple[Join, ...], ...]) -> tuple[LaidNotch, ...]:
    """Every notch of the part, in the order of the file."""
    found = [_lay(part, laid, joins, k) for k in range(len(part.notches))]
    out: list[LaidNotch] = []
    for one in found:
        beside = [x for x in out if x.stands and (x.loop, x.edge) == (one.loop, one.edge)]
        if one.stands and any(_overlap(one, x) for x in beside):
            one = replace(one, fault=OVERLAP)
        out.append(one)
    return tuple(out)


def _lay(part: Part, laid: tuple[LaidLoop, ...], joins: tuple[tuple[Join, ...], ...], k: int) -> LaidNotch:
    notch = part.notches[k]
    loop, i = next((n, i) for n, x in enumerate(laid) for i, e in enumerate(x.edges) if e.edge.name == notch.edge)
    edge, js = laid[loop].edges[i], joins[loop]
    along = along_of(notch.at, edge.drawn.length)
    middle = float(edge.at(np.array([along]))[0])
    gap = notch.flange_gap if edge.flange else 0.0
    cut = cut_notch(edge.tangent_line, middle, notch.width, notch.depth, notch.corner_radius, gap)
    fault = ""
    if cut is None or not _between_ends(edge, js[i - 1], js[i], cut):
        fault = PAST_END
    elif notch.depth < cut.least_depth - SAME:
        fault = IN_BEND
    return LaidNotch(k + 1, notch, loop, i, along, edge.flange is not None, cut, edge.edge.turned, fault)


def _between_ends(edge: LaidEdge, before: Join, after: Join, cut: NotchCut) -> bool:
    """Whether something of the edge is left on both sides: before its corners, reliefs and joins."""
    first, last = (before.sb, after.sa) if edge.flange else (0.0, edge.curve.length)
    return first + SAME < cut.cuts[0] and cut.cuts[1] < last - SAME


def _overlap(one: LaidNotch, other: LaidNotch) -> bool:
    assert one.cut is not None
    assert other.cut is not None
    return one.cut.cuts[0] < other.cut.cuts[1] + SAME and other.cut.cuts[0] < one.cut.cuts[1] + SAME


def gaps_of(notches: tuple[LaidNotch, ...], loop: int, edge: int) -> tuple[LaidNotch, ...]:
    """The notches that stand on one edge, in travel order."""
    mine = [n for n in notches if n.stands and (n.loop, n.edge) == (loop, edge)]
    return tuple(sorted(mine, key=lambda n: n.cut.cuts[0] if n.cut else 0.0))
