"""The form block seen from above, to a round scale: web face, foot, pins, recesses, edge names, overall sizes."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ribwright.documents.block_joggles import step_marks
from ribwright.documents.edge_start import start_marks
from ribwright.documents.layout import Fit, Piece, picture
from ribwright.documents.lettering import MM_PER_POINT, fitted, text_width
from ribwright.documents.notch_marks import plan_marks, standing
from ribwright.documents.page import Circle, Item, Line, Pair, Polyline, Stroke, Text
from ribwright.features.laid import LaidEdge
from ribwright.geometry.grooved_path import rim
from ribwright.geometry.path import Path
from ribwright.stages.bead_shapes import bead_shapes
from ribwright.stages.block import Block
from ribwright.stages.groove import FaceGroove
from ribwright.stages.plan import Plan
from ribwright.units import Unit, show_length

Array = NDArray[np.float64]
Box = tuple[float, float, float, float]
SCALES = (1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0, 15.0, 20.0, 25.0, 50.0, 100.0)
FACE, UNDER, FINE, RING = (
    Stroke(0.5),
    Stroke(0.25, 0.0, (2.2, 1.1)),
    Stroke(0.15),
    Stroke(0.25, 0.0, (4.0, 1.0, 0.6, 1.0)),
)
PRINT = 8.5
NAME_SHARES = (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8)
START_OFF = 6.5  # arrow of the lengths along an edge, outside it and its name [mm]
SIDE, LOW = 19.0, 18.0  # room beside and below the block for names and sizes [mm]


@dataclass(frozen=True)
class PlanView:
    """The picture and how much smaller than the block it is drawn ("1:5")."""

    piece: Piece
    scale: str


def plan_view(plan: Plan, width: float, highest: float, first: Unit) -> PlanView:
    """The view, at most `highest` [mm] high, drawn to the largest round scale that fits."""
    box = block_box(plan.block)
    wide, tall = box[2] - box[0], box[3] - box[1]
    fitting = max(wide / (width - 2 * SIDE), tall / (highest - LOW - 10.0))
    smaller = next((s for s in SCALES if s >= fitting), float(np.ceil(fitting / 10) * 10))
    height = tall / smaller + LOW + 10.0
    fit = Fit(
        1 / smaller,
        width / 2 - (box[0] + box[2]) / 2 / smaller,
        -10.0 - box[3] / smaller,
    )
    marks = [*start_marks(plan, fit, START_OFF), *step_marks(plan, fit)]
    zeros = [room_of(t) for t in marks if isinstance(t, Text)]
    zeros.append(_around(fit(0.0, 0.0), 2.4))
    names = _edge_names(plan, fit, zeros)
    taken = [*zeros, *(room_of(t) for t in names)]
    origin = _origin(fit, taken, width, height)
    items = [*_lines(plan.block, fit), *plan_marks(plan, fit), *marks, *names, *_sizes(plan.block, fit, first), *origin]
    taken += [room_of(t) for t in origin if isinstance(t, Text)]
    labels = _labels(plan.block, fit, taken, first)
    items += [*labels, *_numbers(plan, fit, [*taken, *(room_of(t) for t in labels)])]
    return PlanView(picture(items, height), f"1:{smaller:g}")


def block_box(block: Block) -> Box:
    """(left, bottom, right, top) of web face and foot together [mm]."""
    p = np.concatenate([*block.outlines[:1], *block.feet[:1]])
    return float(p[:, 0].min()), float(p[:, 1].min()), float(p[:, 0].max()), float(p[:, 1].max())


def ring_box(ring: Array) -> Box:
    """(left, bottom, right, top) of a ring of points [mm]."""
    return float(ring[:, 0].min()), float(ring[:, 1].min()), float(ring[:, 0].max()), float(ring[:, 1].max())


def _ring(points: Array, fit: Fit, stroke: Stroke) -> Polyline:
    return Polyline(tuple(fit(float(x), float(y)) for x, y in points), True, stroke)


def _lines(block: Block, fit: Fit) -> list[Item]:
    items: list[Item] = [_ring(p, fit, UNDER) for p in block.feet]
    items += [_ring(p, fit, FACE) for p in block.outlines]
    for g in block.grooves:
        if isinstance(g, FaceGroove):
            items.append(_ring(np.array(Path(rim(g.path, g.profile.width / 2)).chords(0.05)), fit, FACE))
            items.append(Polyline(tuple(fit(float(x), float(y)) for x, y in g.path), False, UNDER))
    for r in block.recesses:
        x, y = fit(*r.at)
        items.append(Circle(x, y, r.diameter / 2 * fit.scale, FACE))
        if r.bottom_diameter > 0:
            items.append(Circle(x, y, r.bottom_diameter / 2 * fit.scale, UNDER))
        items += _cross(x, y, r.diameter / 2 * fit.scale + 1.5)
    for r in block.rings:
        x, y = fit(*r.at)
        items += [Circle(x, y, r.diameter / 2 * fit.scale, RING), *_cross(x, y, 2.0)]
    for p in block.pins:
        x, y = fit(*p.at)
        items += [Circle(x, y, max(p.diameter / 2 * fit.scale, 0.6), FACE), *_cross(x, y, 2.6)]
    return items


def _cross(x: float, y: float, arm: float) -> list[Item]:
    return [Line(x - arm, y, x + arm, y, FINE), Line(x, y - arm, x, y + arm, FINE)]


def _edge_names(plan: Plan, fit: Fit, taken: list[Box]) -> list[Text]:
    """Each edge's name along it, outside the outline, where it covers no other name, no pin and no line of the block."""
    block = plan.block
    lines = np.concatenate([[fit(float(x), float(y)) for x, y in dense(p)] for p in block.outlines])
    taken = [*taken, *(_around(fit(*p.at), max(p.diameter / 2 * fit.scale, 2.8)) for p in block.pins)]
    out = []
    for loop in plan.blank.laid:
        for edge in loop.edges if loop.in_block else ():
            tried = [_name_at(edge, share, off, fit) for off in (0.0, 3.5) for share in NAME_SHARES]
            level = [t for share in NAME_SHARES for t in [_name_level(edge, share, fit)] if t is not None]
            clear = (t for t in (*tried, *level) if not _covers(room_of(t), taken) and not touches(t, lines))
            found = next(clear, None) or next((t for t in tried if not _covers(room_of(t), taken)), tried[0])
            taken.append(room_of(found))
            out.append(found)
    return out


