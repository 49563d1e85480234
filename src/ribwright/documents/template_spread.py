"""The blank template at 1:1 as one large drawing, before it is cut into tiles."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import cos, hypot, pi, radians, sin

import numpy as np
import shapely
import shapely.affinity

from ribwright.documents.check_distances import CheckMarks, check_marks
from ribwright.documents.clear_spot import clear_spot
from ribwright.documents.lettering import MM_PER_POINT, text_width
from ribwright.documents.page import Circle, Item, Line, Pair, Polyline, Stroke, Text, moved, path_items, path_line
from ribwright.documents.template_values import TemplateContent, TemplateHole
from ribwright.documents.tiling import OVERLAP, Grid, Spread, plan_tiles
from ribwright.geometry.path import Vertex
from ribwright.units import show_length

CUT = Stroke(0.18)
TANGENT = Stroke(0.18, 0.0, (3.0, 1.5))
CENTRE = Stroke(0.13)
ARROW = 60.0  # length of the grain arrow [mm]
INSIDE = 40.0  # a hole this large carries its words inside [mm]
CUT_NOTE = "Cut to the outer edge of the line; keep scribe marks off the part."
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
    box = _bounds(shape)
    words = _holes_words(content)
    first = plan_tiles(check_marks(box, content.units).box(), paper)
    stamps = _placed(content, shape, words, _seams(first))
    box = _around([box, *(outside for _, outside in stamps if outside is not None)])
    marks = check_marks(box, content.units)
    lines = (*_lines(content), *words, *_edge_words(content), *(i for stamp, _ in stamps for i in stamp))
    spread = Spread((*lines, *marks.items()), marks.box(), content.identity, (CUT_NOTE, PAPER_NOTE))
    return spread, plan_tiles(marks.box(), paper), marks


def hole_items(hole: TemplateHole) -> tuple[Item, ...]:
    """The hole's edge and the cross of its centre; a pin hole's cross reaches further out."""
    r, reach = hole.diameter / 2, hole.diameter / 2 + (5.0 if hole.kind == "tooling" else 2.0)
    edge = (Circle(hole.x, hole.y, r, CUT),) if hole.slot <= 0 else path_items(_slot(hole), True, CUT)
    arm = reach if r < INSIDE / 2 else 5.0
    return (*edge, *cross(hole.x, hole.y, arm))


def cross(x: float, y: float, arm: float) -> tuple[Item, ...]:
    """A centre cross with arms of that length [mm]."""
    return Line(x - arm, y, x + arm, y, CENTRE), Line(x, y - arm, x, y + arm, CENTRE)


def _lines(content: TemplateContent) -> tuple[Item, ...]:
    cuts = [
        item for path in (content.outline, *content.cutouts) for item in path_items(path.vertices, path.closed, CUT)
    ]
    bends = [path_line(path.vertices, path.closed, TANGENT) for path in content.tangents]
    holes = [item for hole in content.holes for item in hole_items(hole)]
    # a pin hole already has the cross of its pin
    drawn = [(h.x, h.y) for h in content.holes if h.kind == "tooling"]
    bare = [p for p in content.pins if all(hypot(p[0] - x, p[1] - y) > 0.01 for x, y in drawn)]
    pins = [item for x, y in bare for item in cross(x, y, 8.0)]
    return (*cuts, *bends, *holes, *pins)


def _slot(hole: TemplateHole) -> tuple[Vertex, ...]:
    """The four vertices of a slot; its ends are half circles (bulge 1)."""
    r, half, a = hole.diameter / 2, hole.slot / 2, radians(hole.slot_angle)
    u, v = (cos(a), sin(a)), (-sin(a), cos(a))
    corners = ((half, -r, 1.0), (half, r, 0.0), (-half, r, 1.0), (-half, -r, 0.0))
    return tuple((hole.x + s * u[0] + q * v[0], hole.y + s * u[1] + q * v[1], bulge) for s, q, bulge in corners)


def _holes_words(content: TemplateContent) -> tuple[Text, ...]:
    """Name and cut diameter of each hole: inside it where it is large, else on the first side that has no line on it."""
    lines = _edges(content)
    out: list[Text] = []
    for hole in content.holes:
        sides = [_words_at(hole, content, *side) for side in _sides(hole)]
        clear = (words for words in sides if not any(shapely.intersects(_text_room(w), lines) for w in words))
        words = next(clear, sides[0])
        lines = shapely.union_all([lines, *map(_text_room, words)])
        out += words
    return tuple(out)


def _sides(hole: TemplateHole) -> tuple[tuple[float, float, str], ...]:
    """(x, y, anchor) of the upper line of a hole's words, best first."""
    inside = (hole.x, hole.y - 9.0, "middle")
    beside = tuple(spot for extra in (0.0, 7.0, 14.0) for spot in _beside(hole, extra))
    return (inside, *beside) if hole.diameter >= INSIDE else beside


def _beside(hole: TemplateHole, extra: float) -> tuple[tuple[float, float, str], ...]:
    """Right, left, above and below the hole; `extra` [mm] farther out, to stand clear of the circle it is turned at."""
    r = (hole.diameter + hole.slot) / 2 + extra
    return (
        (hole.x + r + 2.0, hole.y + 2.0, "start"),
        (hole.x - r - 2.0, hole.y + 2.0, "end"),
        (hole.x, hole.y + r + 11.0, "middle"),
        (hole.x, hole.y - r - 9.0, "middle"),
    )


