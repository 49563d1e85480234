"""A template at 1:1 as one large drawing, before it is cut into tiles."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import cos, hypot, pi, radians, sin

import numpy as np
import shapely

from ribwright.documents.check_distances import CheckMarks, check_marks
from ribwright.documents.clear_spot import clear_spot
from ribwright.documents.lettering import MM_PER_POINT, text_width
from ribwright.documents.page import Circle, Item, Line, Pair, Polyline, Stroke, Text, moved, path_items, path_line
from ribwright.documents.register_marks import Free
from ribwright.documents.template_circles import circle_items
from ribwright.documents.template_looks import CENTRE, CUT, LOOKS
from ribwright.documents.template_values import TemplateContent, TemplateHole, joined
from ribwright.documents.template_words import INSIDE, placed_words, seams, text_room
from ribwright.documents.tiling import Grid, Spread, plan_tiles
from ribwright.geometry.path import Vertex

FROM_HOLE, FROM_LINE = 15.0, 5.0  # a register mark keeps this far from a hole's centre and from a line [mm]
NUMBER = 10.0  # half the room of a register mark and its number on either side [mm]
ARROW = 60.0  # length of the grain arrow [mm]
PAPER_NOTE = "Paper moves with the air: check both bars and the three distances before use."

Box = tuple[float, float, float, float]


@dataclass(frozen=True)
class Stamp:
    """Something printed on the blank's face: items about the origin and the corners of the room they take [mm]."""

    items: tuple[Item, ...]
    room: tuple[Pair, ...]


def template_spread(content: TemplateContent, paper: str) -> tuple[Spread, Grid, CheckMarks]:
    """The drawing, how it is cut up on this paper, and its check marks."""
    shape = content.outline.chords(0.05)
    box = _around([_bounds(line.path.chords(0.05)) for line in content.every_line])
    grid = plan_tiles(check_marks(box, content.units).box(), paper)
    # what finds no room on the outline stands below it, and that may move the tiles: words are set again for those
    for _ in range(3):
        words = placed_words(content, grid)
        stamps = _placed(content, shape, words, seams(grid), box)
        whole = _around([box, *(outside for _, outside in stamps if outside is not None)])
        marks = check_marks(whole, content.units)
        before, grid = grid, plan_tiles(marks.box(), paper)
        if grid == before:
            break
    lines = (*_lines(content, whole), *words, *(i for stamp, _ in stamps for i in stamp))
    # of a banner the first sentence: the whole of it stands on the cover
    note = content.banner.partition(". ")[0] + "." if content.banner else content.kind.cut_note
    notes = (note, PAPER_NOTE)
    registers = grid.registers(_clear_of(content, (*lines, *marks.items())))
    # circles may lie under a register mark: its number is white about it, and circles are many
    lines = (*circle_items(content.circles, [i for i in lines if isinstance(i, Text)]), *lines)
    return Spread((*lines, *marks.items()), marks.box(), content.identity, notes, registers), grid, marks


def _clear_of(content: TemplateContent, items: Sequence[Item]) -> Free:
    """Whether a register mark at a place is far from every hole's centre, off every line and off all print."""
    lines = [line.path.chords(0.05) + line.path.chords(0.05)[: line.path.closed] for line in content.every_line]
    near: list[shapely.Geometry] = [shapely.LineString(p).buffer(FROM_LINE) for p in lines]
    holes = [shapely.Point(h.x, h.y) for h in content.named_holes] + [shapely.Point(p) for p in content.pins]
    near += [p.buffer(FROM_HOLE) for p in holes]
    near += [
        shapely.Point(h.x, h.y).buffer((h.diameter + h.slot) / 2).boundary.buffer(FROM_LINE) for h in content.holes
    ]
    barred = shapely.union_all(near)
    shapely.prepare(barred)
    words = shapely.union_all([text_room(i) for i in items if isinstance(i, Text)])
    shapely.prepare(words)

    def free(x: float, y: float) -> bool:
        print_ = shapely.box(x - NUMBER, y - 4.0, x + NUMBER, y + 4.0)
        return not shapely.contains_xy(barred, x, y) and not shapely.intersects(words, print_)

    return free