def _name_at(edge: LaidEdge, share: float, off: float, fit: Fit) -> Text:
    """The name along the edge, `off` [mm] farther out than it need be."""
    p, t, n = (a[0] for a in edge.tangent_line.frame(np.array([edge.curve.length * share])))
    angle = (float(np.degrees(np.arctan2(t[1], t[0]))) + 90.0 - 1e-9) % 180.0 - 90.0
    a = np.radians(angle)
    away = off + (2.0 if n @ (-np.sin(a), np.cos(a)) > 0 else 2.0 + PRINT * MM_PER_POINT * 0.75)
    x, y = fit(float(p[0]), float(p[1]))
    words = fitted(edge.edge.name, PRINT, max(edge.curve.length * fit.scale, 30.0), "bold")
    return Text(x + away * n[0], y + away * n[1], words, PRINT, "bold", "middle", angle)


def _name_level(edge: LaidEdge, share: float, fit: Fit) -> Text | None:
    """The name level, beside an edge that is bent too much for print along it."""
    p, _, n = (a[0] for a in edge.tangent_line.frame(np.array([edge.curve.length * share])))
    x, y = fit(float(p[0]), float(p[1]))
    if abs(n[0]) < 0.25:
        return None
    words = fitted(edge.edge.name, PRINT, 34.0, "bold")
    return Text(x + 3.0 * n[0], y + 3.0 * n[1] - 1.0, words, PRINT, "bold", "start" if n[0] > 0 else "end")


def touches(t: Text, lines: Array) -> bool:
    """Whether a point of the lines lies in the print's own turned box."""
    w, h = text_width(t.text, t.size_pt, t.font), t.size_pt * MM_PER_POINT
    left = {"start": 0.0, "middle": -w / 2, "end": -w}[t.anchor]
    a = np.radians(t.angle_deg)
    q = (lines - (t.x, t.y)) @ np.array([[np.cos(a), -np.sin(a)], [np.sin(a), np.cos(a)]])
    return bool(np.any((q[:, 0] > left) & (q[:, 0] < left + w) & (q[:, 1] > -0.2 * h) & (q[:, 1] < 0.8 * h)))


def _sizes(block: Block, fit: Fit, first: Unit) -> list[Item]:
    """Overall length and width of the web face before rounding, as dimension lines below and to the right."""
    x0, y0, x1, y1 = ring_box(block.outlines[0])
    a, b = fit(x0, y0), fit(x1, y1)
    low = fit(0.0, block_box(block)[1])[1] - 10.0
    right = fit(block_box(block)[2], 0.0)[0] + 10.0
    items: list[Item] = [*_arrow((a[0], low), (b[0], low)), *_arrow((right, a[1]), (right, b[1]))]
    items += [Line(x, a[1] - 1.0, x, low - 1.5, FINE) for x in (a[0], b[0])]
    items += [Line(b[0] + 1.0, y, right + 1.5, y, FINE) for y in (a[1], b[1])]
    items.append(Text((a[0] + b[0]) / 2, low - 4.0, show_length(x1 - x0, first), PRINT, "bold", "middle"))
    items.append(Text(right + 6.0, (a[1] + b[1]) / 2, show_length(y1 - y0, first), PRINT, "bold", "middle", 90.0))
    return items


