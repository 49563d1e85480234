"""PDF, DXF and SVG hold true sizes and true arcs, the same bytes every time; files are written whole or not at all."""

from __future__ import annotations

import io
import os
import subprocess
import sys
import xml.etree.ElementTree as ET
from math import atan, degrees, hypot
from pathlib import Path as FilePath

import ezdxf
import numpy as np
import pypdfium2
import pytest

from ribwright.adapters.write_dxf import write_dxf
from ribwright.adapters.write_file import write_all
from ribwright.adapters.write_pdf import write_pdf
from ribwright.adapters.write_svg import MARGIN, write_svg
from ribwright.documents.drawing import Contour, Drawing, Label, Ring, crossed
from ribwright.documents.lettering import text_width, wrap
from ribwright.documents.page import Arc, Circle, Clip, Document, Line, Page, Polyline, Stroke, Text, path_items
from ribwright.geometry.path import Path, bulge_of, centre_of

SHAPE = ((0.0, 0.0, 0.0), (100.0, 0.0, bulge_of(2.2)), (100.0, 50.0, 0.0), (0.0, 50.0, bulge_of(-0.7)))
LARGE_ARC = ((0.0, 0.0, bulge_of(4.0)), (30.0, 0.0, 0.0))
DRAWING = Drawing(
    (
        Contour("OUTLINE", SHAPE),
        Contour("TANGENT", LARGE_ARC, False),
        Ring("HOLE", 20.0, 25.0, 5.0),
        Ring("PIN", 80.0, 25.0, 2.4),
        Label("TEXT", 5.0, 5.0, 'Q7-2102-1 rev B & Ø 5 <"x">', 4.0, 30.0),
    ),
    "Q7-2102-1 flat blank",
)


def page_of(*items: object) -> Document:
    return Document("d", "A title", (Page(100.0, 80.0, items, "One"),))  # type: ignore[arg-type]


def dark(document: Document, dpi: int = 300) -> np.ndarray:
    """Darkness 0 to 1 of the first page, row 0 at the top."""
    grey = pypdfium2.PdfDocument(write_pdf(document))[0].render(scale=dpi / 72, grayscale=True).to_numpy()
    return 1 - grey.reshape(grey.shape[:2]).astype(float) / 255


def ink_points(document: Document, dpi: int = 300) -> np.ndarray:
    """Places of the inked pixels in mm from the lower left corner, (n, 2)."""
    picture = dark(document, dpi)
    rows, columns = np.nonzero(picture > 0.5)
    return np.stack([columns + 0.5, picture.shape[0] - rows - 0.5], axis=1) * 25.4 / dpi


# ---- pages as PDF


def test_a_pdf_line_is_as_long_as_it_says() -> None:
    ink = ink_points(page_of(Line(10, 40, 90, 40, Stroke(0.3))))
    assert np.ptp(ink[:, 0]) == pytest.approx(80, abs=0.4)  # round ends add half the width each, pixels 0.08 mm
    assert ink[:, 1].mean() == pytest.approx(40, abs=0.06)


def test_a_pdf_arc_keeps_its_radius_and_its_span() -> None:
    ink = ink_points(page_of(Arc(50, 40, 30, 20, 160, Stroke(0.2))))
    r = np.hypot(*(ink - (50, 40)).T)
    angle = np.degrees(np.arctan2(ink[:, 1] - 40, ink[:, 0] - 50))
    assert np.abs(r - 30).max() < 0.2
    assert angle.min() == pytest.approx(20, abs=0.4)
    assert angle.max() == pytest.approx(160, abs=0.4)


def test_path_items_follow_the_path_whatever_way_it_bulges() -> None:
    for vertices in (SHAPE, LARGE_ARC, tuple((x, y, -b) for x, y, b in SHAPE)):
        path = Path(vertices, True)
        items = path_items(vertices)
        arcs = [i for i in items if isinstance(i, Arc)]
        length = sum(i.r * np.radians(i.end_deg - i.start_deg) for i in arcs)
        length += sum(hypot(i.x1 - i.x0, i.y1 - i.y0) for i in items if isinstance(i, Line))
        assert length == pytest.approx(path.length(), rel=1e-9)
        assert all(i.end_deg >= i.start_deg for i in arcs)
        middles = [point_on(i, 0.5) for i in arcs]
        chords = np.array(path.chords(1e-4))
        for p in middles:
            assert np.hypot(*(chords - p).T).min() < 0.5


def point_on(arc: Arc, share: float) -> tuple[float, float]:
    a = np.radians(arc.start_deg + share * (arc.end_deg - arc.start_deg))
    return arc.cx + arc.r * float(np.cos(a)), arc.cy + arc.r * float(np.sin(a))


