"""One place under the pad, under the JSON key `under_pad`. mm, N, MPa, degrees."""

from __future__ import annotations

from typing import Any

from ribwright.stages.forecast_answer import SAYS
from ribwright.stages.pads import pad_area
from ribwright.stages.under_pad import MODEL, Laid, UnderPad, fill_strain

STANDS = (
    "the section is the same on both sides of the block's middle: half the block square to the edge, no more than half its least width "
    "in plan, and beside it the room to the container's wall, no more than four times that or than the pad is thick"
)
WHOLE_PAD = "a pad of one rubber as thick as all its layers"
SMOOTH = "no friction between pad, sheet, block and container"
LEFT_OUT = (
    "ends of the flange, corners and what the rubber does along the edge",
    "wear, heat, hysteresis and set of the rubber; its modulus as measured slowly",
    "a band: how far the numbers may be off is not known",
)
COLUMNS = ("stroke_mm", "pressure_mpa", "on_flange_mpa", "angle_deg", "largest_stretch")


def under_pad_answer(u: UnderPad) -> dict[str, Any]:
    """The body, but for `elapsed_s`, which whoever held the clock adds."""
    laid = u.laid
    s, place = laid.section, laid.chosen.place
    assert laid.plan.setup is not None
    closed = u.run is not None and u.run.closing is not None
    return {
        **place.where,
        "chosen": laid.chosen.how,
        "press": laid.plan.setup.press.id,
        "model": MODEL,
        "bend_angle_deg": place.angle,
        "undercut_deg": laid.undercut,
        "undercut_is": "as asked for" if laid.ask.undercut is not None else "the block's at this place",
        "wall_angle_deg": laid.wall,
        "straight_mm": place.unlike[2],
        "edge_radius_mm": None if laid.flange is None else laid.flange.radius,
        "pad": _pad(laid),
        "block_across_mm": None if s is None else s.across,
        "block_narrow_mm": None if s is None else s.narrow,
        "block_half_mm": None if s is None else s.half,
        "block_height_mm": laid.plan.block.height,
        "beside_block_mm": None if s is None else s.beside,
        "room_counted_mm": None if s is None else s.room,
        "fill_stroke_mm": None if s is None else s.fill,
        "fill_strain": fill_strain(laid) if laid.press is not None else None,
        "last_pressure_mpa": laid.pressures[-1],
        "last_pressure_is": "as asked for" if laid.ask.pressure is not None else "the most the press gives on all the pad",
        "closes": None if u.run is None or not u.run.points or u.run.lost is not None else closed,
        "closing_pressure_mpa": u.run.closing if u.run is not None else None,
        "closing_force_n": u.run.closing * _opening(laid) if u.run is not None and u.run.closing is not None else None,
        "closing_fluid_mpa": u.fluid_closing,
        "pad_keeps_mpa": u.lost,
        "pad_share_mpa": laid.plan.setup.share.mpa,
        "left_open_deg": u.left_open,
        "reached_mpa": None if u.run is None or not len(u.run.path) else float(u.run.path[-1, 1]),
        "within_strain_limit_mpa": _within(u),
        "rubber_folds_mpa": None if u.run is None else u.run.folded,
        "points": _points(u),
        "path": _path(u),
        "along": _along(u),
        "unknown": unknown(laid),
        "assumed": [STANDS, *([WHOLE_PAD] if laid.plan.setup.press.pad.layers else []), SMOOTH, *laid.law.defaults],
        "left_out": list(LEFT_OUT),
        "why_not": laid.chosen.why_not,
        "says": SAYS,
        "outcome": u.outcome,
    }  # fmt: skip


def unknown(laid: Laid) -> list[str]:
    """What the shop file does not say and the answer therefore leaves open."""
    assert laid.plan.setup is not None
    stacked = bool(laid.plan.setup.press.pad.layers)
    rows = []
    if laid.pad.strain_limit is None:
        why = "of a stack it is not asked for" if stacked else "the shop file has no strain_limit for this pad"
        rows.append(f"how far the pad may be squeezed: {why}")
    own = laid.plan.setup.press.pad.stack[0].shear_modulus_mpa
    if own is None:
        rows.append("the pad's modulus is told from its hardness, not measured: the shop file has no shear_modulus")
    if laid.law.law is None:
        rows.append(laid.law.why_not)
    return rows


def _opening(laid: Laid) -> float:
    assert laid.plan.setup is not None
    return pad_area(laid.plan.setup.press)


def _pad(laid: Laid) -> dict[str, Any]:
    p = laid.pad
    return {
        "shear_modulus_mpa": p.shear,
        "shear_modulus_is": p.shear_is,
        "thickness_mm": p.thickness,
        "held": "loose" if p.loose else "container",
        "area_mm2": _opening(laid),
        "strain_limit": p.strain_limit,
        "rated_pressure_mpa": p.rated,
    }


def _within(u: UnderPad) -> float | None:
    """The last ram pressure found at which the pad is squeezed no more than it may be [MPa]; None: no limit is known, or nothing was
    pressed."""
    limit = u.laid.pad.strain_limit
    if u.run is None or limit is None or not len(u.run.path):
        return None
    path = u.run.path
    inside = path[path[:, 0] <= limit * u.laid.pad.thickness]
    return float(inside[-1, 1])


def _points(u: UnderPad) -> list[dict[str, Any]]:
    """The pressures looked at: under the pad, and beside it under the same pressure of a fluid."""
    if u.run is None:
        return []
    fluid = {} if u.fluid is None else {round(p.pressure, 9): p for p in u.fluid.points}
    rows = []
    # an asked pressure is met to the model's tolerance: the asked one is what is printed
    for asked, p in zip(u.laid.pressures, u.run.points, strict=False):
        other = fluid.get(round(asked, 9))
        rows.append(
            {
                "pressure_mpa": asked,
                "ram_force_n": asked * _opening(u.laid),
                "stroke_mm": p.stroke,
                "pad_strain": p.strain,
                "largest_stretch": p.stretch,
                "on_flange_mpa": p.on_flange,
                "closed": p.closed,
                "folded": u.run.lost is not None and p.pressure > u.run.lost,
                "angle_loaded_deg": p.loaded.angle,
                "angle_on_block_deg": None if p.on_block is None else p.on_block.angle,
                "angle_released_deg": None if p.released is None else p.released.angle,
                "off_drawing_deg": None if p.released is None else p.released.angle - u.laid.chosen.place.angle,
                "fluid_loaded_deg": None if other is None else other.loaded.angle,
                "fluid_released_deg": None if other is None or other.released is None else other.released.angle,
            }
        )
    return rows


def _path(u: UnderPad) -> dict[str, list[float]]:
    """Every step of the run, and the force that the ram needs for it on all the pad."""
    rows = u.run.path.tolist() if u.run is not None else []
    out = {name: [float(row[k]) for row in rows] for k, name in enumerate(COLUMNS)}
    return {**out, "ram_force_n": [p * _opening(u.laid) for p in out["pressure_mpa"]]}


def _along(u: UnderPad) -> dict[str, list[float]]:
    """What the rubber pushes on the sheet with at the last pressure looked at, from the bend's beginning to the cut edge."""
    if u.run is None or not u.run.points:
        return {"from_bend_mm": [], "pressure_mpa": []}
    p = u.run.points[-1]
    return {"from_bend_mm": [float(x) for x in p.along], "pressure_mpa": [float(x) for x in p.pressure_along]}