def _arrow(a: Pair, b: Pair) -> list[Item]:
    """A dimension line with short slanting ticks at its ends."""
    ticks = [Line(x - 1.0, y - 1.0, x + 1.0, y + 1.0, Stroke(0.35)) for x, y in (a, b)]
    return [Line(*a, *b, FINE), *ticks]


def _origin(fit: Fit, names: list[Box], width: float, height: float) -> list[Item]:
    """Directions of the part's axes in the lower left corner, and the origin where it lies in the picture."""
    items: list[Item] = []
    ox, oy = fit(0.0, 0.0)
    if 8.0 < ox < width - 2.0 and -height + 14.0 < oy < -4.0:
        items += [Circle(ox, oy, 1.0, Stroke(0.3)), *_cross(ox, oy, 2.2)]
        spots = [(-1.6, -3.8, "end"), (-1.6, 1.8, "end"), (1.6, -3.8, "start"), (1.6, 1.8, "start")]
        spots += [(3.0, 3.5, "start"), (3.0, -5.5, "start"), (-6.0, -6.5, "end"), (-6.0, 5.0, "end")]
        tried = [Text(ox + dx, oy + dy, "0, 0", PRINT, "regular", anchor) for dx, dy, anchor in spots]
        items.append(next((t for t in tried if not _covers(room_of(t), names)), tried[-1]))
    x, y = 2.0, -height + 2.0
    for dx, dy, word in ((1.0, 0.0, "x"), (0.0, 1.0, "y")):
        tip = (x + 8 * dx, y + 8 * dy)
        head = (
            tip,
            (tip[0] - 2 * dx + 0.7 * dy, tip[1] - 2 * dy + 0.7 * dx),
            (tip[0] - 2 * dx - 0.7 * dy, tip[1] - 2 * dy - 0.7 * dx),
        )
        items += [Line(x, y, *tip, Stroke(0.3)), Polyline(head, True, None, 0.0)]
        items.append(Text(tip[0] + 1.2 * dx, tip[1] + 1.0 * dy - (1.0 * dx), word, PRINT))
    return items


def _labels(block: Block, fit: Fit, taken: list[Box], first: Unit) -> list[Text]:
    """Name and diameter of each pin, recess and ring on the web face, where they cover nothing drawn."""
    lines = np.array([fit(float(x), float(y)) for p in (*block.outlines, *block.feet) for x, y in dense(p)])
    spots = [(r.at, r.diameter, f"{r.name} recess") for r in block.recesses]
    spots += [(r.at, r.diameter, f"{r.name} ring") for r in block.rings]
    spots += [(p.at, p.diameter, f"{p.name} pin") for p in block.pins]
    taken = [*taken, *(_around(fit(*at), max(d / 2 * fit.scale + 2.0, 2.8)) for at, d, _ in spots)]
    face = ring_box(lines)
    out: list[Text] = []
    for at, diameter, name in spots:
        away = max(diameter / 2 * fit.scale, 2.0) + 2.4
        texts = _free(fit(*at), away, fitted(name, PRINT, 50.0), f"Ø {_one(diameter, first)}", taken, lines, face)
        taken += [room_of(t) for t in texts]
        out += texts
    return out


def _numbers(plan: Plan, fit: Fit, taken: list[Box]) -> list[Text]:
    """B1 beside each bead, N1 beside each notch, as their tables number them."""
    outlines = [np.array(fit_all(dense(p), fit)) for p in plan.block.outlines]
    beads = bead_shapes(plan.job)
    rims = [np.array(Path(rim(s.path, s.bead.width / 2)).chords(0.05)) for s in beads]
    cuts = [(n, np.array(n.cut.path.chords(0.05))) for n in standing(plan, in_block=True) if n.cut]
    lines = np.concatenate([*outlines, *(np.array(fit_all(dense(p), fit)) for p in (*rims, *(c for _, c in cuts)))])
    pins = [_around(fit(*p.at), max(p.diameter / 2 * fit.scale, 2.8)) for p in plan.block.pins]
    taken = [*taken, *pins]
    _, y0, x1, y1 = block_box(plan.block)
    right = fit(x1, 0.0)[0] + 10.0
    sizes = dense(np.array([(right, fit(x1, y0)[1]), (right, fit(x1, y1)[1])]))
    lines = np.concatenate([lines, sizes])
    spots = [((float(s.path[-1][0]), float(s.path[-1][1])), s.bead.width / 2, f"B{s.number}") for s in beads]
    spots += [
        ((float(c.mean(axis=0)[0]), float(c.mean(axis=0)[1])), n.notch.depth / 2, f"N{n.number}") for n, c in cuts
    ]
    out: list[Text] = []
    for at, half, words in spots:
        out.append(free_text(fit(*at), half * fit.scale + 0.8, words, taken, lines, "bold"))
        taken.append(room_of(out[-1]))
    return out