def test_clip_moves_its_items_and_cuts_them_at_its_edge() -> None:
    ink = ink_points(page_of(Clip(20, 20, 30, 30, (Line(-100, 0, 100, 0), Circle(0, 0, 5, None, 0.0)), 35, 30)))
    assert ink[:, 0].min() == pytest.approx(20, abs=0.1)
    assert ink[:, 0].max() == pytest.approx(50, abs=0.1)
    assert ink[:, 1].max() == pytest.approx(35, abs=0.1)


def test_fill_and_grey_are_printed_as_said() -> None:
    square = ((20, 20), (40, 20), (40, 40), (20, 40))
    picture = dark(page_of(Polyline(square, True, None, 0.6), Text(60, 60, "X", 12, grey=0.5)))
    assert picture[int(50 / 25.4 * 300), int(30 / 25.4 * 300)] == pytest.approx(0.4, abs=0.02)
    assert picture[: int(25 / 25.4 * 300)].max() == pytest.approx(0.5, abs=0.02)


def test_a_line_of_print_is_as_wide_as_the_table_says() -> None:
    for font in ("regular", "bold", "mono"):
        ink = ink_points(page_of(Text(10, 40, "H" + "Rib 0.025 in, side up: 12" + "H", 14, font)))
        # a letter H stands a little within its own width on both sides
        assert np.ptp(ink[:, 0]) == pytest.approx(text_width("HRib 0.025 in, side up: 12H", 14, font), abs=1.0)


def test_wrapped_lines_fit_and_lose_no_word() -> None:
    text = "Paper moves with the humidity and warmth of the room, and not alike in x and y."
    for width in (30.0, 45.0, 120.0):
        lines = wrap(text, 9, width)
        assert max(text_width(line, 9) for line in lines) <= width
        assert " ".join(lines) == text
    assert "".join(wrap("Q7-2102-1/0123456789abcdef", 9, 12.0)) == "Q7-2102-1/0123456789abcdef"


def test_pdf_tells_title_and_author_asks_for_no_scaling_and_claims_no_date() -> None:
    content = write_pdf(page_of(Line(0, 0, 1, 1)))
    said = pypdfium2.PdfDocument(content).get_metadata_dict()
    assert said["Title"] == "A title"
    assert said["Author"] == "ribwright"
    assert not said["CreationDate"]
    assert not said["ModDate"]
    assert b"/PrintScaling /None" in content


def test_letters_the_faces_lack_are_printed_without_accent_or_as_a_question_mark() -> None:
    document = page_of(Text(5, 60, "Łódź Ø 5 ± é", 10), Text(5, 40, "翼", 10))
    words = pypdfium2.PdfDocument(write_pdf(document))[0].get_textpage().get_text_bounded()
    assert "Lódz Ø 5 ± é" in words
    assert "?" in words


# ---- drawings as DXF


def read_back(content: bytes) -> ezdxf.document.Drawing:
    return ezdxf.read(io.StringIO(content.decode("utf-8")))


def test_dxf_reads_back_in_mm_with_true_arcs_and_no_faults() -> None:
    doc = read_back(write_dxf(DRAWING))
    assert doc.dxfversion == "AC1024"  # R2010
    assert doc.header["$INSUNITS"] == 4
    assert not doc.audit().errors
    outline = doc.modelspace().query('LWPOLYLINE[layer=="OUTLINE"]').first
    assert outline.closed
    assert [tuple(p) for p in outline.get_points("xyb")] == [pytest.approx(v, abs=1e-9) for v in SHAPE]
    ring = doc.modelspace().query('CIRCLE[layer=="HOLE"]').first
    assert (*ring.dxf.center.vec2, ring.dxf.radius) == pytest.approx((20, 25, 5))


def test_arcs_of_the_dxf_have_the_radius_and_centre_of_the_path() -> None:
    doc = read_back(write_dxf(DRAWING))
    for shape in (i for i in DRAWING.items if isinstance(i, Contour)):
        line = doc.modelspace().query(f'LWPOLYLINE[layer=="{shape.layer}"]').first
        ours = [s for s in Path(shape.vertices, shape.closed).segments() if s[0][2] != 0]
        theirs = [e for e in line.virtual_entities() if e.dxftype() == "ARC"]
        assert len(ours) == len(theirs) > 0
        for (a, b), arc in zip(ours, theirs, strict=True):
            (cx, cy), r = centre_of(a, b)
            assert (*arc.dxf.center.vec2, arc.dxf.radius) == pytest.approx((cx, cy, r), abs=1e-6)
            span = (arc.dxf.end_angle - arc.dxf.start_angle) % 360
            assert span == pytest.approx(abs(degrees(4 * atan(a[2]))), abs=1e-6)


