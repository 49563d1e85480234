"""Sections of the form block: a wall with its undercut and the flange on it, and a recess with the hole flange in it.

Drawn in the plane square to the edge: x outward, y up, the web face at y = 0. A wall leans w from flat, so it runs along
(cos w, -sin w). In a wall section the undercut is drawn `exaggeration` times as large; every number written is true.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil

import numpy as np
from numpy.typing import NDArray

from ribwright.documents.layout import Fit, Piece, fit_into, picture
from ribwright.documents.lean_words import fine_foot, sawn_lean
from ribwright.documents.lettering import text_width
from ribwright.documents.page import Circle, Item, Line, Pair, Polyline, Stroke, Text
from ribwright.units import Unit, show_angle, show_length

Array = NDArray[np.float64]
WOOD, SHEET = 0.9, 0.6
EDGE, FINE, GHOST, TABLE = Stroke(0.5), Stroke(0.15, 0.2), Stroke(0.3, 0.0, (1.6, 0.9)), Stroke(0.9)
SHOWN_DEG = 18.0  # an undercut drawn this large is plain to see
MOST_TIMES = 10
LEAST_TURN = 1.0  # deg; a flange that hardly turned is drawn as if it had turned by this
SQUARE_WITHIN = 0.05  # of 90 deg
PRINT = 9.0


@dataclass(frozen=True)
class WallSection:
    """What a wall section shows. Lengths mm, angles deg; `leg` the straight part of the flange."""

    angle: float
    undercut: float
    part_radius: float
    block_radius: float
    leg: float
    thickness: float
    height: float
    setback: float
    left: float = 0.0
    """Angle error that a fixed undercut, or a press that leaves the flange open, leaves: the released flange is closed past the
    drawing by it [deg]."""
    held: float | None = None
    """Angle under load of a flange that the press leaves open [deg]; None where it lies on the wall."""

    @property
    def loaded(self) -> float:
        """Angle under load [deg]."""
        return self.angle + self.undercut if self.held is None else self.held

    @property
    def released(self) -> float:
        """Angle the flange comes out with [deg]."""
        return self.angle + self.left

    @property
    def released_radius(self) -> float:
        """Inside radius it comes out with: the arc keeps its length [mm]."""
        return (self.part_radius + self.thickness / 2) * self.angle / max(
            self.released, LEAST_TURN
        ) - self.thickness / 2

    @property
    def exaggeration(self) -> int:
        """How many times as large the undercut is drawn; 1 where there is none, on any bend that is not square: its wall
        is plain to see, and nobody may saw it by a picture that leans too far; and where the flange does not reach the wall."""
        if self.undercut < 0.05 or abs(self.angle - 90.0) > SQUARE_WITHIN or self.held is not None:
            return 1
        room = int((165.0 - self.angle) / self.undercut)
        return max(1, min(MOST_TIMES, room, max(2, ceil(SHOWN_DEG / self.undercut))))

    @property
    def drawn_wall(self) -> float:
        """Wall angle as drawn [deg]."""
        return self.angle + self.exaggeration * self.undercut

    @property
    def clearance(self) -> float:
        """Lowest point of the loaded flange above the table, from the true angle [mm]."""
        w = np.radians(self.angle + self.undercut)
        lowest = (self.block_radius + self.thickness / 2) * (1 - np.cos(w)) + self.leg * np.sin(w)
        return float(self.height - lowest + self.thickness / 2 * (1 - abs(np.cos(w))))


@dataclass(frozen=True)
class RecessSection:
    """What a recess section shows. Lengths mm, angles deg."""

    diameter: float
    bottom_diameter: float
    depth: float
    wall: float
    radius: float
    leg: float
    thickness: float
    floor: float
    """Block left under the recess [mm]."""
    held: float | None = None
    """Angle under load of a hole flange that the press leaves open [deg]; None where it lies on the wall."""


def wall_picture(s: WallSection, width: float, height: float, first: Unit) -> Piece:
    """The wall section with its sizes written at it; the sheet under load lies on the wall, or stands open of it."""
    w = s.drawn_wall
    reach = s.block_radius * np.tan(np.radians(w / 2))
    foot = s.height / np.tan(np.radians(w))
    left = min(-reach, foot) - 0.8 * s.height
    loaded = _sheet(-reach, s.block_radius, w if s.held is None else s.held, s.leg, s.thickness, left)
    released = _sheet(-reach, s.released_radius, s.released, s.leg, s.thickness, left)
    block = [(left, 0.0), *_arc(-reach, s.block_radius, w), (foot, -s.height), (left, -s.height)]
    right = max(x for x, _ in (*loaded, *released, (foot, 0.0)))
    high = max(y for _, y in (*loaded, *released))
    low = min(-s.height, *(y for _, y in (*loaded, *released)))
    fit = fit_into((left, low, right, high), 34.0, -height + 6.0, width - 104.0, height - 10.0)
    items: list[Item] = [_area(block, fit, EDGE, WOOD), _area(loaded, fit, Stroke(0.3), SHEET)]
    items += [_area(released, fit, GHOST, None)]
    a, b = fit(left, -s.height), fit(right, -s.height)
    items += [Line(a[0] - 4, a[1], b[0] + 6, b[1], TABLE), Text(a[0] - 4, a[1] - 4.2, "table", PRINT)]
    items += _square_line(s, w, fit)
    items += _height_size(fit(left, 0.0), fit(left, -s.height), f"height {_one(s.height, first)}")
    items += _notes(_wall_notes(s, w, reach, foot, loaded, first), fit, max(b[0] + 8.0, width - 66.0), -4.0, width)
    return picture(items, height)


def recess_picture(s: RecessSection, width: float, height: float, first: Unit) -> Piece:
    """The recess section, drawn true, with the hole flange lying on its wall, or standing open of it as under load."""
    half, bottom = s.diameter / 2, s.bottom_diameter / 2
    t = s.radius * np.tan(np.radians(s.wall / 2))
    side = half + t + 1.2 * s.depth + 4.0
    base = -(s.depth + max(s.floor, 1.0))
    corner = _arc(-half - t, s.radius, s.wall)
    right_hand = [(-x, y) for x, y in reversed(corner)]
    block = [
        (-side, 0.0),
        *corner,
        (-bottom, -s.depth),
        (bottom, -s.depth),
        *right_hand,
        (side, 0.0),
        (side, base),
        (-side, base),
    ]
    flange = _sheet(-half - t, s.radius, s.wall if s.held is None else s.held, s.leg, s.thickness, -side)
    mirror = [(-x, y) for x, y in flange]
    fit = fit_into((-side, base, side, s.thickness), 20.0, -height + 9.0, width - 40.0, height - 18.5)
    items: list[Item] = [_area(block, fit, EDGE, WOOD)]
    items += [_area(f, fit, Stroke(0.3), SHEET) for f in (flange, mirror)]
    axis_low, axis_high = fit(0.0, base), fit(0.0, s.thickness)
    items.append(Line(*axis_low, axis_high[0], axis_high[1] + 3, Stroke(0.15, 0.0, (4.0, 1.0, 0.6, 1.0))))
    a, b = fit(-half, 0.0), fit(half, 0.0)
    y = max(a[1], axis_high[1]) + 3.5
    items += [Line(a[0], a[1], a[0], y + 1, FINE), Line(b[0], b[1], b[0], y + 1, FINE), *_sized((a[0], y), (b[0], y))]
    words = f"Ø {_one(s.diameter, first)} at the web face, before rounding"
    items.append(Text((a[0] + b[0]) / 2, y + 2.2, words, PRINT, "bold", "middle"))
    c, d = fit(bottom, -s.depth), fit(side, 0.0)
    x = d[0] + 5.0
    items += [Line(c[0], c[1], x + 1, c[1], FINE), *_sized((x, d[1]), (x, c[1]))]
    items.append(Text(x + 5.0, (d[1] + c[1]) / 2, f"depth {_one(s.depth, first)}", PRINT, "bold", "middle", 90.0))
    e, f = fit(-bottom, -s.depth), fit(0.0, base)
    words = f"Ø {_one(s.bottom_diameter, first)} at the floor; wall {show_angle(s.wall, 2)} from flat; rim radius {_one(s.radius, first)}"
    items.append(Text((e[0] + c[0]) / 2, f[1] - 5.0, words, PRINT, "bold", "middle"))
    return picture(items, height)


def _arc(start: float, radius: float, angle: float) -> list[Pair]:
    """The rounded corner from (start, 0) on the web face down to where the wall begins."""
    phi = np.radians(np.linspace(0.0, angle, 25))
    return [(float(x), float(y)) for x, y in zip(start + radius * np.sin(phi), radius * (np.cos(phi) - 1), strict=True)]


def _sheet(start: float, radius: float, angle: float, leg: float, thickness: float, left: float) -> list[Pair]:
    """The sheet: flat to `start`, bent round the inside radius, then its straight leg."""
    a = np.radians(angle)
    down, out = np.array([np.cos(a), -np.sin(a)]), np.array([np.sin(a), np.cos(a)])
    inner = _arc(start, radius, angle)
    outer = [(x, y + thickness) for x, y in _arc(start, radius + thickness, angle)]
    tip = np.array(inner[-1]) + leg * down
    far = tip + thickness * out
    ends = [(float(tip[0]), float(tip[1])), (float(far[0]), float(far[1]))]
    return [(left, 0.0), *inner, *ends, *reversed(outer), (left, thickness)]


def _area(points: Sequence[Pair], fit: Fit, stroke: Stroke, fill: float | None) -> Polyline:
    return Polyline(tuple(fit(x, y) for x, y in points), True, stroke, fill)


def _square_line(s: WallSection, wall: float, fit: Fit) -> list[Item]:
    """From the sharp corner: a line along the part's own angle and the arc from it to the wall."""
    if wall - s.angle < 0.5:
        return []
    reach = 0.62 * s.height
    a = np.radians(s.angle)
    end = fit(1.45 * reach * float(np.cos(a)), -1.45 * reach * float(np.sin(a)))
    phi = np.radians(np.linspace(s.angle, wall, 15))
    arc = tuple(fit(reach * float(np.cos(p)), -reach * float(np.sin(p))) for p in phi)
    return [Line(*fit(0.0, 0.0), *end, Stroke(0.2, 0.0, (3.0, 0.8, 0.6, 0.8))), Polyline(arc, False, Stroke(0.3))]


