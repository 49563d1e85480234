"""The flat blank for drawing: cut line, bend tangent lines, holes, reliefs, pins, and the formed part in plan beside it.

Everything in the part's coordinates, mm. `places` are what can be measured between, on the flat and on the formed part.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from ribwright.documents.views.plain import Array, Place, box_of, corners_of, nearest_name, number, place, rounded
from ribwright.stages.blank import Blank
from ribwright.stages.formed_lines import FormedLines, formed_lines
from ribwright.stages.plan import Plan


def blank_view(plan: Plan) -> dict[str, Any]:
    """Flat blank and formed part of a plan."""
    blank, formed = plan.blank, formed_lines(plan.job, plan.blank)
    outside = [p for ring in formed.outside[:1] for p in ring]
    return {
        "method": blank.method,
        "asked": plan.asked,
        "thickness": number(plan.job.t),
        "grain_deg": number(plan.job.part.sheet.grain),
        "loops": loops_of(blank),
        "tangents": [{"edge": name, "points": rounded(p)} for name, p in blank.tangents],
        "edges": _edges(blank),
        "holes": _holes(blank),
        "reliefs": _reliefs(blank),
        "pins": [{"name": p.name, "at": rounded(p.at), "diameter": number(p.diameter)} for p in plan.block.pins],
        "formed": _formed(formed),
        "box": {"flat": box_of(blank.outline.points), "formed": box_of(*outside, *(p for _, p in formed.free))},
        "places": {"flat": _flat_places(blank), "formed": _formed_places(blank, formed)},
    }


def loops_of(blank: Blank) -> list[dict[str, Any]]:
    """Cut lines: outline, then cutouts."""
    return [{"name": loop.name, "points": rounded(loop.points)} for loop in blank.loops]


def drawn_lines(blank: Blank) -> list[tuple[str, Array]]:
    """Name and flat edge (m, 2) of every drawn edge; the drawn line where there is no flange."""
    out = []
    for k, laid in enumerate(blank.laid):
        flat = {i: s.flat[s.at.edge == i] for s in blank.strips if s.loop == k for i in s.run.edges}
        for i, e in enumerate(laid.edges):
            drawn = e.curve.point(np.linspace(0.0, e.curve.length, 65))
            out.append((e.edge.name, flat[i] if len(flat.get(i, ())) > 1 else drawn))
    return out


def _edges(blank: Blank) -> list[dict[str, Any]]:
    """Where the name of each edge stands: the middle of its flat edge and the way out of the part there."""
    flanged = {e.edge.name for loop in blank.laid for e in loop.edges if e.flange}
    rows = []
    for name, line in drawn_lines(blank):
        long = np.append(0.0, np.cumsum(np.hypot(*np.diff(line, axis=0).T)))
        j = int(np.clip(np.searchsorted(long, long[-1] / 2), 1, len(line) - 1))
        along = line[j] - line[j - 1]
        span = max(long[j] - long[j - 1], 1e-9)
        middle = line[j - 1] + (long[-1] / 2 - long[j - 1]) / span * along
        out = np.array([along[1], -along[0]]) / span
        rows.append({"name": name, "flanged": name in flanged, "middle": rounded(middle), "outward": rounded(out)})
    return rows


def _holes(blank: Blank) -> list[dict[str, Any]]:
    return [
        {
            "name": h.hole.name,
            "kind": h.hole.kind,
            "at": rounded(h.hole.at),
            "cut_diameter": number(h.cut_diameter),
            "tangent_diameter": number(h.tangent_diameter),
            "rim_diameter": number(h.rim_diameter),
            "slot": number(h.hole.slot),
            "slot_angle": number(h.hole.slot_angle),
        }
        for h in blank.holes
    ]


def _reliefs(blank: Blank) -> list[dict[str, Any]]:
    return [
        {"at": [j.before, j.after], "relief": j.relief, "centre": rounded(j.centre), "diameter": number(j.diameter)}
        for loop in blank.joins
        for j in loop
        if j.relief != "none" and j.diameter > 0
    ]


def _formed(formed: FormedLines) -> dict[str, Any]:
    return {
        "outside": [rounded(np.concatenate(ring)) for ring in formed.outside],
        "inside": [{"edge": name, "points": rounded(p)} for name, p in formed.inside],
        "free": [{"edge": name, "points": rounded(p)} for name, p in formed.free],
        "ends": rounded(formed.ends),
    }


def _flat_places(blank: Blank) -> list[Place]:
    lines = drawn_lines(blank)
    out = [place("cut-corner", at, nearest_name(at, lines)) for loop in blank.loops for at in corners_of(loop.path)]
    for name, p in blank.tangents:
        out += [place("tangent-start", p[0], name), place("tangent-end", p[-1], name)]
    out += [place("relief", r["centre"], *r["at"]) for r in _reliefs(blank)]
    return [*out, *_hole_places(blank), *_extremes(np.array(blank.outline.points))]


def _formed_places(blank: Blank, formed: FormedLines) -> list[Place]:
    out: list[Place] = []
    for laid, ring in zip(blank.laid, formed.outside, strict=True):
        names = [e.edge.name for e in laid.edges]
        out += [place("mold-corner", p[0], names[i - 1], names[i]) for i, p in enumerate(ring)]
    for name, p in formed.free:
        out += [place("free-start", p[0], name), place("free-end", p[-1], name)]
    return [*out, *_hole_places(blank)]


def _hole_places(blank: Blank) -> list[Place]:
    return [place("hole", h.hole.at, h.hole.name) for h in blank.holes]


def _extremes(p: Array) -> list[Place]:
    """The farthest points of an outline (n, 2)."""
    rows = (("left", 0, np.argmin), ("right", 0, np.argmax), ("lowest", 1, np.argmin), ("highest", 1, np.argmax))
    return [place(f"extent-{name}", p[int(find(p[:, axis]))]) for name, axis, find in rows]