def fit_all(points: Array, fit: Fit) -> list[Pair]:
    """The points on paper."""
    return [fit(float(x), float(y)) for x, y in points]


def _free(at: Pair, away: float, name: str, size: str, taken: list[Box], lines: Array, face: Box) -> list[Text]:
    """The first place round a point that is free, near ones first: name and size on one line, else on two, else the
    name alone; the tables carry the size too."""
    x, y = at
    step = 1.15 * PRINT * MM_PER_POINT
    short = fitted(name, PRINT, 20.0)
    forms = ([f"{name} {size}"], [name, size], [name], [short])
    for d, form in ((d, form) for form in forms for d in (0.0, 2.5, 5.0, 7.5)):
        rise = (len(form) - 1) * step
        for tx, ty, anchor in (
            (x + away + d, y - 1.0 + rise / 2, "start"),
            (x - away - d, y - 1.0 + rise / 2, "end"),
            (x, y + away + d + 0.3 + rise, "middle"),
            (x, y - away - d - 2.4, "middle"),
        ):
            texts = [Text(tx, ty - i * step, words, PRINT, "regular", anchor) for i, words in enumerate(form)]
            if all(_is_free(room_of(t), taken, lines, face) for t in texts):
                return texts
    return [free_text((x, y), away, short, taken, lines)]


def free_text(at: Pair, away: float, words: str, taken: list[Box], lines: Array, font: str = "regular") -> Text:
    """Words beside a point, `away` [mm] from it or a little more, off other print and off the lines; else off other print;
    else to its right."""
    x, y = at
    tried = []
    for d in (0.0, 2.5, 5.0, 8.0, 11.0, 14.0):
        r = away + d
        tried += [Text(x + r, y - 1.0, words, PRINT, font), Text(x - r, y - 1.0, words, PRINT, font, "end")]
        tried += [
            Text(x, y + r + 0.3, words, PRINT, font, "middle"),
            Text(x, y - r - 2.4, words, PRINT, font, "middle"),
        ]
        tried += [Text(x + r, y + 0.7 * r, words, PRINT, font), Text(x + r, y - 0.7 * r - 2.4, words, PRINT, font)]
        tried += [Text(x - r, y + 0.7 * r, words, PRINT, font, "end")]
        tried += [Text(x - r, y - 0.7 * r - 2.4, words, PRINT, font, "end")]
    apart = [t for t in tried if not _covers(room_of(t), taken)]
    return next((t for t in apart if not touches(t, lines)), apart[0] if apart else tried[0])


def _is_free(room: Box, taken: list[Box], lines: Array, face: Box) -> bool:
    x0, y0, x1, y1 = room
    if x0 < face[0] or y0 < face[1] or x1 > face[2] or y1 > face[3]:
        return False
    if _covers(room, taken):
        return False
    x, y = lines[:, 0], lines[:, 1]
    return not bool(np.any((x > x0) & (x < x1) & (y > y0) & (y < y1)))


def _covers(room: Box, taken: list[Box]) -> bool:
    """True when the box lies over one of the others."""
    x0, y0, x1, y1 = room
    return any(x0 < b[2] and b[0] < x1 and y0 < b[3] and b[1] < y1 for b in taken)


def dense(ring: Array) -> Array:
    """The ring's points and those between them, no farther apart than a letter is wide at any scale used."""
    ahead = np.roll(ring, -1, axis=0)
    shares = np.linspace(0.0, 1.0, 60, endpoint=False)[:, None]
    return np.concatenate([a + shares * (b - a) for a, b in zip(ring, ahead, strict=True)])


def room_of(t: Text) -> Box:
    """The box a line of print covers; turned print by the box round it."""
    w, h = text_width(t.text, t.size_pt, t.font), t.size_pt * MM_PER_POINT
    left = {"start": 0.0, "middle": -w / 2, "end": -w}[t.anchor]
    a = np.radians(t.angle_deg)
    corners = np.array([(left, -0.2 * h), (left + w, -0.2 * h), (left + w, 0.8 * h), (left, 0.8 * h)])
    turned = corners @ np.array([[np.cos(a), np.sin(a)], [-np.sin(a), np.cos(a)]]) + (t.x, t.y)
    return ring_box(turned)


def _around(at: Pair, r: float) -> Box:
    return at[0] - r, at[1] - r, at[0] + r, at[1] + r


def _one(mm: float, first: Unit) -> str:
    """The shop's unit alone: the tables beside the view carry both."""
    return show_length(mm, first).partition(" (")[0]
