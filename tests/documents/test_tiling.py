"""A drawing cut into tiles goes together again: true scale in x and y, squares at the same place, nothing lost."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pypdfium2
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ribwright.adapters.write_pdf import write_pdf
from ribwright.documents.lettering import text_width
from ribwright.documents.page import Arc, Circle, Clip, Document, Line, Page, Polyline, Text
from ribwright.documents.register_marks import HALF, Register
from ribwright.documents.scale_bar import LENGTH, scale_bar
from ribwright.documents.tiling import MARGIN, OVERLAP, Grid, Spread, Tile, papers, plan_tiles, tile_pages

DPI = 300
PX = DPI / 25.4
RIB = (-20.0, -15.0, 815.0, 190.0)
BULKHEAD = (-750.0, -760.0, 750.0, 760.0)
SMALL = (0.0, 0.0, 90.0, 60.0)
PDF_LONGEST = 14400 / 72 * 25.4  # ISO 32000-1, annex C [mm]

boxes = st.builds(
    lambda x, y, w, h: (x, y, x + w, y + h),
    st.floats(-500, 500),
    st.floats(-500, 500),
    st.floats(5, 2500),
    st.floats(5, 2500),
)


def tiled(box: tuple[float, float, float, float], paper: str) -> tuple[Grid, tuple[Page, ...]]:
    x0, y0, x1, y1 = box
    corners = ((x0, y0), (x1, y0), (x1, y1), (x0, y1))
    grid = plan_tiles(box, paper)
    spread = Spread((Polyline(corners, True),), box, "Q7-2102-1 rev B   fingerprint 0123456789abcdef", ("one", "two"))
    return grid, tile_pages(spread, grid, before=1)


def on_tile(grid: Grid, tile: Tile) -> list[Register]:
    """The marks a tile carries."""
    return [m for m in grid.registers() if (tile.row, tile.column) in m.tiles]


def ink(page: Page, left: float, bottom: float, right: float, top: float) -> np.ndarray:
    """Darkness 0 to 1 of a part of the page (limits in mm from its lower left corner), first row at the top."""
    pdf = pypdfium2.PdfDocument(write_pdf(Document("d", "d", (page,))))
    pt = 72 / 25.4
    crop = (left * pt, bottom * pt, (page.width - right) * pt, (page.height - top) * pt)
    grey = pdf[0].render(scale=DPI / 72, crop=crop, grayscale=True).to_numpy()
    return 1 - grey.reshape(grey.shape[0], grey.shape[1]).astype(float) / 255


def first_and_last(profile: np.ndarray) -> float:
    """Distance between the middles of the first and the last dark run of a profile [mm]."""
    dark = profile > 0.15
    starts = np.flatnonzero(np.diff(dark.astype(int), prepend=0) == 1)
    ends = np.flatnonzero(np.diff(dark.astype(int), append=0) == -1) + 1
    middles = [float(np.average(np.arange(a, b), weights=profile[a:b])) for a, b in zip(starts, ends, strict=True)]
    return (middles[-1] - middles[0]) / PX


def bar_starts(page: Page) -> tuple[tuple[float, float], tuple[float, float]]:
    """Where the bar along x and the bar along y start: the two lines of exactly 4 in."""
    lines = [i for i in page.items if isinstance(i, Line)]
    along_x = next(i for i in lines if i.y0 == i.y1 and abs(i.x1 - i.x0 - LENGTH) < 1e-9)
    along_y = next(i for i in lines if i.x0 == i.x1 and abs(i.y1 - i.y0 - LENGTH) < 1e-9)
    return (along_x.x0, along_x.y0), (along_y.x0, along_y.y0)


@pytest.mark.parametrize("paper", papers())
def test_scale_bars_measure_100_mm_and_4_in_on_the_print_in_x_and_in_y(paper: str) -> None:
    _, pages = tiled(RIB, paper)
    page = pages[-1]
    (xx, xy), (yx, yy) = bar_starts(page)
    # a strip 0.6 mm deep through the ticks, first on the mm side, then on the inch side of each bar
    for side, length in ((1.2, 100.0), (-1.8, 101.6)):
        strip = ink(page, xx - 1.5, xy + side, xx + LENGTH + 1.5, xy + side + 0.6)
        assert first_and_last(strip.mean(axis=0)) == pytest.approx(length, abs=0.1)
        strip = ink(page, yx - side - 0.6, yy - 1.5, yx - side, yy + LENGTH + 1.5)
        assert first_and_last(strip.mean(axis=1)) == pytest.approx(length, abs=0.1)


@pytest.mark.parametrize("paper", papers())
@pytest.mark.parametrize("box", [SMALL, RIB, BULKHEAD])
def test_every_tile_has_a_bar_along_x_and_a_bar_along_y(paper: str, box: tuple[float, float, float, float]) -> None:
    for page in tiled(box, paper)[1]:
        bar_starts(page)


@settings(max_examples=40, deadline=None)
@given(boxes, st.sampled_from(papers()))
def test_squares_of_one_number_stand_at_the_same_place_of_the_drawing(
    box: tuple[float, float, float, float], paper: str
) -> None:
    grid = plan_tiles(box, paper)
    places: dict[int, list[tuple[float, float]]] = {}
    for tile in grid.tiles:
        for m in on_tile(grid, tile):
            places.setdefault(m.number, []).append((m.x, m.y))
    for found in places.values():
        assert len(found) >= 2
        assert np.ptp(np.array(found), axis=0) == pytest.approx([0, 0], abs=1e-9)
    assert len({tuple(np.round(p[0], 6)) for p in places.values()}) == len(places)


@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_squares_are_printed_where_the_drawing_says(paper: str) -> None:
    grid, pages = tiled(RIB, paper)
    for tile, page in zip(grid.tiles, pages, strict=True):
        window = next(i for i in page.items if isinstance(i, Clip))
        printed = {
            (round(i.points[0][0] + HALF - window.dx, 6), round(i.points[0][1] + HALF - window.dy, 6))
            for i in page.items
            if isinstance(i, Polyline) and abs(i.points[1][0] - i.points[0][0] - 2 * HALF) < 1e-9
        }
        assert printed == {(round(m.x, 6), round(m.y, 6)) for m in on_tile(grid, tile)}


@pytest.mark.parametrize("barred", [0, 30, 90])
def test_every_joint_keeps_two_marks_on_both_its_tiles_however_much_is_barred(barred: int) -> None:
    grid = plan_tiles(BULKHEAD, "letter")
    rng = np.random.default_rng(barred)
    # bars about the corners, where the marks would stand, and anywhere
    corners = np.array([(m.x, m.y) for m in grid.registers()])
    bars = np.concatenate([corners[rng.permutation(len(corners))[:barred]], rng.uniform(-750, 750, (barred, 2))])

    def free(x: float, y: float) -> bool:
        return not len(bars) or float(np.min(np.hypot(*(bars - (x, y)).T))) > 15.0

    marks = grid.registers(free)
    assert all(free(m.x, m.y) for m in marks)
    assert len({(m.x, m.y) for m in marks}) == len(marks) == len({m.number for m in marks})
    tiles = {(t.row, t.column): t for t in grid.tiles}
    for m in marks:
        for cell in m.tiles:
            tile = tiles[cell]
            assert tile.x + HALF < m.x < tile.x + grid.window[0] - HALF
            assert tile.y + HALF < m.y < tile.y + grid.window[1] - HALF
    for row, column in tiles:
        for beside in ((row, column + 1), (row + 1, column)):
            if beside in tiles:
                shared = [m for m in marks if {(row, column), beside} <= set(m.tiles)]
                assert len(shared) == 2
                reach = np.hypot(shared[0].x - shared[1].x, shared[0].y - shared[1].y)
                assert reach > 0.15 * min(grid.window)


def test_a_mark_stays_where_nothing_is_free() -> None:
    grid = plan_tiles(BULKHEAD, "a4")
    assert grid.registers(lambda x, y: False) == grid.registers()


def test_neighbours_are_joined_by_two_squares() -> None:
    grid = plan_tiles(BULKHEAD, "letter")
    numbers = {(t.row, t.column): {m.number for m in on_tile(grid, t)} for t in grid.tiles}
    for (row, column), mine in numbers.items():
        for beside in ((row, column + 1), (row + 1, column)):
            if beside in numbers:
                assert len(mine & numbers[beside]) == 2


@settings(max_examples=40, deadline=None)
@given(boxes, st.sampled_from(papers()))
def test_tiles_cover_the_drawing_and_share_a_strip_with_each_neighbour(
    box: tuple[float, float, float, float], paper: str
) -> None:
    grid = plan_tiles(box, paper)
    w, h = grid.window
    xs, ys = sorted({t.x for t in grid.tiles}), sorted({t.y for t in grid.tiles})
    assert len(grid.tiles) == grid.columns * grid.rows
    assert min(xs) <= box[0] + 1e-6
    assert max(xs) + w >= box[2] - 1e-6
    assert min(ys) <= box[1] + 1e-6
    assert max(ys) + h >= box[3] - 1e-6
    for places, size in ((xs, w), (ys, h)):
        for a, b in pairwise(places):
            if b - a > 1e-6:
                assert a + size - b == pytest.approx(OVERLAP, abs=1e-6)


@settings(max_examples=30, deadline=None)
@given(boxes, st.floats(1, 400), st.sampled_from(papers()))
def test_a_larger_drawing_never_needs_fewer_tiles(
    box: tuple[float, float, float, float], more: float, paper: str
) -> None:
    larger = (box[0] - more, box[1], box[2], box[3] + more)
    assert len(plan_tiles(larger, paper).tiles) >= len(plan_tiles(box, paper).tiles)


def test_a_small_drawing_is_one_tile_without_marks() -> None:
    for paper in papers():
        grid = plan_tiles(SMALL, paper)
        assert len(grid.tiles) == 1
        assert grid.registers() == ()


def test_a_tall_drawing_turns_the_paper_where_that_saves_tiles() -> None:
    # 420 mm along x: two sheets of landscape letter, three of portrait
    assert plan_tiles((0, 0, 420, 120), "letter").page == (279.4, 215.9)
    # 420 mm along y: the other way round
    assert plan_tiles((0, 0, 120, 420), "letter").page == (215.9, 279.4)


def test_a_roll_takes_a_long_drawing_on_one_sheet_of_the_rolls_width() -> None:
    grid = plan_tiles((0, 0, 3000, 700), "roll")
    assert len(grid.tiles) == 1
    assert 914.4 in grid.page
    assert max(grid.page) > 3000


def test_a_drawing_wider_than_the_roll_is_tiled_on_the_rolls_width() -> None:
    grid = plan_tiles((0, 0, 2600, 1500), "roll")
    assert len(grid.tiles) == 2
    assert min(grid.page) == 914.4


def test_a_page_of_roll_is_never_longer_than_a_pdf_page_may_be() -> None:
    grid = plan_tiles((0, 0, 9000, 800), "roll")
    assert max(grid.page) < PDF_LONGEST
    assert len(grid.tiles) == 2


@pytest.mark.parametrize("paper", papers())
@pytest.mark.parametrize("box", [SMALL, RIB, BULKHEAD])
def test_nothing_is_printed_in_the_margin(paper: str, box: tuple[float, float, float, float]) -> None:
    for page in tiled(box, paper)[1]:
        for x, y in (p for item in page.items for p in reach(item)):
            assert MARGIN - 0.01 <= x <= page.width - MARGIN + 0.01
            assert MARGIN - 0.01 <= y <= page.height - MARGIN + 0.01


@pytest.mark.parametrize("paper", papers())
def test_bars_stand_outside_the_window_so_that_no_line_of_the_drawing_crosses_them(paper: str) -> None:
    page = tiled(RIB, paper)[1][0]
    window = next(i for i in page.items if isinstance(i, Clip))
    along_x, along_y = bar_starts(page)
    for _, y in (p for item in scale_bar(*along_x) for p in reach(item)):
        assert y < window.y
    for x, _ in (p for item in scale_bar(*along_y, upright=True) for p in reach(item)):
        assert x < window.x


def reach(item: object) -> list[tuple[float, float]]:
    """Corners of what an item covers."""
    match item:
        case Line():
            return [(item.x0, item.y0), (item.x1, item.y1)]
        case Polyline():
            return list(item.points)
        case Circle() | Arc():
            return [(item.cx - item.r, item.cy - item.r), (item.cx + item.r, item.cy + item.r)]
        case Clip():
            return [(item.x, item.y), (item.x + item.w, item.y + item.h)]
        case Text():
            size = text_width(item.text, item.size_pt, item.font)
            start = {"start": 0.0, "middle": -size / 2, "end": -size}[item.anchor]
            a = np.radians(item.angle_deg)
            ends = (start, start + size)
            return [(item.x + s * float(np.cos(a)), item.y + s * float(np.sin(a))) for s in ends]
    raise TypeError(item)


def test_every_tile_says_whose_it_is_which_page_and_where_it_belongs() -> None:
    grid, pages = tiled(RIB, "letter")
    total = len(pages) + 1
    for i, (tile, page) in enumerate(zip(grid.tiles, pages, strict=True)):
        words = [t.text for t in page.items if isinstance(t, Text)]
        assert any("Q7-2102-1 rev B" in w and "0123456789abcdef" in w for w in words)
        assert f"page {i + 2} of {total}" in words
        assert tile.name in words
        black = [p for p in page.items if isinstance(p, Polyline) and p.fill is not None]
        assert len(black) == 1


def test_a_long_identity_never_pushes_the_page_number_off_the_sheet() -> None:
    grid = plan_tiles(RIB, "a4")
    for page in tile_pages(Spread((), RIB, "a very long title " * 30), grid):
        foot = [t for t in page.items if isinstance(t, Text) and t.y < MARGIN + 3]
        assert any(t.text.startswith("page ") for t in foot)
        assert sum(text_width(t.text, t.size_pt, t.font) for t in foot) < page.width - 2 * MARGIN


def test_tiles_are_named_by_column_and_row_like_no_hole_and_no_mark() -> None:
    grid = plan_tiles((0, 0, 700, 900), "a4")
    assert grid.tiles[0].name == "1-1"
    assert {t.name for t in grid.tiles} == {f"{t.column + 1}-{t.row + 1}" for t in grid.tiles}
    assert len({t.name for t in grid.tiles}) == len(grid.tiles) > 4
