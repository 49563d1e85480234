"""Faults of the flat: flanges that fold or close, hole flanges that cannot be laid flat, strips that claim the same sheet, an outline
that crosses itself. Each as a finding at its place, from the developed blank alone."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from ribwright.stages.blank import Blank, RunStrip
from ribwright.stages.finding import Finding

OVERLAP_MM2 = 0.05


def flat_faults(blank: Blank) -> Iterator[Finding]:
    """Every fault of the developed blank; all are stops."""
    for s in blank.strips:
        yield from _strip(blank, s)
    for h in blank.holes:
        if h.outcome in ("closes", "folds", "not-converged"):
            yield Finding(
                "hole-flange-not-developed",
                "stop",
                f"The flange of hole {h.hole.name} cannot be laid flat ({h.outcome}): its flat hole would close up.",
                "A larger cut hole or a lower flange.",
                {"hole": h.hole.name},
            )
        if h.outcome == "no-flange":
            yield Finding(
                "hole-flange-too-short",
                "stop",
                f"The sizes of hole {h.hole.name} leave no straight flange beyond its bend.",
                "A smaller cut hole, or a smaller bend radius the table allows.",
                {"hole": h.hole.name},
            )
        if h.outcome == "undetermined":
            yield Finding(
                "hole-size-undetermined",
                "stop",
                f"Hole {h.hole.name} turns 90 deg: its finished opening does not say how tall the flange is.",
                "Give flange_height, cut_diameter or flat_height instead of rim_diameter.",
                {"hole": h.hole.name},
            )
    yield from _outline(blank)


def _strip(blank: Blank, s: RunStrip) -> Iterator[Finding]:
    for mask, code, say in (
        (
            s.strip.folds,
            "flange-folds",
            "the contour is tighter than the flange's reach, so the formed flange would fold",
        ),
        (s.strip.closes, "flange-closes", "the flat strip would close up on itself"),
        (
            ~s.strip.good & ~s.strip.folds & ~s.strip.closes,
            "development-not-converged",
            "the development did not converge",
        ),
    ):
        if mask.any():
            i = int(np.flatnonzero(mask)[0])
            edge = blank.laid[s.loop].edges[int(s.at.edge[i])].edge.name
            along = float(s.at.along[i])
            yield Finding(
                code,
                "stop",
                f"Edge {edge}, {along:.1f} mm along: {say}.",
                "A larger contour radius, a narrower flange, or relief notches.",
                {"edge": edge, "along_mm": along},
            )


def _outline(blank: Blank) -> Iterator[Finding]:
    import shapely

    rings = [shapely.Polygon(loop.points) for loop in blank.loops]
    for loop, ring in zip(blank.loops, rings, strict=True):
        if not ring.is_valid:
            why = shapely.is_valid_reason(ring)
            yield Finding(
                "blank-crosses-itself",
                "stop",
                f"The cut line of {loop.name} crosses itself ({why} mm): two flanges claim the same sheet there.",
                "A relief hole or notch at that corner, or flanges that end before it.",
                {"loop": loop.name, "at": why},
            )
    strips = [(s, shapely.Polygon(np.concatenate([s.at.tangent, s.flat[::-1]])).buffer(0)) for s in blank.strips]
    tree = shapely.STRtree([p for _, p in strips])
    for i, (s, p) in enumerate(strips):
        for j in tree.query(p):
            if j <= i:
                continue
            shared = p.intersection(strips[int(j)][1])
            if shared.area > OVERLAP_MM2:
                c = shared.centroid
                yield Finding(
                    "flat-overlap",
                    "stop",
                    f"In the flat, the strips of {_name(blank, s)} and {_name(blank, strips[int(j)][0])} overlap at "
                    f"({c.x:.1f}, {c.y:.1f}) mm: both flanges claim the same sheet.",
                    "End one flange earlier, or cut a notch with enough gap.",
                    {"edges": [_name(blank, s), _name(blank, strips[int(j)][0])], "at_mm": [c.x, c.y]},
                    float(shared.area), OVERLAP_MM2, None, "mm2", "area of the two flat strips",
                )  # fmt: skip


def _name(blank: Blank, s: RunStrip) -> str:
    return blank.laid[s.loop].edges[s.run.edges[0]].edge.name
