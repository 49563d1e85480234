"""Where the words of a template stand: beside what they name, whole on one tile, off the lines where there is room."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from math import cos, pi, sin

import shapely
import shapely.affinity

from ribwright.documents.lettering import MM_PER_POINT, text_width
from ribwright.documents.page import Text
from ribwright.documents.template_values import EdgeLabel, TemplateContent, TemplateHole
from ribwright.documents.tiling import OVERLAP, Box, Grid
from ribwright.units import show_length

INSIDE = 40.0  # a hole this large carries its words inside [mm]
PT = 8.0
LEAST_ARC = 12.0  # a tile that shows less of a hole's edge needs no name [mm]


@dataclass
class _Room:
    """What is taken already. Grows as words are set."""

    lines: shapely.Geometry
    seams: shapely.Geometry
    tiles: tuple[shapely.Geometry, ...]
    words: list[shapely.Geometry] = field(default_factory=list)

    def best(self, forms: Sequence[tuple[Text, ...]]) -> tuple[Text, ...]:
        """The first form that is whole on one tile and on no other words; of those one on no line, then off the seams."""
        chosen, least = forms[0], (9, 9, 9)
        for form in forms:
            rooms = [text_room(t) for t in form]
            rank = (self._torn(rooms), self._on_line(rooms), int(any(shapely.intersects(r, self.seams) for r in rooms)))
            if rank < least:
                chosen, least = form, rank
            if least == (0, 0, 0):
                break
        self.words += [text_room(t) for t in chosen]
        return chosen

    def on_tile(self, tile: shapely.Geometry, forms: Sequence[tuple[Text, ...]]) -> tuple[Text, ...]:
        """The first form whole on this tile and on no other words, cut on no other tile and on no line where that can be;
        or nothing."""
        second: tuple[Text, ...] = ()
        least: tuple[bool, ...] = (True, True, True)
        for form in forms:
            rooms = [text_room(t) for t in form]
            if not all(shapely.contains(tile, r) for r in rooms) or self._torn(rooms):
                continue
            rank = (any(map(self._cut, rooms)), bool(self._on_line(rooms)))
            if rank < least:
                second, least = form, rank
            if least == (False, False):
                break
        self.words += [text_room(t) for t in second]
        return second

    def _cut(self, room: shapely.Geometry) -> bool:
        """True where some tile would show a part of the words."""
        return any(shapely.intersects(t, room) and not shapely.contains(t, room) for t in self.tiles)

    def _torn(self, rooms: Sequence[shapely.Geometry]) -> int:
        whole = all(any(shapely.contains(tile, r) for tile in self.tiles) for r in rooms)
        return (not whole) + sum(bool(shapely.intersects(r, w)) for r in rooms for w in self.words)

    def _on_line(self, rooms: Sequence[shapely.Geometry]) -> int:
        return sum(bool(shapely.intersects(r, self.lines)) for r in rooms)


def placed_words(content: TemplateContent, grid: Grid) -> tuple[Text, ...]:
    """Names of edges along them, name and size of each hole beside it, the datum's name."""
    room = _Room(_lines(content), shapely.union_all([shapely.box(*s) for s in seams(grid)]), _tiles(grid))
    shapely.prepare(room.lines)
    out: list[Text] = []
    # holes have the fewer places to choose from
    for hole in content.named_holes:
        out += room.best([_words_at(hole, content, *side) for side in _sides(hole)])
    for label in content.edge_labels:
        forms = [(_along(one),) for one in (label, *label.others)]
        out += room.best(forms)
    if content.datum is not None:
        out += room.best(_datum_forms(content))
    for hole in content.named_holes:
        mine = [t for t in out if t.text == hole.called]
        out += _said_again(hole, content, mine, room)
    return tuple(out)


def _said_again(hole: TemplateHole, content: TemplateContent, said: list[Text], room: _Room) -> list[Text]:
    """The hole's name once more on each tile that shows it and carries no name of it: a bare cross tells nobody whether
    it is to be punched."""
    out: list[Text] = []
    edge = shapely.Point(hole.x, hole.y).buffer((hole.diameter + hole.slot) / 2).boundary
    for tile in room.tiles:
        if any(shapely.contains(tile, text_room(t)) for t in (*said, *out)):
            continue
        if not shapely.contains_xy(tile, hole.x, hole.y) and shapely.intersection(tile, edge).length < LEAST_ARC:
            continue
        out += room.on_tile(tile, [form for words in _forms_again(hole, content) for form in words])
    return out


def _forms_again(hole: TemplateHole, content: TemplateContent) -> Iterator[list[tuple[Text, ...]]]:
    """Name and size beside the centre, in one line along the edge, at last the name alone."""
    yield [_words_at(hole, content, *side) for side in _sides(hole)]
    turns = [2 * pi * k / 36 for k in range(36)]
    for words in (f"{hole.called} {_size(hole, content)}", hole.called, hole.name):
        for away in (5.0, -7.0, 9.0, -12.0, 15.0):
            r = (hole.diameter + hole.slot) / 2 + away
            if r > 0:
                yield [
                    (Text(hole.x + r * cos(a), hole.y + r * sin(a) - 1.0, words, PT, "bold", anchor),)
                    for a in turns
                    for anchor in ("start", "middle", "end")
                ]


