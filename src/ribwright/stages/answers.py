"""What the stages made, under the contract's JSON keys. mm, MPa, N, degrees; numbers rounded to 1e-9."""

from __future__ import annotations

from typing import Any

import numpy as np

from ribwright.stages.blank import Blank, RunStrip
from ribwright.stages.block import Block, BlockEdge, Recess
from ribwright.stages.corners import Join
from ribwright.stages.flat_holes import FlatHole
from ribwright.stages.plan import Plan
from ribwright.stages.setup import Setup
from ribwright.stages.undercut import MODEL
from ribwright.units import MM_PER_IN, MPA_PER_PSI
from ribwright.version import __version__

BLOCK_ANGLE_STEP = 0.5
BLOCK_SETBACK_STEP_IN = 0.005


def tidy(value: Any) -> Any:
    """Numbers rounded to 1e-9 and numpy turned into plain values, so that equal answers are equal bytes."""
    if isinstance(value, dict):
        return {k: tidy(v) for k, v in value.items()}
    if isinstance(value, list | tuple | np.ndarray):
        return [tidy(v) for v in value]
    if isinstance(value, bool | np.bool_):
        return bool(value)
    if isinstance(value, int | np.integer):
        return int(value)
    if isinstance(value, float | np.floating):
        return round(float(value), 9) + 0.0 if np.isfinite(value) else None
    return value


def heading(plan: Plan, fingerprint: str) -> dict[str, Any]:
    """Keys that every answer carries."""
    part = plan.job.part
    return {
        "ribwright": __version__,
        "part": {"number": part.number, "revision": part.revision, "hand": part.hand},
        "fingerprint": fingerprint,
        "findings": [f.as_json() for f in plan.findings],
    }


def blank_answer(blank: Blank) -> dict[str, Any]:
    """The contract's `blank`."""
    outer, *inner = blank.loops
    return {
        "method": blank.method,
        "outline_mm": [list(p) for p in outer.points],
        "cutouts": [{"name": c.name, "outline_mm": [list(p) for p in c.points]} for c in inner],
        "size_mm": list(blank.size),
        "area_mm2": blank.area,
        "edges": _edges(blank),
        "holes": [_hole(h) for h in blank.holes],
        "corners": [_corner(j) for loop in blank.joins for j in loop if j.relief != "none" or j.kind == "corner"],
        "notches": [],
        "flutes": [],
        "cut_line": {k: sum(loop.path.counts()[k] for loop in blank.loops) for k in ("lines", "arcs")},
    }


def _edges(blank: Blank) -> list[dict[str, Any]]:
    out = []
    for k, laid in enumerate(blank.laid):
        edges = list(enumerate(laid.edges))
        for i, e in reversed(edges) if laid.loop.turned else edges:
            strip = next((s for s in blank.strips if s.loop == k and i in s.run.edges), None)
            out.append(_edge(e.edge.name, strip, i))
    return out


def _edge(name: str, s: RunStrip | None, i: int) -> dict[str, Any]:
    keys = ("bend_allowance_mm", "setback_mm", "flat_width_mm", "edge_strain", "thickness_mm")
    if s is None:
        return {"name": name, **dict.fromkeys(keys)}
    rows = (s.strip.allowance, s.at.setback, s.strip.flat_width, s.strip.edge_strain, s.strip.thickness)
    return {
        "name": name,
        **{k: dict(zip(("min", "max"), s.at.span(r, i), strict=True)) for k, r in zip(keys, rows, strict=True)},
    }


def _hole(h: FlatHole) -> dict[str, Any]:
    return {
        "name": h.hole.name,
        "kind": h.hole.kind,
        "at_mm": list(h.hole.at),
        "cut_diameter_mm": h.cut_diameter,
        "tangent_diameter_mm": h.tangent_diameter,
        "rim_diameter_mm": h.rim_diameter,
        "flange_height_mm": h.flange_height,
        "flat_height_mm": h.flat_width,
        "edge_strain": h.edge_strain,
        "thickness_mm": h.edge_thickness,
        "slot_mm": h.hole.slot,
        "slot_angle_deg": h.hole.slot_angle,
    }


def _corner(j: Join) -> dict[str, Any]:
    return {
        "at": [j.before, j.after],
        "relief": j.relief,
        "diameter_mm": j.diameter,
        "centre_mm": list(j.centre) if j.diameter else list(j.meeting),
        "set_back_mm": j.set_back,
        "gap_mm": j.gap,
        "by": j.by,
    }


def block_answer(block: Block) -> dict[str, Any]:
    """The contract's `block`."""
    return {
        "outline_mm": next(p.tolist() for p in block.outlines[:1]),
        "foot_mm": next(p.tolist() for p in block.feet[:1]),
        "cutouts": [
            {"outline_mm": a.tolist(), "foot_mm": b.tolist()}
            for a, b in zip(block.outlines[1:], block.feet[1:], strict=True)
        ],
        "edge_radius_mm": block.edge_radius[0],
        "edge_radii_mm": {"min": block.edge_radius[0], "max": block.edge_radius[1]},
        "height_mm": block.height,
        "height_unrounded_mm": block.height_unrounded,
        "flange_clearance_mm": block.clearance,
        "undercut": [row for e in block.edges for row in _undercut(e)],
        "zones": _zones(block),
        "pins": [
            {
                "name": p.name,
                "at_mm": list(p.at),
                "diameter_mm": p.diameter,
                "hole_diameter_mm": p.hole_diameter,
                "slot_mm": p.slot,
            }
            for p in block.pins
        ],
        "recesses": [_recess(r) for r in block.recesses],
        "rings": [_recess(r) for r in block.rings],
        "material": {
            "id": block.material.id,
            "name": block.material.name,
            "pressure_limit_mpa": block.material.pressure_limit_mpa,
            "source": block.material.source,
        }
        if block.material
        else None,
        "volume_mm3": block.volume,
        "face_area_mm2": block.face_area,
        "bearing_area_mm2": block.bearing_area,
        "comes_off": block.lift.how,
    }


