"""First page of a template: what it is, how the tiles lie, the distances to measure, and who measured them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from ribwright.documents.check_distances import LIMIT_IN, LIMIT_MM, CheckMarks, triangle
from ribwright.documents.lettering import MM_PER_POINT, fitted, text_width
from ribwright.documents.model_words import NOT_COMPARED
from ribwright.documents.page import (
    Circle,
    Item,
    Line,
    Page,
    Pair,
    Polyline,
    Stroke,
    Text,
    moved,
    paper_size,
    paragraph,
    path_line,
)
from ribwright.documents.template_legend import STEP, legend
from ribwright.documents.template_looks import LOOKS
from ribwright.documents.template_values import TemplateContent
from ribwright.documents.tiling import MARGIN, OVERLAP, Grid, Tile, page_line
from ribwright.units import show_length

THIN, GREY = Stroke(0.18), Stroke(0.15, 0.5)
LETTERS = 6.0  # room for the letters and numbers beside the map [mm]
ROW = 7.0  # height of a table row [mm]
BAR_LIMIT_MM, BAR_LIMIT_IN = 0.25, 0.01
TABLE = 72.0  # room for table and sign-off [mm]
STEPS_X = 86.0  # from the margin to the steps [mm]
Box = tuple[float, float, float, float]

HUMIDITY = (
    "Paper moves with the humidity and warmth of the room, and not alike in x and y. Lay the tiles together in the room "
    "they are used in, wait, then measure. Use the template only when every row is within its limit."
)


def cover(content: TemplateContent, grid: Grid, marks: CheckMarks, pages: int) -> Page:
    """The first of so many pages, upright, on the tiles' own paper; for a roll on letter or A4, as the shop's unit says."""
    w, h = cover_size(content, grid)
    head, y = heading(content, w, h - MARGIN)
    steps, lowest = _steps(content, grid, MARGIN + STEPS_X, 0.0, w - 2 * MARGIN - STEPS_X)
    below = max(-lowest, 8.0 + STEP * len(content.kind.legend))
    low = MARGIN + 7.0 + below + 8.0 + TABLE
    figure = _figure(content, grid, marks, (MARGIN, low + 7.0, w - MARGIN, y))
    caption = Text(MARGIN, low + 1.5, _caption(grid), 8.5)
    table, y = _table(content, marks, w, low - 6.0)
    sign, y = _sign_off(w, y - 4.0)
    samples = legend(content.kind, MARGIN, y - 8.0)
    foot = page_line(content.identity, 1, pages, w)
    texts = tuple(moved(item, 0.0, y - 8.0) for item in steps)
    return Page(w, h, (*head, *figure, caption, *table, *sign, *samples, *texts, *foot), "Cover")


def cover_size(content: TemplateContent, grid: Grid) -> Pair:
    """Size of the cover and of the table pages [mm]."""
    roll = "letter" if content.units == "in" else "a4"
    return paper_size(roll if grid.paper == "roll" else grid.paper)


def heading(content: TemplateContent, w: float, top: float) -> tuple[tuple[Item, ...], float]:
    """What the template is and whose; the base line under it."""
    room = w - 2 * MARGIN
    sheet = content.sheet_line
    xs, ys = zip(*content.outline.chords(0.01), strict=True)
    extent = content.size or (max(xs) - min(xs), max(ys) - min(ys))
    size = " x ".join(show_length(v, content.units) for v in extent)
    own = content.developed and content.kind.name == "blank"
    by = f", developed by the {content.developed} method" if own else ""
    items: list[Item] = [
        Text(MARGIN, top - 7.0, content.kind.title, 22, "bold"),
        Text(w - MARGIN, top - 7.0, "1 : 1", 22, "bold", "end"),
        Text(MARGIN, top - 15.0, fitted(content.head_line, 14, room, "bold"), 14, "bold"),
        Text(MARGIN, top - 20.5, fitted(sheet, 9.5, room), 9.5),
        Text(MARGIN, top - 25.0, f"Size of the {content.kind.size_of} {size}{by}", 9.5),
    ]
    y = top - 27.5
    if content.kind.rests:
        items.append(Text(MARGIN, top - 29.5, f"{content.kind.rests}; {NOT_COMPARED}.", 9.5))
        y = top - 31.5
    if content.banner:
        words, below = paragraph(MARGIN, y - 3.0, content.banner, 11, room, "bold")
        items += words
        y = below + 1.5
    return (*items, Line(MARGIN, y, w - MARGIN, y, Stroke(0.5))), y - 2.5


def _caption(grid: Grid) -> str:
    n = len(grid.tiles)
    tiles = (
        "One tile, 1-1"
        if n == 1
        else f"Map of the {n} tiles, {grid.tiles[0].name} to {grid.tiles[-1].name} (column-row)"
    )
    return f"{tiles}; not to scale. M1 to M4: the marks to measure between."


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

    names = _names(grid, cells, at)
    out: list[Item] = list(names)
    for a, b, c, d in cells:
        out.append(Polyline(tuple(at(p) for p in ((a, b), (c, b), (c, d), (a, d))), True, GREY))
    for one in content.every_line:
        if one.look not in ("tangent", "sign", "tick", "step"):
            # the dashes of the tiles would run together on a small picture
            stroke = Stroke(0.25) if not LOOKS[one.look].stroke.dash else Stroke(0.15, 0.3)
            line = path_line(one.path.vertices, one.path.closed, stroke, 0.1)
            out.append(replace(line, points=tuple(at(p) for p in line.points)))
    out += [Circle(*at((h.x, h.y)), max(0.3, s * h.diameter / 2), THIN) for h in content.holes]
    for letter, p in marks.named:
        x, y = at(p)
        leftmost, low_mark = p[0] == marks.a[0], p[1] == marks.a[1]
        out.append(Polyline(triangle((x, y), low_mark, 1.8), True, THIN))
        # away from the drawing, unless that is off the sheet
        reach = 1.8 + text_width(letter, 8, "bold")
        to_left = x - reach > room[0] if leftmost else x + reach > room[2]
        base = y + 0.5 if low_mark else y - 2.6
        if any(n.anchor == "end" and abs(n.y - base) < 3.5 and n.x > x - reach - 1.0 for n in names):
            to_left = False  # the number of a row stands there
        out.append(Text(x + (-1.8 if to_left else 1.8), base, letter, 8, "bold", "end" if to_left else "start"))
    return tuple(out)


def _names(grid: Grid, cells: list[Box], at: Callable[[Pair], Pair]) -> tuple[Text, ...]:
    """Numbers of the rows on the left of the map, those of the columns above it."""
    out = []
    for tile, (a, b, c, d) in zip(grid.tiles, cells, strict=True):
        if tile.column == 0:
            x, y = at((a, (b + d) / 2))
            out.append(Text(x - 1.5, y - 1.2, str(tile.row + 1), 9, "bold", "end"))
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


def _steps(content: TemplateContent, grid: Grid, x: float, y: float, width: float) -> tuple[tuple[Item, ...], float]:
    """What to do with the sheets, in order; and how low they reach."""
    join = (
        "Lay each small square on the square of the same number; tape."
        if len(grid.tiles) > 1
        else "One sheet: nothing to join."
    )
    steps = (
        'Print at 100 % ("actual size"), never fitted to the page.',
        f"Measure both bars on every tile. {join}",
        "Measure M1 to M2, M1 to M4, M1 to M3, from tip to tip. Fill in the table, sign.",
        *content.lay,
        content.kind.cut_note,
    )
    out: list[Item] = [Text(x, y, "How to use it", 14, "bold")]
    at = y - 7.0
    for k, step in enumerate(steps):
        font = "bold" if step == content.kind.cut_note or step.startswith("CAUTION") else "regular"
        texts, after = paragraph(x + 5.0, at, step, 9, width - 5.0, font, 1.2)
        out += [Text(x, at, f"{k + 1}", 9, "bold"), *texts]
        at = after - 0.35 * 9 * MM_PER_POINT
    return tuple(out), at
