"""`[[conflict]]` of a material file: what sources print differently, which value is trusted and why."""

from __future__ import annotations

from typing import Any

from ribwright.adapters.fact_numbers import FACT_WORDS, check_keys, is_number, read_number, shown
from ribwright.errors import Fault
from ribwright.shop.sheet import Conflict, Rival

CURVE = ("n", "prestrain")  # beside the value, when the quantity is a flow curve and the value its K


def read_conflicts(entries: Any, file: str, rules: tuple[str, ...], faults: list[Fault]) -> tuple[Conflict, ...]:
    """The conflicts of one file. A value without source or standing is refused like any other number."""
    if not isinstance(entries, list) or not all(isinstance(e, dict) for e in entries):
        faults.append(Fault(file, "conflict", shown(entries), "[[conflict]] tables"))
        return ()
    return tuple(_conflict(e, f"conflict[{i}]", file, rules, faults) for i, e in enumerate(entries, 1))


def _conflict(entry: dict[str, Any], where: str, file: str, rules: tuple[str, ...], faults: list[Fault]) -> Conflict:
    check_keys(entry, ("quantity", "values", "trusted", "why"), where, file, faults)
    for key in ("quantity", "why"):
        if not isinstance(entry.get(key), str) or not entry[key].strip():
            faults.append(Fault(file, f"{where}.{key}", shown(entry.get(key)), "a text, not blank"))
    values = entry.get("values", [])
    if not isinstance(values, list) or len(values) < 2:
        faults.append(Fault(file, f"{where}.values", shown(values), "two or more { value, unit, source, status }"))
        values = []
    trusted = entry.get("trusted")
    if isinstance(trusted, bool) or not isinstance(trusted, int) or not 0 <= trusted <= len(values):
        allowed = "which of the values is trusted, counted from 1, or 0 for none"
        faults.append(Fault(file, f"{where}.trusted", shown(trusted), allowed))
        trusted = 0
    rivals = [_rival(v, f"{where}.values[{i}]", file, rules, faults) for i, v in enumerate(values, 1)]
    return Conflict(
        str(entry.get("quantity", "")), tuple(r for r in rivals if r is not None), trusted, str(entry.get("why", ""))
    )


def _rival(entry: Any, where: str, file: str, rules: tuple[str, ...], faults: list[Fault]) -> Rival | None:
    if not isinstance(entry, dict):
        faults.append(Fault(file, where, shown(entry), "{ value, unit, source, status }"))
        return None
    check_keys(entry, FACT_WORDS + CURVE, where, file, faults)
    curve = {k: entry[k] for k in CURVE if k in entry}
    for key, value in curve.items():
        if not is_number(value):
            faults.append(Fault(file, f"{where}.{key}", shown(value), "a number"))
    fact = read_number({k: v for k, v in entry.items() if k in FACT_WORDS}, where, file, rules, faults)
    if fact is None or not all(is_number(v) for v in curve.values()):
        return None
    return Rival(fact, *(float(curve[k]) if k in curve else None for k in CURVE))