def _undercut(e: BlockEdge) -> list[dict[str, Any]]:
    u = e.under
    return [
        {
            "edge": e.edge,
            "along_mm": e.along[i],
            "bend_angle_deg": e.angle[i],
            "deg": {"value": u.deg[i], "low": u.low[i], "high": u.high[i], "model": MODEL},
            "wall_angle_deg": u.wall[i],
            "setback_mm": e.setback[i],
            "edge_radius_mm": u.radius[i],
            "remaining_angle_deg": e.remaining[i],
            "deg_rounded": round_to(float(u.deg[i]), BLOCK_ANGLE_STEP),
            "setback_in_rounded": round_to(float(e.setback[i]) / MM_PER_IN, BLOCK_SETBACK_STEP_IN),
        }
        for i in range(len(e.along))
    ]


def round_to(value: float, step: float) -> float:
    """The nearest multiple of `step`."""
    return round(value / step) * step + 0.0


def _zones(block: Block) -> list[dict[str, Any]]:
    """Edges that a tilting table cuts at one setting: the same wall angle to half a degree, and not varying."""
    zones: dict[float, list[str]] = {}
    for e in block.edges:
        tilts = {round_to(float(w) - 90.0, BLOCK_ANGLE_STEP) for w in e.under.wall}
        if len(tilts) == 1:
            zones.setdefault(tilts.pop(), []).append(e.edge)
    return [{"tilt_deg": t, "edges": zones[t]} for t in sorted(zones)]


def _recess(r: Recess) -> dict[str, Any]:
    value, low, high = r.undercut
    return {
        "name": r.name,
        "at_mm": list(r.at),
        "diameter_mm": r.diameter,
        "bottom_diameter_mm": r.bottom_diameter,
        "depth_mm": r.depth,
        "edge_radius_mm": r.edge_radius,
        "wall_angle_deg": r.wall_angle,
        "vent_diameter_mm": r.vent_diameter,
        "undercut_deg": {"value": value, "low": low, "high": high, "model": MODEL},
    }


def setup_answer(s: Setup) -> dict[str, Any]:
    """The contract's `setup`."""

    def psi(mpa: float | None) -> float | None:
        return None if mpa is None else mpa / MPA_PER_PSI

    return {
        "press": {
            "id": s.press.id, "name": s.press.name, "kind": s.press.kind, "source": s.press.source,
            "rated_force_n": s.press.force_n, "rated_pressure_mpa": s.press.rated_pressure_mpa,
            "gauge_due": s.press.gauge.due if s.press.gauge else None,
            "gauge_reads": s.press.gauge.reads if s.press.gauge else None,
        },
        "needed_pressure_mpa": s.needed.as_json() if s.needed else None,
        "available_pressure_mpa": s.available,
        "available_by": s.limit_by,
        "pressure_area_mm2": s.area,
        "pressure_area_is": s.area_is,
        "ram_force_n": s.at_force,
        "gauge_mpa": s.gauge_mpa,
        "gauge_psi": psi(s.gauge_mpa),
        "gauge_limit_psi": psi(s.gauge_limit_mpa),
        "gauge_limit_mpa": s.gauge_limit_mpa,
        "gauge_limit_by": s.gauge_limit_by,
        "pump_to_force_n": s.pump_force,
        "pump_to_pressure_mpa": s.pump_pressure,
        "pump_to_gauge_mpa": s.pump_gauge_mpa,
        "pump_to_gauge_psi": psi(s.pump_gauge_mpa),
        "governed_by": s.governed.where if s.governed else None,
        "unverified": s.governed.unverified if s.governed else "",
        "flanges": [
            {
                **d.where, "straight_mm": d.straight, "closing_pressure_mpa": d.pc,
                "needed_pressure_mpa": d.need.as_json(), "unverified": d.unverified,
            }
            for d in s.demands
        ],
        "turned_deg": s.turned_deg,
        "pad_margin_mm": s.pad_margin,
        "table_margin_mm": s.table_margin,
        "daylight_margin_mm": s.daylight_margin,
        "stack_mm": s.stack,
        "pad": {
            "size_mm": list(s.press.pad.size_mm), "thickness_mm": s.press.pad.thickness_mm,
            "shore_a": s.press.pad.shore_a, "held": s.press.pad.held,
        },
        "block_pressure_limit_mpa": s.block_limit,
        "lay_up": [{"what": x.what, "thickness_mm": x.thickness, "note": x.note} for x in s.lay_up],
    }  # fmt: skip