def _words_at(hole: TemplateHole, content: TemplateContent, x: float, y: float, anchor: str) -> tuple[Text, Text]:
    name = f"{hole.name} pin hole" if hole.kind == "tooling" else hole.name
    # beside a small hole the two lines stand clear of the arm of its centre cross
    step = 4.0 if anchor == "middle" else 5.5
    return Text(x, y, name, 8, "bold", anchor), Text(x, y - step, _size(hole, content), 8, "regular", anchor)


def _edges(content: TemplateContent) -> shapely.Geometry:
    """Every cut and tangent line as one geometry."""
    rings = [(path.chords(0.05), path.closed) for path in (content.outline, *content.cutouts, *content.tangents)]
    lines = [shapely.LineString([*points, points[0]] if closed else points) for points, closed in rings]
    holes = [shapely.Point(h.x, h.y).buffer((h.diameter + h.slot) / 2).boundary for h in content.holes]
    words = [_text_room(text) for text in _edge_words(content)]
    return shapely.union_all([*lines, *holes, *words])


def _size(hole: TemplateHole, content: TemplateContent) -> str:
    slot = f" x {show_length(hole.diameter + hole.slot, content.units)}" if hole.slot > 0 else ""
    return f"Ø {show_length(hole.diameter, content.units)}{slot}"


def _edge_words(content: TemplateContent) -> tuple[Text, ...]:
    return tuple(Text(e.x, e.y, e.text, 8, "regular", "middle", e.angle) for e in content.edge_labels)


def _placed(
    content: TemplateContent, shape: Sequence[Pair], words: tuple[Text, ...], seams: tuple[Box, ...]
) -> list[tuple[tuple[Item, ...], Box | None]]:
    """Each stamp where it is free on the blank, the largest form that fits; else below it, with the box it takes."""
    taken = _taken(content, words)
    floor = _bounds(shape)
    out: list[tuple[tuple[Item, ...], Box | None]] = []
    for forms in filter(None, (_side_up_forms(content), _grain_forms(content))):
        for stamp in forms:
            spot = clear_spot(shape, taken, stamp.room, seams)
            if spot is not None:
                taken = [*taken, shapely.Polygon(np.array(stamp.room) + spot).buffer(2.0)]
                out.append((tuple(moved(i, *spot) for i in stamp.items), None))
                break
        else:
            items, floor = _below(forms[0], floor)
            out.append((items, floor))
    return out


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
    out += [shapely.Point(h.x, h.y).buffer(h.diameter / 2 + h.slot / 2 + 6.0) for h in content.holes]
    out += [shapely.Point(p).buffer(9.0) for p in content.pins]
    for path in content.tangents:
        points = path.chords(0.05)
        out.append(shapely.LineString([*points, points[0]] if path.closed else points).buffer(2.0))
    for text in (*words, *_edge_words(content)):
        out.append(_text_room(text))
    return out


def _text_room(text: Text) -> shapely.Geometry:
    size = text_width(text.text, text.size_pt, text.font)
    left = {"start": 0.0, "middle": -size / 2, "end": -size}[text.anchor]
    room = shapely.box(text.x + left, text.y - 1.5, text.x + left + size, text.y + text.size_pt * MM_PER_POINT)
    return shapely.affinity.rotate(room, text.angle_deg, origin=(text.x, text.y))


def _side_up_forms(content: TemplateContent) -> tuple[Stamp, ...]:
    """THIS SIDE UP and who the blank is for, from the full form to the shortest."""
    sheet = f"{content.material}   {content.thickness}".strip()
    grain = () if content.grain_deg is not None else (("Grain: any direction", 9.0, "regular"),)
    side = ((content.side_up, 9.0, "regular"),) if content.side_up else ()
    head = (("THIS SIDE UP", 16.0, "bold"), *side, (content.name_line, 11.0, "bold"))
    full = (*head, (sheet, 9.0, "regular"), (f"fingerprint {content.fingerprint}", 8.0, "regular"), *grain)
    short = (("THIS SIDE UP", 12.0, "bold"), (content.name_line, 8.0, "bold"), *grain)
    return _stamp_of(full), _stamp_of(short)


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
    if content.grain_deg is None:
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


def _seams(grid: Grid) -> tuple[Box, ...]:
    """The strips that two tiles share."""
    xs, ys = {t.x for t in grid.tiles}, {t.y for t in grid.tiles}
    left, low = min(xs), min(ys)
    right, high = max(xs) + grid.window[0], max(ys) + grid.window[1]
    upright = [(x, low, x + OVERLAP, high) for x in sorted(xs) if x > left]
    level = [(left, y, right, y + OVERLAP) for y in sorted(ys) if y > low]
    return (*upright, *level)


def _bounds(points: Sequence[Pair]) -> Box:
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    return min(xs), min(ys), max(xs), max(ys)


def _around(boxes: Sequence[Box]) -> Box:
    lefts, lows, rights, highs = zip(*boxes, strict=True)
    return min(lefts), min(lows), max(rights), max(highs)
