"""Every demonstration part, on the press of the shop that suits it: the exit status, and the warnings, by name.

A warning that comes or goes on one of these parts is a change that somebody should have meant.
"""

from __future__ import annotations

import json
from dataclasses import dataclass, replace
from functools import cache
from math import log, pi, radians, sin
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely
from click.testing import CliRunner, Result

from building import EXAMPLES, quick
from documents.sample import outside, sample_identity, sample_plan
from ribwright.cli import main
from ribwright.documents.sheets import TEMPLATE_NAMES, packet_sheets
from ribwright.stages.blank import Blank, make_blank

MM = 25.4


@dataclass(frozen=True)
class Expected:
    press: str
    status: int = 0
    warns: tuple[str, ...] = ()
    stops: tuple[str, ...] = ()


TABLE = {
    "Q7-2101-1": Expected(
        "P2",
        1,
        ("block-near-crush", "route-not-feasible", "tolerance-not-met-by-forecast"),
        ("shrink-limit",),
    ),
    "Q7-2101-1-notched": Expected(
        "P2",
        0,
        ("block-near-crush", "shrink-wrinkles", "tolerance-not-met-by-forecast"),
    ),
    "Q7-2102-1": Expected("P2", 0, ("tolerance-not-met-by-forecast",)),
    "Q7-2102-1-flutes-on-rivets": Expected("P2", 1, ("tolerance-not-met-by-forecast",), ("flute-on-rivet",)),
    "Q7-2102-1-flutes-drawn": Expected("P2", 0, ("tolerance-not-met-by-forecast",)),
    "Q7-2103-1": Expected("P2", 0, ("tolerance-not-met-by-forecast",)),
    "Q7-2104-1": Expected("P2", 0, ("shrink-wrinkles", "tolerance-not-met-by-forecast")),
    "Q7-2105-1": Expected("P2", 0, ("tolerance-not-met-by-forecast",)),
    "Q7-2105-2": Expected("P2", 0, ("tolerance-not-met-by-forecast",)),
    "Q7-2301-1": Expected("P2", 0, ("hole-edge-near-limit", "tolerance-not-met-by-forecast")),
    "Q7-2301-1-first-sheet": Expected(
        "P2", 1, ("no-release", "route-not-feasible", "tolerance-not-met-by-forecast"), ("hole-edge-limit",)
    ),
    "Q7-3205-1-rev-B": Expected(
        "P3",
        1,
        (
            "no-release",
            "route-not-feasible",
            "shrink-wrinkles",
            "stretch-near-limit",
            "tolerance-not-met-by-forecast",
        ),
        ("bend-radius", "stretch-limit"),
    ),
    "Q7-2110-1": Expected("P2", 0, ("joggle-not-set", "shrink-wrinkles", "tolerance-not-met-by-forecast")),
    "Q7-3209-1": Expected(
        "P3",
        0,
        (
            "block-near-crush",
            "joggle-not-set",
            "shrink-wrinkles",
            "stretch-near-limit",
            "tolerance-not-met-by-forecast",
        ),
    ),
    "Q7-3205-1": Expected(
        "P3",
        0,
        (
            "block-near-crush",
            "shrink-wrinkles",
            "tolerance-not-met-by-forecast",
        ),
    ),
    "Q7-3310-1": Expected("P2", 0, ("tolerance-not-met-by-forecast",)),
    "Q7-4410-1": Expected(
        "P2",
        0,
        (
            "block-near-crush",
            "shrink-wrinkles",
            "stretch-near-limit",
            "tolerance-not-met-by-forecast",
        ),
    ),
    "RX-0007": Expected("P2", 0, ("block-near-crush", "no-release")),
}
WHOLE = ("Q7-2105-1", "Q7-2301-1", "Q7-3205-1")  # whose every paper is written in the default run
CLEAN = [name for name, e in TABLE.items() if not e.stops]


