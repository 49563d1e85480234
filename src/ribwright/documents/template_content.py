"""What the blank template of a plan says: the flat blank and its words, taken out of the plan."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ribwright.documents.identity import Identity
from ribwright.documents.lettering import text_width
from ribwright.documents.template_values import EdgeLabel, TemplateContent, TemplateHole
from ribwright.features.laid import LaidEdge
from ribwright.geometry.fit import lines_and_arcs
from ribwright.geometry.path import Path
from ribwright.stages.blank import FIT, Blank, RunStrip
from ribwright.stages.flat_holes import FlatHole
from ribwright.stages.plan import Plan
from ribwright.units import show_angle

Array = NDArray[np.float64]
LABEL_PT = 8.0  # size of print along an edge, as the template sets it
ROOM_FOR_PRINT = 6.0  # a strip narrower than this carries its words on the web instead [mm]
ON_WEB = 5.0  # from the bend tangent line or the cut edge inward [mm]


def template_content(plan: Plan, identity: Identity) -> TemplateContent:
    """Cut lines, bend tangent lines, holes, pins, grain and words of the plan's flat blank, in part coordinates [mm]."""
    outer, *inner = plan.blank.loops
    return TemplateContent(
        part=identity.number,
        revision=identity.revision,
        hand=identity.hand,
        title=identity.title if identity.released else f"NOT RELEASED {identity.title}",
        material=identity.material,
        thickness=identity.thickness,
        fingerprint=identity.fingerprint,
        outline=outer.path,
        cutouts=tuple(loop.path for loop in inner),
        tangents=(*_bend_lines(plan.blank), *_tangent_circles(plan.blank)),
        holes=tuple(_hole(h) for h in plan.blank.holes),
        pins=tuple(p.at for p in plan.block.pins),
        grain_deg=plan.job.part.sheet.grain,
        side_up=identity.side_up,
        edge_labels=tuple(label for loop in range(len(plan.blank.laid)) for label in _labels(plan.blank, loop)),
        units=identity.first,
        stops=identity.stops,
        size=plan.blank.size,
    )


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
    """The name of each edge at its middle, along it; with the turn and angle of its flange where there is room."""
    out = []
    for i, edge in enumerate(blank.laid[loop].edges):
        strip = next((s for s in blank.strips if s.loop == loop and i in s.run.edges), None)
        out.append(_plain_label(edge) if strip is None else _strip_label(edge, strip, i))
    return out


def _plain_label(edge: LaidEdge) -> EdgeLabel:
    p, t, n = edge.tangent_line.frame(np.array([edge.curve.length / 2]))
    return _set(edge.edge.name, p[0] - ON_WEB * n[0], t[0])


def _strip_label(edge: LaidEdge, strip: RunStrip, i: int) -> EdgeLabel:
    """In the middle of the flange strip, or on the web beside it where the strip is too narrow for print."""
    at = strip.at
    mine = np.flatnonzero(at.edge == i)
    k = int(mine[np.argmin(np.abs(at.s[mine] - edge.curve.length / 2))])
    n = at.normal[k]
    width = float(strip.strip.flat_width[k])
    out = width / 2 if width >= ROOM_FOR_PRINT else -ON_WEB
    assert edge.flange is not None
    low, high = (show_angle(float(f(at.angle[mine]))) for f in (np.min, np.max))
    words = f"{edge.edge.name}: flange {edge.flange.turn}, {low if low == high else f'{low} to {high}'}"
    if text_width(words, LABEL_PT) > 0.7 * edge.curve.length:
        words = edge.edge.name
    return _set(words, at.tangent[k] + out * n, np.array([-n[1], n[0]]))


def _set(words: str, middle: Array, along: Array) -> EdgeLabel:
    """Words with their own middle at a point, never on their head."""
    angle = float(np.degrees(np.arctan2(along[1], along[0])))
    angle = (angle + 90.0 - 1e-9) % 180.0 - 90.0 + 1e-9
    a = np.radians(angle)
    low = middle - 1.0 * np.array([-np.sin(a), np.cos(a)])  # half the height of a small letter
    return EdgeLabel(words, float(low[0]), float(low[1]), angle)
