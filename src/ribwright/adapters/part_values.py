"""Every value of a part file by its path: as it was typed, and what it comes to in mm, degrees, as a text or a count."""

from __future__ import annotations

import datetime
import math
from typing import Any

from ribwright import units as u
from ribwright.adapters.part_keys import key_kind
from ribwright.adapters.reading import Notebook, Reader
from ribwright.adapters.toml_spans import Node, Path, Spans, value_at
from ribwright.errors import UnitError

DECIMALS = 6
Json = dict[str, Any]


def leaves(spans: Spans, table: Json, units: u.Unit | None) -> dict[str, Json]:
    """Path -> {typed, and one of mm, deg, fraction, count, number, flag, text}; a length or angle that cannot be read is None."""
    return {key: _leaf(spans, node, table, units) for key, node in spans.index.items() if node.kind == "leaf"}


def rounded(value: float | None) -> float | None:
    """A number to 1e-6; None for nan and infinities."""
    return None if value is None or not math.isfinite(value) else round(value, DECIMALS) + 0.0


def length_mm(value: object, units: u.Unit | None) -> float | None:
    """A length in mm, or None."""
    try:
        return rounded(u.length_mm(value, units))
    except UnitError:
        return None


def angle_deg(value: object) -> float | None:
    """An angle in degrees, or None."""
    try:
        return rounded(u.angle_deg(value))
    except UnitError:
        return None


def place_along(value: object, units: u.Unit | None) -> tuple[str, float | None]:
    """A place along an edge as (measure, number): see features.part.Along."""
    measure, number = Reader(Notebook("", units), {}).as_place("", value)
    return measure, rounded(number)


def _leaf(spans: Spans, node: Node, table: Json, units: u.Unit | None) -> Json:
    value = value_at(table, node.path)
    assert node.span is not None
    typed = value if isinstance(value, str) else spans.text[slice(*node.span)]
    return {"typed": typed, **_measured(key_kind(node.path), _items(node.path), value, units)}


def _items(path: Path) -> Path:
    """The numbers that a path ends with."""
    n = len(path)
    while n and isinstance(path[n - 1], int):
        n -= 1
    return path[n:]


def _measured(kind: str, items: Path, value: Any, units: u.Unit | None) -> Json:
    # the first of a pair [along, value] is a place
    if kind == "place" or (kind.startswith("along") and len(items) == 2 and items[1] == 1):
        measure, number = place_along(value, units)
        return {measure: number}
    if kind in ("length", "point", "points", "along-length", "limits-length"):
        return {"mm": length_mm(value, units)}
    if kind in ("angle", "along-angle", "limits-angle"):
        return {"deg": angle_deg(value)}
    if isinstance(value, bool):
        return {"flag": value}
    if isinstance(value, int) and kind == "count":
        return {"count": value}
    if isinstance(value, int | float):
        return {"number": rounded(value)}
    date = isinstance(value, datetime.date | datetime.time)
    return {"text": value.isoformat() if date else str(value)}