def hole_items(hole: TemplateHole) -> tuple[Item, ...]:
    """The hole's edge and the cross of its centre; a pin hole's cross reaches further out."""
    r, reach = hole.diameter / 2, hole.diameter / 2 + (5.0 if hole.takes_pin else 2.0)
    edge = (Circle(hole.x, hole.y, r, CUT),) if hole.slot <= 0 else path_items(slot_vertices(hole), True, CUT)
    pilot = (Circle(hole.x, hole.y, hole.pilot / 2, CENTRE),) if 0 < hole.pilot < hole.diameter else ()
    arm = reach if r < INSIDE / 2 else 5.0
    return (*edge, *pilot, *cross(hole.x, hole.y, arm))


def cross(x: float, y: float, arm: float) -> tuple[Item, ...]:
    """A centre cross with arms of that length [mm]."""
    return Line(x - arm, y, x + arm, y, CENTRE), Line(x, y - arm, x, y + arm, CENTRE)


def _lines(content: TemplateContent, box: Box) -> tuple[Item, ...]:
    out: list[Item] = []
    for line in content.every_line:
        stroke, path = LOOKS[line.look].stroke, line.path
        # dashes run on over a path drawn as one line; a full line keeps its true arcs
        out += (
            [path_line(path.vertices, path.closed, stroke)]
            if stroke.dash
            else path_items(path.vertices, path.closed, stroke)
        )
    out += [item for hole in content.holes for item in hole_items(hole)]
    out += [item for h in content.reliefs for item in cross(h.x, h.y, h.diameter / 2 + 2.0)]
    # a pin hole already has the cross of its pin
    drawn = [(h.x, h.y) for h in content.holes if h.takes_pin]
    bare = [p for p in content.pins if all(hypot(p[0] - x, p[1] - y) > 0.01 for x, y in drawn)]
    out += [item for x, y in bare for item in cross(x, y, 8.0)]
    return (*out, *_datum(content, box))


def _datum(content: TemplateContent, box: Box) -> tuple[Item, ...]:
    """Two lines through the datum, along x and y, over the whole drawing."""
    if content.datum is None:
        return ()
    (x, y), stroke = content.datum[1], LOOKS["datum"].stroke
    return Line(box[0], y, box[2], y, stroke), Line(x, box[1], x, box[3], stroke)


def slot_vertices(hole: TemplateHole) -> tuple[Vertex, ...]:
    """The four vertices of a slot; its ends are half circles (bulge 1)."""
    r, half, a = hole.diameter / 2, hole.slot / 2, radians(hole.slot_angle)
    u, v = (cos(a), sin(a)), (-sin(a), cos(a))
    corners = ((half, -r, 1.0), (half, r, 0.0), (-half, r, 1.0), (-half, -r, 0.0))
    return tuple((hole.x + s * u[0] + q * v[0], hole.y + s * u[1] + q * v[1], bulge) for s, q, bulge in corners)


def _placed(
    content: TemplateContent, shape: Sequence[Pair], words: tuple[Text, ...], seams: tuple[Box, ...], box: Box
) -> list[tuple[tuple[Item, ...], Box | None]]:
    """Each stamp where it is free on the blank, the largest form that fits; else below it, with the box it takes."""
    taken = _taken(content, words)
    floor = _around([box, *(_bounds(shapely.get_coordinates(text_room(w)).tolist()) for w in words)])
    out: list[tuple[tuple[Item, ...], Box | None]] = []
    for forms in filter(None, (_side_up_forms(content), _grain_forms(content))):
        found = _spot(forms, shape, taken, seams)
        if found is not None:
            stamp, spot = found
            taken = [*taken, shapely.Polygon(np.array(stamp.room) + spot).buffer(2.0)]
            out.append((tuple(moved(i, *spot) for i in stamp.items), None))
        else:
            items, floor = _below(forms[0], floor)
            out.append((items, floor))
    return out


def _spot(
    forms: tuple[Stamp, ...], shape: Sequence[Pair], taken: list[shapely.Geometry], seams: tuple[Box, ...]
) -> tuple[Stamp, Pair] | None:
    """The largest form that finds a place off the joints of the tiles; else the largest that finds any."""
    joints = [shapely.box(*s) for s in seams]
    for closed in ([*taken, *joints], taken) if joints else (taken,):
        for stamp in forms:
            spot = clear_spot(shape, closed, stamp.room)
            if spot is not None:
                return stamp, spot
    return None


def _below(stamp: Stamp, floor: Box) -> tuple[tuple[Item, ...], Box]:
    """The stamp under the box, its left edges in line; the new box that holds only the stamp."""
    room = _bounds(stamp.room)
    dx, dy = floor[0] - room[0], floor[1] - 6.0 - room[3]
    return tuple(moved(i, dx, dy) for i in stamp.items), (
        room[0] + dx,
        room[1] + dy,
        room[2] + dx,
        room[3] + dy,
    )


