"""What one part of a family comes out as, in one row: blank, flat widths, undercut, findings. mm and degrees."""

from __future__ import annotations

from typing import Any

import numpy as np

from ribwright.stages.plan import Plan

SEVERITIES = ("stop", "warn", "note")


def family_row(plan: Plan, fingerprint: str) -> dict[str, Any]:
    """One row of the table of a family."""
    part = plan.job.part
    found = [f for f in plan.findings if f.severity != "note"]
    return {
        "number": part.number,
        "revision": part.revision,
        "fingerprint": fingerprint,
        "blank_mm": list(plan.blank.size),
        "blank_area_mm2": plan.blank.area,
        "block_mm": [*plan.block.face_size, plan.block.height],
        "flat_widths": _flat_widths(plan),
        "undercut_deg": _undercut(plan),
        "counts": {s: sum(f.severity == s for f in plan.findings) for s in SEVERITIES},
        "worst": list(dict.fromkeys(f.code for f in found)),
    }


def _flat_widths(plan: Plan) -> list[dict[str, Any]]:
    """Least and largest flat width of each kind of flange [mm], in the order they come."""
    widths: dict[str, list[float]] = {}
    for s in plan.blank.strips:
        if s.run.flange is not None:
            widths.setdefault(s.run.flange.name, []).extend(float(w) for w in s.strip.flat_width)
    return [{"flange": name, "min_mm": min(w), "max_mm": max(w)} for name, w in widths.items()]


def _undercut(plan: Plan) -> dict[str, float] | None:
    """Least and largest undercut of the block's walls; None where it is not known for this temper, or no wall has one."""
    edges = [e for e in plan.block.edges if e.under.known]
    if not edges or len(edges) < len(plan.block.edges):
        return None
    deg = np.concatenate([e.under.deg for e in edges])
    return {"min": float(deg.min()), "max": float(deg.max())}
