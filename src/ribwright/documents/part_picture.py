"""A small picture of the flat blank: cut line, bend tangent lines, holes, pins, edge names, grain. Not for measuring."""

from __future__ import annotations

import itertools
from collections.abc import Iterable
from dataclasses import dataclass
from math import cos, hypot, pi, radians, sin

import numpy as np
from numpy.typing import NDArray

from ribwright.documents.edge_start import start_marks
from ribwright.documents.layout import SMALL_PT, Fit, Piece, fit_into, picture, shrunk
from ribwright.documents.lettering import fitted, text_width
from ribwright.documents.page import Circle, Item, Line, Pair, Polyline, Stroke, Text, path_line
from ribwright.geometry.path import Vertex
from ribwright.stages.flat_holes import FlatHole
from ribwright.stages.plan import Plan

SIDE, STRIP, NAME_ROW = 21.0, 11.0, 5.5
BALLOON = 1.9  # radius of a balloon's ring [mm]
ROUND = tuple(pi / 8 * k for k in (2, 6, 10, 14, 0, 4, 8, 12))
CUT, DASHED, MARK = Stroke(0.4), Stroke(0.18, 0.25, (2.2, 1.2)), Stroke(0.18)
LEGEND = "Full line: cut edge. Dashed: bend tangent line. Crossed dot: pin. Ringed number: balloon. Not to scale: cut to the template."

Array = NDArray[np.float64]
Box = tuple[float, float, float, float]
Spot = tuple[float, float, str]


def picture_height(plan: Plan, width: float, least: float, most: float) -> float:
    """Height [mm] at which the blank fills the width, within bounds."""
    x, y = plan.blank.size
    return min(most, max(least, (width - 2 * SIDE) * y / max(x, 1e-9) + STRIP + 2 * NAME_ROW))


def part_picture(plan: Plan, width: float, height: float) -> Piece:
    """The picture as a piece `width` x `height` [mm]."""
    xs, ys = zip(*plan.blank.outline.points, strict=True)
    bounds = (min(xs), min(ys), max(xs), max(ys))
    room = height - STRIP - 2 * NAME_ROW
    fit = fit_into(bounds, SIDE, -NAME_ROW - room, width - 2 * SIDE, room)
    items: list[Item] = [path_line(_scaled(loop.path.vertices, fit), True, CUT, 0.05) for loop in plan.blank.loops]
    items += [Polyline(tuple(fit(*p) for p in points), False, DASHED) for _, points in plan.blank.tangents]
    items += _holes(plan, fit)
    items += start_marks(plan, fit)
    items += _names(plan, fit, width)
    items += _strip(plan, width, height)
    return picture(items, height)


def _scaled(vertices: Iterable[Vertex], fit: Fit) -> tuple[Vertex, ...]:
    return tuple((*fit(x, y), bulge) for x, y, bulge in vertices)


def _holes(plan: Plan, fit: Fit) -> list[Item]:
    items: list[Item] = []
    for h in plan.blank.holes:
        x, y = fit(*h.hole.at)
        r = h.cut_diameter / 2 * fit.scale
        if h.hole.slot > 0:
            a, half = radians(h.hole.slot_angle), h.hole.slot / 2 * fit.scale
            items.append(
                Line(x - half * cos(a), y - half * sin(a), x + half * cos(a), y + half * sin(a), Stroke(2 * r))
            )
        else:
            items.append(Circle(x, y, r, Stroke(0.25)))
        if h.tangent_diameter is not None:
            items.append(Circle(x, y, h.tangent_diameter / 2 * fit.scale, DASHED))
    for p in plan.block.pins:
        x, y = fit(*p.at)
        items.append(Circle(x, y, max(0.8, p.diameter / 2 * fit.scale), None, 0.0))
        items += [Line(x - 2, y, x + 2, y, MARK), Line(x, y - 2, x, y + 2, MARK)]
    return items


def _names(plan: Plan, fit: Fit, width: float) -> list[Item]:
    """Hole names beside the holes, edge names outside the edges, each with its balloon; a name that would lie on another
    one is moved or left out rather than printed over it."""
    taken = [_round_box(*fit(*h.hole.at), _ring(h, fit)) for h in plan.blank.holes]
    lines = _line_points(plan, fit)
    items: list[Item] = []
    for h in plan.blank.holes:
        x, y = fit(*h.hole.at)
        r, label = _ring(h, fit) + 0.8, Label(h.hole.name, "regular", h.hole.balloon)
        if h.hole.kind == "lightening" and 2 * r - 5 > label.wide:
            items += label.drawn(x - label.wide / 2, y - 1.0)
            continue
        spots = [(x + r, y - 1.0, "start"), (x - r, y - 1.0, "end"), (x, y + r, "middle"), (x, y - r - 2.4, "middle")]
        spots += [(x + d * (r + far), y - 1.0, a) for far in (3.0, 6.0) for d, a in ((1, "start"), (-1, "end"))]
        items += _first_free(label, spots, taken, lines)
    balloons = {e.name: e.balloon for e in plan.job.part.outer.edges}
    for name, (px, py), (nx, ny) in _edge_places(plan):
        x, y = fit(px, py)
        anchor = "start" if nx > 0.7 else "end" if nx < -0.7 else "middle"
        room = {"start": width - x, "end": x, "middle": 2 * min(x, width - x)}[anchor] - 4.0
        label = Label(fitted(name, SMALL_PT, max(room, SIDE - 3.0), "bold"), "bold", balloons[name])
        spots = [(x + d * nx, y + d * ny - 1.0 - (0.6 if ny < 0 else 0.0), anchor) for d in (2.4, 1.6, 3.4)]
        items += _first_free(label, spots, taken, lines)
    for corner in plan.job.part.corners:
        join = next((j for js in plan.blank.joins for j in js if {j.before, j.after} == set(corner.at)), None)
        if join is not None and corner.balloon:
            x, y = fit(*join.drawn)
            around = [(x + d * cos(a), y + d * sin(a) - 1.0, "middle") for d in (5.0, 7.0) for a in ROUND]
            items += _first_free(Label("", "regular", corner.balloon), around, taken, lines)
    return items


