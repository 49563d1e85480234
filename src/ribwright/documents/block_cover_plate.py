"""The cover plate on the block drawing: outline, openings over recesses, holes for the pins."""

from __future__ import annotations

from math import ceil

import numpy as np

from ribwright.documents.block_plan_view import SCALES, dense, free_text, ring_box, room_of
from ribwright.documents.cut_list_block import plate_over_pins
from ribwright.documents.entry_table import fine_length, in_cell, whole
from ribwright.documents.layout import (
    Column,
    Fit,
    NumberBox,
    Piece,
    gap,
    heading,
    number_boxes,
    picture,
    prose,
    small,
    split_units,
    stacked,
    table,
)
from ribwright.documents.lettering import fitted
from ribwright.documents.page import Circle, Item, Line, Polyline, Stroke
from ribwright.stages.cover_plate import CoverPlate
from ribwright.stages.plan import Plan
from ribwright.units import MM_PER_IN, Unit, show_fraction, show_length

FACE, PLATE, FINE = Stroke(0.25, 0.0, (2.2, 1.1)), Stroke(0.5), Stroke(0.15)
HIGHEST = 55.0


def plate_pieces(plan: Plan, first: Unit, width: float) -> list[Piece]:
    """Picture, sizes, openings and how it is used; or why there is none."""
    plate, block = plan.making.plate, plan.block
    if plate.why_none:
        says = f"None is drawn: {plate.why_none}. Hold the web down in another way, or let the pad do it."
        return [heading("Cover plate: none", width), *prose(says, width), gap()]
    w, h = np.ptp(plate.outline, axis=0)
    boxes = [_box("Smaller than the web face", plate.inset, first, "all round")]
    boxes += [_box(n, float(v), first) for n, v in (("Length of plate", w), ("Width of plate", h))]
    scale, view = _picture(plate, block.outlines[0], width)
    grown = " It is more than the practice's so that the plate lies clear of the bends." if plate.grown else ""
    notes = [
        *small(
            f"Scale {scale}. Full line: plate, layer COVER_PLATE of block.dxf; dashed: web face. Inset by: {plate.source}."
            f"{grown}",
            width,
        ),
        *prose(
            "It holds the web flat while flanges are struck or pressed; the pad's own shape may make it needless. Its material "
            "is the shop's. Round its upper edges.",
            width,
        ),
        *(p for words in plate_over_pins(plan, first) for p in prose(words, width, 11.0, "bold")),
    ]
    if plate.beads:
        past = show_length(plate.inset, first)
        words = f"Open over {', '.join(plate.beads)}, {past} past the rim: under a closed plate no bead is pressed."
        notes += prose(words, width, 11.0, "bold")
    if block.rings:
        notes += prose("Over a loose ring the opening is the least; cut it to clear the ring as made.", width)
    body = [number_boxes(boxes, width, 14.0), view, *notes]
    return [
        heading("Cover plate", width),
        stacked(body),
        gap(1.5),
        *_table(plate, {r.name for r in block.rings}, first, width),
        gap(),
    ]


def _box(label: str, mm: float, first: Unit, more: str = "") -> NumberBox:
    big, other = split_units(show_length(mm, first))
    return NumberBox(label, big, other, more)


def _table(plate: CoverPlate, rings: set[str], first: Unit, width: float) -> list[Piece]:
    opens = [("pin", o) for o in plate.pin_holes]
    opens += [("ring" if o.name in rings else "recess", o) for o in plate.openings]
    if not opens:
        return []
    columns = [Column("over", 1.2), Column("name", 0.8, font="bold"), Column("x", 1.2), Column("y", 1.2)]
    columns += [Column("Ø of the hole in the plate", 1.6, font="bold"), Column("at least", 1.2)]
    rows = [
        [
            kind,
            o.name,
            *(in_cell(show_length(v, first)) for v in o.at),
            in_cell(drilled(o.diameter, first)),
            in_cell(fine_length(o.diameter, first)),
        ]
        for kind, o in opens
    ]
    return list(whole(table(columns, rows, width, 9.0)))


def drilled(mm: float, first: Unit) -> str:
    """A hole's size up to the next that tools come in: 1/64 in, or 0.5 mm in a metric shop."""
    if first == "mm":
        return show_length(ceil(mm / 0.5 - 1e-6) * 0.5, first)
    up = ceil(mm / MM_PER_IN * 64 - 1e-6) / 64 * MM_PER_IN
    return f"{show_fraction(up)} = {show_length(up, first)}"


def _picture(plate: CoverPlate, face: np.ndarray, width: float) -> tuple[str, Piece]:
    x0, y0, x1, y1 = ring_box(face)
    fitting = max((x1 - x0) / (width - 10.0), (y1 - y0) / (HIGHEST - 4.0))
    smaller = next((s for s in SCALES if s >= fitting), float(np.ceil(fitting / 10) * 10))
    height = (y1 - y0) / smaller + 4.0
    fit = Fit(1 / smaller, width / 2 - (x0 + x1) / 2 / smaller, -2.0 - y1 / smaller)
    items: list[Item] = [_ring(face, fit, FACE), _ring(plate.outline, fit, PLATE)]
    items += [_ring(w, fit, PLATE) for w in plate.windows]
    rings = (face, plate.outline, *plate.windows)
    lines = np.concatenate([[fit(float(x), float(y)) for x, y in dense(p)] for p in rings])
    holes = (*plate.openings, *plate.pin_holes)
    rounds = [(*fit(*o.at), max(o.diameter / 2 * fit.scale, 0.6) + 1.2) for o in holes]
    taken = [(x - r, y - r, x + r, y + r) for x, y, r in rounds]
    for o in holes:
        x, y = fit(*o.at)
        r = max(o.diameter / 2 * fit.scale, 0.6)
        items += [
            Circle(x, y, r, PLATE),
            Line(x - r - 1, y, x + r + 1, y, FINE),
            Line(x, y - r - 1, x, y + r + 1, FINE),
        ]
        name = free_text((x, y), r + 1.6, fitted(o.name, 8.5, 24.0, "bold"), taken, lines, "bold")
        taken.append(room_of(name))
        items.append(name)
    return f"1:{smaller:g}", picture(items, height)


def _ring(points: np.ndarray, fit: Fit, stroke: Stroke) -> Polyline:
    return Polyline(tuple(fit(float(x), float(y)) for x, y in points), True, stroke)
