"""Holes, cutouts and reliefs against the bends, the cut edges and each other."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from shapely import LinearRing, LineString, Point, Polygon
from shapely.geometry.base import BaseGeometry

from ribwright.stages.checks.context import Finding, Looked, margin


def findings(looked: Looked) -> Iterator[Finding]:
    """Distance of each hole's rim (of a flanged hole: its tangent circle) and of each cutout to the bend tangent lines;
    relief circles that run into a hole or cutout."""
    fact = looked.job.catalogue.practice["hole_to_bend"]
    want, source = fact.value * looked.job.t, f"{fact.source} ({fact.standing()})"
    lines = web_lines(looked)
    for flat in looked.blank.holes:
        h = flat.hole
        radius = (flat.tangent_diameter or flat.cut_diameter) / 2 + h.slot / 2
        gap, edge = min((line.distance(Point(h.at)) - radius, name) for _, name, line in lines)
        yield from _judged(looked, {"hole": h.name}, f"Hole {h.name}", gap, edge, want, source)
    yield from _cutouts(looked, lines, want, source)
    yield from _reliefs(looked)


def _judged(
    looked: Looked, where: dict[str, object], what: str, gap: float, edge: str, want: float, source: str
) -> Iterator[Finding]:
    where = {**where, "edge": edge}
    if gap < 0:
        yield Finding(
            "hole-in-bend",
            "stop",
            f"{what} reaches {looked.length(-gap)} into the bend or past the edge at {edge}.",
            "Move it or make it smaller, as the drawing allows.",
            where, gap, 0.0, None, "mm", "geometry",
        )  # fmt: skip
    elif gap < want:
        yield Finding(
            "hole-near-bend",
            "warn",
            f"{what} lies {looked.length(gap)} from the bend at {edge}; under {looked.length(want)} it pulls out of shape.",
            "Open it after forming, or move it.",
            where, gap, want, margin(gap, want, least=True), "mm", source,
        )  # fmt: skip


def _cutouts(looked: Looked, lines: list[tuple[int, str, LineString]], want: float, source: str) -> Iterator[Finding]:
    """Each cutout's own line (tangent line where it has a flange) against the lines of the other loops."""
    for k, loop in enumerate(looked.blank.laid[1:], 1):
        ring = LinearRing(np.concatenate([line.coords for n, _, line in lines if n == k]))
        others = [(line, name) for n, name, line in lines if n != k]
        outer = Polygon(np.concatenate([line.coords for n, _, line in lines if n == 0])).buffer(0)
        gap, edge = min((float(line.distance(ring)), name) for line, name in others)
        if not outer.contains(ring):
            gap = -max(gap, float(ring.difference(outer).hausdorff_distance(outer.exterior)))
        yield from _judged(looked, {"cutout": loop.loop.name}, f"Cutout {loop.loop.name}", gap, edge, want, source)


def _reliefs(looked: Looked) -> Iterator[Finding]:
    shapes: list[tuple[str, BaseGeometry]] = [
        (f"hole {h.hole.name}", Point(h.hole.at).buffer((h.tangent_diameter or h.cut_diameter) / 2 + h.hole.slot / 2))
        for h in looked.blank.holes
    ]
    for joins in looked.blank.joins:
        for j in joins:
            if j.diameter <= 0:
                continue
            circle = Point(j.centre).buffer(j.diameter / 2)
            for name, shape in shapes:
                if circle.intersects(shape):
                    yield Finding(
                        "relief-meets-hole",
                        "stop",
                        f"The relief at {j.before}/{j.after} runs into {name}.",
                        "Move the hole, or a smaller relief the rule allows.",
                        {"corner": [j.before, j.after]},
                        source="geometry",
                    )


def web_lines(looked: Looked) -> list[tuple[int, str, LineString]]:
    """(loop, edge, line) where the flat web ends: tangent lines of flanges, cut edges elsewhere."""
    out = []
    for k, loop in enumerate(looked.blank.laid):
        for i, e in enumerate(loop.edges):
            strip = next((s for s in looked.blank.strips if s.loop == k and i in s.run.edges), None)
            points = (
                strip.at.tangent[strip.at.edge == i]
                if strip
                else e.curve.point(np.linspace(0, e.curve.length, 60 if not e.straight else 2))
            )
            out.append((k, e.edge.name, LineString(points)))
    return out
