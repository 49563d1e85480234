"""One number of the catalogue: its value, unit, source and standing, or the faults in it.

The readers here collect faults in the list that they are given instead of stopping at the first, so that a person sees
everything wrong with a file at once.
"""

from __future__ import annotations

from typing import Any

from ribwright.errors import Fault, nearest
from ribwright.shop.sheet import Fact

CATALOGUE_STATUSES = ("published", "memory", "estimated")

# unit as a source prints it -> (unit we keep, factor)
UNITS = {
    "MPa": ("MPa", 1.0),
    "GPa": ("MPa", 1000.0),
    "psi": ("MPa", 0.006894757293168361),
    "ksi": ("MPa", 6.894757293168361),
    "Msi": ("MPa", 6894.757293168361),
    "kg/m3": ("kg/m3", 1.0),
    "lb/in3": ("kg/m3", 27679.904710191),
    "mm": ("mm", 1.0),
    "in": ("mm", 25.4),
    "deg": ("deg", 1.0),
    "-": ("-", 1.0),
    "%": ("-", 0.01),
}

FACT_WORDS = ("value", "unit", "source", "status", "rule", "note")


def read_number(entry: Any, where: str, file: str, rules: tuple[str, ...], faults: list[Fault]) -> Fact | None:
    """The Fact of an inline table, its value turned into the unit we keep."""
    before = len(faults)
    if not isinstance(entry, dict):
        faults.append(Fault(file, where, shown(entry), "{ value, unit, source, status }"))
        return None
    check_keys(entry, FACT_WORDS, where, file, faults)
    value, unit = entry.get("value"), entry.get("unit", "-")
    if not is_number(value):
        faults.append(Fault(file, f"{where}.value", shown(value), "a number"))
    if unit not in UNITS:
        faults.append(Fault(file, f"{where}.unit", shown(unit), ", ".join(UNITS), nearest(str(unit), tuple(UNITS))))
    check_standing(entry, where, file, rules, faults)
    if len(faults) > before:
        return None
    kept, factor = UNITS[unit]
    printed = "" if unit == kept else f"printed {value:g} {unit}"
    note = "; ".join(part for part in (printed, entry.get("note", "")) if part)
    return Fact(float(entry["value"]) * factor, kept, entry["source"], entry["status"], entry.get("rule", ""), note)


def check_standing(entry: dict[str, Any], where: str, file: str, rules: tuple[str, ...], faults: list[Fault]) -> None:
    """A number says where it comes from, how sure that is, and by which rule when it is an estimate."""
    source, status, rule = entry.get("source"), entry.get("status"), entry.get("rule", "")
    if not isinstance(source, str) or not source.strip():
        faults.append(Fault(file, f"{where}.source", shown(source), "the source of the number"))
    if status not in CATALOGUE_STATUSES:
        faults.append(Fault(file, f"{where}.status", shown(status), ", ".join(CATALOGUE_STATUSES)))
    if status == "estimated" and rule not in rules:
        faults.append(Fault(file, f"{where}.rule", shown(rule), ", ".join(rules), nearest(str(rule), rules)))
    if status != "estimated" and rule:
        faults.append(Fault(file, f"{where}.rule", shown(rule), 'no rule unless status = "estimated"'))


def bare_number(value: Any, where: str, file: str, unit: str, source: str, faults: list[Fault]) -> Fact | None:
    """The Fact of a bare number in a shop's record."""
    if not is_number(value):
        faults.append(Fault(file, where, shown(value), f"a number [{unit}]"))
        return None
    return Fact(float(value), unit, source, "shop")


def in_range(
    fact: Fact | None, where: str, file: str, limits: tuple[str, float, float], faults: list[Fault]
) -> Fact | None:
    """The fact when its unit and size fit the key."""
    if fact is None:
        return None
    unit, low, high = limits
    if fact.unit != unit or not low <= fact.value <= high:
        faults.append(Fault(file, where, f"{fact.value:g} {fact.unit}", f"{low:g} to {high:g} {unit}"))
        return None
    return fact


def check_keys(table: dict[str, Any], allowed: tuple[str, ...], where: str, file: str, faults: list[Fault]) -> None:
    """Every key is one of the allowed ones; the fault names the nearest right word."""
    for key in table:
        if key not in allowed:
            at = f"{where}.{key}" if where else key
            faults.append(Fault(file, at, "an unknown key", ", ".join(allowed), nearest(key, allowed)))


def is_number(value: Any) -> bool:
    """A finite number, small enough for a float; true and false are none."""
    return isinstance(value, int | float) and not isinstance(value, bool) and abs(value) < 1e300


def shown(value: Any) -> str:
    """What was found, as a fault prints it."""
    return "nothing" if value is None else repr(value)