def file_of(name: str) -> str:
    return str(EXAMPLES / f"{name}.part.toml")


def run(*words: str) -> Result:
    return CliRunner().invoke(main, quick(words), catch_exceptions=False)


@cache
def answer(command: str, name: str, press: str = "") -> tuple[int, dict[str, Any]]:
    """(exit status, the JSON answer) of a command."""
    done = run(command, file_of(name), *(["--press", press] if press else []), "--json")
    return done.exit_code, json.loads(done.output)


def codes(found: dict[str, Any], severity: str) -> set[str]:
    return {f["code"] for f in found["findings"] if f["severity"] == severity}


def test_the_table_names_every_example_part() -> None:
    assert {p.name.removesuffix(".part.toml") for p in EXAMPLES.glob("*.part.toml")} == set(TABLE)


def test_the_readme_of_the_examples_names_every_part_with_its_press() -> None:
    rows = [line.split("|") for line in (EXAMPLES / "README.md").read_text().splitlines() if line.startswith("| `")]
    measured = {cells[1].strip(" `") for cells in rows if ".measured.csv" in cells[1]}
    assert measured == {p.name for p in EXAMPLES.glob("*.measured.csv")}
    parts = [cells for cells in rows if ".part.toml" in cells[1]]
    told = {cells[1].strip(" `").removesuffix(".part.toml"): cells[3].strip() for cells in parts}
    assert told == {name: e.press for name, e in TABLE.items()}


@pytest.mark.parametrize("name", TABLE)
def test_the_check_of_an_example_ends_as_expected(name: str) -> None:
    wanted = TABLE[name]
    status, found = answer("check", name, wanted.press)
    assert status == wanted.status
    assert codes(found, "stop") == set(wanted.stops)
    assert codes(found, "warn") == set(wanted.warns)


@pytest.mark.parametrize("name", TABLE)
def test_blank_block_and_setup_of_an_example_are_answered(name: str) -> None:
    wanted = TABLE[name]
    for command in ("blank", "block"):
        status, found = answer(command, name)
        assert status == (1 if set(wanted.stops) - {"pressure-short"} else 0)
        assert shapely.Polygon(found[command]["outline_mm"]).is_valid
    status, found = answer("setup", name, wanted.press)
    assert status == wanted.status
    assert found["setup"]["needed_pressure_mpa"]["value"] < found["setup"]["available_pressure_mpa"]
    assert found["setup"]["pad_margin_mm"] > 0


@pytest.mark.parametrize("name", TABLE)
def test_no_print_of_an_example_runs_past_its_page(name: str) -> None:
    plan = sample_plan(name, TABLE[name].press)
    for sheet in packet_sheets(plan, sample_identity(plan), "letter"):
        assert sheet.pages
        # a template's tiles cut print off at their edges; the band of a stop stands in the margin
        if sheet.name not in TEMPLATE_NAMES and not TABLE[name].stops:
            assert [outside(page) for page in sheet.pages] == [[]] * len(sheet.pages), sheet.name


@pytest.mark.parametrize("name", [pytest.param(n, marks=() if n in WHOLE else pytest.mark.slow) for n in TABLE])
def test_template_and_packet_of_an_example_are_written(name: str, tmp_path: Path) -> None:
    wanted = TABLE[name]
    template = tmp_path / "template.pdf"
    assert run("template", file_of(name), "--kind", "blank", "--out", str(template)).exit_code == wanted.status
    assert template.read_bytes().startswith(b"%PDF")
    done = run("packet", file_of(name), "--press", wanted.press, "--hand", "drawn", "--out", str(tmp_path / "packet"))
    assert done.exit_code == wanted.status
    papers = {p.name for p in (tmp_path / "packet").iterdir()}
    assert {"job-card.pdf", "block-drawing.pdf", "set-up-card.pdf", "inspection-sheet.pdf", "cut-list.pdf"} <= papers
    assert {"blank-template.pdf", "blank.dxf", "block.dxf", "answers.json"} <= papers


