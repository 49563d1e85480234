"""What the bench needs to make the block, under the keys of `block`. mm, kg, degrees."""

from __future__ import annotations

from typing import Any

from ribwright.features.laid import neighbours_at_start
from ribwright.stages.answers import BLOCK_SETBACK_STEP_IN, block_answer, round_to
from ribwright.stages.block_stock import BlockStock
from ribwright.stages.cover_plate import CoverPlate, Opening, disc
from ribwright.stages.lift_off import slides_toward
from ribwright.stages.making import Making
from ribwright.stages.plan import Plan
from ribwright.stages.springback import how_cut
from ribwright.stages.zones import Stretch, Zone
from ribwright.units import MM_PER_IN


def whole_block_answer(plan: Plan) -> dict[str, Any]:
    """The `block` of an answer: the block and what the bench needs to make it."""
    mode = plan.job.part.block_undercut
    return {
        **block_answer(plan.block),
        "undercut_mode": mode,
        "undercut_says": how_cut(plan.job),
        **making_answer(plan.making),
        "slides_toward": slides_toward(plan.block.lift, plan.blank),
        "slide_direction": list(plan.block.lift.direction),
        "edge_starts": neighbours_at_start(plan.blank.laid),
    }


def making_answer(making: Making) -> dict[str, Any]:
    """`zones`, `cover_plate`, `reversible`, `stock`."""
    return {
        "zones": [_zone(z) for z in making.zones],
        "cover_plate": _plate(making.plate),
        "reversible": {
            "yes": making.reversible.yes,
            "how": making.reversible.how,
            "why": list(making.reversible.why),
            "axis_deg": making.reversible.axis,
        },
        "stock": _stock(making.stock),
    }


def _zone(z: Zone) -> dict[str, Any]:
    return {
        "tilt_deg": z.tilt,
        "edges": list(z.edges),
        "stretches": [_stretch(s) for s in z.stretches],
        "setback_mm": z.setback,
        "setback_in_rounded": round_to(z.setback / MM_PER_IN, BLOCK_SETBACK_STEP_IN),
    }


def _stretch(s: Stretch) -> dict[str, Any]:
    left = None if s.remaining is None else {"min": s.remaining[0], "max": s.remaining[1]}
    return {"edge": s.edge, "from_mm": s.start, "to_mm": s.end, "remaining_deg": left}


def _plate(p: CoverPlate) -> dict[str, Any]:
    rounds = [{**_opening(o), "outline_mm": [list(c[:2]) for c in disc(o).exterior.coords[:-1]]} for o in p.openings]
    others = [{"name": "", "outline_mm": w.tolist()} for w in p.windows]
    return {
        "outline_mm": p.outline.tolist(),
        "cutouts": [*rounds, *others],
        "inset_mm": p.inset,
        "inset_grown": p.grown,
        "pin_holes": [_opening(o) for o in p.pin_holes],
        "source": p.source,
        "why_none": p.why_none,
        "open_over": list(p.beads),
    }


def _opening(o: Opening) -> dict[str, Any]:
    return {"name": o.name, "at_mm": list(o.at), "diameter_mm": o.diameter}


def _stock(s: BlockStock) -> dict[str, Any]:
    return {
        "finished_mm": list(s.finished),
        "rough_mm": list(s.rough),
        "saw_allowance_mm": s.allowance,
        "saw_allowance_by": s.allowance_by,
        "board_thickness_mm": s.board,
        "boards": s.boards,
        "stack_mm": s.stack,
        "grain_along": s.grain_along,
        "weight_kg": s.weight,
        "pins": [
            {
                "names": list(p.names),
                "count": len(p.names),
                "diameter_mm": p.diameter,
                "length_mm": p.length,
                "below_mm": p.below,
                "web_mm": p.web,
                "above_mm": p.above,
            }
            for p in s.pins
        ],
        "cover_plate_rough_mm": None if s.plate is None else list(s.plate),
        "ring_thickness_mm": s.ring,
    }
