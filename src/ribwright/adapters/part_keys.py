"""The keys of a part file in the order of its manual, and what kind of value each holds.

An edit goes by it (where a new key stands, whether what was typed is a text), and so does the screen (a length or an angle).
The strict reader does not: what is allowed is said there, and a test holds the two lists against each other.

Kinds: text, length, angle, count, place (along an edge), point, points, along-length and along-angle (a value, or
[[along, value], ...]), limits-length and limits-angle (a tolerance), names (two edges), table.
"""

from __future__ import annotations

from ribwright.adapters.toml_spans import Path

_OWN = {"balloon": "text", "tolerance": "table"}
_LIMITS = {
    "contour": "limits-length",
    "flange_width": "limits-length",
    "flange_angle": "limits-angle",
    "bend_radius": "limits-length",
    "web_flatness": "limits-length",
    "hole_position": "limits-length",
    "hole_diameter": "limits-length",
}
_CUT = {"width": "length", "depth": "length"}

KEYS: dict[str, dict[str, str]] = {
    "": dict.fromkeys(("units",), "text")
    | dict.fromkeys(
        ("part", "approval", "sheet", "web", "flange", "corner", "cutout", "hole", "rivets")
        + ("notch", "flute", "joggle", "bead", "tolerance", "blank", "block"),
        "table",
    ),
    "part": dict.fromkeys(("number", "revision", "title", "hand", "opposite"), "text"),
    "approval": dict.fromkeys(("data", "by", "date"), "text"),
    "sheet": dict.fromkeys(("material", "formed_in", "final"), "text") | {"thickness": "length", "grain": "angle"},
    "web": {"line": "text", "start": "point", "edge": "table"},
    "edge": {"name": "text", "through": "point", "to": "point", "spline": "points"}
    | dict.fromkeys(("ordinates", "tangent", "flange"), "text")
    | _OWN,
    "flange": {"width": "along-length", "bend_angle": "along-angle", "bend_radius": "length"}
    | {"turn": "text", "flutes": "text"}
    | _OWN,
    "corner": {"at": "names", "relief": "text", "diameter": "length", "set_back": "length", "gap": "length"} | _OWN,
    "cutout": {"name": "text", "balloon": "text", "start": "point", "edge": "table"},
    "hole": {"name": "text", "kind": "text", "at": "point", "diameter": "length", "line": "text"}
    | dict.fromkeys(("cut_diameter", "rim_diameter", "flange_height", "flat_height"), "length")
    | {"bend_angle": "angle", "bend_radius": "length", "turn": "text", "pin_fit": "length"}
    | {"slot": "length", "slot_angle": "angle"}
    | _OWN,
    "rivets": {"edge": "text", "on": "text", "line": "length", "first": "length", "pitch": "length", "count": "count"}
    | {"diameter": "length", "edge_distance": "length"}
    | _OWN,
    "notch": {"edge": "text", "at": "place", **_CUT, "corner_radius": "length", "flange_gap": "length", **_OWN},
    "flute": {"edge": "text", "at": "place", **_CUT, "turn": "text", **_OWN},
    "joggle": {"edge": "text", "from": "place", "to": "place", "depth": "length", "length": "length", **_OWN},
    "bead": {"points": "points", "section": "text", **_CUT, "radius": "length", "edge_radius": "length"}
    | {"end": "text", "turn": "text"}
    | _OWN,
    "tolerance": _LIMITS,
    "blank": {"trim": "length", "side_up": "text", "tooling_tabs": "other", "pilot_holes": "other"},
    "block": {"undercut": "text"},
}
ARRAYS = ("corner", "cutout", "hole", "rivets", "notch", "flute", "joggle", "bead", "edge")


def table_kind(path: Path) -> str | None:
    """Which table a path names: "hole" for hole[2], "edge" for web.edge[1] and cutout[1].edge; None for what is no table."""
    names = [p for p in path if isinstance(p, str)]
    if not names:
        return ""
    if names[0] == "flange":
        return "flange" if len(names) == 2 else "tolerance" if names[2:] == ["tolerance"] else None
    if KEYS[""].get(names[0]) != "table":
        return None
    kind = names[0]
    for name in names[1:]:
        if KEYS[kind].get(name) != "table":
            return None
        kind = name
    return kind


def key_kind(path: Path) -> str:
    """The kind of the key that a path stands in, items of its value included; "other" when the part file knows no such key."""
    at = max((i for i, p in enumerate(path) if isinstance(p, str)), default=0)
    kind = table_kind(path[:at])
    return "other" if kind is None else KEYS[kind].get(str(path[at]), "other")


def ordered(kind: str | None, names: list[str]) -> list[str]:
    """The keys of a table in the manual's order; those it does not know come last, as given."""
    order = list(KEYS.get(kind or "", {})) if kind is not None else []
    return sorted(names, key=lambda n: order.index(n) if n in order else len(order))
