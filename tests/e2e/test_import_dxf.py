"""A drawing file becomes a part file: eighty-odd drawings of one known rib are read right, or refused with the reason; our own drawings
come back as they were written."""

from __future__ import annotations

import json
from pathlib import Path

import ezdxf
import numpy as np
import pytest
from click.testing import CliRunner, Result

import ribwright
from building import EXAMPLES
from drawn_judged import judged, read
from drawn_rib import (
    HOLES,
    OUTER,
    VERSIONS,
    WIDTH,
    Drawn,
    far,
    filled,
    loose,
    misses,
    pairs,
    part_of,
    sampled,
    segments,
    turned,
    whole,
)
from drawn_variants import Variant, variants
from ribwright.adapters.part_toml import part_faults, read_part
from ribwright.cli import main
from ribwright.errors import InputError

ALL = variants()


def run(*words: str) -> Result:
    return CliRunner().invoke(main, ["import", *words], catch_exceptions=False)


def drawing(folder: Path, made: Drawn | None = None) -> Path:
    path = folder / "rib.dxf"
    path.write_text((made or loose(Drawn())).text())
    return path


@pytest.mark.parametrize("variant", ALL, ids=lambda v: v.name)
def test_a_drawing_is_read_right_or_refused_with_the_reason(variant: Variant, tmp_path: Path) -> None:
    assert judged(variant, tmp_path).wrong == ""


def test_there_are_at_least_forty_ways_and_every_version_among_them() -> None:
    assert len({v.name for v in ALL}) == len(ALL) >= 40
    assert {v.name.rsplit(" ", 1)[1] for v in ALL if "no order" in v.name} == {
        "R12", "R2000", "R2004", "R2007", "R2010", "R2013", "R2018",
    }  # fmt: skip


# ---- the part file


def test_lines_and_arcs_stay_lines_and_arcs(tmp_path: Path) -> None:
    part = part_of(read(Variant("", whole(Drawn()).text()), tmp_path).text)
    assert [e.kind for e in part.outer.edges] == ["line", "arc", "line", "arc", "line", "arc"]
    assert [e.kind for e in part.cutouts[0].edges].count("arc") == 2


def test_what_a_flat_outline_does_not_say_is_named_key_by_key_and_nothing_else_is_missing(tmp_path: Path) -> None:
    made = Drawn()
    names = ("FLANGE_SKIN", "WEB", "FLANGE_SPAR", "FLANGE_SKIN", "FLANGE_SPAR", "WEB")
    for (a, b), layer in zip(pairs(OUTER), names, strict=True):
        made.segment(a, b, layer)
    for x, y, d in HOLES:
        made.circle(x, y, d, "LIGHTENING")
    done = read(Variant("", made.text()), tmp_path)
    lacking = done.told["missing"]
    assert set(lacking) == {
        "part.number", "part.revision", "sheet.material", "sheet.thickness", "web.line",
        *(f"flange.{name}.{key}" for name in ("skin", "spar") for key in ("width", "bend_angle", "bend_radius")),
        *(f"hole[{n}].{key}" for n in (1, 2, 3) for key in ("cut_diameter", "bend_angle", "bend_radius")),
    }  # fmt: skip
    assert [f.key for f in part_faults(done.text, "x")] == lacking
    # every one of them stands in the text, marked, and once they are filled in the part is whole
    assert done.text.count("# fill in") == len(lacking)
    part = part_of(done.text)
    assert [e.flange for e in part.outer.edges] == ["skin", None, "spar", "skin", "spar", None]
    assert {h.kind for h in part.holes} == {"lightening"}


@pytest.mark.parametrize("outer", [OUTER, turned(OUTER)])
def test_loops_come_out_the_houses_way_round_however_they_were_drawn(outer: tuple, tmp_path: Path) -> None:
    part = part_of(read(Variant("", whole(Drawn(), outer).text()), tmp_path).text)
    assert [n for n in part.notes if "other way round" in n] == []
    assert not part.outer.turned
    assert not part.cutouts[0].turned