def text_room(text: Text) -> shapely.Geometry:
    """The box round a line of print, with a little air, turned as it is."""
    size = text_width(text.text, text.size_pt, text.font)
    left = {"start": 0.0, "middle": -size / 2, "end": -size}[text.anchor]
    top = text.y + text.size_pt * MM_PER_POINT
    room = shapely.box(text.x + left - 1.0, text.y - 1.0, text.x + left + size + 1.0, top)
    return shapely.affinity.rotate(room, text.angle_deg, origin=(text.x, text.y))


def seams(grid: Grid) -> tuple[Box, ...]:
    """The strips that two tiles share."""
    xs, ys = {t.x for t in grid.tiles}, {t.y for t in grid.tiles}
    left, low = min(xs), min(ys)
    right, high = max(xs) + grid.window[0], max(ys) + grid.window[1]
    upright = [(x, low, x + OVERLAP, high) for x in sorted(xs) if x > left]
    level = [(left, y, right, y + OVERLAP) for y in sorted(ys) if y > low]
    return (*upright, *level)


def _tiles(grid: Grid) -> tuple[shapely.Geometry, ...]:
    w, h = grid.window
    return tuple(shapely.box(t.x + 0.5, t.y + 0.5, t.x + w - 0.5, t.y + h - 0.5) for t in grid.tiles)


def _lines(content: TemplateContent) -> shapely.Geometry:
    """Every line, hole and centre cross as one geometry."""
    rings = [(line.path.chords(0.05), line.path.closed) for line in content.every_line]
    lines: list[shapely.Geometry] = [
        shapely.LineString([*points, points[0]] if closed else points) for points, closed in rings
    ]
    for h in content.named_holes:
        lines.append(shapely.Point(h.x, h.y).buffer((h.diameter + h.slot) / 2).boundary)
        arm = h.diameter / 2 + 5.0
        lines += [shapely.LineString([(h.x - arm, h.y), (h.x + arm, h.y)])] if h.diameter < INSIDE else []
    if content.datum is not None:
        (x, y), (x0, y0, x1, y1) = content.datum[1], shapely.total_bounds(lines)
        lines += [shapely.LineString([(x0, y), (x1, y)]), shapely.LineString([(x, y0), (x, y1)])]
    return shapely.union_all(lines)


def _along(label: EdgeLabel) -> Text:
    return Text(label.x, label.y, label.text, PT, "regular", "middle", label.angle)


def _sides(hole: TemplateHole) -> tuple[tuple[float, float, str], ...]:
    """(x, y, anchor) of the upper line of a hole's words, best first."""
    beside = tuple(spot for extra in (0.0, 7.0, 14.0, 24.0, 36.0) for spot in _beside(hole, extra))
    if hole.diameter < INSIDE:
        return beside
    r = hole.diameter / 2
    rows = (-9.0, 11.5, -0.5 * r, 0.5 * r)  # clear of the centre cross
    inside = [(hole.x, hole.y + dy, "middle") for dy in rows]
    inside += [(hole.x + side * 7.0, hole.y + dy, word) for dy in rows for side, word in ((1, "start"), (-1, "end"))]
    return (*inside, *beside)


def _beside(hole: TemplateHole, extra: float) -> tuple[tuple[float, float, str], ...]:
    """Right, left, above and below the hole; `extra` [mm] farther out, to stand clear of the circle it is turned at."""
    r = (hole.diameter + hole.slot) / 2 + extra
    level = tuple(
        (hole.x + side * (r + 2.0), hole.y + 2.0 + dy, word)
        for dy in (0.0, 11.0, -11.0)
        for side, word in ((1, "start"), (-1, "end"))
    )
    upright = tuple(
        (hole.x + dx, hole.y + dy, word)
        for dx, word in ((0.0, "middle"), (8.0, "start"), (-8.0, "end"))
        for dy in (r + 11.0, -r - 9.0)
    )
    return (*level[:2], *upright[:2], *level[2:], *upright[2:])


def _words_at(hole: TemplateHole, content: TemplateContent, x: float, y: float, anchor: str) -> tuple[Text, ...]:
    # beside a small hole the two lines stand clear of the arm of its centre cross
    step = 4.0 if anchor == "middle" else 5.5
    return Text(x, y, hole.called, PT, "bold", anchor), Text(x, y - step, _size(hole, content), PT, "regular", anchor)


def _size(hole: TemplateHole, content: TemplateContent) -> str:
    diameter = hole.diameter if hole.true_diameter is None else hole.true_diameter
    slot = f" x {show_length(diameter + hole.slot, content.units)}" if hole.slot > 0 else ""
    return f"Ø {show_length(diameter, content.units)}{slot}"


def _datum_forms(content: TemplateContent) -> list[tuple[Text, ...]]:
    assert content.datum is not None
    name, (x, y) = content.datum
    words = f"DATUM {name}"
    return [
        (Text(x + dx, y + dy, words, PT, "bold", anchor),)
        for away in (12.0, 20.0, 30.0, 45.0)
        for dx, dy, anchor in ((away, -5.0, "start"), (-away, -5.0, "end"), (away, 2.0, "start"), (-away, 2.0, "end"))
    ]
