"""The ways under their JSON keys. Strains are engineering strains, times s, design values MPa."""

from __future__ import annotations

from typing import Any

from ribwright.shop.heat_treat import DesignValue, HeatTreat, at_thickness
from ribwright.stages.job import Job
from ribwright.stages.route import ASK, Held, Route, Way
from ribwright.stages.route_findings import way_words
from ribwright.stages.route_ways import ANNEALED, AS_BOUGHT, AS_QUENCHED, not_treatable, record_name, response_of

CLOCK = (
    "quench_delay_s",
    "soak_s",
    "forming_window_s",
    "straighten_window_s",
    "cold_storage_s",
    "cold_storage_c",
    "natural_ageing_s",
    "clad_reheats",
)

# what a quench does to the shape, in words: no number of it has a source (common practice)
DISTORTION = {
    AS_BOUGHT: "no quench, none by it",
    ANNEALED: "the formed part is quenched: it distorts, and is straightened within the window",
    AS_QUENCHED: "the flat blank is quenched and formed after it: little is left to straighten",
}


def route_answer(job: Job, route: Route) -> dict[str, Any]:
    """The key `route`."""
    return {
        "drawing": {"way": route.drawn, "formed_in": job.formed_name, "final": job.part.sheet.final},
        "wanted": route.wanted,
        "wanted_design": design_answer(job, route.wanted),
        "heat_treatable": route.treatable,
        "heat_treatable_by": treatable_by(job),
        "proposed": route.proposed,
        "why": why_words(route),
        "ways": [_way(job, w) for w in route.ways],
        "clock": clock_answer(job, route.limits),
    }


def treatable_by(job: Job) -> str:
    """Where it is known from whether the alloy answers to heat treatment; "" where it is not known."""
    found = response_of(job)
    return not_treatable(job) if found is None else f"{found.source} ({found.status})"


def why_words(route: Route) -> str:
    """Why this way is proposed, or why none is."""
    best = route.way(route.proposed)
    if best is None:
        return "No way is known to hold: see what stops each."
    adds = (
        "adds no heat treatment"
        if not best.course.adds
        else f"adds {', '.join(a.replace('-', ' ') for a in best.course.adds)}"
    )
    final = ""
    if best.reaches is False:
        final = f"; it delivers {best.course.delivers} where the drawing asks for {route.wanted}, so the drawing would have to change"
    return f"{way_words(best)[0].upper()}{way_words(best)[1:]}: holds every limit that is known, {adds}{final}."


def _way(job: Job, w: Way) -> dict[str, Any]:
    again = w.course.reheats if w.course.treated else None
    return {
        "name": w.course.way,
        "formed_in": w.formed_in,
        "held_by": w.held_by,
        "delivers": w.course.delivers,
        "reaches_final": w.reaches,
        "outcome": w.outcome,
        "offered": w.offered,
        "adds": list(w.course.adds),
        "distortion": DISTORTION[w.course.way],
        "missing": list(w.missing),
        "because": list(w.because),
        "held": [_held(h) for h in w.held],
        "reheats": None if again is None else {"count": again.count, "allowed": again.allowed},
        "design": design_answer(job, w.course.delivers),
    }


def _held(h: Held) -> dict[str, Any]:
    where = {k: v for k, v in h.row.where.items() if k != "along_mm"}
    keys = ("quantity", "value", "limit", "margin", "unit", "source")
    return {**{k: getattr(h.row, k) for k in keys}, "where": where, "holds": h.holds}


def design_of(job: Job, temper: str) -> DesignValue | None:
    """Design values of the job's sheet in another temper; None: not known here."""
    return job.catalogue.heat_treat.design_value(record_name(job, temper), job.t) if temper else None


def design_answer(job: Job, temper: str) -> dict[str, Any] | None:
    """Those values under plain keys."""
    d = design_of(job, temper)
    if d is None:
        return None
    return {
        "material": d.material,
        "basis": d.basis,
        "direction": d.direction,
        "strength_mpa": d.strength.value,
        "yield_mpa": d.yielding.value,
        "source": f"{d.strength.source} ({d.strength.standing()})",
    }


def clock_answer(job: Job, limits: HeatTreat | None) -> dict[str, Any]:
    """What the shop entered for this alloy and thickness; a number that it did not enter is None."""
    found = {} if limits is None else clock_values(limits, job.t)
    return {
        "specification": "" if limits is None else limits.specification,
        "not_entered": [k for k in CLOCK if found.get(k) is None],
        "not_entered_says": ASK,
        **{k: found.get(k) for k in CLOCK},
    }


def clock_values(limits: HeatTreat, thickness_mm: float) -> dict[str, float | None]:
    """The entries that hold for a thickness, by their key."""
    return {
        "quench_delay_s": at_thickness(limits.quench_delay, thickness_mm),
        "soak_s": at_thickness(limits.soak, thickness_mm),
        "forming_window_s": limits.forming_window_s,
        "straighten_window_s": limits.straighten_window_s,
        "cold_storage_s": limits.cold_storage_s,
        "cold_storage_c": limits.cold_storage_c,
        "natural_ageing_s": limits.natural_ageing_s,
        "clad_reheats": at_thickness(limits.clad_reheats, thickness_mm),
    }