def test_a_filled_in_part_is_planned(tmp_path: Path) -> None:
    made = Drawn()
    for a, b in pairs(OUTER):
        made.segment(a, b, "FLANGE" if a[2] == 0 and b[0] == a[0] else "WEB")
    done = read(Variant("", made.text()), tmp_path)
    file = tmp_path / "rib.part.toml"
    file.write_text(filled(done.text))
    assert ribwright.check(file)["part"]["number"] == "N-1"


def test_places_are_right_to_a_millionth_of_a_millimetre_in_either_unit(tmp_path: Path) -> None:
    for k, unit, length in ((1.0, 4, WIDTH), (1 / 25.4, 1, "19.685 in = width")):
        text = whole(Drawn(unit=unit, k=k)).text()
        assert misses(part_of(read(Variant("", text, (length,)), tmp_path).text)) < 1e-6


def test_a_pin_inside_a_hole_makes_it_a_tooling_hole_with_its_fit(tmp_path: Path) -> None:
    made = whole(Drawn())
    made.circle(450.0, 60.0, 4.7, "PIN")
    part = part_of(read(Variant("", made.text()), tmp_path).text)
    (tooling,) = (h for h in part.holes if h.kind == "tooling")
    assert tooling.diameter == pytest.approx(4.7625)
    assert tooling.pin_fit == pytest.approx(0.0625)
    assert len(part.holes) == len(HOLES)


def test_an_obround_on_a_tooling_layer_is_a_slot(tmp_path: Path) -> None:
    made = Drawn()
    made.polyline(OUTER)
    made.polyline(((240.0, 40.0, 0.0), (300.0, 40.0, 1.0), (300.0, 70.0, 0.0), (240.0, 70.0, 1.0)), "TOOLING")
    (hole,) = part_of(read(Variant("", made.text()), tmp_path).text).holes
    assert (hole.kind, hole.at, hole.diameter, hole.slot) == ("tooling", (270.0, 55.0), 30.0, 60.0)
    assert hole.slot_angle % 180 == pytest.approx(0.0, abs=1e-9)


def test_a_curve_that_runs_on_from_a_line_takes_its_direction(tmp_path: Path) -> None:
    made = Drawn()
    made.line((0, 0), (100, 0))
    made.space.add_ellipse(
        (100, 40), (60, 0), 40 / 60, -1.5707963267948966, 1.5707963267948966, dxfattribs={"layer": "WEB"}
    )
    made.line((100, 80), (0, 80))
    made.line((0, 80), (0, 0))
    done = read(Variant("", made.text(), ("160 mm = width",)), tmp_path)
    (spline,) = (e for e in part_of(done.text).outer.edges if e.kind == "spline")
    assert 'tangent = "both"' in done.text
    assert spline.start_dir == pytest.approx((1.0, 0.0), abs=1e-9)
    assert spline.end_dir == pytest.approx((-1.0, 0.0), abs=1e-9)


# ---- the command


def test_the_command_writes_a_new_part_file_and_says_what_it_read(tmp_path: Path) -> None:
    out = tmp_path / "new" / "rib.part.toml"
    done = run(str(drawing(tmp_path)), "--length", WIDTH, "--out", str(out))
    assert done.exit_code == 0
    assert "Outline 500.00 mm (19.685 in) by 125.21 mm (4.930 in): 3 lines, 3 arcs" in done.output
    assert "part.revision" in done.output
    assert part_of(out.read_text()).number == "rib"
    assert misses(part_of(out.read_text())) < 1e-6


def test_its_json_has_the_same(tmp_path: Path) -> None:
    out = tmp_path / "rib.part.toml"
    told = json.loads(run(str(drawing(tmp_path)), "--length", WIDTH, "--json", "--out", str(out)).output)
    assert told["import"]["unit"] == told["import"]["header_unit"] == "mm"
    assert told["import"]["edges"] == {"line": 3, "arc": 3, "spline": 0}
    assert told["import"]["holes"]["plain"] == 3
    assert told["import"]["roles"] == {"WEB": "web", "HOLE": "hole"}


