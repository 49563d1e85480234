"""How far two blanks of one part lie apart: the whole cut line, leaning ends, corners and reliefs included, and the cut holes.

    apart = largest distance of a point of either cut line from the other one     points no farther than STEP from each other
    of a hole = half the difference of its cut diameters

Each point is put down to the drawn edge whose flat edge is nearest. Fits of lines and arcs are within it, on either line.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ribwright.stages.blank import Blank, FlatLoop

Array = NDArray[np.float64]
STEP = 0.25  # mm between points that are measured
CHORD = 0.002  # mm of the chords that stand for arcs
EDGE, HOLE = "edge", "hole"


@dataclass(frozen=True)
class Apart:
    """The farthest the two blanks lie apart at one edge or hole [mm], and where [mm]."""

    kind: str
    name: str
    mm: float
    at: tuple[float, float]


def apart(one: Blank, other: Blank) -> tuple[Apart, ...]:
    """Every edge and hole with how far the two blanks lie apart there, the farthest first. Both of the same part, laid out alike."""
    found: dict[tuple[str, str], Apart] = {}
    for k, (a, b) in enumerate(zip(one.loops, other.loops, strict=True)):
        for x in _loop(one, k, a, b):
            found[EDGE, x.name] = max(found.get((EDGE, x.name), x), x, key=lambda y: y.mm)
    for h, g in zip(one.holes, other.holes, strict=True):
        mm = abs(h.cut_diameter - g.cut_diameter) / 2.0
        found[HOLE, h.hole.name] = Apart(HOLE, h.hole.name, mm, h.hole.at)
    return tuple(sorted(found.values(), key=lambda x: (-x.mm, x.kind, x.name)))


def straight(blank: Blank, trim: float = 0.0) -> bool:
    """Whether the strain-corrected blank is exact for this formed shape: every flange stands on straight edges at one angle, and no
    hole has a flange whose cut was not typed. Such a flange is unrolled without strain: a cylinder and a plane, whose every line
    along the edge keeps its length and whose section is the bend allowance and the straight part. That is in balance with no
    force at all, whatever its ends and however its width goes. A `trim` [mm] on a width that changes is set over square to the edge by
    the one and along the drawn normal by the other: not exact."""
    for s in blank.strips:
        assert s.run.flange is not None
        lines = all(blank.laid[s.loop].edges[i].straight for i in s.run.edges)
        if (
            not lines
            or len(s.run.edges) > 1
            or s.run.flange.bend_angle.varies
            or (trim > 0.0 and s.run.flange.width.varies)
        ):
            return False
    typed = ("cut_diameter", "flat_height")
    return all(h.straight is None or (h.hole.given or ("",))[0] in typed for h in blank.holes)


def _loop(blank: Blank, k: int, a: FlatLoop, b: FlatLoop) -> list[Apart]:
    import shapely

    rings = [np.array(x.path.chords(CHORD)) for x in (a, b)]
    names, lines = _edges(blank, k)
    edge_of = np.repeat(np.arange(len(lines)), [len(p) - 1 for p in lines])
    edges = shapely.STRtree(_chords(np.concatenate([np.stack([p[:-1], p[1:]], axis=1) for p in lines])))
    out = []
    for mine, other in (rings, rings[::-1]):
        p = shapely.get_coordinates(shapely.segmentize(shapely.LinearRing(mine), STEP))
        points = shapely.points(p)
        chords = shapely.STRtree(_chords(np.stack([other, np.roll(other, -1, axis=0)], axis=1)))
        _, far = chords.query_nearest(points, return_distance=True, all_matches=False)
        of = edge_of[edges.nearest(points)]
        for i in np.unique(of):
            j = np.flatnonzero(of == i)[int(np.argmax(far[of == i]))]
            out.append(Apart(EDGE, names[i], float(far[j]), (float(p[j, 0]), float(p[j, 1]))))
    return out


def _chords(pairs: Array) -> list[Any]:
    """Chords (m, 2, 2) as lines."""
    import shapely

    made: Any = shapely.linestrings(pairs)
    return list(made)


def _edges(blank: Blank, k: int) -> tuple[list[str], list[Array]]:
    """Names and flat edges (m, 2) of the drawn edges of a loop."""
    flat = {i: s.flat[s.at.edge == i] for s in blank.strips if s.loop == k for i in s.run.edges}
    edges = blank.laid[k].edges
    lines = [
        flat[i] if len(flat.get(i, ())) > 1 else e.curve.point(np.linspace(0.0, e.curve.length, 65))
        for i, e in enumerate(edges)
    ]
    return [e.edge.name for e in edges], lines
