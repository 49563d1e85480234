"""A drawing larger than the paper, cut into tiles at 1:1 that are laid together again square on square.

Every tile carries a window onto the drawing, a scale bar along x below it and one along y beside it, its place in a key
plan and who it belongs to. Neighbouring windows share a strip; near the strip's ends stand small squares, at the same
place of the drawing on both sheets and with the same number. Empty tiles are printed too: they carry squares.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil

from ribwright.documents.lettering import fitted, text_width
from ribwright.documents.page import (
    PAPERS,
    Arc,
    Circle,
    Clip,
    Item,
    Line,
    Page,
    Polyline,
    Stroke,
    Text,
    moved,
    paper_size,
)
from ribwright.documents.register_marks import Free, Register, anywhere, mark_items, register_marks
from ribwright.documents.scale_bar import BAR, HALF, LENGTH, scale_bar

MARGIN = 12.0  # printers leave this much white [mm]
OVERLAP = 10.0  # strip that two neighbours share [mm]
ROLL_WIDTH = 914.4  # 36 in [mm]
ROLL_LONGEST = 4800.0  # a PDF page ends at 14400 units = 5080 mm (ISO 32000-1, annex C)
SIDE = 2 * HALF + 2.0  # strip beside the window for the bar along y [mm]
FOOT = 32.0  # strip below the window for the bar along x, key plan, identity [mm]
HEAD = 10.0  # strip above the window for the two sentences [mm]
KEY = (34.0, 19.0)  # room for the key plan [mm]
_THIN, _GREY = Stroke(0.18), Stroke(0.1, 0.55)

Box = tuple[float, float, float, float]


@dataclass(frozen=True)
class Spread:
    """The whole drawing in its own coordinates [mm]: items, the box (left, bottom, right, top) that must be printed, who
    it belongs to, up to two sentences for the head of every tile, and the marks to lay the tiles by (None: at their
    corners)."""

    items: tuple[Item, ...]
    box: Box
    identity: str
    notes: tuple[str, ...] = ()
    registers: tuple[Register, ...] | None = None

    def registers_on(self, grid: Grid) -> tuple[Register, ...]:
        """The marks of the grid; those of a drawing that bars no place unless others are set."""
        return grid.registers() if self.registers is None else self.registers


@dataclass(frozen=True)
class Tile:
    """One window: `name` is its column and its row, "4-2": no hole and no mark is called so; x, y its lower left corner in the
    drawing's coordinates [mm]."""

    name: str
    column: int
    row: int
    x: float
    y: float


@dataclass(frozen=True)
class Grid:
    """How a drawing is cut up: page and window size [mm], columns and rows, tiles in reading order."""

    paper: str
    page: tuple[float, float]
    window: tuple[float, float]
    columns: int
    rows: int
    tiles: tuple[Tile, ...]

    def registers(self, free: Free = anywhere) -> tuple[Register, ...]:
        """The marks the tiles are laid together by, off every place that is not free."""
        w, h = self.window
        top = max(t.y for t in self.tiles) + h
        first = (min(t.x for t in self.tiles) + OVERLAP / 2, top - OVERLAP / 2)
        return register_marks(first, (w - OVERLAP, h - OVERLAP), self.columns, self.rows, free)


def plan_tiles(box: Box, paper: str) -> Grid:
    """The grid that needs the fewest tiles on "letter", "a4" or "roll"; the drawing stands in its middle. Of two equal
    ones that with the shorter joints (roll: the shorter piece of roll). KeyError for another word."""
    need = (box[2] - box[0], box[3] - box[1])
    if paper == "roll":
        pages = [_roll_page(need, 0), _roll_page(need, 1)]
    else:
        pages = [paper_size(paper), paper_size(paper, landscape=True)]
    grids = [_grid(box, paper, page) for page in pages]
    return min(grids, key=lambda g: (len(g.tiles), g.page[0] * g.page[1] * len(g.tiles), _joints(g)))


def window_at(grid: Grid) -> tuple[float, float]:
    """Where the window's lower left corner stands on every page [mm]."""
    return MARGIN + SIDE, MARGIN + FOOT


def tile_pages(spread: Spread, grid: Grid, before: int = 0) -> tuple[Page, ...]:
    """One page for each tile. `before`: how many pages of the document come first, for "page i of n"."""
    total = before + len(grid.tiles)
    return tuple(_page(spread, grid, tile, before + i + 1, total) for i, tile in enumerate(grid.tiles))


def page_line(identity: str, i: int, n: int, page_width: float) -> tuple[Item, ...]:
    """The line at the foot of page i of n: who it belongs to on the left, the page on the right."""
    right = Text(page_width - MARGIN, MARGIN + 1.0, f"page {i} of {n}", 8, "regular", "end")
    room = page_width - 2 * MARGIN - text_width(right.text, 8) - 4.0
    return Text(MARGIN, MARGIN + 1.0, fitted(identity, 8, room), 8), right


def window_size(page: tuple[float, float]) -> tuple[float, float]:
    """Size of the window on a page of that size [mm]."""
    return page[0] - 2 * MARGIN - SIDE, page[1] - 2 * MARGIN - FOOT - HEAD


def _roll_page(need: tuple[float, float], along: int) -> tuple[float, float]:
    """A page of roll whose direction `along` (0 = x, 1 = y) is cut off as long as needed."""
    least = (LENGTH + KEY[0] + 30.0, LENGTH + 2 * OVERLAP)
    size = [ROLL_WIDTH, ROLL_WIDTH]
    extra = ROLL_WIDTH - window_size((ROLL_WIDTH, ROLL_WIDTH))[along]
    size[along] = min(ROLL_LONGEST, float(ceil(max(need[along], least[along]) + extra + OVERLAP)))
    return size[0], size[1]


