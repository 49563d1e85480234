"""An edge of a part file made two at the point of it that lies nearest a given one.

A line becomes two lines, an arc two arcs of the same circle, a spline two splines through the same points, the second with the
direction of the first where they meet: between the points next to the join the curve may differ a little from what it was.
The flange, the balloon and the edge's own tolerances stand on both. A corner at the edge's end follows; rivets and other tables
on the edge stay with its first half, and a note says so.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite
from typing import Any

from ribwright.adapters.part_edit_change import add, remove, set_value
from ribwright.adapters.part_edit_names import ON_EDGES, names_of
from ribwright.adapters.part_edit_text import Text, unique
from ribwright.adapters.part_keys import table_kind
from ribwright.adapters.part_loops import CLOSED_MM, DrawnEdge, DrawnLoop, curve_of
from ribwright.adapters.part_toml import drafted
from ribwright.adapters.toml_spans import Node, named
from ribwright.adapters.toml_write import MOST_DECIMALS, Raw

GEOMETRY = ("name", "through", "to", "spline", "tangent")


@dataclass(frozen=True)
class _Cut:
    """Where an edge is cut: arc length and point [mm], and the points half way along each part; `before`: the points of
    a spline before the cut, its start not counted, and whether the cut is the next of them."""

    point: tuple[float, float]
    halves: tuple[tuple[float, float], tuple[float, float]]
    before: int
    at_point: bool


def split(doc: Text, key: str, at: Any) -> tuple[Text, list[str]]:
    """The text with the edge at `key` split at the point of it next to `at` [x, y], and notes."""
    node = doc.existing(key)
    if table_kind(node.path) != "edge" or not isinstance(node.path[-1], int):
        doc.refuse(key, "something that is no edge", "an edge, like web.edge[2]")
    if "ordinates" in node.named:
        found = "an edge from an ordinate table"
        doc.refuse(f"{key}.ordinates", found, "an edge whose points stand in the part file: to, through or spline")
    loop, i, scale = _drawn(doc, key, node)
    cut = _cut(doc, key, loop.edges[i], _point_mm(doc, key, at, scale))
    first, second = _halves(doc, node, cut, scale)
    name = loop.edges[i].edge.name
    second["name"] = unique(name, set(names_of(doc, "edge")))
    doc = _corners(doc, loop, i, second["name"])
    array = named(node.path[:-1])
    doc = add(doc, array, second, int(node.path[-1]) + 1)
    for k, value in first.items():
        doc = remove(doc, f"{key}.{k}") if value is None else set_value(doc, f"{key}.{k}", value)
    return doc, _notes(doc, name, second["name"], loop.edges[i])


def _drawn(doc: Text, key: str, node: Node) -> tuple[DrawnLoop, int, float]:
    """(the loop as drawn, the edge's index in it, mm in a unit of the file)."""
    draft, book = drafted(doc.table, doc.file, None)
    for loop in draft.loops:
        for i, drawn in enumerate(loop.edges):
            points = drawn.edge.points
            if drawn.path == named(node.path) and book.units and all(isfinite(c) for p in points for c in p):
                return loop, i, 25.4 if book.units == "in" else 1.0
    doc.refuse(key, "an edge whose shape is not known yet", "an edge that can be drawn; put its faults right first")


def _point_mm(doc: Text, key: str, at: Any, scale: float) -> tuple[float, float]:
    good = isinstance(at, list) and len(at) == 2
    if not good or not all(isinstance(c, int | float) and not isinstance(c, bool) and abs(c) < 1e9 for c in at):
        doc.refuse(key, f"{at!r}"[:80], "a point [x, y]")
    return at[0] * scale, at[1] * scale


def _cut(doc: Text, key: str, drawn: DrawnEdge, point: tuple[float, float]) -> _Cut:
    import numpy as np

    try:
        curve = curve_of(drawn.edge)
    except ValueError as error:
        doc.refuse(key, str(error), "an edge that can be drawn; put its faults right first")
    spans = np.unique(np.concatenate([np.linspace(0.0, curve.length, 257), curve.breaks]))
    for _ in range(4):
        gaps = np.hypot(*(curve.point(spans) - np.array(point)).T)
        k = int(np.argmin(gaps))
        s = float(spans[k])
        spans = np.linspace(spans[max(k - 1, 0)], spans[min(k + 1, len(spans) - 1)], 65)
    knots = curve.breaks if drawn.edge.kind == "spline" else np.array([0.0, curve.length])
    near = int(np.argmin(np.abs(knots - s)))
    on_knot = bool(abs(knots[near] - s) <= CLOSED_MM)
    if on_knot and near in (0, len(knots) - 1):
        doc.refuse(key, "a point at the edge's own end", "a point between its ends")
    s = float(knots[near]) if on_knot else s
    before = near - 1 if on_knot else int(np.searchsorted(knots, s)) - 1
    x = [(float(a), float(b)) for a, b in curve.point(np.array([s, s / 2, (s + curve.length) / 2]))]
    return _Cut(x[0], (x[1], x[2]), before, on_knot)


def _halves(doc: Text, node: Node, cut: _Cut, scale: float) -> tuple[dict[str, Any], dict[str, Any]]:
    """(keys to set on the edge, None to take one away; the table of the second half)."""

    def place(point: tuple[float, float]) -> list[float]:
        return [round(c / scale, MOST_DECIMALS) for c in point]

    second = {k: _as_typed(doc, n) for k, n in node.named.items() if k not in GEOMETRY}
    if "spline" not in node.named:
        first: dict[str, Any] = {"to": place(cut.point)}
        second["to"] = _as_typed(doc, node.named["to"])
        if "through" in node.named:
            first["through"], second["through"] = place(cut.halves[0]), place(cut.halves[1])
        return first, second
    points = [_as_typed(doc, item) for item in node.named["spline"].items]
    rest = points[cut.before :]
    head = points[: cut.before] + ([rest.pop(0)] if cut.at_point else [place(cut.point)])
    first, second["spline"] = {"spline": head}, rest
    tangent = doc.value(node.named["tangent"]) if "tangent" in node.named else ""
    if tangent in ("end", "both"):
        first["tangent"] = "start" if tangent == "both" else None
    second["tangent"] = "both" if tangent in ("end", "both") else "start"
    return first, second


def _as_typed(doc: Text, node: Node) -> Any:
    """A value with its typed form; one that stands under a header or in dotted keys by what it says."""
    return doc.value(node) if node.span is None else Raw(doc.text[slice(*node.span)].replace("\r\n", "\n"))


def _corners(doc: Text, loop: DrawnLoop, i: int, name: str) -> Text:
    """The corner at the edge's end said of the second half."""
    old, after = loop.edges[i].edge.name, loop.edges[(i + 1) % len(loop.edges)].edge.name
    before = loop.edges[i - 1].edge.name
    for n, corner in enumerate(doc.table.get("corner", []), 1):
        at = corner.get("at") if isinstance(corner, dict) else None
        # between two edges that meet twice the order says which join is meant
        if at == [old, after]:
            doc = set_value(doc, f"corner[{n}].at[1]", name)
        elif at == [after, old] and before != after:
            doc = set_value(doc, f"corner[{n}].at[2]", name)
    return doc


def _notes(doc: Text, name: str, second: str, drawn: DrawnEdge) -> list[str]:
    notes = [
        f'{kind}[{n}] stays on "{name}" and counts along it; "{second}" has none of it.'
        for kind in ON_EDGES
        for n, row in enumerate(doc.table.get(kind, []), 1)
        if isinstance(row, dict) and row.get("edge") == name
    ]
    flange = doc.table.get("flange", {}).get(drawn.edge.flange, {}) if drawn.edge.flange else {}
    varying = [k for k in ("width", "bend_angle") if isinstance(flange.get(k), list)]
    notes += [
        f"flange.{drawn.edge.flange}.{k} changes along an edge, and does so now along each of the two." for k in varying
    ]
    if drawn.edge.kind == "spline":
        notes.append(
            f'"{name}" and "{second}" pass the same points; near where they meet the curve may differ a little.'
        )
    return notes