@pytest.mark.parametrize("name", CLEAN)
def test_an_example_that_runs_through_cannot_be_laid_wrong_and_comes_off_its_block(name: str) -> None:
    plan = sample_plan(name, TABLE[name].press)
    assert len(plan.block.pins) >= 2
    assert not {f.code for f in plan.findings} & {"wrong-laying", "wrong-laying-seen", "pins-missing"}
    assert plan.block.lift.how in ("lifts", "slides")


@pytest.mark.parametrize("name", [n for n in CLEAN if n != "RX-0007"])
def test_an_example_that_runs_through_can_be_cut_from_a_lot_with_a_certificate(name: str) -> None:
    from ribwright.documents.cut_list import lots_that_fit

    plan = sample_plan(name, TABLE[name].press)
    assert any(lot.certificate for lot in lots_that_fit(plan, 0.0))


# ---- outside checks: the same answer by another way


def ring(blank: Blank, loop: int = 0) -> np.ndarray:
    return np.array(blank.loops[loop].points)


def part_blank(name: str, method: str = "strain-corrected") -> Blank:
    return make_blank(sample_plan(name, TABLE[name].press).job, method)


@pytest.mark.parametrize("method", ["handbook", "strain-corrected"])
def test_the_right_tip_rib_is_the_left_one_mirrored(method: str) -> None:
    left, right = (part_blank(f"Q7-2105-{k}", method) for k in (1, 2))
    a, b = ring(left) * [-1, 1], ring(right)
    assert len(a) == len(b)
    apart = np.hypot(a[:, None, 0] - b[None, :, 0], a[:, None, 1] - b[None, :, 1])
    assert max(apart.min(axis=0).max(), apart.min(axis=1).max()) < 1e-6
    assert left.area == pytest.approx(right.area, abs=1e-6)
    assert [h.cut_diameter for h in left.holes] == [h.cut_diameter for h in right.holes]


def test_the_blocks_of_the_tip_ribs_are_mirrors_and_the_parts_slide_off_up_and_towards_the_closed_flange() -> None:
    left, right = (sample_plan(f"Q7-2105-{k}", "P2").block for k in (1, 2))
    for a, b in zip(left.outlines, right.outlines, strict=True):
        one, two = shapely.Polygon(np.asarray(a) * [-1, 1]), shapely.Polygon(b)
        assert one.symmetric_difference(two).area < 1e-3
    for block in (left, right):
        assert block.lift.how == "slides"
        assert block.lift.direction[1] > 0.1
        assert block.lift.edge == "upper"
        assert block.lift.past_square == pytest.approx(7.0, abs=0.1)
    assert [p.diameter for p in left.pins] == [p.diameter for p in right.pins]
    assert [p.at[0] for p in left.pins] == pytest.approx([-p.at[0] for p in right.pins])


def test_the_opposite_tip_rib_slides_off_towards_its_upper_edge_too() -> None:
    said = next(f["say"] for f in answer("check", "Q7-2105-2", "P2")[1]["findings"] if f["code"] == "slides-off")
    assert "push toward edge UPPER, about 1/8 in for each inch up" in said


def test_the_tip_ribs_have_fingerprints_of_their_own() -> None:
    assert answer("blank", "Q7-2105-1")[1]["fingerprint"] != answer("blank", "Q7-2105-2")[1]["fingerprint"]


def whole_ring(method: str) -> Blank:
    """The ring bulkhead as it is before its stringer notches are cut."""
    job = sample_plan("Q7-3205-1", TABLE["Q7-3205-1"].press).job
    return make_blank(replace(job, part=replace(job.part, notches=())), method)