def _grid(box: Box, paper: str, page: tuple[float, float]) -> Grid:
    w, h = window_size(page)
    columns, rows = _count(box[2] - box[0], w), _count(box[3] - box[1], h)
    width, height = columns * (w - OVERLAP) + OVERLAP, rows * (h - OVERLAP) + OVERLAP
    left, bottom = (box[0] + box[2] - width) / 2, (box[1] + box[3] - height) / 2
    tiles = tuple(
        Tile(f"{c + 1}-{r + 1}", c, r, left + c * (w - OVERLAP), bottom + (rows - 1 - r) * (h - OVERLAP))
        for r in range(rows)
        for c in range(columns)
    )
    return Grid(paper, page, (w, h), columns, rows, tiles)


def _count(need: float, window: float) -> int:
    return max(1, ceil((need - OVERLAP) / (window - OVERLAP) - 1e-9))


def _joints(grid: Grid) -> float:
    w, h = grid.window
    return (grid.columns - 1) * grid.rows * h + (grid.rows - 1) * grid.columns * w


def _page(spread: Spread, grid: Grid, tile: Tile, i: int, n: int) -> Page:
    left, bottom = window_at(grid)
    w, h = grid.window
    seen = (tile.x, tile.y, tile.x + w, tile.y + h)
    shown = tuple(item for item in spread.items if _reaches(item, seen))
    window = Clip(left, bottom, w, h, shown, left - tile.x, bottom - tile.y)
    frame = Polyline(((left, bottom), (left + w, bottom), (left + w, bottom + h), (left, bottom + h)), True, _GREY)
    mine = [m for m in spread.registers_on(grid) if (tile.row, tile.column) in m.tiles]
    marks = tuple(item for mark in mine for item in _register(mark, tile, grid))
    placed = tuple(moved(mark, left - tile.x, bottom - tile.y) for mark in marks)
    around = (*_bars(grid), *_head(spread, grid), *_foot(spread, grid, tile, i, n))
    return Page(*grid.page, (window, frame, *placed, *around), f"Tile {tile.name}")


def _reaches(item: Item, box: Box) -> bool:
    """False for an item that surely lies outside the box: each tile need not carry the whole drawing."""
    xs: tuple[float, ...]
    ys: tuple[float, ...]
    match item:
        case Line():
            xs, ys, more = (item.x0, item.x1), (item.y0, item.y1), 1.0
        case Polyline():
            xs, ys, more = tuple(p[0] for p in item.points), tuple(p[1] for p in item.points), 1.0
        case Arc() | Circle():
            xs, ys, more = (item.cx,), (item.cy,), item.r + 1.0
        case Text():
            xs, ys, more = (item.x,), (item.y,), text_width(item.text, item.size_pt, item.font) + 5.0
        case _:
            return True
    return (
        min(xs, default=0.0) - more <= box[2]
        and max(xs, default=0.0) + more >= box[0]
        and min(ys, default=0.0) - more <= box[3]
        and max(ys, default=0.0) + more >= box[1]
    )


def _register(mark: Register, tile: Tile, grid: Grid) -> tuple[Item, ...]:
    """A mark; its number stands towards the middle of the tile."""
    w, h = grid.window
    return mark_items(mark.x, mark.y, str(mark.number), mark.x < tile.x + w / 2, mark.y < tile.y + h / 2)


def _bars(grid: Grid) -> tuple[Item, ...]:
    left, bottom = window_at(grid)
    return (*scale_bar(left, bottom - 10.5), *scale_bar(MARGIN + HALF + 1.0, bottom + 1.0, upright=True))


def _head(spread: Spread, grid: Grid) -> tuple[Item, ...]:
    top, room = grid.page[1] - MARGIN, grid.page[0] - 2 * MARGIN
    return tuple(Text(MARGIN, top - 3.0 - 4.0 * k, fitted(s, 8, room), 8) for k, s in enumerate(spread.notes[:2]))


def _foot(spread: Spread, grid: Grid, tile: Tile, i: int, n: int) -> tuple[Item, ...]:
    right, left = grid.page[0] - MARGIN, window_at(grid)[0]
    proof = Text(left, MARGIN + 6.5, f"Both bars must measure {BAR:.0f} mm and 4 in. Print at 100 %, not fitted.", 8)
    name_x = right - KEY[0] - 3.0
    name = Text(name_x, MARGIN + 19.0, tile.name, 20, "bold", "end")
    word = Text(name_x, MARGIN + 14.0, "tile (column-row)", 8, "regular", "end")
    return (
        *page_line(spread.identity, i, n, grid.page[0]),
        proof,
        name,
        word,
        *key_plan(grid, tile, right - KEY[0], MARGIN + FOOT - 3.0 - KEY[1]),
    )


def key_plan(grid: Grid, tile: Tile, x: float, y: float) -> tuple[Item, ...]:
    """A small map of all tiles, this one black, in a room of KEY with lower left corner (x, y) [mm]."""
    w, h = grid.window
    scale = min(KEY[0] / (grid.columns * w), KEY[1] / (grid.rows * h))
    w, h = w * scale, h * scale
    left, low = x + KEY[0] - grid.columns * w, y + (KEY[1] - grid.rows * h) / 2
    cells = []
    for t in grid.tiles:
        x0, y0 = left + t.column * w, low + (grid.rows - 1 - t.row) * h
        cell = ((x0, y0), (x0 + w, y0), (x0 + w, y0 + h), (x0, y0 + h))
        cells.append(Polyline(cell, True, _THIN, 0.25 if t == tile else None))
    return tuple(cells)


def papers() -> tuple[str, ...]:
    """The words that `plan_tiles` knows."""
    return (*PAPERS, "roll")
