"""First page of a template: what it is, how the tiles lie, the distances to measure, and who measured them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from ribwright.documents.check_distances import LIMIT_IN, LIMIT_MM, CheckMarks
from ribwright.documents.lettering import MM_PER_POINT, fitted, text_width
from ribwright.documents.page import (
    Circle,
    Item,
    Line,
    Page,
    Pair,
    Polyline,
    Stroke,
    Text,
    paper_size,
    paragraph,
    path_line,
)
from ribwright.documents.template_spread import CUT, CUT_NOTE, TANGENT, cross
from ribwright.documents.template_values import TemplateContent
from ribwright.documents.tiling import MARGIN, OVERLAP, Grid, Tile, page_line
from ribwright.units import show_length

THIN, GREY = Stroke(0.18), Stroke(0.15, 0.5)
LETTERS = 6.0  # room for the letters and numbers beside the map [mm]
ROW = 7.0  # height of a table row [mm]
BAR_LIMIT_MM, BAR_LIMIT_IN = 0.25, 0.01
TEXT_BLOCK = 132.0  # room below the figure: table, sign-off, legend, steps, foot [mm]
Box = tuple[float, float, float, float]

HUMIDITY = (
    "Paper moves with the humidity and warmth of the room, and not alike in x and y. Lay the tiles together in the room "
    "they are used in, wait, then measure. Use the template only when every row is within its limit."
)


def cover(content: TemplateContent, grid: Grid, marks: CheckMarks) -> Page:
    """The cover, on the tiles' own paper upright; for a roll on letter or A4, as the shop's unit suggests."""
    roll = "letter" if content.units == "in" else "a4"
    w, h = paper_size(roll if grid.paper == "roll" else grid.paper)
    head, y = _heading(content, w, h - MARGIN)
    low = MARGIN + TEXT_BLOCK
    figure = _figure(content, grid, marks, (MARGIN, low + 7.0, w - MARGIN, y))
    caption = Text(MARGIN, low + 1.5, _caption(grid), 8.5)
    table, y = _table(content, marks, w, low - 6.0)
    sign, y = _sign_off(w, y - 4.0)
    below = (*_legend(MARGIN, y - 8.0), *_steps(grid, MARGIN + 86.0, y - 8.0, w - 2 * MARGIN - 86.0))
    foot = page_line(content.identity, 1, len(grid.tiles) + 1, w)
    return Page(w, h, (*head, *figure, caption, *table, *sign, *below, *foot), "Cover")


def _heading(content: TemplateContent, w: float, top: float) -> tuple[tuple[Item, ...], float]:
    room = w - 2 * MARGIN
    sheet = f"{content.material}   {content.thickness}   fingerprint {content.fingerprint}"
    xs, ys = zip(*content.outline.chords(0.01), strict=True)
    extent = content.size or (max(xs) - min(xs), max(ys) - min(ys))
    size = " x ".join(show_length(v, content.units) for v in extent)
    items = (
        Text(MARGIN, top - 7.0, "Blank template", 22, "bold"),
        Text(w - MARGIN, top - 7.0, "1 : 1", 22, "bold", "end"),
        Text(MARGIN, top - 15.0, fitted(f"{content.name_line}   {content.title}", 14, room, "bold"), 14, "bold"),
        Text(MARGIN, top - 20.5, fitted(sheet, 9.5, room), 9.5),
        Text(MARGIN, top - 25.0, f"Size of the blank {size}", 9.5),
        Line(MARGIN, top - 27.5, w - MARGIN, top - 27.5, Stroke(0.5)),
    )
    return items, top - 30.0


def _caption(grid: Grid) -> str:
    n = len(grid.tiles)
    tiles = "One tile, A1" if n == 1 else f"Map of the {n} tiles, {grid.tiles[0].name} to {grid.tiles[-1].name}"
    return f"{tiles}; not to scale. A, B, C, D: the marks to measure between."


def _figure(content: TemplateContent, grid: Grid, marks: CheckMarks, room: Box) -> tuple[Item, ...]:
    """The whole drawing reduced into the room, over the map of tiles."""
    cells = [_cell(grid, tile) for tile in grid.tiles]
    left, low = min(c[0] for c in cells), min(c[1] for c in cells)
    right, high = max(c[2] for c in cells), max(c[3] for c in cells)
    wide, deep = room[2] - room[0] - LETTERS, room[3] - room[1] - LETTERS
    s = min(wide / (right - left), deep / (high - low))
    x0 = room[0] + LETTERS + (wide - s * (right - left)) / 2
    y0 = room[1] + (deep - s * (high - low)) / 2

    def at(p: Pair) -> Pair:
        return x0 + s * (p[0] - left), y0 + s * (p[1] - low)

    out: list[Item] = list(_names(grid, cells, at))
    for a, b, c, d in cells:
        out.append(Polyline(tuple(at(p) for p in ((a, b), (c, b), (c, d), (a, d))), True, GREY))
    for path in (content.outline, *content.cutouts):
        line = path_line(path.vertices, path.closed, Stroke(0.25), 0.1)
        out.append(replace(line, points=tuple(at(p) for p in line.points)))
    out += [Circle(*at((h.x, h.y)), max(0.3, s * h.diameter / 2), THIN) for h in content.holes]
    for letter, p in marks.named:
        x, y = at(p)
        side = 1 if p[0] == marks.a[0] else -1
        out += [*cross(x, y, 1.2), Text(x + 2.6 * side, y - 1.1, letter, 8, "bold", "middle")]
    return tuple(out)


def _names(grid: Grid, cells: list[Box], at: Callable[[Pair], Pair]) -> tuple[Text, ...]:
    """Letters of the rows on the left of the map, numbers of the columns above it."""
    out = []
    for tile, (a, b, c, d) in zip(grid.tiles, cells, strict=True):
        if tile.column == 0:
            x, y = at((a, (b + d) / 2))
            out.append(Text(x - 1.5, y - 1.2, tile.name[:-1], 9, "bold", "end"))
        if tile.row == 0:
            x, y = at(((a + c) / 2, d))
            out.append(Text(x, y + 1.5, str(tile.column + 1), 9, "bold", "middle"))
    return tuple(out)


def _cell(grid: Grid, tile: Tile) -> Box:
    """The tile up to the middle of the strips it shares."""
    w, h = grid.window
    half = OVERLAP / 2
    left, right = tile.x + half * (tile.column > 0), tile.x + w - half * (tile.column < grid.columns - 1)
    low, high = tile.y + half * (tile.row < grid.rows - 1), tile.y + h - half * (tile.row > 0)
    return left, low, right, high


def _table(content: TemplateContent, marks: CheckMarks, w: float, y: float) -> tuple[tuple[Item, ...], float]:
    """Bars and distances: nominal in both units, a box for what was measured, yes or no."""
    words, under = paragraph(MARGIN, y - 5.5, HUMIDITY, 8.5, w - 2 * MARGIN)
    items: list[Item] = [Text(MARGIN, y, "Measure before use", 14, "bold"), *words]
    bar = "100 mm and 4 in"
    rows = [("Bar along x, every tile", bar, _limit(content, BAR_LIMIT_MM, BAR_LIMIT_IN))]
    rows.append(("Bar along y, every tile", bar, rows[0][2]))
    for name, what, length in marks.distances():
        limit = _limit(content, LIMIT_MM, LIMIT_IN)
        rows.append((f"{name}, {what}", show_length(length, content.units), limit))
    top = under + 1.0
    columns = _columns(w)
    header = ("", "Nominal", "Measured", "Within", "Yes", "No")
    for x, word in zip(columns, header, strict=False):
        items.append(Text(x + 1.5, top - ROW + 2.2, word, 9, "bold"))
    for k, row in enumerate(rows):
        base = top - (k + 2) * ROW + 2.2
        cells: tuple[str, ...] = (row[0], row[1], "", row[2])  # the third box is filled in by hand
        items += [Text(x + 1.5, base, cell, 9) for x, cell in zip(columns, cells, strict=False) if cell]
        items += [_tick_box(columns[i] + 3.0, base - 0.4) for i in (4, 5)]
    bottom = top - (len(rows) + 1) * ROW
    items += [Line(MARGIN, top - k * ROW, w - MARGIN, top - k * ROW, THIN) for k in range(len(rows) + 2)]
    items += [Line(x, top, x, bottom, THIN) for x in columns]
    return tuple(items), bottom


def _columns(w: float) -> tuple[float, ...]:
    room = w - 2 * MARGIN
    return tuple(MARGIN + share * room for share in (0.0, 0.23, 0.48, 0.66, 0.86, 0.93, 1.0))


def _limit(content: TemplateContent, mm: float, inch: float) -> str:
    both = (f"±{inch} in", f"±{mm} mm")
    first, second = both if content.units == "in" else both[::-1]
    return f"{first} / {second}"


def _tick_box(x: float, y: float) -> Polyline:
    return Polyline(((x, y), (x + 3.6, y), (x + 3.6, y + 3.6), (x, y + 3.6)), True, THIN)


def _sign_off(w: float, y: float) -> tuple[tuple[Item, ...], float]:
    """Who measured, and when."""
    low = y - 11.0
    box = Polyline(((MARGIN, low), (w - MARGIN, low), (w - MARGIN, y), (MARGIN, y)), True, Stroke(0.5))
    at, items = MARGIN + 2.0, [box]
    out: list[Item] = list(items)
    for word, room in (("Measured, and good to use.   Name", 52.0), ("Date", 34.0)):
        out.append(Text(at, low + 3.5, word, 9.5, "bold"))
        at += text_width(word, 9.5, "bold") + 2.0
        out.append(Line(at, low + 3.0, at + room, low + 3.0, THIN))
        at += room + 5.0
    return tuple(out), low


MEANINGS = (
    "edge of the blank: cut",
    "bend tangent line: do not cut or scribe",
    "hole, to the diameter beside it",
    "pin hole: longer cross",
    "mark to measure from",
    "lay on the cross of the same number",
)


def _legend(x: float, y: float) -> tuple[Item, ...]:
    """A sample of every line on the tiles and what it means."""
    at, step = x + 9.0, 6.0
    out: list[Item] = [Text(x, y, "Lines", 14, "bold")]
    rows = [y - 1.5 - step * (k + 1) for k in range(len(MEANINGS))]
    out += [Text(x + 20.0, row, word, 9) for row, word in zip(rows, MEANINGS, strict=True)]
    mids = [row + 1.1 for row in rows]
    out += [Line(x, mids[0], x + 17.0, mids[0], CUT), Line(x, mids[1], x + 17.0, mids[1], TANGENT)]
    out += [Circle(at, mids[2], 1.6, CUT), *cross(at, mids[2], 2.3)]
    out += [Circle(at, mids[3], 1.2, CUT), *cross(at, mids[3], 2.9)]
    out += [*cross(at - 2.0, mids[4], 2.3), Text(at + 1.5, mids[4] - 1.2, "A", 9, "bold")]
    out += [*cross(at - 2.0, mids[5], 2.7), Circle(at - 2.0, mids[5], 1.5, THIN), Text(at + 1.5, mids[5] - 1.1, "7", 8)]
    return tuple(out)


def _steps(grid: Grid, x: float, y: float, width: float) -> tuple[Item, ...]:
    """What to do with the sheets, in order."""
    join = (
        "Lay each cross on the cross of the same number; tape."
        if len(grid.tiles) > 1
        else "One sheet: nothing to join."
    )
    steps = (
        'Print at 100 % ("actual size"), never fitted to the page.',
        f"Measure both bars on every tile. {join}",
        "Measure A to B, A to D, A to C. Fill in the table, sign.",
        "Lay on the sheet as the words THIS SIDE UP and the grain arrow say.",
        CUT_NOTE,
    )
    out: list[Item] = [Text(x, y, "How to use it", 14, "bold")]
    at = y - 7.0
    for k, step in enumerate(steps):
        texts, after = paragraph(x + 5.0, at, step, 9, width - 5.0, "bold" if step == CUT_NOTE else "regular", 1.2)
        out += [Text(x, at, f"{k + 1}", 9, "bold"), *texts]
        at = after - 0.35 * 9 * MM_PER_POINT
    return tuple(out)
