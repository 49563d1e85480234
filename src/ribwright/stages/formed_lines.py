"""Where the formed, released part stands in plan: outside and inside mold lines, the free edge, the ends of the flanges.

Section square to the drawn line; x outward from the web's bend tangent line, z from the web's heel face to the flange
side; a the bend angle, R inside radius, t thickness, W flange width:
    outside mold line  x = (R + t) tan(a/2), z = 0   where the planes of the two heel faces meet
    inside mold line   x = R tan(a/2),       z = t   where the planes of the two inner faces meet
    free edge          x = (R + t) tan(a/2) + W cos(a), z = W sin(a)   its heel-side corner
    outermost          a under 90: the free edge; 90: the outside mold line; over 90: the bend itself, x = R + t
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ribwright.features.laid import LaidEdge, LaidLoop
from ribwright.geometry.offset import SetOver, mitred
from ribwright.stages.blank import Blank, RunStrip
from ribwright.stages.job import Job

Array = NDArray[np.float64]
Pair = tuple[float, float]
SQUARE = 0.05  # a free edge this near the outside mold line in plan is drawn with it [mm]


@dataclass(frozen=True, eq=False)
class FormedEdge:
    """Section along one flanged edge, arrays over stations (n,), lengths mm, angles deg.

    inner      outside to inside mold line, inward in plan
    free       outside mold line to the free edge's heel-side corner, outward in plan
    outermost  outside mold line to the outermost point of the section, outward in plan
    depth      heel face of the web to the free edge's heel-side corner, square to the web
    """

    edge: str
    loop: int
    along: Array
    angle: Array
    width: Array
    inner: Array
    free: Array
    outermost: Array
    depth: Array


@dataclass(frozen=True, eq=False)
class FormedLines:
    """Lines in plan, in the part's coordinates, (n, 2) each. Loops as in the blank: outer first, then the cutouts.

    outside  closed rings piece by piece, one piece an edge: outside mold line, the drawn line where there is no flange
    inside   (edge, points) of the inside mold line of each flanged edge
    free     (edge, points) of the free edge of each run, piece by piece between notches, where it does not lie on the outside mold line
    ends     both ends of each run and of each piece of it: from the bend tangent line to the outermost of outside mold line and free edge
    good     False where mold lines of neighbours do not meet
    """

    outside: tuple[tuple[Array, ...], ...]
    inside: tuple[tuple[str, Array], ...]
    free: tuple[tuple[str, Array], ...]
    ends: tuple[tuple[Pair, Pair], ...]
    edges: tuple[FormedEdge, ...]
    good: bool


def formed_lines(job: Job, blank: Blank) -> FormedLines:
    """The lines of the released part at the drawing's angles; springback does not enter."""
    outside, inside, edges, good = [], [], [], True
    for k, loop in enumerate(blank.laid):
        pieces, fine = mitred([_set_over(e, _outside_inset) for e in loop.edges])
        outside.append(tuple(pieces))
        within, fine_inside = mitred([_set_over(e, _inside_inset) for e in loop.edges])
        inside += [(e.edge.name, p) for e, p in zip(loop.edges, within, strict=True) if e.flange]
        edges += [_section(job, e, k) for e in loop.edges if e.flange]
        good = good and fine and fine_inside
    free = tuple(
        (_first_edge(blank.laid[s.loop], s), _free(s)[k]) for s in blank.strips if _stands_apart(s) for k in s.at.petals
    )
    ends = tuple(end for s in blank.strips if not s.run.closed or s.at.gaps for end in _ends(s))
    return FormedLines(tuple(outside), tuple(inside), free, ends, tuple(edges), good)


def _outside_inset(edge: LaidEdge, s: Array) -> Array:
    """Drawn line to outside mold line, inward [mm]."""
    return edge.tangent_inset(s) - edge.setback(s)


def _inside_inset(edge: LaidEdge, s: Array) -> Array:
    """Drawn line to inside mold line, inward [mm]."""
    assert edge.flange is not None
    return edge.tangent_inset(s) - edge.flange.bend_radius * np.tan(np.radians(edge.angle(s)) / 2)


def _set_over(edge: LaidEdge, inset: Callable[[LaidEdge, Array], Array]) -> SetOver:
    if edge.flange is None:
        return SetOver(edge.curve, lambda s: np.zeros(len(s)))
    # beyond an edge's ends its last section goes on, so that neighbours meet as the walls of the block do
    return SetOver(edge.curve, lambda s: inset(edge, np.clip(s, 0.0, edge.curve.length)), edge.wanders)


def _section(job: Job, edge: LaidEdge, loop: int) -> FormedEdge:
    """Nine stations of an even section, every 25 mm of one that varies, in rising along."""
    assert edge.flange is not None
    varies = edge.flange.bend_angle.varies or edge.flange.width.varies
    s = np.linspace(0.0, edge.curve.length, max(9, int(edge.curve.length // 25.0) + 2) if varies else 2)
    s = s[::-1] if edge.edge.turned else s
    a, w = np.radians(edge.angle(s)), edge.width(s)
    setback, free = edge.setback(s), w * np.cos(a)
    bend = edge.flange.bend_radius + job.t - setback
    outermost = np.where(a < np.pi / 2, np.maximum(free, 0.0), np.minimum(bend, 0.0))
    inner = job.t * np.tan(a / 2)
    return FormedEdge(edge.edge.name, loop, edge.along(s), np.degrees(a), w, inner, free, outermost, w * np.sin(a))


def _first_edge(loop: LaidLoop, strip: RunStrip) -> str:
    return loop.edges[strip.run.edges[0]].edge.name


def _lean(strip: RunStrip) -> Array:
    """Outside mold line to free edge, outward in plan [mm]."""
    return np.asarray(strip.at.width * np.cos(np.radians(strip.at.angle)))


def _stands_apart(strip: RunStrip) -> bool:
    return bool(np.max(np.abs(_lean(strip))) > SQUARE)


def _free(strip: RunStrip) -> Array:
    return np.asarray(strip.at.tangent + (strip.at.setback + _lean(strip))[:, None] * strip.at.normal)


def _ends(strip: RunStrip) -> list[tuple[Pair, Pair]]:
    reach = strip.at.setback + np.maximum(_lean(strip), 0.0)
    tips = strip.at.tangent + reach[:, None] * strip.at.normal
    return [(_pair(strip.at.tangent[i]), _pair(tips[i])) for k in strip.at.petals for i in (k[0], k[-1])]


def _pair(p: Array) -> Pair:
    return float(p[0]), float(p[1])