def _wall_notes(
    s: WallSection, wall: float, reach: float, foot: float, loaded: Sequence[Pair], first: Unit
) -> list[tuple[Pair, str]]:
    """(point, words) of what is written beside the section, top first."""
    middle = np.radians((s.angle + wall) / 2)
    at_arc = (0.62 * s.height * float(np.cos(middle)), -0.62 * s.height * float(np.sin(middle)))
    half = np.radians(s.angle / 2)
    bend = (-reach + s.part_radius * float(np.sin(half)), s.part_radius * (float(np.cos(half)) - 1))
    a, b, r = np.radians(s.released), np.radians(wall), s.released_radius
    released = (-reach + r * float(np.sin(a)), r * (float(np.cos(a)) - 1))
    released = (released[0] + 0.35 * s.leg * float(np.cos(a)), released[1] - 0.35 * s.leg * float(np.sin(a)))
    asked = f", drawing asks {show_angle(s.angle)}" if abs(s.left) >= 0.05 else ""
    c = b if s.held is None else np.radians(s.held)
    on = (-reach + s.block_radius * float(np.sin(c)), s.block_radius * (float(np.cos(c)) - 1))
    held = (on[0] + 0.75 * s.leg * float(np.cos(c)), on[1] - 0.75 * s.leg * float(np.sin(c)))
    times = f", drawn {s.exaggeration} times as large" if s.exaggeration > 1 else ", drawn true"
    lowest = min(y for _, y in loaded)
    foot_size = fine_foot(s.setback, first).partition(" (")[0]
    low = 0.9 * s.height
    lean = (low / float(np.tan(b)), -low)
    notes = [
        (bend, f"block edge radius {_one(s.block_radius, first)}"),
        (released, f"released: {show_angle(s.released)}, radius {_one(r, first)}{asked}"),
        (at_arc, f"undercut {show_angle(s.undercut, 2)}{times}"),
        (lean, f"WALL {sawn_lean(s.angle + s.undercut)} from square"),
        (held, f"loaded: {show_angle(s.loaded, 2)}{'' if s.held is None else ', STAYS OPEN'}"),
        ((float(max(x for x, y in loaded if y < lowest + 1e-6)), lowest), f"flange clear of table by {_one(s.clearance, first)}"),
        ((foot, -s.height), f"foot {foot_size}"),
    ]  # fmt: skip
    # from the top down, so that the lines to the points do not cross
    return sorted(notes, key=lambda n: (-round(n[0][1], 6), n[0][0]))


