"""The blank and the block as drawings for a cutter: true lines and arcs on named layers, in the part's coordinates."""

from __future__ import annotations

import numpy as np

from ribwright.documents import bead_marks, flute_marks, notch_marks
from ribwright.documents.drawing import (
    BEADS,
    COVER_PLATE,
    FLUTES,
    FOOT,
    HOLE,
    NOTCHES,
    OUTLINE,
    PIN,
    TANGENT,
    TEXT,
    WEB_FACE,
    Contour,
    Drawing,
    Label,
    Ring,
    Shape,
    crossed,
)
from ribwright.documents.identity import Identity
from ribwright.geometry.fit import lines_and_arcs
from ribwright.stages.blank import FIT
from ribwright.stages.cover_plate import CoverPlate
from ribwright.stages.flat_holes import FlatHole
from ribwright.stages.plan import Plan

LETTER_MM = 3.0


def blank_drawing(plan: Plan, identity: Identity) -> Drawing:
    """Cut lines on OUTLINE (cutouts too), bend tangent lines on TANGENT, holes on HOLE, pin centres on PIN, marks of flutes on
    FLUTES, middle and rim of beads on BEADS."""
    items: list[Shape] = [Contour(OUTLINE, loop.path.vertices) for loop in plan.blank.loops]
    for _, points in plan.blank.tangents:
        items.append(Contour(TANGENT, lines_and_arcs(np.array(points), FIT), False))
    for hole in plan.blank.holes:
        items += _hole(hole)
    items += [Ring(PIN, *p.at, p.diameter / 2) for p in plan.block.pins]
    items += [Contour(FLUTES, line.path.vertices, False) for line in flute_marks.blank_lines(plan)]
    items += [Contour(BEADS, line.path.vertices, line.path.closed) for line in bead_marks.bead_lines(plan)]
    return _signed(items, plan, identity, f"flat blank, {plan.blank.method} method")


def block_drawing(plan: Plan, identity: Identity) -> Drawing:
    """Web-face outline on WEB_FACE, foot on FOOT (both before rounding), recess rims on HOLE, pins on PIN, the cover plate
    on COVER_PLATE, marks of flutes on FLUTES, middle and rim of beads on BEADS, places of
    notches on NOTCHES."""
    items: list[Shape] = []
    for layer, rings in ((WEB_FACE, plan.block.outlines), (FOOT, plan.block.feet)):
        for ring in rings:
            closed = lines_and_arcs(np.concatenate([ring, ring[:1]]), FIT)
            items.append(Contour(layer, closed[:-1]))
    for r in plan.block.recesses:
        items += [Ring(HOLE, *r.at, r.diameter / 2), Ring(HOLE, *r.at, max(r.bottom_diameter, 0.01) / 2)]
    items += [Ring(PIN, *p.at, p.diameter / 2) for p in plan.block.pins]
    items += _cover_plate(plan.making.plate)
    items += [Contour(FLUTES, line.path.vertices, False) for line in flute_marks.block_lines(plan)]
    items += [Contour(NOTCHES, line.path.vertices, False) for line in notch_marks.notch_lines(plan, in_block=True)]
    items += [Contour(BEADS, line.path.vertices, line.path.closed) for line in bead_marks.bead_lines(plan)]
    return _signed(items, plan, identity, "form block: web face and foot, before rounding")


def _cover_plate(plate: CoverPlate) -> list[Shape]:
    """Outline, openings and pin holes of the cover plate; nothing where there is none."""
    rings = [r for r in (plate.outline, *plate.windows) if len(r)]
    items: list[Shape] = [Contour(COVER_PLATE, lines_and_arcs(np.concatenate([r, r[:1]]), FIT)[:-1]) for r in rings]
    return items + [Ring(COVER_PLATE, *o.at, o.diameter / 2) for o in (*plate.openings, *plate.pin_holes)]


def _hole(hole: FlatHole) -> list[Shape]:
    x, y = hole.hole.at
    r = hole.cut_diameter / 2
    out: list[Shape] = [Contour(HOLE, slot_vertices(hole)) if hole.hole.slot > 0 else Ring(HOLE, x, y, r)]
    if hole.tangent_diameter is not None:
        out.append(Ring(TANGENT, x, y, hole.tangent_diameter / 2))
    return out


def slot_vertices(hole: FlatHole) -> tuple[tuple[float, float, float], ...]:
    """A slot as two lines and two half circles, counter-clockwise."""
    x, y = hole.hole.at
    a, half, r = np.radians(hole.hole.slot_angle), hole.hole.slot / 2, hole.cut_diameter / 2
    u, v = np.array([np.cos(a), np.sin(a)]), np.array([-np.sin(a), np.cos(a)])
    c = np.array([x, y])
    corners = [(c - half * u - r * v, 0.0), (c + half * u - r * v, 1.0), (c + half * u + r * v, 0.0)]
    corners.append((c - half * u + r * v, 1.0))
    return tuple((float(p[0]), float(p[1]), b) for p, b in corners)


def _signed(items: list[Shape], plan: Plan, identity: Identity, what: str) -> Drawing:
    """The drawing with its identity written below it, crossed out when a finding stops the job."""
    x0, y0, _, _ = Drawing(tuple(items)).bounds()
    rows = (
        f"{identity.line}: {what}" + ("" if identity.released else " - NOT RELEASED"),
        f"{identity.material} {identity.thickness}, grain {identity.grain}, {identity.side_up}. Drawn in mm.",
    )
    words = [Label(TEXT, x0, y0 - (i + 3) * 2 * LETTER_MM, row, LETTER_MM) for i, row in enumerate(rows)]
    drawing = Drawing((*items, *words), f"{identity.line}: {what}")
    return crossed(drawing, identity.stops[0]) if identity.stops else drawing
