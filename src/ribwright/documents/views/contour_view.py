"""The drawn part in plan, for pointing at its places: every edge as a line over its own arc length, every hole."""

from __future__ import annotations

from typing import Any

import numpy as np

from ribwright.documents.views.plain import number, rounded
from ribwright.features.laid import LaidEdge
from ribwright.geometry.curve import samples
from ribwright.stages.plan import Plan
from ribwright.stages.tolerances import allowed

MISS = 0.05  # mm that the line may be off the edge


def contour_view(plan: Plan) -> dict[str, Any]:
    """Edges in travel order, holes as drawn.

    edges  [{name, loop, flange or None, along_mm (n,) as typed, points_mm (n, 2), tolerance_deg [minus, plus] or None}]
    holes  [{name, kind, at_mm, diameter_mm, slot_mm, slot_angle_deg, flanged, tolerance_deg}]
    """
    edges = [_edge(plan, loop.loop.name, e) for loop in plan.blank.laid for e in loop.edges]
    return {"edges": edges, "holes": [_hole(plan, k) for k in range(len(plan.blank.holes))]}


def _edge(plan: Plan, loop: str, e: LaidEdge) -> dict[str, Any]:
    s = np.unique(np.concatenate([samples(e.curve, MISS), [0.0, e.curve.length]]))
    flange = None if e.flange is None else e.flange.name
    limits = allowed(plan.job.part, "flange_angle", f"edge.{e.edge.name}", f"flange.{flange}") if flange else None
    return {
        "name": e.edge.name,
        "loop": loop,
        "flange": flange,
        "along_mm": rounded(e.along(s)),
        "points_mm": rounded(e.curve.point(s)),
        "tolerance_deg": None if limits is None else list(limits),
    }


def _hole(plan: Plan, k: int) -> dict[str, Any]:
    h = plan.blank.holes[k]
    limits = allowed(plan.job.part, "flange_angle", f"hole.{h.hole.name}") if h.hole.kind == "lightening" else None
    return {
        "name": h.hole.name,
        "kind": h.hole.kind,
        "at_mm": rounded(h.hole.at),
        "diameter_mm": number(h.tangent_diameter or h.cut_diameter),
        "slot_mm": number(h.hole.slot),
        "slot_angle_deg": number(h.hole.slot_angle),
        "flanged": h.hole.kind == "lightening",
        "tolerance_deg": None if limits is None else list(limits),
    }
