"""The house stands as docs/ARCHITECTURE.md draws it: each row imports only rows below it, siblings do not meet."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

import ribwright

ROOT = Path(ribwright.__file__).parent
# rows from the top; names on one row are siblings
ROWS = [
    {"__main__", "__init__"},
    {"cli"},
    {"web"},
    {"wiring"},
    {"adapters"},
    {"work"},
    {"ports"},
    {"documents"},
    {"stages"},
    {"features"},
    {"shop"},
    {"geometry", "mechanics"},
    {"units"},
    {"errors", "version"},
]
RANK = {name: i for i, row in enumerate(ROWS) for name in row}
PURE = [n for row in ROWS[7:] for n in row]
FILES = sorted(ROOT.rglob("*.py"))
NO_IO = {"pathlib", "os", "io", "time", "datetime", "random", "tempfile", "subprocess", "sqlite3", "socket", "logging"}


def _place(path: Path) -> str:
    parts = path.relative_to(ROOT).with_suffix("").parts
    return parts[0]


def _imports(path: Path) -> list[str]:
    out = []
    for node in ast.walk(ast.parse(path.read_text())):
        if isinstance(node, ast.Import):
            out += [a.name for a in node.names]
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: relative import"
            out += [f"{node.module}.{a.name}" for a in node.names]
    return out


def _in_type_checking(path: Path) -> set[str]:
    """Imports that only the type checker follows."""
    found = set()
    for node in ast.walk(ast.parse(path.read_text())):
        if isinstance(node, ast.If) and isinstance(node.test, ast.Name) and node.test.id == "TYPE_CHECKING":
            for inner in ast.walk(node):
                if isinstance(inner, ast.ImportFrom):
                    found |= {f"{inner.module}.{a.name}" for a in inner.names}
    return found


@pytest.mark.parametrize("path", FILES, ids=lambda p: str(p.relative_to(ROOT)))
def test_each_file_imports_only_rows_below_its_own(path: Path) -> None:
    mine = _place(path)
    for name in _imports(path):
        if not name.startswith("ribwright.") and name != "ribwright":
            continue
        if path == ROOT / "__init__.py" or name in _in_type_checking(path):
            continue
        other = name.split(".")[1] if "." in name else ""
        if other not in RANK or other == mine:
            continue
        assert RANK[other] > RANK[mine], f"{path.name} ({mine}) imports {other}"


def test_every_folder_and_file_has_its_row() -> None:
    assert {_place(p) for p in FILES} == set(RANK)


@pytest.mark.parametrize("path", [p for p in FILES if _place(p) in PURE], ids=lambda p: str(p.relative_to(ROOT)))
def test_below_the_line_there_is_no_disk_clock_or_printing(path: Path) -> None:
    used = {name.split(".")[0] for name in _imports(path)}
    assert not used & NO_IO
    calls = [
        n.func.id
        for n in ast.walk(ast.parse(path.read_text()))
        if isinstance(n, ast.Call) and isinstance(n.func, ast.Name)
    ]
    assert "open" not in calls
    assert "print" not in calls


def test_stages_import_only_earlier_stages() -> None:
    order = [
        "finding", "stack", "found", "crew",
        "learning",
        "sections", "job", "sheet_laws", "stations", "develop", "corners", "notches", "flat_holes",
        "bead_shapes", "blank", "bead_room", "run_line", "gather", "flute_rules", "flute_room", "flutes", "flute_answer", "flute_dents",
        "breaks", "notch_faults", "flat_faults", "formed_faults", "notch_mesh", "formed_mesh", "blank_inverse", "inverse_cut",
        "agreement", "chosen_blank", "web_stretch", "strain_map", "relief_notches", "proposal_answer", "strain_limit", "strain_margins",
        "strain_findings", "strain_answer", "pins", "circles", "measured_circles", "circle_answer", "undercut", "places",
        "taught",
        "springback",
        "section", "wall_normals", "lift_off", "recess", "groove", "grooves_clear", "block", "flute_grooves", "solid", "formed_lines",
        "router", "bevels", "zones", "cover_plate", "reversible_details", "reversible", "block_stock", "making", "pads", "section_miss",
        "scatter", "one_section", "section_guess", "solve_sections", "bead_demand", "pressure", "reach", "pressing", "placing", "lay_up",
        "joggles", "setup", "gauges", "as_pressed", "bend_scatter", "tolerances", "web_hold", "web_slip", "checks", "margins",
            "detail_margins", "material",
        "tensile", "material_answers", "route_ways", "route", "plan", "pair", "route_findings", "route_answer", "judged",
        "hand_when", "hand_room", "hand_list", "hand_join", "hand_angles", "hand_lengths", "handwork", "hand_answer",
        "observing", "book_report", "reworking", "next_block",
        "fingerprint", "former_blocks",
        "setup_answer", "bead_answer", "notch_answer", "answers", "making_answers", "family_row", "family_pins", "forecast_ask",
        "forecast_quick", "forecast_section", "forecast_spread", "forecast", "forecast_curve", "forecast_findings", "forecast_answer",
        "pad_place", "under_pad", "under_pad_findings", "under_pad_answer", "explain", "why", "table_lines", "suspect_ordinates",
        "known_length", "table_edges", "table_answer", "drawn_roles", "drawn_unit", "drawn_segment", "drawn_rings", "drawn_edges",
        "drawn_holes", "drawn_part", "drawn_file", "solid_web", "solid_strip", "solid_ring", "solid_view", "solid_relief", "solid_part",
        "solid_left", "solid_proof",
        "hung", "under_template", "found_readings", "inspection", "acceptance", "inspect_findings", "inspect_answer",
        "measured_places",
        "seen_lines",
        "laid_rings",
        "found_rings",
        "scan_faces", "scan_pose", "scan_web", "scan_holes", "scan_two_faces", "scan_hole_flange", "scan_sections", "scan_rows",
        "found_points",
    ]  # fmt: skip
    rank = {n: i for i, n in enumerate(order)}
    files = [
        p for p in (ROOT / "stages").rglob("*.py") if p.name != "__init__.py" or p.parent.name in ("checks", "explain")
    ]
    for path in files:
        mine = path.relative_to(ROOT / "stages").with_suffix("").parts[0]
        for name in _imports(path):
            if name.startswith("ribwright.stages."):
                other = name.split(".")[2]
                assert rank[other] <= rank[mine], f"stages/{mine} imports {other}"


@pytest.mark.parametrize("path", FILES, ids=lambda p: str(p.relative_to(ROOT)))
def test_no_file_grows_past_500_lines(path: Path) -> None:
    assert len(path.read_text().splitlines()) < 500