def test_dxf_has_one_layer_for_each_kind_and_text_that_reads_back() -> None:
    doc = read_back(write_dxf(DRAWING))
    assert {"OUTLINE", "TANGENT", "HOLE", "PIN", "TEXT"} <= {layer.dxf.name for layer in doc.layers}
    text = doc.modelspace().query("TEXT").first
    assert (text.dxf.text, text.dxf.height, text.dxf.rotation) == ('Q7-2102-1 rev B & Ø 5 <"x">', 4.0, 30.0)


def test_a_crossed_drawing_carries_the_sentence_and_a_cross_over_all_of_it() -> None:
    doc = read_back(write_dxf(crossed(DRAWING, "Flange edge splits.")))
    assert not doc.audit().errors
    assert "STOP: Flange edge splits." in [t.dxf.text for t in doc.modelspace().query("TEXT")]
    bars = doc.modelspace().query('LWPOLYLINE[layer=="STOP"]')
    ends = np.array([p for bar in bars for p in bar.get_points("xy")])
    x0, y0, x1, y1 = DRAWING.bounds()
    assert len(bars) == 2
    assert (*ends.min(axis=0), *ends.max(axis=0)) == pytest.approx((x0, y0, x1, y1))


def test_dxf_leaves_the_librarys_switch_as_it_was() -> None:
    before = ezdxf.options.write_fixed_meta_data_for_testing
    write_dxf(DRAWING)
    assert ezdxf.options.write_fixed_meta_data_for_testing == before


SCRIPT = """
import hashlib
from ribwright.adapters.write_dxf import write_dxf
from ribwright.adapters.write_pdf import write_pdf
from ribwright.documents.drawing import Contour, Drawing, Label, Ring
from ribwright.documents.page import Document, Line, Page, Text
items = (Contour("OUTLINE", ((0, 0, 0.3), (9, 0, 0), (9, 9, 0))), Ring("HOLE", 4, 4, 1), Label("TEXT", 0, 0, "a"))
page = Page(100, 80, (Line(0, 0, 9, 9), Text(5, 5, "a", 9, "bold"), Text(5, 9, "a", 9, "mono")))
both = write_dxf(Drawing(items)) + write_pdf(Document("d", "t", (page,)))
print(hashlib.sha256(both).hexdigest())
"""


def test_files_are_the_same_bytes_whatever_the_hash_seed() -> None:
    seen = set()
    for seed in ("1", "2"):
        environment = {**os.environ, "PYTHONHASHSEED": seed}
        run = subprocess.run(
            [sys.executable, "-c", SCRIPT], env=environment, capture_output=True, text=True, check=True
        )
        seen.add(run.stdout)
    assert len(seen) == 1


def test_equal_drawings_give_equal_bytes() -> None:
    again = Drawing(tuple(DRAWING.items), str(DRAWING.title))
    assert write_dxf(DRAWING) == write_dxf(again)
    assert write_svg(DRAWING) == write_svg(again)


# ---- drawings as SVG

SVG = "{http://www.w3.org/2000/svg}"


def test_svg_is_as_large_in_mm_as_the_drawing_with_its_margin() -> None:
    root = ET.fromstring(write_svg(DRAWING))
    x0, y0, x1, y1 = DRAWING.bounds()
    size = (x1 - x0 + 2 * MARGIN, y1 - y0 + 2 * MARGIN)
    assert float(root.attrib["width"].removesuffix("mm")) == pytest.approx(size[0], abs=1e-5)
    assert float(root.attrib["height"].removesuffix("mm")) == pytest.approx(size[1], abs=1e-5)
    assert [float(n) for n in root.attrib["viewBox"].split()] == pytest.approx((0, 0, *size), abs=1e-5)


def test_svg_has_a_group_for_each_layer_in_order() -> None:
    root = ET.fromstring(write_svg(crossed(DRAWING, "It splits.")))
    assert [g.attrib["id"] for g in root.iter(f"{SVG}g")] == ["OUTLINE", "TANGENT", "HOLE", "PIN", "TEXT", "STOP"]
    assert 'Q7-2102-1 rev B & Ø 5 <"x">' in [t.text for t in root.iter(f"{SVG}text")]