def test_a_file_that_is_there_is_never_written_over(tmp_path: Path) -> None:
    out = tmp_path / "rib.part.toml"
    out.write_text("somebody's work")
    done = run(str(drawing(tmp_path)), "--length", WIDTH, "--out", str(out))
    assert done.exit_code == 2
    assert "what was filled in there would be lost" in done.output
    assert out.read_text() == "somebody's work"


@pytest.mark.parametrize("words", [(), ("--length", "20 in = width"), ("--length", WIDTH, "--role", "WEB=hole")])
def test_of_a_drawing_that_is_refused_nothing_is_written(words: tuple[str, ...], tmp_path: Path) -> None:
    out = tmp_path / "new" / "rib.part.toml"
    assert run(str(drawing(tmp_path)), *words, "--out", str(out)).exit_code == 2
    assert not out.parent.exists()


def test_roles_and_unit_are_asked_for_at_once(tmp_path: Path) -> None:
    done = run(str(drawing(tmp_path, loose(Drawn(layer="A", holes="B")))), "--out", str(tmp_path / "x.part.toml"))
    layers, unit = done.output.splitlines()
    assert "layer 'A': 3 arcs, 3 lines" in layers
    assert "layer 'B': 2 arcs, 3 circles, 2 lines" in layers
    assert "500 x 125.211 in its own numbers" in unit


@pytest.mark.parametrize(
    ("words", "found"),
    [
        (("--join", "3"), "3"),
        (("--join", "20 mm"), "20 mm"),
        (("--fit", "0 mm"), "0 mm"),
        (("--line", "outer"), "outer"),
        (("--role", "WEB"), "WEB"),
        (("--role", "WEB=wep"), "wep"),
        (("--role", "HOLE=hole skin"), "HOLE=hole skin"),
        (("--length", "36 in"), "36 in"),
        (("--length", "36 in = length"), "length"),
        (("--length", "wide = width"), "wide"),
        (("--length", "0 mm = width"), "0 mm = width"),
        (("--length", "3 in = circle 1,1"), "no circle"),
    ],
)
def test_a_slip_of_the_command_line_is_named(words: tuple[str, ...], found: str, tmp_path: Path) -> None:
    length = () if words[0] == "--length" else ("--length", WIDTH)
    done = run(str(drawing(tmp_path)), *length, *words, "--out", str(tmp_path / "x.part.toml"))
    assert done.exit_code == 2
    assert "command line: --" in done.output
    assert found in done.output


# ---- our own drawings


def test_our_own_blank_drawing_comes_back_as_the_part_it_was_made_from(tmp_path: Path) -> None:
    source = EXAMPLES / "Q7-2102-1.part.toml"
    ribwright.blank(source, method="strain-corrected", out=tmp_path / "blank.dxf")
    out = tmp_path / "again.part.toml"
    assert run(str(tmp_path / "blank.dxf"), "--length", "30.770 in = width", "--out", str(out)).exit_code == 0
    part, first = part_of(out.read_text()), read_part(source)
    assert part.line == "bend-tangent-line"
    # the bend tangent lines of the drawing file itself, exactly
    lines = _written(tmp_path / "blank.dxf", "TANGENT")
    assert far(sampled(segments(part.outer)), lines) < 1e-6
    assert far(sampled(lines), segments(part.outer)) < 1e-6
    for kind in ("lightening", "tooling"):
        was = sorted((*h.at, h.diameter) for h in first.holes if h.kind == kind)
        now = sorted((*h.at, h.diameter) for h in part.holes if h.kind == kind)
        assert [n for row in now for n in row] == pytest.approx([n for row in was for n in row], abs=1e-6)
    cut = sorted(h.given[1] for h in part.holes if h.given)
    assert cut == pytest.approx(sorted(h.given[1] for h in first.holes if h.given), abs=1e-6)


