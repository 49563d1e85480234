"""Findings of flutes that carry a number."""

from __future__ import annotations

from ribwright.stages.explain.fluting import ON_GATHER, ON_PLAN, ON_ROOM
from ribwright.stages.explain.judged import NOTHING, Judged, keys

_PLACE, _GATHERED = keys(*ON_PLAN), keys(*ON_GATHER, "part.flanges[*].flutes", "part.flutes*")
_TABLE = keys(*ON_PLAN, "part.sheet.thickness")


def _taken(limit: str, least: bool) -> Judged:
    return Judged("Length that the flutes take together", limit, _PLACE, _GATHERED, least, "geometry", "sum over the flutes",
                  limit_origin="geometry")  # fmt: skip


def _room(value: str, limit: str) -> Judged:
    return Judged(value, limit, _PLACE, _PLACE, True, "geometry", "distance along the drawn line")


FLUTE_CODES: dict[str, Judged] = {
    "flute-on-rivet": Judged(
        "From the flute's middle to the rivet, along the drawn line",
        "half the flute's width and the rivet's edge distance",
        _PLACE,
        _PLACE,
        True,
        "geometry",
        "distance along the drawn line",
        limit_origin="geometry",
        limit_formula="w/2 + edge distance",
    ),
    "flute-off-edge": Judged(
        "Place of the flute along its edge", "length of the edge", _PLACE, keys(*ON_ROOM), False, "typed", limit_origin="geometry"
    ),
    "flute-on-detail": _room("Flat metal between the flute and the detail; negative: they overlap", "usual distance"),
    "flute-near-detail": _room("Flat metal between the flute and the detail", "usual distance"),
    "flutes-overlap": _room("Flat edge between two flutes; negative: they overlap", "usual land between two flutes"),
    "flutes-close": _room("Flat edge between two flutes", "usual land between two flutes"),
    "flute-sharp": Judged(
        "Sharpest inside radius of the flute", "radius under which the shop's table does not go", _TABLE, _TABLE, True,
        "formula", "w/(4 sin theta) - t/2, theta = 2 atan(2 d/w)",
    ),
    "flute-deep": Judged("Depth of the flute over its width", "usual most", _PLACE, _PLACE, False, "geometry", "d/w"),
    "flutes-planned": Judged("Length that the planned flutes take together", "", _PLACE, NOTHING, False, "geometry", "sum over the flutes"),
    "flutes-not-needed": Judged("All length that the edge must lose", "", _GATHERED, NOTHING, False, "geometry", "as blank.gather"),
    "flutes-too-little": _taken("length past what pad and metal take", True),
    "flutes-too-much": _taken("all length that the edge must lose", False),
    "flutes-uneven": Judged(
        "Largest length of edge that travels past a place", "what one flute takes", _PLACE, _PLACE, False, "geometry",
        "as blank.gather", limit_origin="geometry",
    ),
    "flutes-no-room": _room("Longest clear stretch", "narrowest flute that is planned"),
    "flutes-left-out": _room("Longest clear stretch", "narrowest flute that is planned"),
}  # fmt: skip
