"""Faults of the flat: flanges that fold or close, hole flanges that cannot be laid flat, strips that claim the same sheet, an outline
that crosses itself. Each as a finding at its place, from the developed blank alone."""

from __future__ import annotations

import re
from collections.abc import Iterator

import numpy as np

from ribwright.stages.blank import Blank, RunStrip
from ribwright.stages.finding import Finding
from ribwright.stages.notch_faults import notch_faults
from ribwright.units import show_length

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
    yield from notch_faults(blank)
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
            at = _crossing(shapely.is_valid_reason(ring))
            where = "" if at is None else f" at x {show_length(at[0])}, y {show_length(at[1])}"
            yield Finding(
                "blank-crosses-itself",
                "stop",
                f"The cut line of {loop.name} crosses itself{where}: two flanges claim the same sheet there.",
                "A relief hole or notch at that corner, or flanges that end before it; else a smaller bend radius or a narrower flange.",
                {"loop": loop.name} if at is None else {"loop": loop.name, "at_mm": list(at)},
            )
    strips = [(s, shapely.union_all([shapely.Polygon(p).buffer(0) for p in s.outlines])) for s in blank.strips]
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


def _crossing(reason: str) -> tuple[float, float] | None:
    """The place that the geometry library names in its own words, "Self-intersection[x y]" [mm]."""
    hit = re.search(r"\[(\S+) (\S+)\]", reason)
    return None if hit is None else (float(hit[1]), float(hit[2]))
