"""Words of the ways to the finished part, the same on screen and on paper."""

from __future__ import annotations

from typing import Any

from ribwright.documents.judged_words import QUANTITY_WORDS, margin_words, place_words, value_words
from ribwright.units import Unit, show_time

WAY_NAMES = {"as-bought": "Formed as bought", "annealed": "Formed annealed", "as-quenched": "Formed as quenched"}
OUTCOMES = {"feasible": "holds", "not-feasible": "DOES NOT HOLD", "not-known": "not known"}
HOLDS = {"yes": "holds", "with-care": "holds, with care", "no": "DOES NOT HOLD", "not-known": "not known"}
ADDS = {
    "anneal": "anneal, or buy annealed sheet",
    "solution-treat": "solution treat and quench",
    "straighten": "straighten after the quench",
    "prove-block": "prove the block on quenched scrap",
    "form-in-window": "form against the clock",
    "age": "age in the furnace",
    "age-naturally": "age at room temperature",
}
CLOCK_WORDS = {
    "quench_delay_s": "quench delay, at most",
    "soak_s": "time at heat",
    "forming_window_s": "forming window after the quench",
    "straighten_window_s": "straightening window after the quench",
    "cold_storage_s": "cold storage, at most",
    "cold_storage_c": "cold storage at or under",
    "natural_ageing_s": "ageing at room temperature",
    "clad_reheats": "re-heats allowed for clad sheet",
}
NOT_DESIGN = (
    "Design values are printed as their source has them; which hold for this part is for whoever owns the data."
)


def way_head(way: dict[str, Any]) -> str:
    """'Formed annealed, 2024-O, delivered T42'."""
    return f"{WAY_NAMES[way['name']]}, {way['formed_in']}, delivered {way['delivers']}"


def adds_words(way: dict[str, Any]) -> str:
    """What the way adds to forming, in order."""
    return "; ".join(ADDS[a] for a in way["adds"]) or "nothing"


STRAINED = {"edge_stretch", "edge_shrink", "hole_edge_stretch"}
STRAINS = (
    "Strains of the ways are those of the strain-corrected development, the same for each. A blank by balance has strains of its own: they "
    "stand among the margins."
)


def held_words(held: dict[str, Any], first: Unit) -> tuple[str, str, str, str]:
    """(quantity and place, value against limit, margin, holds)."""
    limit = "no limit known" if held["limit"] is None else value_words(held["limit"], held["unit"], first)
    value = value_words(held["value"], held["unit"], first)
    where = place_words(held["where"])
    return (
        f"{QUANTITY_WORDS[held['quantity']]}, {where}",
        f"{value} / {limit}",
        margin_words(held["margin"]),
        HOLDS[held["holds"]],
    )


def clock_rows(route: dict[str, Any]) -> list[tuple[str, str]]:
    """(key of `route.clock`, words) of the limits that concern this sheet: re-heats are counted of clad sheet only."""
    counted = any(w["reheats"] is not None for w in route["ways"])
    return [(k, words) for k, words in CLOCK_WORDS.items() if counted or k != "clad_reheats"]


def none_entered(route: dict[str, Any]) -> str:
    """That the shop file has no limits for this alloy."""
    alloy = route["drawing"]["formed_in"].partition("-")[0]
    return f'None entered: shop.toml has no [heat_treat."{alloy}"]. Copy them from the governing specification; none is assumed.'


def clock_words(clock: dict[str, Any], key: str) -> str:
    """'20 min', '0 F (-18 C)', '1', or that it was not entered."""
    value = clock[key]
    if value is None:
        return str(clock["not_entered_says"])
    if key == "clad_reheats":
        return f"{value:g}"
    return temperature_words(value) if key.endswith("_c") else show_time(value)


def temperature_words(celsius: float) -> str:
    """'0 F (-18 C)'."""
    return f"{round(celsius * 1.8 + 32) + 0} F ({round(celsius) + 0} C)"


def design_words(design: dict[str, Any] | None, temper: str, first: Unit) -> str:
    """'T42: strength 62 ksi, yield 38 ksi (S basis, LT)', or that none is known."""
    if design is None:
        return f"{temper}: not known here"
    strength, yielding = (stress_words(design[k], first) for k in ("strength_mpa", "yield_mpa"))
    return f"{temper}: strength {strength}, yield {yielding}, {design['basis']} basis, {design['direction']}; {design['source']}"


def stress_words(mpa: float, first: Unit) -> str:
    """'62 ksi (427 MPa)'."""
    ksi, metric = f"{mpa / 6.894757293168361:.0f} ksi", f"{mpa:.0f} MPa"
    return f"{ksi} ({metric})" if first == "in" else f"{metric} ({ksi})"


def reheat_words(way: dict[str, Any]) -> str:
    """'clad sheet: re-heat 1 of 1 allowed'; '' where nothing is counted."""
    again = way["reheats"]
    if again is None:
        return ""
    allowed = (
        "number allowed not entered: ask the specification"
        if again["allowed"] is None
        else f"{again['allowed']} allowed"
    )
    return f"clad sheet: counts {again['count']} re-heat{'s' if again['count'] != 1 else ''}, {allowed}"
