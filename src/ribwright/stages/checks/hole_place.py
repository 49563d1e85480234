"""Holes against the bends and cut edges round them."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from ribwright.stages.checks.context import Finding, Looked, margin


def findings(looked: Looked) -> Iterator[Finding]:
    """Distance from the hole's rim (of a flanged hole: its tangent circle) to the bend tangent lines."""
    from shapely import LinearRing, Point

    least = looked.job.catalogue.practice["hole_to_bend"]
    want = least.value * looked.job.t
    rings = [(name, LinearRing(p)) for name, p in _lines(looked)]
    for flat in looked.blank.holes:
        h = flat.hole
        radius = (flat.tangent_diameter or flat.cut_diameter) / 2 + (h.slot / 2)
        for edge, ring in rings:
            gap = float(ring.distance(Point(h.at))) - radius
            where: dict[str, object] = {"hole": h.name, "edge": edge}
            if gap < 0:
                yield Finding(
                    "hole-in-bend",
                    "stop",
                    f"Hole {h.name} reaches {looked.length(-gap)} into the bend or past the edge at {edge}.",
                    "Move the hole or make it smaller, as the drawing allows.",
                    where, gap, 0.0, None, "mm", "geometry",
                )  # fmt: skip
            elif gap < want:
                yield Finding(
                    "hole-near-bend",
                    "warn",
                    f"Hole {h.name} lies {looked.length(gap)} from the bend at {edge}; under {looked.length(want)} it pulls "
                    "out of round.",
                    "Open the hole after forming, or move it.",
                    where, gap, want, margin(gap, want, least=True), "mm", f"{least.source} ({least.standing()})",
                )  # fmt: skip


def _lines(looked: Looked) -> list[tuple[str, np.ndarray]]:
    """The closed line of each loop that web metal ends at: tangent lines of flanges, cut edges elsewhere."""
    out = []
    for k, loop in enumerate(looked.blank.laid):
        pieces = []
        for i, e in enumerate(loop.edges):
            mine = [s for s in looked.blank.strips if s.loop == k and i in s.run.edges]
            if mine:
                pieces.append(mine[0].at.tangent[mine[0].at.edge == i])
            else:
                pieces.append(e.curve.point(np.linspace(0, e.curve.length, 60)))
        out.append((loop.loop.name, np.concatenate(pieces)))
    return out
