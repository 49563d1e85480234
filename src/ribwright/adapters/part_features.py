"""Flanges, corners, holes, rivets and tolerances of a part file, each table read by itself.

What one table must agree on with another (names, places) is checked in `part_checks`.
"""

from __future__ import annotations

import math
from collections.abc import Callable

from ribwright.adapters.reading import Reader, shown
from ribwright.features.part import Along, Corner, Flange, Hole, Rivets

TURNS = ("down", "up")
RELIEFS = ("hole", "notch", "none")
HOLE_KINDS = ("lightening", "tooling", "plain")
HOLE_LINES = ("bend-tangent-line", "outside-mold-line")
HOLE_SIZES = ("cut_diameter", "rim_diameter", "flange_height", "flat_height")
LENGTH_TOLERANCES = ("contour", "flange_width", "bend_radius", "web_flatness", "hole_position", "hole_diameter")
ANGLE_TOLERANCES = ("flange_angle",)
REFUSED = {
    "return_flange": "nothing: return flanges are not built yet",
    "return": "nothing: return flanges are not built yet",
    "closed_section": "nothing: closed sections are not built yet",
}
Tolerances = dict[str, tuple[float, float]]


def read_flange(reader: Reader, name: str, tolerances: Tolerances) -> Flange:
    """One [flange.NAME] table."""
    flange = Flange(
        name,
        width=Along(reader.along("width", "length", over=0.0)),
        bend_angle=Along(reader.along("bend_angle", "angle", over=0.0, under=180.0)),
        bend_radius=reader.length("bend_radius", positive=True),
        turn=reader.choice("turn", TURNS, "down"),
        flutes=reader.choice("flutes", ("none", "plan", "drawn"), "none"),
        balloon=reader.text("balloon", ""),
    )
    tolerances.update(own_tolerances(reader, f"flange.{name}"))
    reader.unknown_keys(REFUSED)
    return flange


def read_corner(reader: Reader, tolerances: Tolerances) -> Corner:
    """One [[corner]] table, its edges in the order typed."""
    at = reader.has("at") and reader.table["at"]
    if not (isinstance(at, list) and len(at) == 2 and all(isinstance(n, str) for n in at)):
        reader.fault("at", "nothing" if at is False else shown(at), 'the names of two edges ["lower", "rear"]')
        at = ["", ""]
    relief = reader.choice("relief", RELIEFS)
    corner = Corner(
        (at[0], at[1]),
        relief,
        diameter=reader.length("diameter", positive=True) if reader.has("diameter") else None,
        set_back=reader.length("set_back", 0.0, least=0.0),
        gap=reader.length("gap", 0.0, least=0.0),
        balloon=reader.text("balloon", ""),
    )
    unused = {"hole": ("gap",), "notch": (), "none": ("diameter", "set_back", "gap")}
    for key in unused.get(relief, ()):
        if key in reader.table:
            reader.fault(key, f'{key} with relief = "{relief}"', f"{key} with another relief, or none of it")
    tolerances.update(own_tolerances(reader, f"corner.{at[0]}/{at[1]}"))
    reader.unknown_keys()
    return corner


def read_hole(reader: Reader, tolerances: Tolerances) -> Hole:
    """One [[hole]] table of any kind."""
    name, kind = reader.text("name"), reader.choice("kind", HOLE_KINDS)
    at, diameter, balloon = reader.point("at"), reader.length("diameter", positive=True), reader.text("balloon", "")
    hole = Hole(name, kind, at, diameter, balloon=balloon)
    tolerances.update(own_tolerances(reader, f"hole.{name}"))
    if kind == "lightening":
        hole = _lightening(reader, hole)
    elif kind == "tooling":
        hole = _tooling(reader, hole)
    _refuse_keys_of_other_kinds(reader, kind)
    reader.unknown_keys(REFUSED)
    return hole


def read_rivets(reader: Reader, tolerances: Tolerances) -> Rivets:
    """One [[rivets]] table."""
    row = Rivets(
        edge=reader.text("edge"),
        on=reader.choice("on", ("flange", "web")),
        line=reader.length("line", least=0.0),
        first=reader.length("first", least=0.0),
        pitch=reader.length("pitch", positive=True),
        count=reader.count("count"),
        diameter=reader.length("diameter", positive=True),
        edge_distance=reader.length("edge_distance", least=0.0),
    )
    keep_balloon(reader)
    tolerances.update(own_tolerances(reader, f"rivets.{row.edge}"))
    reader.unknown_keys()
    return row


