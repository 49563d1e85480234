"""Rings of a drawing as edges of a part: lines and arcs as they are, other curves as spline points within a tolerance.

Also what a ring is when it is no contour: a circle, a slot. And whether an arc was drawn inside out.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable
from dataclasses import dataclass
from math import atan, atan2, degrees, hypot, pi

import numpy as np
from numpy.typing import NDArray

from ribwright.features.drawn_lines import ARC, CURVE, LINE, Point
from ribwright.features.part import Edge
from ribwright.geometry.interpolated import points_through
from ribwright.stages.drawn_segment import Segment, turn

Array = NDArray[np.float64]
# joins smoother than this are smooth; an arc that is smooth only the other way round, and this far off as drawn, is inside out [deg]
SMOOTH_DEG, TURNED_DEG = 0.5, 2.0
# the directions of a spline and its neighbour agree so well where they are meant to [deg]
TANGENT_DEG = 0.05
# what is taken for chords of a curve: so many lines, each turning less [deg], lengths of neighbours within this ratio
CHORDS, CHORD_DEG, CHORD_RATIO = 8, 15.0, 4.0
ROUND = 1e-6  # of the radius: arcs of one circle


@dataclass(frozen=True)
class Fitted:
    """The edges of a ring, which of its splines take their neighbour's direction, and how well the splines lie."""

    edges: tuple[Edge, ...]
    tangents: tuple[str, ...]
    splines: int
    points: int
    missed: float


def area(ring: list[Segment]) -> float:
    """Signed area [mm2], positive counter-clockwise; exact for lines and arcs."""
    total = 0.0
    for s in ring:
        for (x0, y0), (x1, y1) in itertools.pairwise(s.points if s.kind == CURVE else (s.start, s.end)):
            total += (x0 * y1 - x1 * y0) / 2
        if s.kind == ARC:
            b = s.bulge
            chord, sweep = hypot(s.end[0] - s.start[0], s.end[1] - s.start[1]), 4 * atan(b)
            radius = chord * (1 + b * b) / (4 * abs(b)) if b else 0.0
            total += radius * radius / 2 * (sweep - np.sin(sweep))
    return float(total)


def reversed_ring(ring: list[Segment]) -> list[Segment]:
    """The same ring the other way round."""
    return [s.reversed() for s in reversed(ring)]


def started(ring: list[Segment]) -> list[Segment]:
    """The ring from its lowest joint on, of several the leftmost: the same start however it was drawn."""
    k = min(range(len(ring)), key=lambda i: (round(ring[i].start[1], 4), round(ring[i].start[0], 4)))
    return ring[k:] + ring[:k]


def circle_of(ring: list[Segment]) -> tuple[Point, float] | None:
    """(centre, diameter) when the ring is one circle."""
    if any(s.kind != ARC for s in ring):
        return None
    balls = [s.ball() for s in ring]
    (cx, cy), r = balls[0]
    if any(hypot(x - cx, y - cy) + abs(q - r) > ROUND * r for (x, y), q in balls):
        return None
    if abs(abs(sum(4 * atan(s.bulge) for s in ring)) - 2 * pi) > 1e-6:
        return None
    return (cx, cy), 2 * r


def slot_of(ring: list[Segment]) -> tuple[Point, float, float, float] | None:
    """(middle, diameter, length beyond the diameter, angle [deg]) when the ring is two half circles and two lines."""
    if len(ring) != 4:
        return None
    arcs = [s for s in ring if s.kind == ARC]
    if len(arcs) != 2 or ring[0].kind == ring[1].kind or any(s.kind == CURVE for s in ring):
        return None
    ((ax, ay), r), ((bx, by), q) = (s.ball() for s in arcs)
    if any(abs(abs(s.bulge) - 1) > 1e-4 for s in arcs) or abs(r - q) > 1e-4 * r:
        return None
    angle = degrees(atan2(by - ay, bx - ax)) % 180.0
    return ((ax + bx) / 2, (ay + by) / 2), r + q, hypot(bx - ax, by - ay), angle


def inside_out(ring: list[Segment]) -> list[Point]:
    """Where an arc meets both its neighbours in a kink and, turned over its chord, would run into both smoothly [mm].

    With a chord at angle c an arc of sweep w starts at c - w/2 and ends at c + w/2; turned over, w becomes -w. So a kink k at either
    end becomes k + w: both vanish for an arc that was meant the other way.
    """
    out = []
    for i, s in enumerate(ring):
        if s.kind != ARC or len(ring) < 3:
            continue
        w = 4 * atan(s.bulge)
        kinks = [
            turn(ring[i - 1].ways[1], s.ways[0]),
            turn(s.ways[1], ring[(i + 1) % len(ring)].ways[0]),
        ]
        as_drawn = min(abs(degrees(k)) for k in kinks)
        turned = max(abs(degrees(turn(0.0, k + w))) for k in kinks)
        if as_drawn > TURNED_DEG and turned < SMOOTH_DEG:
            out.append(s.points[1])
    return out


