"""The form block for drawing: level outlines at depths below the web face, pins, recesses, rings, and what the bench measures from.

Every level of a loop has the same number of points, and the n-th of each lies at the same share of its edge, so that a picture can rule
between levels. `square` holds the same levels with no undercut at all: a picture that shows the undercut k times draws

    square + k (levels - square)

Depths count from the web face, whichever way the flanges turn. `mirrored`: they turn up, and the block stands on the table as its mirror
image x -> -x. Level 0 runs along the bend tangent lines, where the rounding begins; `outline` is the web face as papers print it, where it
meets the plane of the wall.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Any

import numpy as np

from ribwright.documents.views.plain import Array, Place, box_of, number, place, rounded
from ribwright.geometry.offset import SetOver, mitred
from ribwright.stages.block import Block, side_of
from ribwright.stages.plan import Plan
from ribwright.stages.recess import Recess, profile
from ribwright.stages.section import LoopSection, Span, Wall, Walls

CHORD_MM = 0.015  # of a level's points from the curve through them
ROUNDING_LEVELS, WALL_LEVELS, RIM_POINTS = 6, 3, 6


def block_view(plan: Plan) -> dict[str, Any]:
    """The block of a plan."""
    block = plan.block
    depths = depths_of(block.walls)
    walls, square = _levels(block.walls, depths), _levels(_upright(block.walls), depths)
    good = all(loop.good for level in (*walls, *square) for loop in level)
    loops = [_loop(block, k, depths, [x[k] for x in walls], [x[k] for x in square]) for k in range(len(block.outlines))]
    proud = {name: p.above for p in plan.making.stock.pins for name in p.names}
    return {
        "mirrored": side_of(plan.job) == "up",
        "height": number(block.height),
        "depths": rounded(depths),
        "rounding_levels": ROUNDING_LEVELS if block.walls.rounding_ends else 0,
        "good": good,
        "loops": loops,
        "pins": [
            {
                "name": p.name,
                "at": rounded(p.at),
                "diameter": number(p.diameter),
                "above": number(plan.job.t + proud.get(p.name, p.diameter)),
            }
            for p in block.pins
        ],
        "recesses": [_recess(r, block.height) for r in block.recesses],
        "rings": [_recess(r, r.depth) for r in block.rings],
        "undercut": _undercut(block),
        "edge_radius": rounded(block.edge_radius),
        "thickness": number(plan.job.t),
        "box": box_of(*block.outlines[:1], *block.feet[:1]),
        "places": _places(plan, block),
    }


def depths_of(walls: Walls) -> list[float]:
    """Depths of the levels, rising from 0 to the height: equal turns of the deepest rounding, then equal steps of the wall."""
    ends = [z for z in walls.rounding_ends if z < walls.height]
    if not ends:
        return [0.0, walls.height]
    turned = max(_turns(walls), default=np.pi / 2)
    share = (1 - np.cos(turned * np.arange(ROUNDING_LEVELS + 1) / ROUNDING_LEVELS)) / (1 - np.cos(turned))
    deep = ends[-1]
    return [*(deep * share), *np.linspace(deep, walls.height, WALL_LEVELS)[1:]]


def _turns(walls: Walls) -> list[float]:
    """Greatest wall angle of each flanged edge [rad]."""
    leaning = [w for loop in walls.loops for w in loop if w.leans]
    return [float(np.max(w.at(np.linspace(0.0, w.edge.curve.length, 9))[0])) for w in leaning]


def _upright(walls: Walls) -> Walls:
    """The same walls with no undercut."""
    return Walls(tuple(tuple(replace(w, deg=np.zeros_like(w.deg)) for w in loop) for loop in walls.loops), walls.height)


def _levels(walls: Walls, depths: list[float]) -> list[tuple[LoopSection, ...]]:
    out: list[tuple[LoopSection, ...]] = []
    for z in depths:
        near = out[-1] if out and all(loop.good for loop in out[-1]) else None
        out.append(walls.at(z, near))
    return out


@dataclass(frozen=True, eq=False)
class _Marks:
    """Where the points of a span stand at every level: `inner` (m,) arc lengths of creases that are inside the span at every level, `u`
    (n,) from 0 at its start over 1, 2 .. m at the creases to m + 1 at its end."""

    inner: Array
    u: Array

    def on(self, span: Span) -> Array:
        """Arc lengths (n,) on the span of one level."""
        return np.interp(self.u, np.arange(len(self.inner) + 2.0), [span.s0, *self.inner, span.s1])


def _loop(
    block: Block, k: int, depths: list[float], levels: list[LoopSection], square: list[LoopSection]
) -> dict[str, Any]:
    marks = [_marks(list(spans)) for spans in zip(*(x.spans for x in (*levels, *square)), strict=True)]
    starts = np.cumsum([0, *(len(m.u) for m in marks)])[:-1].tolist()
    edges = [
        {"name": s.wall.edge.edge.name, "at": i, "flanged": s.wall.leans}
        for i, s in zip(starts, levels[0].spans, strict=True)
    ]
    return {
        "edges": edges,
        "levels": [rounded(_points(level, marks, z)) for level, z in zip(levels, depths, strict=True)],
        "square": [rounded(_points(level, marks, z)) for level, z in zip(square, depths, strict=True)],
        "outline": rounded(block.outlines[k]),
        "foot": rounded(block.feet[k]),
    }


def _marks(spans: list[Span]) -> _Marks:
    """Close enough for CHORD_MM at every level, and at every crease."""
    wall, first, last = spans[0].wall, max(p.s0 for p in spans), min(p.s1 for p in spans)
    inner = wall.breaks[(wall.breaks > first + 1e-3) & (wall.breaks < last - 1e-3)]
    out = [np.zeros(1)]
    for i, (a, b) in enumerate(pairwise([min(p.s0 for p in spans), *inner, max(p.s1 for p in spans)])):
        s = np.clip(np.linspace(a, b, 17), 0.0, wall.edge.curve.length)
        bend = float(np.max(np.abs(wall.edge.curve.curvature(s))))
        # set out by a flange the line bends the more
        n = max(1, int(np.ceil((b - a) * np.sqrt(bend / (8 * CHORD_MM)) * 1.1)), 4 if wall.varies else 1)
        out.append(i + np.arange(1, n + 1) / n)
    return _Marks(inner, np.concatenate(out))


def _points(level: LoopSection, marks: list[_Marks], z: float) -> Array:
    rows = []
    for span, mark in zip(level.spans, marks, strict=True):
        p = _along(span.wall, mark.on(span), z)
        p[0], p[-1] = span.start, span.end
        rows.append(p)
    return np.concatenate(rows)


def _along(wall: Wall, s: Array, z: float) -> Array:
    return np.array(wall.line(z).point(s))


def _undercut(block: Block) -> dict[str, Any] | None:
    """Least and most undercut [deg] and set-back of the foot [mm] of all flanged edges."""
    if not block.edges:
        return None
    deg, back = (np.concatenate([f(e) for e in block.edges]) for f in (lambda e: e.under.deg, lambda e: e.setback))
    return {"deg": rounded([deg.min(), deg.max()]), "setback": rounded([back.min(), back.max()])}


def _recess(r: Recess, height: float) -> dict[str, Any]:
    """A recess with its meridian (r, depth) from the web face to the bottom of its vent."""
    p = profile(r, height)
    phi = p.turned * np.arange(RIM_POINTS + 1) / RIM_POINTS
    rim = np.column_stack([p.start[0] - p.radius * np.sin(phi), p.radius * (1 - np.cos(phi))])
    floor = [p.wall, (p.vent, p.wall[1])] + ([(p.vent, height)] if p.vent > 0 else [])
    return {
        "name": r.name,
        "at": rounded(r.at),
        "diameter": number(r.diameter),
        "bottom_diameter": number(r.bottom_diameter),
        "depth": number(r.depth),
        "vent_diameter": number(r.vent_diameter),
        "meridian": rounded(np.concatenate([rim, floor])),
    }


def _places(plan: Plan, block: Block) -> list[Place]:
    out: list[Place] = []
    for walls, foot in zip(block.walls.loops, block.walls.at(block.height), strict=True):
        names = [w.edge.edge.name for w in walls]
        pieces, _ = mitred([_face_line(w) for w in walls])
        out += [place("face-corner", p[0], names[i - 1], names[i]) for i, p in enumerate(pieces)]
        out += [place("foot-corner", span.start, names[i - 1], names[i]) for i, span in enumerate(foot.spans)]
    out += [place("pin", p.at, p.name) for p in block.pins]
    return [*out, *(place("recess", r.at, r.name) for r in block.recesses)]


def _face_line(wall: Wall) -> SetOver:
    """Where the web face meets the plane of the wall, as a line set over from the drawn one."""

    def inset(s: Array) -> Array:
        if not wall.leans:
            return np.zeros(len(s))
        turned, radius = wall.at(s)
        return wall.edge.tangent_inset(np.clip(s, 0.0, wall.edge.curve.length)) - radius * np.tan(turned / 2)

    return SetOver(wall.edge.curve, inset)
