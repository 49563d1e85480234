"""Reads `facts/measured.toml`: what others measured or reported, as strictly as any fact."""

from __future__ import annotations

from typing import Any

from ribwright.adapters.fact_numbers import UNITS, check_keys, check_standing, is_number, shown
from ribwright.errors import Fault, nearest
from ribwright.shop.measured import KINDS, Measured

WORDS = ("id", "alloy", "temper", "process", "kind", "said", "source", "status")
KEYS = (*WORDS, "springback", "thickness", "radius", "unknown")
MAY_BE_EMPTY = ("alloy", "temper")


def read_measured(table: dict[str, Any], file: str, faults: list[Fault]) -> tuple[Measured, ...]:
    """Every row in the order of the file; faults are added to the list."""
    check_keys(table, ("measured",), "", file, faults)
    rows = [_row(r, f"measured[{k}]", file, faults) for k, r in enumerate(table.get("measured", []))]
    found = [r for r in rows if r is not None]
    for k, r in enumerate(found):
        if any(r.id == other.id for other in found[:k]):
            faults.append(Fault(file, f"measured.{r.id}", shown(r.id), "an id that no other row has"))
    return tuple(found)


def _row(row: Any, where: str, file: str, faults: list[Fault]) -> Measured | None:
    before = len(faults)
    if not isinstance(row, dict):
        faults.append(Fault(file, where, shown(row), "a table"))
        return None
    check_keys(row, KEYS, where, file, faults)
    check_standing(row, where, file, (), faults)
    for key in WORDS:
        value = row.get(key)
        if not isinstance(value, str) or not (value.strip() or key in MAY_BE_EMPTY):
            faults.append(Fault(file, f"{where}.{key}", shown(value), "words"))
    if row.get("kind") not in KINDS:
        kinds = ", ".join(KINDS)
        faults.append(Fault(file, f"{where}.kind", shown(row.get("kind")), kinds, nearest(str(row.get("kind")), KINDS)))
    low, high = _span(row.get("springback"), f"{where}.springback", file, faults)
    unknown = row.get("unknown")
    if not (isinstance(unknown, list) and unknown and all(isinstance(u, str) and u.strip() for u in unknown)):
        faults.append(Fault(file, f"{where}.unknown", shown(unknown), "a list of what the source does not say"))
    lengths = [_length(row.get(k), f"{where}.{k}", file, faults) for k in ("thickness", "radius")]
    if len(faults) > before:
        return None
    words = {k: row[k] for k in WORDS}
    return Measured(
        **words, low=low, high=high, thickness_mm=lengths[0], radius_mm=lengths[1], unknown=tuple(row["unknown"])
    )


def _span(value: Any, where: str, file: str, faults: list[Fault]) -> tuple[float, float]:
    """[low, high] in degrees."""
    good = isinstance(value, list) and len(value) == 2 and all(is_number(v) for v in value)
    if not good or not 0 <= value[0] <= value[1] < 180:
        faults.append(Fault(file, where, shown(value), "[least, largest] in degrees"))
        return 0.0, 0.0
    return float(value[0]), float(value[1])


def _length(value: Any, where: str, file: str, faults: list[Fault]) -> float | None:
    """A length in mm from { value, unit }; None where the source gives none."""
    if value is None:
        return None
    good = isinstance(value, dict) and set(value) == {"value", "unit"} and is_number(value["value"])
    if not good or value["unit"] not in ("in", "mm") or value["value"] < 0:
        faults.append(Fault(file, where, shown(value), "{ value, unit } in in or mm"))
        return None
    return float(value["value"]) * UNITS[value["unit"]][1]