def test_svg_arcs_pass_through_the_middles_of_the_paths_arcs() -> None:
    root = ET.fromstring(write_svg(DRAWING))
    x0, _, _, y1 = DRAWING.bounds()
    for shape in (i for i in DRAWING.items if isinstance(i, Contour)):
        group = next(g for g in root.iter(f"{SVG}g") if g.attrib["id"] == shape.layer)
        steps = group[0].attrib["d"].split()
        middles = svg_arc_middles(steps)
        ours = []
        for a, b in Path(shape.vertices, shape.closed).segments():
            if a[2]:
                # the bulge is the height of the arc over half its chord, on the right of travel when positive
                ours.append(
                    (
                        (a[0] + b[0]) / 2 + a[2] * (b[1] - a[1]) / 2 - x0 + MARGIN,
                        y1 + MARGIN - ((a[1] + b[1]) / 2 - a[2] * (b[0] - a[0]) / 2),
                    )
                )
        assert np.array(middles) == pytest.approx(np.array(ours), abs=1e-4)


def svg_arc_middles(steps: list[str]) -> list[tuple[float, float]]:
    """Middle of each arc of a path of M, L, A, Z, by SVG 1.1 appendix F.6.5 with equal radii."""
    out, at, i = [], (0.0, 0.0), 0
    while i < len(steps) and steps[i] != "Z":
        if steps[i] in "ML":
            at, i = (float(steps[i + 1]), float(steps[i + 2])), i + 3
            continue
        r, large, sweep = float(steps[i + 1]), int(steps[i + 4]), int(steps[i + 5])
        to = (float(steps[i + 6]), float(steps[i + 7]))
        hx, hy = (at[0] - to[0]) / 2, (at[1] - to[1]) / 2
        q = np.sqrt(max(0.0, r * r / (hx * hx + hy * hy) - 1)) * (-1 if large == sweep else 1)
        cx, cy = q * hy + (at[0] + to[0]) / 2, -q * hx + (at[1] + to[1]) / 2
        t0, t1 = np.arctan2(at[1] - cy, at[0] - cx), np.arctan2(to[1] - cy, to[0] - cx)
        turn = (t1 - t0) % (2 * np.pi) if sweep else -((t0 - t1) % (2 * np.pi))
        out.append((float(cx + r * np.cos(t0 + turn / 2)), float(cy + r * np.sin(t0 + turn / 2))))
        at, i = to, i + 8
    return out


# ---- files


def test_files_are_written_with_their_folders_and_nothing_else(tmp_path: FilePath) -> None:
    files = {tmp_path / "new" / "a.pdf": b"one", tmp_path / "new" / "deep" / "b.dxf": b"two"}
    write_all(files)
    assert {p: p.read_bytes() for p in tmp_path.rglob("*") if p.is_file()} == files


def test_a_second_write_replaces_the_first(tmp_path: FilePath) -> None:
    write_all({tmp_path / "a": b"old and longer"})
    write_all({tmp_path / "a": b"new"})
    assert (tmp_path / "a").read_bytes() == b"new"


def test_when_one_file_cannot_be_written_none_is(tmp_path: FilePath) -> None:
    (tmp_path / "a.pdf").write_bytes(b"old")
    (tmp_path / "taken").write_bytes(b"a file where a folder is needed")
    with pytest.raises(OSError):
        write_all({tmp_path / "a.pdf": b"new", tmp_path / "taken" / "b.pdf": b"two"})
    assert sorted(p.name for p in tmp_path.iterdir()) == ["a.pdf", "taken"]
    assert (tmp_path / "a.pdf").read_bytes() == b"old"


def test_a_folder_of_the_same_name_is_refused_before_anything_changes(tmp_path: FilePath) -> None:
    (tmp_path / "b.pdf").mkdir()
    with pytest.raises(IsADirectoryError):
        write_all({tmp_path / "a.pdf": b"new", tmp_path / "b.pdf": b"two"})
    assert [p.name for p in tmp_path.iterdir()] == ["b.pdf"]


def test_a_rename_that_fails_half_way_takes_the_others_back(
    tmp_path: FilePath, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "a").write_bytes(b"old")
    whole = os.replace

    def breaks_at_c(source: FilePath, target: FilePath) -> None:
        if FilePath(target).name == "c":
            raise PermissionError(13, "held open by another program", str(target))
        whole(source, target)

    monkeypatch.setattr(os, "replace", breaks_at_c)
    with pytest.raises(PermissionError):
        write_all({tmp_path / "a": b"new", tmp_path / "b": b"new", tmp_path / "c": b"new"})
    assert {p.name: p.read_bytes() for p in tmp_path.iterdir()} == {"a": b"old"}
