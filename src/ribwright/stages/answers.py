"""What the stages made, under the contract's JSON keys. mm, MPa, N, degrees; numbers rounded to 1e-9."""

from __future__ import annotations

from typing import Any

import numpy as np

from ribwright.stages.bead_answer import bead_row, groove_row
from ribwright.stages.bead_room import rooms
from ribwright.stages.blank import Blank, RunStrip
from ribwright.stages.block import Block, BlockEdge, Recess
from ribwright.stages.chosen_blank import Agreement
from ribwright.stages.corners import Join
from ribwright.stages.flat_holes import FlatHole
from ribwright.stages.flute_answer import flutes_answer, gather_answer
from ribwright.stages.groove import FaceGroove
from ribwright.stages.joggles import steps, steps_answer
from ribwright.stages.notch_answer import notch_answer
from ribwright.stages.plan import Plan
from ribwright.stages.setup_answer import setup_answer as setup_answer
from ribwright.stages.undercut import BLOCK_ANGLE_STEP
from ribwright.units import MM_PER_IN
from ribwright.version import __version__

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


def blank_answer(plan: Plan) -> dict[str, Any]:
    """The contract's `blank`, with how the default compared."""
    blank = plan.blank
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
        "notches": [notch_answer(n) for n in blank.notches],
        "flutes": flutes_answer(plan.fluting),
        "gather": gather_answer(plan.fluting, plan.job.part.units),
        "joggles": steps_answer(steps(plan.job, blank)),
        "beads": [bead_row(plan, r) for r in rooms(plan.job, blank)],
        "cut_line": {k: sum(loop.path.counts()[k] for loop in blank.loops) for k in ("lines", "arcs")}
        | {"fit_mm": blank.fit},
        "agreement": None if plan.agreement is None else _agreement(plan.agreement),
    }


def _agreement(a: Agreement) -> dict[str, Any]:
    """The strain-corrected blank beside the one by balance."""
    return {
        "outcome": a.outcome,
        "within_mm": a.within,
        "tolerance_mm": a.tolerance,
        "apart": [{"kind": x.kind, "name": x.name, "apart_mm": x.mm, "at_mm": list(x.at)} for x in a.apart],
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
        "undercut_pressure_mpa": block.undercut_pressure,
        "undercut": [row for e in block.edges for row in _undercut(e)],
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
        "grooves": [groove_row(g) for g in block.grooves if isinstance(g, FaceGroove)],
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
            "deg": {"value": u.deg[i], "low": u.low[i], "high": u.high[i], "model": u.model},
            "closed_form_deg": None if e.quick is None else e.quick[i],
            "unverified": e.unverified,
            "wall_angle_deg": u.wall[i],
            "setback_mm": e.setback[i],
            "edge_radius_mm": u.radius[i],
            "remaining_angle_deg": e.remaining[i],
            "released_angle_deg": predicted(e.out.angle[i], e.out.low[i], e.out.high[i], e.out.model),
            "deg_rounded": round_to(float(u.deg[i]), BLOCK_ANGLE_STEP),
            "setback_in_rounded": round_to(float(e.setback[i]) / MM_PER_IN, BLOCK_SETBACK_STEP_IN),
        }
        for i in range(len(e.along))
    ]


def round_to(value: float, step: float) -> float:
    """The nearest multiple of `step`."""
    return round(value / step) * step + 0.0


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
        "undercut_deg": {"value": value, "low": low, "high": high, "model": r.model},
        "closed_form_deg": r.quick,
        "unverified": r.unverified,
        "remaining_angle_deg": r.remaining,
        "released_angle_deg": predicted(*r.released, r.model),
    }


def predicted(value: float, low: float, high: float, model: str) -> dict[str, Any] | None:
    """A predicted value of springback by the model named; None where it is not known for this temper."""
    return {"value": value, "low": low, "high": high, "model": model} if np.isfinite(value) else None