def test_the_ring_bulkhead_has_the_area_that_two_offsets_of_its_drawn_lines_give() -> None:
    """Handbook: the flat edge is the drawn line set in by the setback and set out again by allowance and straight part."""
    t, radius, width = 0.040 * MM, 0.12 * MM, 0.75 * MM
    setback = radius + t
    flat = (0.01743 * radius + 0.0078 * t) * 90 + width - setback
    blank = whole_ring("handbook")
    outer, bay = (
        shapely.Polygon(np.concatenate([e.curve.point(np.linspace(0, e.curve.length, 3000))[:-1] for e in loop.edges]))
        for loop in blank.laid
    )
    holes = sum(pi / 4 * (d * MM) ** 2 for d in (3 / 16, 1 / 4, 3 / 16, 0.75, 0.75))
    cut, window = outer.buffer(flat - setback, quad_segs=720), bay.buffer(setback - flat, quad_segs=720)
    assert blank.area == pytest.approx(cut.area - window.area - holes, rel=2e-5)
    assert ring(blank)[:, 0].max() == pytest.approx(19 * MM + flat - setback, abs=0.01)
    assert ring(blank, 1)[:, 0].max() == pytest.approx(15.5 * MM + setback - flat, abs=0.01)


def test_the_ring_bulkhead_is_two_closed_runs_and_its_flanges_strain_opposite_ways() -> None:
    blank = whole_ring("strain-corrected")
    assert [(s.loop, s.at.closed, len(s.run.edges)) for s in blank.strips] == [(0, True, 6), (1, True, 6)]
    outer, bay = (s.strip.edge_strain for s in blank.strips)
    assert outer.max() < 0 < bay.min()


@pytest.mark.parametrize(("name", "chord"), [("Q7-2103-1", 46), ("Q7-2104-1", 42)])
def test_the_webs_of_the_rib_family_are_one_shape_and_their_flanges_one_width(name: str, chord: int) -> None:
    big, small = part_blank("Q7-2102-1", "handbook"), part_blank(name, "handbook")
    k = chord / 50
    for a, b in zip(big.laid[0].edges, small.laid[0].edges, strict=True):
        # ordinates are typed to 0.001 in
        assert np.abs(k * np.array(a.edge.points) - np.array(b.edge.points)).max() < 0.0011 * MM
    widths = [np.concatenate([s.strip.flat_width for s in blank.strips]) for blank in (big, small)]
    assert np.ptp(np.concatenate(widths)) < 1e-9


def test_the_rim_of_the_flap_ribs_hole_is_strained_close_to_the_limit_and_inside_it() -> None:
    hole = next(h for h in answer("blank", "Q7-2301-1")[1]["blank"]["holes"] if h["name"] == "L1")
    rim = hole["rim_diameter_mm"] + 0.025 * MM * sin(radians(60))
    assert hole["edge_strain"] == pytest.approx(log(rim / hole["cut_diameter_mm"]), abs=1e-8)
    found = answer("check", "Q7-2301-1", "P2")[1]["findings"]
    margins = [f["margin"] for f in found if f["code"] == "hole-edge-near-limit"]
    assert len(margins) == 1
    assert 0.02 < margins[0] < 0.2


def test_the_fairing_frame_leaves_its_inner_corners_to_a_person() -> None:
    found = answer("check", "Q7-4410-1", "P2")[1]["findings"]
    near = {f["where"]["edge"]: f["margin"] for f in found if f["code"] == "stretch-near-limit"}
    assert set(near) == {"inner corner left", "inner corner right"}
    assert all(0.02 < m < 0.2 for m in near.values())
    assert near["inner corner left"] == pytest.approx(near["inner corner right"], abs=1e-4)


@pytest.mark.parametrize("name", TABLE)
def test_an_example_keeps_to_the_shops_radius_tables_but_for_the_superseded_sheet(name: str) -> None:
    found = {f.code for f in sample_plan(name, TABLE[name].press).findings}
    assert not found & {"bend-radius-unknown", "bend-radius-in-range", "default-rule"}
    assert ("bend-radius" in found) == (name == "Q7-3205-1-rev-B")
