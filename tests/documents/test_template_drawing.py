"""Templates as DXF: sound files with true lines and arcs, a proof of scale inside, in mm or inches."""

from __future__ import annotations

import io

import ezdxf
import pytest
import shapely
from ezdxf import bbox
from ezdxf.document import Drawing as Dxf

from documents.sample import FINGERPRINT, sample_identity, sample_plan
from documents.variants import bevelled
from ribwright.adapters.write_dxf import STYLES, write_dxf
from ribwright.documents.drawing import LAYERS, Contour, Drawing, in_unit
from ribwright.documents.drawings import block_drawing
from ribwright.documents.sheets import TEMPLATES
from ribwright.documents.templates import template_lines
from ribwright.geometry.path import Path
from ribwright.stages.router import Router


def lines_of(kind: str, router: Router | None = None) -> Drawing:
    plan = sample_plan("RX-0007", "")
    return template_lines(plan, sample_identity(plan), kind, router)


def read_back(drawing: Drawing) -> Dxf:
    return ezdxf.read(io.StringIO(write_dxf(drawing).decode("utf-8")))


def bars(doc: Dxf) -> list[tuple[float, float]]:
    """(along x, along y) of every line on PROOF."""
    out = []
    for line in doc.modelspace().query('LWPOLYLINE[layer=="PROOF"]'):
        if line.closed:  # the triangles of the marks
            continue
        (x0, y0), (x1, y1) = line.get_points("xy")
        out.append((abs(x1 - x0), abs(y1 - y0)))
    return out


def test_every_layer_has_its_style() -> None:
    assert set(STYLES) == set(LAYERS)


@pytest.mark.parametrize("unit", ["mm", "in"])
@pytest.mark.parametrize("kind", TEMPLATES)
def test_the_file_is_sound_names_its_unit_and_proves_its_scale(kind: str, unit: str) -> None:
    doc = read_back(in_unit(lines_of(kind), unit))  # type: ignore[arg-type]
    assert not doc.audit().errors
    assert doc.header["$INSUNITS"] == (4 if unit == "mm" else 1)
    k = 1.0 if unit == "mm" else 25.4
    assert any((x * k, y) == (pytest.approx(100.0), 0.0) for x, y in bars(doc))
    assert any((x, y * k) == (0.0, pytest.approx(101.6)) for x, y in bars(doc))
    words = [t.dxf.text for t in doc.modelspace().query("TEXT")]
    assert any(FINGERPRINT in w and "RX-0007" in w for w in words)
    assert any("must measure 100 mm" in w for w in words)
    if kind != "bevel":
        (told,) = (w for w in words if w.startswith("Distances of the marks"))
        assert all(name in told for name in ("M1 to M2", "M1 to M4", "M1 to M3"))


@pytest.mark.parametrize("kind", TEMPLATES)
def test_inches_are_the_same_drawing(kind: str) -> None:
    boxes = [bbox.extents(read_back(in_unit(lines_of(kind), u)).modelspace().query("LWPOLYLINE")) for u in ("mm", "in")]  # type: ignore[arg-type]
    assert (boxes[1].size.x * 25.4, boxes[1].size.y * 25.4) == pytest.approx(
        (boxes[0].size.x, boxes[0].size.y), abs=1e-6
    )


def test_lines_lie_on_the_layers_of_their_meaning() -> None:
    plan = bevelled()
    layers = {k: {i.layer for i in template_lines(plan, sample_identity(plan), k).items} for k in TEMPLATES}
    assert {"OUTLINE", "INSIDE_MOLD", "FREE_EDGE", "TANGENT", "PIN", "HOLE", "PROOF", "TEXT"} <= layers["check"]
    assert {"WEB_FACE", "FOOT", "TANGENT", "PIN", "HOLE"} <= layers["block"]
    assert {"PART_EDGE", "HOLE", "PIN", "DATUM"} <= layers["drill"]
    assert {"OUTLINE", "HOLE", "DATUM"} <= layers["bevel"]
    assert {"OUTLINE", "PART_EDGE"} <= {
        i.layer for i in template_lines(plan, sample_identity(plan), "blank", Router(12.0, 6.0)).items
    }


def test_curves_are_true_arcs() -> None:
    for kind in ("check", "block", "blank"):
        edges = [e for e in read_back(lines_of(kind)).modelspace().query("LWPOLYLINE") if e.closed]
        assert any(abs(b) > 0 for e in edges for *_, b in e.get_points("xyb"))


def test_a_stopped_part_is_crossed_out() -> None:
    plan = sample_plan("Q7-2101-1")
    for kind in TEMPLATES:
        assert "STOP" in {i.layer for i in template_lines(plan, sample_identity(plan), kind).items}


@pytest.mark.parametrize("part", ["Q7-2102-1", "Q7-2101-1", "RX-0007"])
def test_the_blocks_own_drawing_keeps_straight_edges_straight(part: str) -> None:
    """A straight edge without flange has two points only: three points of a sparse stretch must not pass for an arc."""
    plan = sample_plan(part, "")
    drawn = [
        i
        for i in block_drawing(plan, sample_identity(plan)).items
        if isinstance(i, Contour) and i.layer in ("WEB_FACE", "FOOT")
    ]
    for ring, contour in zip((*plan.block.outlines, *plan.block.feet), drawn, strict=True):
        ours = shapely.Polygon(Path(contour.vertices).chords(0.002))
        assert ours.hausdorff_distance(shapely.Polygon(ring)) < 0.02
