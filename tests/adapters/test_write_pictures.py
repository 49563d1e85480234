"""Pages as SVG and PNG: true sizes, everything that a page can hold, the same bytes every time."""

from __future__ import annotations

import io
import xml.etree.ElementTree as ET
from math import cos, hypot, radians, sin

import numpy as np
import pytest
from PIL import Image

from ribwright.adapters.write_picture_svg import write_picture_svg
from ribwright.adapters.write_png import write_png
from ribwright.documents.lettering import MM_PER_POINT, text_width
from ribwright.documents.page import Arc, Circle, Clip, Document, Item, Line, Page, Polyline, Stroke, Text

SVG = "{http://www.w3.org/2000/svg}"
SQUARE = ((20.0, 20.0), (60.0, 20.0), (60.0, 50.0), (20.0, 50.0))
EVERYTHING = (
    Line(10, 70, 90, 70, Stroke(0.4)),
    Polyline(SQUARE, True, Stroke(0.3), 0.8),
    Polyline(SQUARE[:3], False, Stroke(0.3, 0.2, (2.0, 1.0))),
    Arc(50, 40, 15, 20, 160),
    Arc(50, 40, 15, 0, 360),
    Circle(80, 20, 6, Stroke(0.2), 0.5),
    Text(10, 5, 'Ø 5 <"x"> & 3 · 2', 10.0, "bold"),
    Text(95, 10, "upright", 9.0, "regular", "middle", 90.0),
    Text(50, 60, "fingerprint 0123", 9.0, "mono", "end"),
    Clip(70, 40, 10, 10, (Line(0, 5, 100, 5, Stroke(0.5)), Text(2, 2, "cut")), 70, 40),
)


def page_of(*items: Item, width: float = 100.0, height: float = 80.0) -> Document:
    return Document("d", 'A title <"&">', (Page(width, height, items, "One"),))


def dark(document: Document, dots: float = 12.0) -> np.ndarray:
    """Darkness 0 to 1, row 0 at the top."""
    return 1.0 - np.asarray(Image.open(io.BytesIO(write_png(document, dots))), float) / 255.0


def ink(document: Document, dots: float = 12.0) -> np.ndarray:
    """Places of the inked dots from the lower left corner [mm], (n, 2)."""
    picture = dark(document, dots)
    rows, columns = np.nonzero(picture > 0.5)
    return np.stack([columns + 0.5, picture.shape[0] - rows - 0.5], axis=1) / dots


# ---- PNG


@pytest.mark.parametrize(("dots", "size"), [(1.0, (100, 80)), (8.0, (800, 640)), (3.7, (370, 296))])
def test_a_png_opens_with_the_size_asked_for(dots, size):
    image = Image.open(io.BytesIO(write_png(page_of(*EVERYTHING), dots)))
    image.load()
    assert image.format == "PNG"
    assert image.size == size
    assert image.info["dpi"][0] == pytest.approx(dots * 25.4, abs=0.5)


def test_pages_stand_one_under_the_other_in_a_png():
    pages = (Page(100.0, 80.0, (Line(10, 40, 90, 40),), "a"), Page(60.0, 30.0, (Line(10, 15, 50, 15),), "b"))
    picture = dark(Document("d", "t", pages), 4.0)
    assert picture.shape == (440, 400)
    assert picture[150:170, 40:360].max() > 0.5
    assert picture[370:390, 40:200].max() > 0.5
    assert picture[325:, 240:].max() == 0.0


def test_a_picture_too_large_is_made_coarser_and_not_refused():
    image = Image.open(io.BytesIO(write_png(page_of(Line(0, 0, 2000, 2000), width=2000.0, height=2000.0), 20.0)))
    assert 19e6 < image.size[0] * image.size[1] <= 20.1e6