def read_tolerances(reader: Reader) -> Tolerances:
    """A table of tolerances, each (minus, plus) as sizes: how far below and above nominal [mm or deg]."""
    lengths = {k: _limits(reader, k, reader.as_length) for k in LENGTH_TOLERANCES if reader.has(k)}
    angles = {k: _limits(reader, k, reader.as_angle) for k in ANGLE_TOLERANCES if reader.has(k)}
    reader.unknown_keys()
    return lengths | angles


def own_tolerances(reader: Reader, owner: str) -> Tolerances:
    """A feature's own tolerances under the names "OWNER.contour" and so on."""
    table = reader.table_at("tolerance")
    return {} if table is None else {f"{owner}.{k}": v for k, v in read_tolerances(table).items()}


def keep_balloon(reader: Reader) -> None:
    """Keeps the drawing's number of a feature that has no field for it, as typed."""
    if reader.has("balloon"):
        reader.book.typed[reader.key("balloon")] = reader.text("balloon", "")


def _lightening(reader: Reader, hole: Hole) -> Hole:
    given = [k for k in HOLE_SIZES if reader.has(k)]
    if len(given) != 1:
        reader.fault("cut_diameter", " and ".join(given) or "none of them", f"exactly one of {', '.join(HOLE_SIZES)}")
    sizes = {k: reader.length(k, positive=True) for k in given}
    bend_angle = reader.angle("bend_angle", over=0.0, under=180.0)
    for key in ("cut_diameter", "rim_diameter"):
        if key in sizes and sizes[key] >= hole.diameter and (key == "cut_diameter" or bend_angle <= 90):
            found, circle = reader.book.show(sizes[key]), reader.book.show(hole.diameter)
            reader.fault(key, found, f"less than the diameter {circle}: the flange stands inside that circle")
    return Hole(
        hole.name,
        hole.kind,
        hole.at,
        hole.diameter,
        line=reader.choice("line", HOLE_LINES, "bend-tangent-line"),
        given=(given[0], sizes[given[0]]) if given else None,
        bend_angle=bend_angle,
        bend_radius=reader.length("bend_radius", positive=True),
        turn=reader.choice("turn", TURNS, "down"),
        balloon=hole.balloon,
    )


def _tooling(reader: Reader, hole: Hole) -> Hole:
    return Hole(
        hole.name,
        hole.kind,
        hole.at,
        hole.diameter,
        pin_fit=reader.length("pin_fit", least=0.0) if reader.has("pin_fit") else None,
        slot=reader.length("slot", 0.0, least=0.0),
        slot_angle=reader.angle("slot_angle", 0.0),
        balloon=hole.balloon,
    )


def _refuse_keys_of_other_kinds(reader: Reader, kind: str) -> None:
    flanged = (*HOLE_SIZES, "bend_angle", "bend_radius", "turn", "line")
    others = {"lightening": ("pin_fit", "slot", "slot_angle"), "tooling": flanged}
    for key in others.get(kind, (*flanged, "pin_fit", "slot", "slot_angle")):
        # a hole whose kind is itself at fault is not also blamed for its keys
        if reader.has(key) and kind:
            owner = "lightening" if key in flanged else "tooling"
            reader.fault(key, f'{key} on a hole of kind "{kind}"', f'{key} with kind = "{owner}" only')


def _limits(reader: Reader, key: str, read: Callable[[str, object], float]) -> tuple[float, float]:
    value = reader.table[key]
    reader.keep(key, value, "deg" if key in ANGLE_TOLERANCES else reader.book.units or "")
    pair = value if isinstance(value, list) else [value, value]
    if len(pair) != 2:
        reader.fault(key, shown(value), "one number (plus and minus) or [minus, plus]")
        return (math.nan, math.nan)
    minus, plus = read(key, pair[0]), math.nan
    plus = minus if pair[0] is pair[1] else read(key, pair[1])
    # the lower limit may be typed with its sign: [-0.01, 0.02] and [0.01, 0.02] are the same
    minus = abs(minus) if isinstance(value, list) else minus
    if minus < 0 or plus < 0 or (minus == 0 and plus == 0):
        reader.fault(key, shown(value), "one number above 0, or [minus, plus] with room on one side")
    return minus, plus
