"""The forecast under the JSON key `forecast`. mm, MPa, degrees; predicted values with low, high and model."""

from __future__ import annotations

from dataclasses import astuple
from math import expm1
from typing import Any

from ribwright.stages.finding import Predicted
from ribwright.stages.forecast import Forecast, Shape, Station, off_drawing
from ribwright.stages.forecast_ask import CLOSED_FORM
from ribwright.stages.judged import plan_split
from ribwright.stages.plan import Plan

SAYS = "Nothing here was compared with a real formed part."
LEFT_OUT = (
    "web bow: not computed, the web is held flat by the pad in every model here",
    "wrinkles: likely or not by the limit of the temper; their height and number are not computed",
)
SHAPE = (
    "web_lift_mm",
    "wall_gap_mm",
    "crown_gap_mm",
    "thickness_over_bend_mm",
    "residual_stress_mpa",
    "angle_on_block_deg",
    "yields_again_share",
    "yields_again_strain",
)


def forecast_answer(plan: Plan, f: Forecast) -> dict[str, Any]:
    """The contract's `forecast`, but for `elapsed_s`, which whoever held the clock adds."""
    return {
        "model": f.ask.model,
        "pressure_mpa": f.acting.mpa,
        "pressure_is": f.acting.comes_from,
        "pad_share_mpa": f.acting.share.mpa,
        "undercut_is": "as asked for, the same everywhere"
        if f.ask.undercut is not None
        else "the block's, place by place",
        "stations": [_station(plan, s) for s in f.stations],
        "split_by_balance": [r.as_json() for r in plan_split(plan)],
        "web_bow_mm": None,
        "quick_formula_off_deg": quick_off(f),
        "quick_formula_closes_else": quick_closes_else(f),
        "assumed": list(f.law.defaults),
        "left_out": [*_without_section(plan, f), *LEFT_OUT],
        "says": SAYS,
        "measured": measured(plan),
        "outcome": f.outcome,
    }


def _without_section(plan: Plan, f: Forecast) -> list[str]:
    """Flanges that no section could be taken of."""
    there = {s.place.owner for s in f.stations}
    edges = [e.edge.name for loop in plan.blank.laid for e in loop.edges if e.flange is not None]
    holes = [h.hole.name for h in plan.blank.holes if h.hole.kind == "lightening"]
    missing = [*(n for n in edges if n not in there), *(f"hole {n}" for n in holes if n not in there)]
    why = "no straight part is left, or the flat could not be developed"
    return [f"{', '.join(missing)}: {why}"] if missing else []


def _p(p: Predicted | None) -> dict[str, Any] | None:
    return None if p is None else p.as_json()


def _station(plan: Plan, s: Station) -> dict[str, Any]:
    return {
        **s.place.where,
        "bend_angle_deg": s.place.angle,
        "undercut_deg": s.seated.undercut,
        "wall_angle_deg": s.seated.wall,
        "closes": s.closes,
        "angle_loaded_deg": _p(s.loaded),
        "left_open_deg": _p(s.left_open),
        "angle_released_deg": _p(s.released),
        "off_drawing_deg": off_drawing(s),
        "springback_deg": _p(s.springback),
        "closed_form_loaded_deg": _p(s.quick.loaded) if s.quick else None,
        "closed_form_released_deg": _p(s.quick.released) if s.quick else None,
        "formed_radius_mm": _p(s.radius),
        "edge_strain": _p(s.strain),
        "edge_thickness_mm": _p(s.thickness),
        "blank_edge_strain": s.blank_strain,
        "blank_edge_thickness_mm": s.blank_thickness,
        "split_margin": split_margin(plan, s),
        "wrinkle": wrinkle(plan, s),
        **dict(zip(SHAPE, astuple(s.shape) if isinstance(s.shape, Shape) else (None,) * len(SHAPE), strict=True)),
        "unverified": ", ".join(s.unverified),
        "outcome": s.outcome,
    }


def split_limit(plan: Plan, hole: bool) -> float | None:
    """Engineering strain that the temper's free edge stands, of a hole's flange or an outer one; None: not known."""
    m = plan.job.formed
    return m.number("hole_edge_limit" if hole else "stretch_limit") if m else None


def split_margin(plan: Plan, s: Station) -> dict[str, Any] | None:
    """(limit - strain)/limit, engineering strains; None where the edge is not stretched or the limit is not known."""
    limit = split_limit(plan, "hole" in s.place.where)
    if limit is None or s.strain is None or s.strain.value < 1e-4:
        return None
    value, low, high = ((limit - expm1(e)) / limit for e in (s.strain.value, s.strain.high, s.strain.low))
    return {"value": value, "low": low, "high": high, "model": s.strain.model}


def wrinkle(plan: Plan, s: Station) -> dict[str, Any]:
    """Whether an edge shrinks more than pad and metal take by themselves. Height and number of waves are not computed."""
    m = plan.job.formed
    limit = m.number("shrink_limit") if m else None
    strain = s.blank_strain if s.place.relieved else None if s.strain is None else s.strain.value
    shrinks = None if strain is None else -expm1(strain)
    likely = None
    if shrinks is not None and shrinks < 1e-4:
        likely = False
    elif shrinks is not None and limit is not None:
        likely = shrinks > limit
    return {"amplitude_mm": None, "waves": None, "likely": likely}


def quick_off(f: Forecast) -> float | None:
    """Largest difference of the closed form's released angle from the section model's [deg], closed form less section, over the flanges
    that close by both; None where there is none."""
    if f.ask.model == CLOSED_FORM:
        return None
    rows = [
        s.quick.released.value - s.released.value
        for s in f.stations
        if s.quick is not None and s.released is not None and s.closes and s.quick.closes
    ]
    return max(rows, key=abs, default=None)


def quick_closes_else(f: Forecast) -> list[str]:
    """The edges and holes that close by one of the two and not by the other."""
    unlike = [
        s.place.owner for s in f.stations if s.quick is not None and s.closes is not None and s.closes != s.quick.closes
    ]
    return list(dict.fromkeys(unlike)) if f.ask.model != CLOSED_FORM else []


def measured(plan: Plan) -> list[dict[str, Any]]:
    """What was measured or reported for this alloy and temper, with what is not known about it."""
    m = plan.job.formed
    if m is None:
        return []
    return [
        {
            "id": r.id,
            "process": r.process,
            "said": r.said,
            "springback_deg": {"min": r.low, "max": r.high},
            "thickness_mm": r.thickness_mm,
            "radius_mm": r.radius_mm,
            "kind": r.kind,
            "unknown": list(r.unknown),
            "source": f"{r.source} ({r.status})",
        }
        for r in plan.job.catalogue.measured
        if r.fits(m.alloy, m.temper)
    ]