def test_a_png_line_is_where_and_as_long_as_it_says():
    points = ink(page_of(Line(10, 40, 90, 40, Stroke(0.5))))
    assert np.ptp(points[:, 0]) == pytest.approx(80.5, abs=0.2)  # round ends add half the width each
    assert np.ptp(points[:, 1]) + 1 / 12 == pytest.approx(0.5, abs=0.1)
    assert points[:, 1].mean() == pytest.approx(40.0, abs=0.05)


def test_a_png_arc_keeps_its_radius_and_its_span():
    points = ink(page_of(Arc(50, 30, 25, 20, 160, Stroke(0.3))))
    r, angle = np.hypot(*(points - (50, 30)).T), np.degrees(np.arctan2(points[:, 1] - 30, points[:, 0] - 50))
    assert np.abs(r - 25.0).max() < 0.25
    assert angle.min() == pytest.approx(20, abs=0.6)
    assert angle.max() == pytest.approx(160, abs=0.6)


def test_a_png_area_has_its_grey_and_its_size():
    picture = dark(page_of(Polyline(SQUARE, True, None, 0.75)), 10.0)
    grey = np.abs(picture - 0.25) < 0.01
    assert grey.sum() / 100 == pytest.approx(40 * 30, rel=0.01)
    assert picture[400, 100] == 0.0


def test_dashes_cover_the_share_of_the_line_that_the_pattern_says():
    full = dark(page_of(Line(5, 40, 95, 40, Stroke(0.5)))).sum()
    for pattern in ((3.0, 1.0), (1.0, 1.0), (3.0, 0.8, 0.6, 0.8)):
        part = dark(page_of(Line(5, 40, 95, 40, Stroke(0.5, 0.0, pattern)))).sum()
        assert part / full == pytest.approx(sum(pattern[::2]) / sum(pattern), abs=0.03)
    # a corner takes no dash away
    bent = dark(page_of(Polyline(((5, 40), (50, 40), (50, 75)), False, Stroke(0.5, 0.0, (1.0, 1.0))))).sum()
    assert bent / dark(page_of(Line(5, 40, 85, 40, Stroke(0.5)))).sum() == pytest.approx(0.5, abs=0.03)


@pytest.mark.parametrize("font", ["regular", "bold", "mono"])
@pytest.mark.parametrize("anchor", ["start", "middle", "end"])
def test_print_in_a_png_is_as_wide_as_the_layout_counts_it(font, anchor):
    words = "H89.7 deg, 0.003H"
    wide = text_width(words, 12.0, font)
    points = ink(page_of(Text(50, 40, words, 12.0, font, anchor)))
    left = 50.0 - {"start": 0.0, "middle": 0.5, "end": 1.0}[anchor] * wide
    side = 0.1 * 12.0 * MM_PER_POINT  # white beside a letter
    assert points[:, 0].min() == pytest.approx(left + side, abs=1.5 * side)
    assert points[:, 0].max() == pytest.approx(left + wide - side, abs=1.5 * side)
    assert points[:, 1].max() < 40.0 + 0.8 * 12.0 * MM_PER_POINT
    assert points[:, 1].min() > 40.0 - 0.3 * 12.0 * MM_PER_POINT


def test_upright_print_runs_up_from_its_place():
    points = ink(page_of(Text(50, 20, "upright", 12.0, angle_deg=90.0)))
    assert 45.0 < points[:, 0].min() < points[:, 0].max() < 51.5
    assert points[:, 1].min() == pytest.approx(20.4, abs=0.5)
    assert points[:, 1].max() == pytest.approx(20.0 + text_width("upright", 12.0), abs=0.6)


def test_a_clip_shows_its_inside_moved_and_nothing_beside_it():
    points = ink(page_of(Clip(70, 40, 10, 10, (Line(-50, 5, 150, 5, Stroke(0.5)),), 70, 40)))
    assert points[:, 0].min() == pytest.approx(70.0, abs=0.1)
    assert points[:, 0].max() == pytest.approx(80.0, abs=0.1)
    assert points[:, 1].mean() == pytest.approx(45.0, abs=0.1)


