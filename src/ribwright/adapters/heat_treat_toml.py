"""Heat treatment in two files: `facts/heat_treat.toml` of the catalogue, and `[heat_treat."ALLOY"]` of the shop file."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from ribwright import units as u
from ribwright.adapters.fact_numbers import check_keys, check_standing, read_number
from ribwright.adapters.reading import Reader, shown
from ribwright.errors import Fault, UnitError
from ribwright.shop.heat_treat import ByThickness, DesignValue, HeatTreat, HeatTreatFacts, Response

FILE = "heat_treat.toml"
STANDING = ("source", "status")
BASES, DIRECTIONS = ("A", "B", "S"), ("L", "LT")
TIME_WORDS = 'a time like "25 min", "10 s" or "2 h"'
LONGEST_S = 366 * 86400.0  # no limit of a heat treatment is longer: a slip of the pen
TEMPERATURE_WORDS = 'a temperature like "0 F" or "-18 C"'
MOST_ROWS = 20
MOST_REHEATS = 9


# ---------------------------------------------------------------- the catalogue's facts


def read_heat_treat_facts(table: dict[str, Any], faults: list[Fault]) -> HeatTreatFacts:
    """The facts of the catalogue's file; what is wrong with it goes into `faults`."""
    check_keys(table, ("alloy", "ageing", "not_treatable", "reheat", "design"), "", FILE, faults)
    ages: dict[str, list[tuple[str, str]]] = {}
    for row in table.get("ageing", []):
        _checked(row, ("names", "from", "to"), "ageing", faults)
        for alloy in row.get("names", []):
            ages.setdefault(alloy, []).append((row["from"], row["to"]))
    responses: dict[str, Response] = {}
    for row in table.get("alloy", []):
        _checked(row, ("names", "natural", "aged"), "alloy", faults)
        for alloy in row.get("names", []):
            responses[alloy] = Response(
                alloy, row["natural"], row["aged"], tuple(ages.get(alloy, ())), row["source"], row["status"]
            )
    not_treatable: dict[str, str] = {}
    for row in table.get("not_treatable", []):
        _checked(row, ("names",), "not_treatable", faults)
        not_treatable |= dict.fromkeys(row.get("names", []), f"{row['source']} ({row['status']})")
    reheat = table.get("reheat", {})
    _checked(reheat, ("says",), "reheat", faults)
    design = [d for row in table.get("design", []) if (d := _design(row, faults))]
    return HeatTreatFacts(
        responses,
        not_treatable,
        tuple(design),
        reheat.get("says", ""),
        f"{reheat.get('source')} ({reheat.get('status')})",
    )


def _checked(row: dict[str, Any], keys: tuple[str, ...], where: str, faults: list[Fault]) -> None:
    check_keys(row, (*keys, *STANDING), where, FILE, faults)
    check_standing(row, where, FILE, (), faults)


def _design(row: dict[str, Any], faults: list[Fault]) -> DesignValue | None:
    where = f"design {row.get('material')}"
    _checked(row, ("material", "from", "to", "basis", "direction", "strength", "yield"), where, faults)
    if row.get("basis") not in BASES or row.get("direction") not in DIRECTIONS:
        faults.append(
            Fault(
                FILE,
                where,
                shown([row.get("basis"), row.get("direction")]),
                f"{', '.join(BASES)}; {', '.join(DIRECTIONS)}",
            )
        )
    standing = {k: row.get(k) for k in STANDING}
    strength, yielding = (
        read_number({"value": row.get(k), "unit": "ksi", **standing}, f"{where}.{k}", FILE, (), faults)
        for k in ("strength", "yield")
    )
    if strength is None or yielding is None:
        return None
    ends = row["from"] * u.MM_PER_IN, row["to"] * u.MM_PER_IN
    return DesignValue(row["material"], *ends, row["basis"], row["direction"], strength, yielding)


# ---------------------------------------------------------------- the shop's limits


def read_heat_treat(top: Reader) -> dict[str, HeatTreat]:
    """The shop's `[heat_treat."ALLOY"]` tables by alloy."""
    return {alloy: _limits(alloy, table) for alloy, table in top.named("heat_treat").items()}


def _limits(alloy: str, table: Reader) -> HeatTreat:
    limits = HeatTreat(
        alloy,
        table.text("specification"),
        _by_thickness(table, "quench_delay", _time),
        _by_thickness(table, "soak", _time),
        _maybe(table, "forming_window"),
        _maybe(table, "straighten_window"),
        _maybe(table, "cold_storage"),
        _temperature(table),
        _maybe(table, "natural_ageing"),
        _by_thickness(table, "clad_reheats", _count),
    )
    table.unknown_keys()
    return limits


def _maybe(table: Reader, key: str) -> float | None:
    return table.quantity(key, _time, TIME_WORDS) if table.has(key) else None


def _temperature(table: Reader) -> float | None:
    """The temperature of the cold store; without one a time in it says nothing."""
    key = "cold_storage_at"
    if not table.has(key):
        if table.has("cold_storage"):
            table.fault(key, "nothing", f"{TEMPERATURE_WORDS}, with cold_storage")
        return None
    value = table.table[key]
    try:
        found = u.temperature_c(value)
    except UnitError as wrong:
        table.fault(key, wrong.found, wrong.allowed)
        return None
    if not -200.0 <= found <= 10.0:
        table.fault(key, shown(value), f"{TEMPERATURE_WORDS}, from -200 to 10 C")
        return None
    table.keep(key, value, "")
    return found


def _time(value: object) -> float:
    seconds = u.time_s(value)
    if not 0 < seconds <= LONGEST_S:
        raise UnitError(shown(value), f"{TIME_WORDS}, above 0, a year at most")
    return seconds


def _count(value: object) -> float:
    if isinstance(value, bool) or not isinstance(value, int) or not 0 <= value <= MOST_REHEATS:
        raise UnitError(shown(value), f"a whole number from 0 to {MOST_REHEATS}")
    return float(value)


def _by_thickness(table: Reader, key: str, convert: Callable[[object], float]) -> ByThickness:
    """One value for every thickness, or [[up to thickness, value], ...] by rising thickness."""
    if not table.has(key):
        return ()
    value = table.table[key]
    table.keep(key, value, "")
    if not isinstance(value, list):
        one = _converted(table, key, value, convert)
        return () if one is None else ((None, one),)
    words = f"one value, or up to {MOST_ROWS} rows [[up to thickness, value], ...] by rising thickness"
    if not 1 <= len(value) <= MOST_ROWS or not all(isinstance(r, list) and len(r) == 2 for r in value):
        table.fault(key, shown(value), words)
        return ()
    rows: list[tuple[float | None, float]] = []
    for i, (up_to, found) in enumerate(value, 1):
        mm, one = table.as_length(f"{key}[{i}]", up_to), _converted(table, f"{key}[{i}]", found, convert)
        if one is not None and mm == mm:
            if mm <= (rows[-1][0] or 0.0 if rows else 0.0):
                table.fault(key, shown(value), words)
                return ()
            rows.append((mm, one))
    return tuple(rows)


def _converted(table: Reader, key: str, value: object, convert: Callable[[object], float]) -> float | None:
    try:
        return convert(value)
    except UnitError as wrong:
        table.fault(key, wrong.found, wrong.allowed)
        return None