@dataclass(frozen=True)
class Label:
    """A name, and behind it the number of the drawing's balloon in a ring."""

    name: str
    font: str
    balloon: str = ""

    @property
    def wide(self) -> float:
        """Width of name and ring [mm]."""
        return text_width(self.name, SMALL_PT, self.font) + (2 * BALLOON + 0.8 if self.balloon else 0.0)

    def drawn(self, x: float, y: float) -> list[Item]:
        """From x on, its base line at y."""
        items: list[Item] = [Text(x, y, self.name, SMALL_PT, self.font)] if self.name else []
        if self.balloon:
            middle = x + self.wide - BALLOON
            words = shrunk(self.balloon, SMALL_PT - 1.0, 2 * BALLOON - 0.8, least_pt=4.0)
            items += [Circle(middle, y + 1.0, BALLOON, MARK), Text(middle, y + 0.15, *words, anchor="middle")]
        return items


def _ring(hole: FlatHole, fit: Fit) -> float:
    """Radius on the page that a hole with its marks takes [mm]."""
    return max(2.0, (hole.tangent_diameter or hole.cut_diameter) / 2 * fit.scale + 0.3)


def _round_box(x: float, y: float, r: float) -> Box:
    return x - r, y - r, x + r, y + r


def _line_points(plan: Plan, fit: Fit) -> Array:
    """Points along cut edges and tangent lines on the page, at most 0.7 mm apart, (n, 2)."""
    rings = [(*loop.points, loop.points[0]) for loop in plan.blank.loops]
    out = []
    for line in [*rings, *(points for _, points in plan.blank.tangents)]:
        p = np.array([fit(*q) for q in line])
        for a, b in itertools.pairwise(p):
            out.append(np.linspace(a, b, 2 + int(hypot(*(b - a)) / 0.7)))
    return np.concatenate(out)


def _first_free(label: Label, spots: list[Spot], taken: list[Box], lines: Array) -> list[Item]:
    """The label at the first spot clear of other print and of lines, else at the first clear of print, else nowhere."""
    shift = {"start": 0.0, "middle": label.wide / 2, "end": label.wide}
    lefts = [x - shift[anchor] for x, _, anchor in spots]
    high = 3.1 if label.balloon else 2.3
    boxes = [
        (x - 0.4, y + 1.6 - high, x + label.wide + 0.4, y + high) for x, (_, y, _) in zip(lefts, spots, strict=True)
    ]
    clear = [i for i, box in enumerate(boxes) if not any(_meet(box, b) for b in taken)]
    best = next((i for i in clear if not _crosses(boxes[i], lines)), clear[0] if clear else None)
    if best is None:
        return []
    taken.append(boxes[best])
    return label.drawn(lefts[best], spots[best][1])


def _meet(a: Box, b: Box) -> bool:
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


def _crosses(box: Box, lines: Array) -> bool:
    x, y = lines[:, 0], lines[:, 1]
    return bool(np.any((box[0] < x) & (x < box[2]) & (box[1] < y) & (y < box[3])))


def _edge_places(plan: Plan) -> list[tuple[str, Pair, Pair]]:
    """(name, place on the cut edge, outward normal) of every edge of the outline."""
    out: list[tuple[str, Pair, Pair]] = []
    for i, laid in enumerate(plan.blank.laid[0].edges):
        strip = next((s for s in plan.blank.strips if s.loop == 0 and i in s.run.edges), None)
        if strip is not None:
            mine = np.flatnonzero((strip.at.edge == i) & ~strip.at.cut)
            k = int(mine[len(mine) // 2])
            point, normal = strip.flat[k], strip.at.normal[k]
        else:
            half = laid.curve.length / 2
            a, point, b = laid.curve.point(np.array([half - 0.01, half, half + 0.01]))
            normal = np.array([b[1] - a[1], a[0] - b[0]])
            normal = normal / max(hypot(*normal), 1e-12)
        out.append((laid.edge.name, (float(point[0]), float(point[1])), (float(normal[0]), float(normal[1]))))
    return out


def _strip(plan: Plan, width: float, height: float) -> list[Item]:
    """Grain arrow and legend under the picture."""
    grain = plan.job.part.sheet.grain
    y = -height + STRIP / 2
    words = (
        LEGEND
        if grain is not None
        else LEGEND.replace(": cut to the template", "") + " The drawing asks for no grain direction."
    )
    items: list[Item] = []
    x = 0.0
    if grain is not None:
        a, half = radians(grain), 4.6
        tip = (half + half * cos(a), y + half * sin(a))
        tail = (half - half * cos(a), y - half * sin(a))
        items.append(Line(*tail, *tip, Stroke(0.5)))
        for (px, py), back in ((tip, a), (tail, a + radians(180))):
            wings = tuple((px - 2.4 * cos(back + k * 0.35), py - 2.4 * sin(back + k * 0.35)) for k in (-1, 1))
            items.append(Polyline(((px, py), *wings), True, None, 0.0))
        items.append(Text(2 * half + 2.0, y - 1.0, "GRAIN", SMALL_PT, "bold"))
        x = 2 * half + 2.0 + text_width("GRAIN", SMALL_PT, "bold") + 4.0
    items.append(Text(x, y - 1.0, fitted(words, SMALL_PT, width - x), SMALL_PT, grey=0.2))
    return items