def test_our_own_block_drawing_comes_back_line_by_line(tmp_path: Path) -> None:
    ribwright.block(EXAMPLES / "Q7-2102-1.part.toml", out=tmp_path / "block.dxf")
    out = tmp_path / "again.part.toml"
    # two circles about one centre, top and bottom of a recess, are no hole of a part
    words = ("--role", "WEB_FACE=web", "--role", "HOLE=ignore", "--length", "786.34 mm = width")
    assert run(str(tmp_path / "block.dxf"), *words, "--out", str(out)).exit_code == 0
    part, lines = part_of(out.read_text()), _written(tmp_path / "block.dxf", "WEB_FACE")
    assert far(sampled(segments(part.outer)), lines) < 1e-6
    assert far(sampled(lines), segments(part.outer)) < 1e-6
    assert len(part.outer.edges) == len(lines)


def _written(path: Path, layer: str) -> list:
    """Lines and arcs of the polylines of a layer, as the library reads them."""
    out = []
    for e in ezdxf.readfile(path).modelspace().query(f'LWPOLYLINE[layer=="{layer}"]'):
        vertices = tuple((float(x), float(y), float(b)) for x, y, b in e.get_points("xyb"))
        out += pairs(vertices) if e.closed else pairs(vertices)[:-1]
    return out


def test_from_python_the_same(tmp_path: Path) -> None:
    out = tmp_path / "rib.part.toml"
    told = ribwright.import_file(drawing(tmp_path), out=out, length=[WIDTH])
    assert told["import"]["unit"] == "mm"
    assert misses(part_of(out.read_text())) < 1e-6
    with pytest.raises(InputError, match="the unit"):
        ribwright.import_file(drawing(tmp_path))


# ---- laws


@pytest.mark.parametrize("power", range(2, 16))
def test_an_arc_of_any_flatness_is_an_arc_or_the_line_that_it_cannot_be_told_from(power: int, tmp_path: Path) -> None:
    vertices = tuple((x, y, 10.0**-power if y == 90.0 else b) for x, y, b in OUTER)
    made = Drawn()
    made.polyline(vertices)
    part = part_of(read(Variant("", made.text()), tmp_path).text)
    if power < 8:
        assert misses(part, pairs(vertices)) < 1e-6
        return
    # flatter than 3e-6 mm: circles of a million kilometres are held against the line, point by point
    points = np.array([p for e in part.outer.edges for p in e.points])
    assert far(points, pairs(tuple((x, y, 0.0 if y == 90.0 else b) for x, y, b in OUTER))) < 3e-6


@pytest.mark.parametrize("seed", range(15))
def test_any_contour_of_lines_and_arcs_comes_back_in_any_version_unit_place_and_order(
    seed: int, tmp_path: Path
) -> None:
    rng = np.random.default_rng(seed)
    n = int(rng.integers(3, 18))
    angle = 2 * np.pi * (np.arange(n) + rng.uniform(-0.3, 0.3, n)) / n
    radius = rng.uniform(150, 200, n)
    x, y = radius * np.cos(angle) + rng.uniform(-2000, 2000), radius * np.sin(angle) + rng.uniform(-2000, 2000)
    bulges = np.where(rng.random(n) < 0.5, 0.0, rng.uniform(-0.05, 0.1, n))
    vertices = tuple(zip(x.tolist(), y.tolist(), bulges.tolist(), strict=True))
    unit = float(rng.choice([1.0, 25.4, 10.0]))
    made = Drawn(str(rng.choice(VERSIONS)), k=1 / unit)
    for i in rng.permutation(n).tolist():
        a, b = pairs(vertices)[i]
        if a[2] == 0.0 and rng.random() < 0.5:
            a, b = (*b[:2], 0.0), a
        made.segment(a, b)
    (a, b), ends = pairs(vertices)[0], [v / unit for v in (*vertices[0][:2], *vertices[1][:2])]
    length = f"{float(np.hypot(a[0] - b[0], a[1] - b[1])):.4f} mm = {ends[0]:.6f},{ends[1]:.6f} to {ends[2]:.6f},{ends[3]:.6f}"
    done = read(Variant("", made.text(), (length,), options={"as_drawn": True}), tmp_path)
    part = part_of(done.text)
    assert misses(part, pairs(vertices)) < 3e-6
    assert sorted(e.kind for e in part.outer.edges) == sorted("arc" if v[2] else "line" for v in vertices)
