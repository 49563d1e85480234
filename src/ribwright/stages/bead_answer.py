"""Beads under the JSON keys `blank.beads` and `block.grooves`. mm, degrees."""

from __future__ import annotations

from typing import Any

from ribwright.stages.bead_demand import formed
from ribwright.stages.bead_room import Room
from ribwright.stages.groove import FaceGroove
from ribwright.stages.plan import Plan


def bead_row(plan: Plan, room: Room) -> dict[str, Any]:
    """One bead: what was typed or taken, its true length across, room and stretch."""
    s, mid, form = room.shape, room.shape.mid, formed(plan.job, room)
    return {
        "bead": str(s.number),
        "section": s.bead.section,
        "turn": s.bead.turn,
        "path_mm": s.path.tolist(),
        "width_mm": s.bead.width,
        "depth_mm": s.bead.depth,
        "radius_mm": s.radius,
        "edge_radius_mm": s.edge_radius,
        "left_open": list(s.left_open),
        "length_mm": s.length,
        "across_mm": None if mid is None else mid.length,
        "web_beside_mm": room.web,
        "web_wider_side_mm": room.far,
        "near": [{"kind": n.kind, "name": n.name, "gap_mm": n.gap} for n in room.near[:3]],
        "stretch_own_width": None if mid is None else mid.length / mid.width - 1,
        "stretch": None if form is None else form.stretch,
        "thickness_mm": None if form is None else form.thickness,
        "drawn_in_mm": None if form is None else form.drawn,
    }


def groove_row(g: FaceGroove) -> dict[str, Any]:
    """A groove in the web face of the block."""
    p = g.profile
    return {
        "name": g.name,
        "path_mm": g.path.tolist(),
        "width_mm": p.width,
        "depth_mm": p.depth,
        "edge_radius_mm": p.edge,
        "bottom_radius_mm": p.bottom,
        "volume_mm3": g.volume,
    }
