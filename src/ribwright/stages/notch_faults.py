"""Faults of notches: past an end of their edge, over each other, in the bend, into what else is cut or bent. Each at its place."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

import numpy as np

from ribwright.stages.blank import Blank
from ribwright.stages.finding import Finding
from ribwright.stages.notches import IN_BEND, OVERLAP, PAST_END, LaidNotch
from ribwright.units import show_length

if TYPE_CHECKING:
    import shapely


def notch_faults(blank: Blank) -> Iterator[Finding]:
    """Every fault of the notches; all are stops."""
    for n in blank.notches:
        yield from _own(n)
    yield from _meetings(blank)


def _own(n: LaidNotch) -> Iterator[Finding]:
    name = f"Notch {n.number} on edge {n.notch.edge}"
    if n.fault == PAST_END:
        yield Finding(
            "notch-past-end",
            "stop",
            f"{name} reaches past an end of its edge, or into the corner or relief there. Blank and template leave it out.",
            "Move it along the edge, or a smaller width or flange gap; at a corner the relief is said in [[corner]].",
            n.where,
            source="geometry",
        )
    if n.fault == OVERLAP:
        yield Finding(
            "notch-overlap",
            "stop",
            f"{name} runs into another notch on the same edge. Blank and template leave it out.",
            "Move one of them, or draw one notch for both.",
            n.where,
            source="geometry",
        )
    if n.fault == IN_BEND and n.cut is not None:
        least, depth = n.cut.least_depth, n.notch.depth
        does = "ends in the bend" if n.flanged else "is not as deep as its corners are round"
        yield Finding(
            "notch-in-bend",
            "stop",
            f"{name} {does}: {show_length(depth)} deep, and its round corners begin inside the flat web only from "
            f"{show_length(least)} on. The bend tears at its floor.",
            "A deeper notch, or a smaller corner radius.",
            n.where, depth, least, (depth - least) / least, "mm", "geometry",
        )  # fmt: skip


def _meetings(blank: Blank) -> Iterator[Finding]:
    """What a notch cuts into besides its own edge: bends of others, other notches, reliefs, holes, cutouts."""
    import shapely

    cut: list[tuple[LaidNotch, shapely.Geometry]] = []
    for n in blank.notches:
        if n.stands and n.cut is not None:
            cut.append((n, shapely.Polygon(n.cut.polygon())))
    cut = [(n, shapely.buffer(p, 0)) for n, p in cut if shapely.area(p) > 0]
    if not cut:
        return
    others = list(_others(blank))
    for i, (n, p) in enumerate(cut):
        for what, owner, shape in others:
            if owner != (n.loop, n.edge) and shapely.intersects(p, shape):
                yield _meets(n, what, shapely.intersection(p, shape))
        for m, q in cut[i + 1 :]:
            if (m.loop, m.edge) != (n.loop, n.edge) and shapely.intersects(p, q):
                yield _meets(n, f"notch {m.number} on edge {m.notch.edge}", shapely.intersection(p, q))


def _meets(n: LaidNotch, what: str, shared: shapely.Geometry) -> Finding:
    import shapely

    x, y = shapely.get_coordinates(shapely.centroid(shared))[0]
    return Finding(
        "notch-meets",
        "stop",
        f"Notch {n.number} on edge {n.notch.edge} cuts into {what} near ({x:.1f}, {y:.1f}) mm.",
        "A shallower or narrower notch, or move it along the edge.",
        n.where,
        source="geometry",
    )


def _others(blank: Blank) -> Iterator[tuple[str, tuple[int, int], shapely.Geometry]]:
    """(name, (loop, edge) it belongs to, shape in the flat) of everything else that is cut or bent."""
    import shapely

    for s in blank.strips:
        for i in s.run.edges:
            mine = s.at.edge == i
            ring = np.concatenate([s.at.tangent[mine], s.flat[mine][::-1]])
            if len(ring) > 3:
                name = blank.laid[s.loop].edges[i].edge.name
                yield f"the bend of edge {name}", (s.loop, i), shapely.Polygon(ring).buffer(0)
    for k, loop in enumerate(blank.laid):
        for i, e in enumerate(loop.edges):
            if not e.flange:
                line = e.curve.point(np.linspace(0.0, e.curve.length, 65))
                yield f"edge {e.edge.name}", (k, i), shapely.LineString(line)
    for k, joins in enumerate(blank.joins):
        for i, j in enumerate(joins):
            if j.diameter > 0:
                circle = shapely.Point(j.centre).buffer(j.diameter / 2)
                yield f"the relief at {j.before}/{j.after}", (-1, i + 1000 * k), circle
    for h in blank.holes:
        half = (h.tangent_diameter or h.cut_diameter) / 2 + h.hole.slot / 2
        yield f"hole {h.hole.name}", (-1, -1), shapely.Point(h.hole.at).buffer(half)
