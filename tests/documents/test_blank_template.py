"""The blank template says what the bench needs, at true size, and proves it."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

import numpy as np
import pypdfium2
import pytest
import shapely

from ribwright.adapters.write_pdf import write_pdf
from ribwright.documents.check_distances import check_marks
from ribwright.documents.lettering import MM_PER_POINT, text_width
from ribwright.documents.page import Circle, Clip, Document, Item, Page, Text
from ribwright.documents.template import template
from ribwright.documents.template_spread import template_spread
from ribwright.documents.template_values import EdgeLabel, TemplateContent, TemplateHole
from ribwright.documents.tiling import papers
from ribwright.geometry.path import Path, bulge_of, polyline

OUTLINE = Path(((0, 20, 0), (800, 40, 0), (800, 130, bulge_of(0.45)), (0, 160, 0)), True)
UPPER = Path(((780, 118, bulge_of(0.4)), (18, 142, 0)), False)
LOWER = polyline([(18, 36), (780, 56)], False)
HOLES = (
    TemplateHole("L1", 110, 95, 50.8, "lightening"),
    TemplateHole("L2", 420, 95, 63.5, "lightening"),
    TemplateHole("P1", 60, 95, 4.7625, "tooling"),
    TemplateHole("P2", 720, 90, 4.7625, "tooling", 2.0, 10.0),
    TemplateHole("H1", 335, 60, 6.35, "plain"),
)
RIB = TemplateContent(
    "Q7-2102-1",
    "B",
    "left",
    "Centre rib",
    "2024-T3 clad",
    "0.025 in",
    "0123456789abcdef",
    OUTLINE,
    (),
    (UPPER, LOWER),
    HOLES,
    ((60, 95), (720, 90)),
    12.0,
    "heel face up",
    (EdgeLabel("lower", 300, 30, 1.4),),
)
STRIP = replace(
    RIB, outline=polyline([(0, 0), (150, 0), (150, 14), (0, 14)]), tangents=(), holes=(), pins=(), edge_labels=()
)
LONG = replace(RIB, title="Rib, centre section, inboard of the landing gear attachment, both wings " * 3)
FAMILY = {"rib": RIB, "strip": STRIP, "long words": LONG, "metric": replace(RIB, units="mm")}


def texts(items: tuple[Item, ...]) -> list[Text]:
    """Every line of print, those inside windows too, where they stand on the page."""
    out: list[Text] = []
    for item in items:
        if isinstance(item, Text):
            out.append(item)
        elif isinstance(item, Clip):
            out += [replace(t, x=t.x + item.dx, y=t.y + item.dy) for t in texts(item.items)]
    return out


def words_of(document: Document) -> list[str]:
    """The words a reader finds on each page of the PDF."""
    pdf = pypdfium2.PdfDocument(write_pdf(document))
    return [page.get_textpage().get_text_bounded() for page in pdf]


def room(text: Text) -> shapely.Geometry:
    size = text_width(text.text, text.size_pt, text.font)
    start = {"start": 0.0, "middle": -size / 2, "end": -size}[text.anchor]
    tall = 0.7 * text.size_pt * MM_PER_POINT
    box = shapely.box(text.x + start, text.y, text.x + start + size, text.y + tall)
    return shapely.affinity.rotate(box, text.angle_deg, origin=(text.x, text.y))


@pytest.mark.parametrize("paper", papers())
def test_every_page_carries_part_revision_hand_fingerprint_and_page_number(paper: str) -> None:
    pages = words_of(template(RIB, paper))
    for i, words in enumerate(pages):
        for said in ("Q7-2102-1 rev B, left hand", "0123456789abcdef", f"page {i + 1} of {len(pages)}"):
            assert said in words


@pytest.mark.parametrize("paper", papers())
def test_the_sheet_says_side_grain_how_to_cut_and_that_paper_moves(paper: str) -> None:
    cover, *tiles = words_of(template(RIB, paper))
    for words in tiles:
        assert "Cut to the outer edge of the line; keep scribe marks off the part." in words
        assert "Paper moves" in words
    for said in ("THIS SIDE UP", "heel face up", "GRAIN", "2024-T3 clad", "0.025 in"):
        assert any(said in words for words in tiles)
    for said in ("humidity", "Name", "Date", "M1 to M2", "M1 to M4", "M1 to M3", "Measured", "±0.02 in / ±0.5 mm"):
        assert said in cover


def test_a_sheet_that_does_not_care_for_grain_says_so_and_has_no_arrow() -> None:
    words = "".join(words_of(template(replace(RIB, grain_deg=None), "roll"))[1:])
    assert "any direction" in words
    assert "GRAIN" not in words


@pytest.mark.parametrize("angle", [-170.0, -90.0, -45.0, 0.0, 30.0, 90.0, 135.0, 180.0])
def test_the_grain_arrow_lies_along_the_grain_and_its_word_reads_from_below_or_the_right(angle: float) -> None:
    spread, _, _ = template_spread(replace(RIB, grain_deg=angle), "roll")
    word = next(t for t in texts(spread.items) if t.text == "GRAIN")
    assert (word.angle_deg - angle) % 180 == pytest.approx(0, abs=1e-9) or (
        word.angle_deg - angle
    ) % 180 == pytest.approx(180, abs=1e-9)
    assert -90 < word.angle_deg <= 90


def test_the_printed_blank_measures_what_the_blank_measures() -> None:
    page = template(replace(RIB, outline=polyline([(0, 0), (600, 0), (600, 200), (0, 200)])), "roll").pages[1]
    pdf = pypdfium2.PdfDocument(write_pdf(Document("d", "d", (page,))))
    grey = pdf[0].render(scale=150 / 72, grayscale=True).to_numpy()
    dark = 1 - grey.reshape(grey.shape[:2]).astype(float) / 255
    window = next(i for i in page.items if isinstance(i, Clip))

    def edge(profile: np.ndarray, at: float) -> float:
        # middle of the ink within 2 mm of where the edge should stand
        k = np.arange(profile.size)
        near = np.abs((k + 0.5) * 25.4 / 150 - at) < 2
        return float(np.average((k[near] + 0.5) * 25.4 / 150, weights=profile[near]))

    row = dark[int((page.height - window.dy - 190) / 25.4 * 150)]
    column = dark[:, int((window.dx + 200) / 25.4 * 150)]
    left, right = edge(row, window.dx), edge(row, window.dx + 600)
    top, bottom = edge(column, page.height - window.dy - 200), edge(column, page.height - window.dy)
    assert right - left == pytest.approx(600, abs=0.1)
    assert bottom - top == pytest.approx(200, abs=0.1)


@pytest.mark.parametrize(("first", "step"), [("in", 12.7), ("mm", 10.0)])
def test_check_distances_read_plainly_off_a_rule_and_their_marks_stand_off_the_blank(first: str, step: float) -> None:
    for w, h in ((31.7, 4.2), (800.0, 171.4), (2600.0, 1500.0)):
        marks = check_marks((3.0, -2.0, 3.0 + w, h - 2.0), first)  # type: ignore[arg-type]
        (_, _, x), (_, _, y), (_, _, across) = marks.distances()
        assert x / step == pytest.approx(round(x / step), abs=1e-9)
        assert y / step == pytest.approx(round(y / step), abs=1e-9)
        assert across == pytest.approx(np.hypot(x, y))
        assert marks.a[0] <= 3.0 - 8
        assert marks.c[1] >= h - 2.0 + 8


@pytest.mark.parametrize("paper", papers())
@pytest.mark.parametrize("name", FAMILY)
def test_the_four_marks_are_whole_on_some_tile(name: str, paper: str) -> None:
    _, grid, marks = template_spread(FAMILY[name], paper)
    w, h = grid.window
    for _, (x, y) in marks.named:
        assert any(t.x + 4 <= x <= t.x + w - 4 and t.y + 4 <= y <= t.y + h - 4 for t in grid.tiles)


@pytest.mark.parametrize("paper", papers())
@pytest.mark.parametrize("name", FAMILY)
def test_no_print_lies_on_other_print(name: str, paper: str) -> None:
    for page in template(FAMILY[name], paper).pages:
        for (a, at), (b, bt) in combinations(printed(page.items), 2):
            assert not shapely.intersects(at, bt), f"{page.name}: {a.text!r} on {b.text!r}"


def printed(items: tuple[Item, ...]) -> list[tuple[Text, shapely.Geometry]]:
    """Every line of print with the room it takes on the paper: what a window cuts off is not there."""
    out = []
    for item in items:
        if isinstance(item, Text):
            out.append((item, room(item)))
        elif isinstance(item, Clip):
            window = shapely.box(item.x, item.y, item.x + item.w, item.y + item.h)
            for t in texts((item,)):
                out.append((t, shapely.intersection(room(t), window)))
    return [(t, r) for t, r in out if not r.is_empty]


@pytest.mark.parametrize("paper", papers())
@pytest.mark.parametrize("name", FAMILY)
def test_print_is_never_smaller_than_8_points(name: str, paper: str) -> None:
    sizes = [t.size_pt for page in template(FAMILY[name], paper).pages for t in texts(page.items)]
    assert min(sizes) >= 8
    assert max(sizes) >= 14


@pytest.mark.parametrize("paper", papers())
def test_this_side_up_stands_on_the_blank_and_off_its_holes(paper: str) -> None:
    spread, _, _ = template_spread(RIB, paper)
    blank = shapely.Polygon(OUTLINE.chords())
    for hole in HOLES:
        blank = blank.difference(shapely.Point(hole.x, hole.y).buffer(hole.diameter / 2))
    for text in texts(spread.items):
        if text.text in ("THIS SIDE UP", "GRAIN"):
            assert blank.contains(room(text))


def test_what_does_not_fit_on_a_narrow_blank_stands_below_it() -> None:
    spread, _, _ = template_spread(replace(STRIP, outline=polyline([(0, 0), (40, 0), (40, 6), (0, 6)])), "letter")
    up = next(t for t in texts(spread.items) if t.text == "THIS SIDE UP")
    assert up.y < 0
    assert spread.box[1] < up.y


def test_words_of_a_small_hole_keep_off_every_line_where_there_is_room() -> None:
    crowded = replace(RIB, holes=(HOLES[0], TemplateHole("P1", 75, 95, 4.7625, "tooling")), pins=())
    spread, _, _ = template_spread(crowded, "roll")
    edge = shapely.Point(110, 95).buffer(25.4).boundary
    for text in texts(spread.items):
        if text.text.startswith(("P1", "Ø 0.188")):
            assert not shapely.intersects(room(text), edge)


def test_holes_are_drawn_at_their_cut_diameter() -> None:
    spread, _, _ = template_spread(RIB, "letter")
    drawn = {(i.cx, i.cy, 2 * i.r) for i in spread.items if isinstance(i, Circle)}
    assert drawn == {(h.x, h.y, h.diameter) for h in HOLES if h.slot == 0}


def test_a_part_with_a_stop_has_the_sentence_on_every_page() -> None:
    stopped = replace(RIB, stops=("Flange edge splits.", "Another."))
    for words in words_of(template(stopped, "a4")):
        assert "STOP: Flange edge splits. (and 1 more)" in words.replace("\r\n", " ")
    for words in words_of(template(RIB, "a4")):
        assert "STOP" not in words


def test_the_shops_unit_comes_first() -> None:
    assert "32.500 in (825.50 mm)" in words_of(template(RIB, "letter"))[0]
    assert "820.00 mm (32.283 in)" in words_of(template(replace(RIB, units="mm"), "a4"))[0]


def test_the_same_content_gives_the_same_bytes() -> None:
    assert write_pdf(template(RIB, "letter")) == write_pdf(template(replace(RIB), "letter"))


def test_a_paper_we_do_not_know_is_refused() -> None:
    with pytest.raises(KeyError):
        template(RIB, "legal")


def test_pages_are_the_papers_size() -> None:
    sizes = {"letter": {(215.9, 279.4), (279.4, 215.9)}, "a4": {(210.0, 297.0), (297.0, 210.0)}}
    for paper, allowed in sizes.items():
        pages: tuple[Page, ...] = template(RIB, paper).pages
        assert {(p.width, p.height) for p in pages} <= allowed