def _taken(content: TemplateContent, words: tuple[Text, ...]) -> list[shapely.Geometry]:
    """Cutouts, holes, tangent lines and words already there, with room around them."""
    out: list[shapely.Geometry] = [shapely.Polygon(path.chords(0.05)).buffer(3.0) for path in content.cutouts]
    out += [shapely.Point(h.x, h.y).buffer(h.diameter / 2 + h.slot / 2 + 6.0) for h in content.named_holes]
    out += [shapely.Point(p).buffer(9.0) for p in content.pins]
    for line in content.every_line[1 + len(content.cutouts) :]:
        points = line.path.chords(0.05)
        out.append(shapely.LineString([*points, points[0]] if line.path.closed else points).buffer(2.0))
    if content.datum is not None:
        (x, y), (x0, y0, x1, y1) = content.datum[1], _bounds(content.outline.chords(0.05))
        out += [shapely.LineString(ends).buffer(1.0) for ends in (((x0, y), (x1, y)), ((x, y0), (x, y1)))]
    return [*out, *map(text_room, words)]


def _side_up_forms(content: TemplateContent) -> tuple[Stamp, ...]:
    """THIS SIDE UP and who the blank is for, from the full form to the shortest."""
    sheet = joined(content.material, content.thickness)
    grain = (
        () if content.grain_deg is not None or not content.kind.grain else (("Grain: any direction", 9.0, "regular"),)
    )
    side = ((content.side_up, 9.0, "regular"),) if content.side_up else ()
    head = ((content.up, 16.0, "bold"), *side, (content.name_line, 11.0, "bold"))
    full = (*head, (sheet, 9.0, "regular"), (f"fingerprint {content.fingerprint}", 8.0, "regular"), *grain)
    short = ((content.up, 12.0, "bold"), (content.name_line, 8.0, "bold"), *grain)
    middle = (*head, (f"fingerprint {content.fingerprint}", 8.0, "regular"), *grain)
    return _stamp_of(full), _stamp_of(middle), _stamp_of(short)


def _stamp_of(lines: Sequence[tuple[str, float, str]]) -> Stamp:
    """Centred lines of (text, size [pt], font) about the origin."""
    steps = [1.35 * size * MM_PER_POINT for _, size, _ in lines]
    half = max(text_width(text, size, font) for text, size, font in lines) / 2 + 1.5
    y, items = sum(steps) / 2, []
    for (text, size, font), step in zip(lines, steps, strict=True):
        y -= step
        items.append(Text(0.0, y + 0.3 * step, text, size, font, "middle"))
    top = sum(steps) / 2
    return Stamp(tuple(items), ((-half, -top), (half, -top), (half, top), (-half, top)))


def _grain_forms(content: TemplateContent) -> tuple[Stamp, ...]:
    """The grain arrow, full and half size; none where the drawing does not care."""
    if content.grain_deg is None or not content.kind.grain:
        return ()
    return _arrow(content.grain_deg, ARROW), _arrow(content.grain_deg, ARROW / 2)


def _arrow(angle: float, length: float) -> Stamp:
    """A line with a head at both ends, for the grain has no sense, and the word GRAIN along it."""
    a = radians(90.0 - (90.0 - angle) % 180.0)  # the word never stands on its head
    turn = np.array([[cos(a), -sin(a)], [sin(a), cos(a)]])

    def at(s: float, q: float) -> Pair:
        x, y = turn @ (s, q)
        return float(x), float(y)

    half = length / 2
    tips = [(at(e * half, 0), at(e * (half - 6), 1.5), at(e * (half - 6), -1.5)) for e in (-1, 1)]
    heads = [Polyline(tip, True, None, 0.0) for tip in tips]
    shaft = Line(*at(4 - half, 0), *at(half - 4, 0), Stroke(0.5))
    word = Text(*at(0, 2.0), "GRAIN", 11, "bold", "middle", a * 180 / pi)
    room = (at(-half - 1, -3), at(half + 1, -3), at(half + 1, 7), at(-half - 1, 7))
    return Stamp((shaft, *heads, word), room)


def _bounds(points: Sequence[Pair]) -> Box:
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    return min(xs), min(ys), max(xs), max(ys)


def _around(boxes: Sequence[Box]) -> Box:
    lefts, lows, rights, highs = zip(*boxes, strict=True)
    return min(lefts), min(lows), max(rights), max(highs)
