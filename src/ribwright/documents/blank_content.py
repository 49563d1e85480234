"""What the blank template says: the flat blank and its words, taken out of the plan."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from ribwright.documents.edge_spots import SHARES, fitting, label_at, one_label, outside_spots, web_spots
from ribwright.documents.facing import facing
from ribwright.documents.identity import Identity
from ribwright.documents.template_kinds import TemplateKind, with_rows
from ribwright.documents.template_values import EdgeLabel, TemplateContent, TemplateHole
from ribwright.features.laid import LaidEdge
from ribwright.geometry.fit import lines_and_arcs
from ribwright.geometry.path import Path
from ribwright.stages.blank import FIT, Blank, RunStrip
from ribwright.stages.flat_holes import FlatHole
from ribwright.stages.plan import Plan
from ribwright.units import show_angle

EDGES_CAUTION = "CAUTION: fresh-cut edges and corners cut hands: gloves to carry it, deburr both sides first."
DRILL_RELIEFS = "Drill the relief holes at their crosses before the outline is cut: it runs into them."
ROOM_FOR_PRINT = 6.0  # a strip narrower than this carries its words on the web instead [mm]


def blank_content(plan: Plan, identity: Identity) -> TemplateContent:
    """Cut lines, bend tangent lines, holes, pins, grain and words of the plan's flat blank, in part coordinates [mm]."""
    outer, *inner = plan.blank.loops
    reliefs = relief_holes(plan.blank)
    content = TemplateContent(
        part=identity.number,
        revision=identity.revision,
        hand=identity.hand,
        title=identity.title if identity.released else f"NOT RELEASED - {identity.title}",
        material=identity.material,
        thickness=identity.thickness,
        fingerprint=identity.fingerprint,
        outline=outer.path,
        cutouts=tuple(loop.path for loop in inner),
        tangents=(*_bend_lines(plan.blank), *_tangent_circles(plan.blank)),
        holes=tuple(_hole(h) for h in plan.blank.holes),
        reliefs=tuple(replace(h, name="relief") for h in reliefs),
        pins=tuple(p.at for p in plan.block.pins),
        grain_deg=plan.job.part.sheet.grain,
        side_up=_side_up(plan, identity),
        edge_labels=tuple(label for loop in range(len(plan.blank.laid)) for label in _labels(plan.blank, loop)),
        units=identity.first,
        stops=identity.stops,
        size=plan.blank.size,
        developed=plan.blank.method,
        lay=("Lay on the sheet as the words THIS SIDE UP and the grain arrow say.", EDGES_CAUTION),
    )
    return (
        replace(content, kind=_with_reliefs(content.kind), lay=(content.lay[0], DRILL_RELIEFS, *content.lay[1:]))
        if reliefs
        else content
    )


def relief_holes(blank: Blank) -> tuple[TemplateHole, ...]:
    """The corner and end reliefs that are drilled, each by its centre and named by the edges it stands between."""
    joins = (j for loop in blank.joins for j in loop if j.relief != "none" and j.diameter > 0)
    return tuple(TemplateHole(f"relief {j.before}/{j.after}", *j.centre, j.diameter, "relief") for j in joins)


def _with_reliefs(kind: TemplateKind) -> TemplateKind:
    """The kind with a row for the centres of relief holes besides."""
    return with_rows(kind, ("centre", "relief hole, to the Ø: drill before cutting"))


def _side_up(plan: Plan, identity: Identity) -> str:
    """Which face of the sheet the print is on, in the part file's words where it has any."""
    if facing(plan.job.part).mirrored and not plan.job.part.side_up:
        return "inner face up: flanges turn up, towards this side"
    return identity.side_up


def _bend_lines(blank: Blank) -> list[Path]:
    return [Path(lines_and_arcs(np.array(points), FIT), False) for _, points in blank.tangents]


def _tangent_circles(blank: Blank) -> list[Path]:
    """Where hole flanges leave the web, each circle as two half circles (bulge 1)."""
    out = []
    for h in blank.holes:
        if h.tangent_diameter is not None:
            (x, y), r = h.hole.at, h.tangent_diameter / 2
            out.append(Path(((x - r, y, 1.0), (x + r, y, 1.0))))
    return out


def _hole(flat: FlatHole) -> TemplateHole:
    h = flat.hole
    return TemplateHole(h.name, *h.at, flat.cut_diameter, h.kind, h.slot, h.slot_angle)


def _labels(blank: Blank, loop: int) -> list[EdgeLabel]:
    """The name of each edge near its middle, along it; with the turn and angle of its flange where there is room."""
    out = []
    for i, edge in enumerate(blank.laid[loop].edges):
        strip = next((s for s in blank.strips if s.loop == loop and i in s.run.edges), None)
        if strip is None:
            spots, reach = web_spots(edge, [edge.edge.name]), 0.0
        else:
            spots, reach = _strip_spots(edge, strip, i), float(np.max(strip.strip.flat_width[strip.at.edge == i]))
        out.append(one_label([*spots, *outside_spots(edge, reach)]))
    return out


def _strip_spots(edge: LaidEdge, strip: RunStrip, i: int) -> list[EdgeLabel]:
    """In the middle of the flange strip; on the web beside it too, and first where the strip is too narrow for print."""
    at = strip.at
    mine = np.flatnonzero(at.edge == i)
    assert edge.flange is not None
    low, high = (show_angle(float(f(at.angle[mine]))) for f in (np.min, np.max))
    words = [f"{edge.edge.name}: flange {edge.flange.turn}, {low if low == high else f'{low} to {high}'}"]
    words.append(edge.edge.name)
    on_web = web_spots(edge, words)
    on_strip = []
    for text in fitting(words, edge.curve.length):
        for share in SHARES:
            k = int(mine[np.argmin(np.abs(at.s[mine] - share * edge.curve.length))])
            n = at.normal[k]
            middle = at.tangent[k] + float(strip.strip.flat_width[k]) / 2 * n
            on_strip.append(label_at(text, middle, np.array([-n[1], n[0]])))
    narrow = float(np.min(strip.strip.flat_width[mine])) < ROOM_FOR_PRINT
    return on_web if narrow else [*on_strip, *on_web]