def chords_joined(ring: list[Segment], flange_of: Callable[[str], str]) -> tuple[list[Segment], int]:
    """(the ring with runs of chords as curves through their ends, how many lines went into them).

    A run is CHORDS lines or more of one flange, each turning from the one before by less than CHORD_DEG and neither CHORD_RATIO times
    as long nor as short.
    """

    def goes_on(a: Segment, b: Segment) -> bool:
        if not (a.kind == b.kind == LINE and flange_of(a.layer) == flange_of(b.layer)):
            return False
        one, two = a.chord, b.chord
        kink = abs(degrees(turn(a.ways[1], b.ways[0])))
        return kink < CHORD_DEG and max(one, two) < CHORD_RATIO * min(one, two)

    runs = _runs(ring, goes_on)
    out: list[Segment] = []
    for run in runs:
        whole = len(run) >= CHORDS
        out += [Segment(CURVE, (*(s.start for s in run), run[-1].end), run[0].layer)] if whole else run
    return out, sum(len(run) for run in runs if len(run) >= CHORDS)


def fitted(ring: list[Segment], tolerance: float, prefix: str, flange_of: Callable[[str], str]) -> Fitted:
    """The ring as edges named `prefix`1 and on. `tolerance`: of its splines [mm]. `flange_of`: a layer's flange, or ""."""
    ring = _parted(_run_together(ring, flange_of))
    directions = [s.ways for s in ring]
    edges, tangents, count, total, worst = [], [], 0, 0, 0.0
    for i, s in enumerate(ring):
        points, tangent = s.points, ""
        if s.kind == CURVE:
            tangent, start, end = _clamped(ring, directions, i)
            chosen, missed = points_through(np.array(s.points), tolerance, start, end)
            points = tuple(s.points[k] for k in chosen.tolist())
            count, total, worst = count + 1, total + len(points), max(worst, missed)
        kind = "spline" if s.kind == CURVE else s.kind
        edges.append(Edge(f"{prefix}{i + 1}", kind, points, flange_of(s.layer) or None))
        tangents.append(tangent)
    return Fitted(tuple(edges), tuple(tangents), count, total, worst)


# ---- inside


def _run_together(ring: list[Segment], flange_of: Callable[[str], str]) -> list[Segment]:
    """Curves that go on in one another smoothly, with the same flange, made one: a natural end inside a smooth line would flatten it."""

    def goes_on(a: Segment, b: Segment) -> bool:
        if not (a.kind == b.kind == CURVE and flange_of(a.layer) == flange_of(b.layer)):
            return False
        return abs(degrees(turn(a.ways[1], b.ways[0]))) < SMOOTH_DEG

    runs = _runs(ring, goes_on)
    return [run[0] if len(run) == 1 else Segment(CURVE, _through(run), run[0].layer) for run in runs]


def _through(run: list[Segment]) -> tuple[Point, ...]:
    """The points of curves that follow one another."""
    return (*run[0].points, *(p for s in run[1:] for p in s.points[1:]))


def _runs(ring: list[Segment], goes_on: Callable[[Segment, Segment], bool]) -> list[list[Segment]]:
    """The ring in runs that go on. It begins at a joint where nothing does, where there is one: a run over the start is then whole."""
    k = next((i for i in range(len(ring)) if not goes_on(ring[i - 1], ring[i])), 0)
    runs: list[list[Segment]] = []
    for s in ring[k:] + ring[:k]:
        if runs and goes_on(runs[-1][-1], s):
            runs[-1].append(s)
        else:
            runs.append([s])
    return runs


def _parted(ring: list[Segment]) -> list[Segment]:
    """A ring of one curve in two, for an edge ends elsewhere than it starts."""
    if len(ring) > 1:
        return ring
    s = ring[0]
    m = len(s.points) // 2
    return [Segment(s.kind, s.points[: m + 1], s.layer), Segment(s.kind, s.points[m:], s.layer)]


def _clamped(
    ring: list[Segment], directions: list[tuple[float, float]], i: int
) -> tuple[str, Point | None, Point | None]:
    """(which ends take the neighbour's direction, those directions): where a line or an arc runs on in the curve."""
    before, after = (i - 1) % len(ring), (i + 1) % len(ring)
    start = ring[before].kind != CURVE and abs(degrees(turn(directions[before][1], directions[i][0]))) < TANGENT_DEG
    end = ring[after].kind != CURVE and abs(degrees(turn(directions[i][1], directions[after][0]))) < TANGENT_DEG
    word = {(True, True): "both", (True, False): "start", (False, True): "end"}.get((start, end), "")
    return (
        word,
        (float(np.cos(directions[before][1])), float(np.sin(directions[before][1]))) if start else None,
        (float(np.cos(directions[after][0])), float(np.sin(directions[after][0]))) if end else None,
    )