def test_both_pictures_are_the_same_bytes_every_time():
    assert write_png(page_of(*EVERYTHING), 4.0) == write_png(page_of(*EVERYTHING), 4.0)
    assert write_picture_svg(page_of(*EVERYTHING)) == write_picture_svg(page_of(*EVERYTHING))


# ---- SVG


def root_of(document: Document) -> ET.Element:
    return ET.fromstring(write_picture_svg(document))


def test_an_svg_parses_and_is_as_large_as_its_pages_one_under_the_other():
    pages = (Page(100.0, 80.0, EVERYTHING, "a"), Page(60.0, 30.0, EVERYTHING, "b"))
    root = root_of(Document("d", "A <title>", pages))
    assert (root.get("width"), root.get("height")) == ("100mm", "110mm")
    assert root.get("viewBox") == "0 0 100 110"
    assert root.find(f"{SVG}title").text == "A <title>"  # type: ignore[union-attr]
    assert len(root.findall(f"{SVG}g")) == 2


def test_a_point_of_the_second_page_lies_below_the_first():
    root = root_of(Document("d", "t", (Page(100, 80, ()), Page(100, 50, (Line(1, 2, 3, 4),)))))
    line = root.find(f".//{SVG}line")
    assert line is not None
    assert [float(line.get(k, "nan")) for k in ("x1", "y1", "x2", "y2")] == [1.0, 128.0, 3.0, 126.0]


@pytest.mark.parametrize(("start", "end"), [(20.0, 160.0), (-97.0, 0.0), (10.0, 340.0)])
def test_an_svg_arc_is_a_true_arc_the_right_way_round(start, end):
    path = root_of(page_of(Arc(50, 40, 20, start, end))).find(f".//{SVG}path")
    assert path is not None
    words = path.get("d", "").split()
    x0, y0, r, _, _, large, sweep, x1, y1 = (float(w) for w in (*words[1:3], *words[4:]))
    assert (x0, 80 - y0) == pytest.approx((50 + 20 * cos(radians(start)), 40 + 20 * sin(radians(start))), abs=6e-4)
    assert (x1, 80 - y1) == pytest.approx((50 + 20 * cos(radians(end)), 40 + 20 * sin(radians(end))), abs=6e-4)
    assert (r, large, sweep) == (20.0, float(end - start > 180), 0.0)
    assert hypot(x1 - x0, y1 - y0) <= 2 * r


def test_svg_print_is_told_its_length_and_its_letters_survive():
    texts = root_of(page_of(*EVERYTHING)).findall(f".//{SVG}text")
    assert texts[0].text == 'Ø 5 <"x"> & 3 · 2'
    assert float(texts[0].get("textLength", "nan")) == pytest.approx(text_width(texts[0].text, 10.0, "bold"), abs=6e-4)
    assert texts[1].get("transform") == "rotate(-90 95 70)"
    assert [t.get("text-anchor") for t in texts[:3]] == ["start", "middle", "end"]


def test_an_svg_without_fill_or_line_says_none_and_keeps_grey_and_dash():
    areas = root_of(page_of(*EVERYTHING)).findall(f".//{SVG}polygon")
    lines = root_of(page_of(*EVERYTHING)).findall(f".//{SVG}polyline")
    assert areas[0].get("fill") == "#cccccc"
    assert lines[0].get("fill") == "none"
    assert lines[0].get("stroke") == "#333333"
    assert lines[0].get("stroke-dasharray") == "2 1"
    assert root_of(page_of(Polyline(SQUARE, True, None, 0.0))).findall(f".//{SVG}polygon")[0].get("stroke") is None


def test_an_svg_clip_is_a_window_in_the_same_coordinates():
    window = root_of(page_of(*EVERYTHING)).find(f".//{SVG}svg")
    assert window is not None
    assert window.get("viewBox") == "70 30 10 10"
    line = window.find(f"{SVG}line")
    assert line is not None
    assert [line.get(k) for k in ("x1", "y1")] == ["70", "35"]