def _notes(notes: Sequence[tuple[Pair, str]], fit: Fit, x: float, top: float, width: float) -> list[Item]:
    """Words in a column at x, each with a thin line to its point; set smaller where they would leave the sheet."""
    items: list[Item] = []
    widest = max(text_width(words, PRINT) for _, words in notes)
    size = PRINT if widest <= width - x else PRINT * (width - x) / widest
    for i, (point, words) in enumerate(notes):
        y = top - i * 8.4
        px, py = fit(*point)
        items += [Line(px, py, x - 5.0, y + 1.0, FINE), Line(x - 5.0, y + 1.0, x - 1.0, y + 1.0, FINE)]
        items.append(Circle(px, py, 0.6, None, 0.0))
        items.append(Text(x, y, words, size))
    return items


def _height_size(a: Pair, b: Pair, words: str) -> list[Item]:
    x = a[0] - 6.0
    rules: list[Item] = [Line(p[0] - 1, p[1], x - 1, p[1], FINE) for p in (a, b)]
    return [
        *rules,
        *_sized((x, a[1]), (x, b[1])),
        Text(x - 1.5, (a[1] + b[1]) / 2, words, PRINT, "bold", "middle", 90.0),
    ]


def _sized(a: Pair, b: Pair) -> list[Item]:
    ticks = [Line(x - 0.9, y - 0.9, x + 0.9, y + 0.9, Stroke(0.35)) for x, y in (a, b)]
    return [Line(*a, *b, FINE), *ticks]


def _one(mm: float, first: Unit) -> str:
    return show_length(mm, first).partition(" (")[0]
