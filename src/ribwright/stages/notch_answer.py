"""The notches of a blank under their JSON keys."""

from __future__ import annotations

from typing import Any

from ribwright.stages.notches import LaidNotch


def notch_answer(n: LaidNotch) -> dict[str, Any]:
    """One notch [mm]: as drawn, where its middle stands on the drawn line, and where along the edge as typed it interrupts it; `cut`
    says whether the blank has it."""
    cut = n.cut
    return {
        "edge": n.notch.edge,
        "along_mm": n.along,
        "at_mm": None if cut is None else cut.at.tolist(),
        "width_mm": n.notch.width,
        "depth_mm": n.notch.depth,
        "corner_radius_mm": n.notch.corner_radius,
        "flange_gap_mm": n.notch.flange_gap if n.flanged else 0.0,
        "open_mm": None if cut is None else dict(zip(("from", "to"), n.open_along, strict=True)),
        "cut": n.stands,
    }
