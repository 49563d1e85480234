"""The commands as a person types them: answers, exit statuses, files, bytes."""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

import ribwright
from building import EXAMPLES, quick
from ribwright.cli import main

RIB, NOSE, REPAIR = (str(EXAMPLES / f"{n}.part.toml") for n in ("Q7-2102-1", "Q7-2101-1", "RX-0007"))
COMMANDS = ("check", "blank", "template", "block", "setup", "packet", "material")


def run(*words: str) -> Result:
    return CliRunner().invoke(main, quick(words), catch_exceptions=False)


@pytest.fixture(scope="module")
def kept_packet(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The packet of the rib on press P2, written once; to be read, or copied."""
    out = tmp_path_factory.mktemp("kept") / "packet"
    assert run("packet", RIB, "--press", "P2", "--out", str(out)).exit_code == 0
    return out


@pytest.fixture(scope="module")
def stopped_packet(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The packet of the nose rib, which stops, written once; to be read."""
    out = tmp_path_factory.mktemp("stopped") / "packet"
    assert run("packet", NOSE, "--press", "P1", "--hand", "drawn", "--out", str(out)).exit_code == 1
    return out


def test_help_names_every_command_and_the_exit_statuses() -> None:
    text = run("--help").output
    assert all(c in text for c in COMMANDS)
    assert "Exit status" in text
    for c in COMMANDS:
        assert "Example: ribwright" in run(c, "--help").output


def test_help_loads_nothing_heavy() -> None:
    """What makes a start slow: numpy, scipy, ezdxf, numba, shapely, reportlab, the solid kernel."""
    code = (
        "import sys\nsys.argv = ['ribwright', '--help']\nfrom ribwright.cli import main\n"
        "try:\n    main()\nexcept SystemExit:\n    pass\n"
        "heavy = {'numpy', 'scipy', 'ezdxf', 'numba', 'OCP', 'shapely', 'reportlab', 'PIL'} & set(sys.modules)\n"
        "sys.stderr.write(','.join(sorted(heavy)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert "Usage" in done.stdout
    assert done.stderr == ""


def test_the_rib_is_clean_on_p2_and_stops_on_p1() -> None:
    assert run("check", RIB, "--press", "P2").exit_code == 0
    stopped = run("check", RIB, "--press", "P1", "--json")
    assert stopped.exit_code == 1
    codes = {f["code"] for f in json.loads(stopped.output)["findings"] if f["severity"] == "stop"}
    assert "pad-overhang" in codes


def test_the_plain_nose_stops_and_the_repair_rib_only_warns() -> None:
    assert run("check", NOSE, "--press", "P1").exit_code == 1
    repair = run("check", REPAIR, "--press", "P1", "--json")
    assert repair.exit_code == 0
    assert "no-release" in {f["code"] for f in json.loads(repair.output)["findings"]}


BLANK_KEYS = {"outline_mm", "size_mm", "area_mm2", "edges", "holes", "corners", "notches", "flutes", "method"}
BLOCK_KEYS = {
    "outline_mm", "foot_mm", "edge_radius_mm", "height_mm", "undercut", "zones", "pins", "recesses", "rings", "material",
    "volume_mm3", "comes_off", "undercut_mode", "undercut_says", "cover_plate", "reversible", "stock",
}  # fmt: skip
SETUP_KEYS = {
    "needed_pressure_mpa", "available_pressure_mpa", "ram_force_n", "gauge_mpa", "gauge_psi", "gauge_limit_psi", "governed_by",
    "pad_margin_mm", "lay_up", "daylight_margin_mm",
}  # fmt: skip
FINDING_KEYS = {"code", "severity", "where", "value", "limit", "margin", "unit", "source", "say", "try"}


@pytest.mark.parametrize(
    ("words", "key", "wanted"),
    [
        (("blank", RIB), "blank", BLANK_KEYS),
        (("block", RIB), "block", BLOCK_KEYS),
        (("setup", RIB, "--press", "P2"), "setup", SETUP_KEYS),
    ],
)
def test_the_json_answer_carries_the_keys_scripts_rely_on(words: tuple[str, ...], key: str, wanted: set[str]) -> None:
    answer = json.loads(run(*words, "--json").output)
    assert answer["ribwright"] == ribwright.__version__
    assert answer["part"] == {"number": "Q7-2102-1", "revision": "B", "hand": "none"}
    assert len(answer["fingerprint"]) == 16
    assert wanted <= set(answer[key])
    assert all(set(f) == FINDING_KEYS for f in answer["findings"])


def test_python_gives_the_same_answer_as_the_shell() -> None:
    assert json.loads(run("blank", RIB, "--json").output) == ribwright.blank(RIB)
    assert json.loads(run("setup", RIB, "--press", "P2", "--json").output) == ribwright.setup(
        RIB, press="P2", model="closed-form"
    )


def test_the_block_answer_says_zones_plate_hands_and_stock() -> None:
    b = ribwright.block(RIB)["block"]
    (zone,) = b["zones"]
    assert set(zone) == {"tilt_deg", "edges", "stretches", "setback_mm", "setback_in_rounded"}
    assert zone["edges"] == ["lower", "rear", "upper", "front"]
    assert all(set(s) == {"edge", "from_mm", "to_mm", "remaining_deg"} for s in zone["stretches"])
    plate = b["cover_plate"]
    assert plate["inset_mm"] == 3.175
    assert [c["name"] for c in plate["cutouts"]] == ["L1", "L2", "L3"]
    assert {p["name"] for p in plate["pin_holes"]} == {"P1", "P2", "P3"}
    assert "memory" in plate["source"]
    assert b["reversible"]["yes"] is False
    assert any("edges" in why for why in b["reversible"]["why"])
    assert b["stock"]["boards"] == 3
    assert b["stock"]["stack_mm"] == pytest.approx(19.05)
    assert b["stock"]["weight_kg"] > 1.0
    for row in b["undercut"]:
        assert row["released_angle_deg"]["low"] < 90 < row["released_angle_deg"]["high"]
        assert row["remaining_angle_deg"] == pytest.approx(0.0, abs=1e-6)


def test_the_block_dxf_has_the_cover_plate_on_its_own_layer(tmp_path: Path) -> None:
    import ezdxf

    out = tmp_path / "block.dxf"
    assert run("block", RIB, "--out", str(out)).exit_code == 0
    space = ezdxf.readfile(out).modelspace()
    assert len(space.query('LWPOLYLINE[layer=="COVER_PLATE"]')) == 1
    assert len(space.query('CIRCLE[layer=="COVER_PLATE"]')) == 6


def test_predicted_values_have_a_band_and_a_model() -> None:
    need = ribwright.setup(RIB, press="P2", model="closed-form")["setup"]["needed_pressure_mpa"]
    assert need["low"] < need["value"] < need["high"]
    assert need["model"]
    for row in ribwright.block(RIB)["block"]["undercut"]:
        assert set(row["deg"]) == {"value", "low", "high", "model"}
        assert row["wall_angle_deg"] == pytest.approx(90 + row["deg"]["value"])


def test_setup_without_a_press_or_without_a_shop_is_refused(tmp_path: Path) -> None:
    none = run("setup", RIB)
    assert none.exit_code == 2
    assert "no default" in none.output
    unknown = run("setup", RIB, "--press", "P9")
    assert unknown.exit_code == 2
    assert "P1, P2, P3" in unknown.output
    alone = tmp_path / "RX-0007.part.toml"
    alone.write_text(Path(REPAIR).read_text())
    assert run("setup", str(alone), "--press", "P1").exit_code == 2
    assert run("check", str(alone)).exit_code == 0


def test_wrong_input_is_one_sentence_a_fault_and_nothing_is_written(tmp_path: Path) -> None:
    bad = tmp_path / "bad.part.toml"
    bad.write_text(
        Path(REPAIR).read_text().replace('units = "in"', 'units = "inch"').replace("width = 0.5", "widht = 0.5")
    )
    out = tmp_path / "blank.dxf"
    done = run("blank", str(bad), "--out", str(out))
    assert done.exit_code == 2
    assert "widht" in done.output
    assert "'width'" in done.output
    assert "units" in done.output
    assert not out.exists()


def test_a_command_that_does_not_exist_gets_the_nearest_one() -> None:
    done = run("blnk", RIB)
    assert done.exit_code == 2
    assert "'blank'" in done.output


@pytest.mark.parametrize("word", ["--out", "--paper", "--method", "--kind"])
def test_a_wrong_option_value_says_what_is_allowed(word: str, tmp_path: Path) -> None:
    words = {
        "--out": ("blank", RIB, "--out", str(tmp_path / "x.step")),
        "--paper": ("template", RIB, "--paper", "a3", "--out", str(tmp_path / "x.pdf")),
        "--method": ("blank", RIB, "--method", "hand-book"),
        "--kind": ("template", RIB, "--kind", "dril", "--out", str(tmp_path / "x.pdf")),
    }[word]
    done = run(*words)
    assert done.exit_code == 2
    assert "allowed" in done.output
    assert not list(tmp_path.iterdir())


PACKET = {
    "answers.json", "blank.dxf", "block.dxf", "job-card.pdf", "block-drawing.pdf", "set-up-card.pdf", "inspection-sheet.pdf",
    "cut-list.pdf", "blank-template.pdf", "check-template.pdf", "block-template.pdf", "drill-template.pdf", "bevel-cards.pdf",
    "check.dxf", "findings.pdf", "block.step", "route-sheet.pdf", "hand-finishing.pdf",
}  # fmt: skip


def test_the_packet_is_whole_the_same_bytes_twice_and_one_fingerprint(kept_packet: Path, tmp_path: Path) -> None:
    import ezdxf
    import pypdfium2

    assert run("packet", RIB, "--press", "P2", "--out", str(tmp_path / "b")).exit_code == 0
    made = {p.name: p.read_bytes() for p in kept_packet.iterdir()}
    assert set(made) == PACKET
    assert made == {p.name: p.read_bytes() for p in (tmp_path / "b").iterdir()}
    fingerprint = json.loads(made["answers.json"])["fingerprint"]
    for name, data in made.items():
        if name.endswith(".pdf"):
            pages = pypdfium2.PdfDocument(data)
            assert all(fingerprint in page.get_textpage().get_text_bounded() for page in pages), name
        elif name.endswith(".step"):
            assert fingerprint.encode() in data[:600]
        elif name.endswith(".dxf"):
            texts = [e.dxf.text for e in ezdxf.readfile(kept_packet / name).modelspace().query("TEXT")]
            assert any(fingerprint in t for t in texts), name


def test_a_stopped_packet_is_written_and_crossed_on_every_page(stopped_packet: Path) -> None:
    import ezdxf
    import pypdfium2

    for pdf in stopped_packet.glob("*.pdf"):
        for page in pypdfium2.PdfDocument(pdf.read_bytes()):
            words = " ".join(page.get_textpage().get_text_bounded().split())
            assert "STOP" in words, pdf.name
            assert "must shrink" in words, pdf.name
    assert b"STOP: The free edge of nose must shrink" in (stopped_packet / "block.step").read_bytes()[:600]
    for dxf in stopped_packet.glob("*.dxf"):
        layers = {e.dxf.layer for e in ezdxf.readfile(dxf).modelspace()}
        assert "STOP" in layers


def test_the_dxf_has_true_lines_and_arcs_on_named_layers(tmp_path: Path) -> None:
    import ezdxf

    out = tmp_path / "blank.dxf"
    assert run("blank", RIB, "--out", str(out)).exit_code == 0
    space = ezdxf.readfile(out).modelspace()
    layers = {e.dxf.layer for e in space}
    assert {"OUTLINE", "TANGENT", "HOLE", "PIN", "TEXT"} <= layers
    assert not space.query("SPLINE")
    outline = next(e for e in space.query("LWPOLYLINE") if e.dxf.layer == "OUTLINE")
    assert outline.closed
    assert any(abs(p[4]) > 0 for p in outline.get_points())
    size = ribwright.blank(RIB)["blank"]["size_mm"]
    from ezdxf import bbox

    box = bbox.extents([outline])
    assert (box.size.x, box.size.y) == pytest.approx(tuple(size), abs=0.03)


def test_the_fingerprint_ignores_units_and_comments_and_sees_every_number(tmp_path: Path) -> None:
    from ribwright.stages.fingerprint import fingerprint

    text = Path(REPAIR).read_text()
    from building import job_of

    base = fingerprint(job_of(text), "handbook")
    assert fingerprint(job_of("# another comment\n" + text), "handbook") == base
    assert fingerprint(job_of(text.replace("thickness = 0.032", 'thickness = "0.8128 mm"')), "handbook") == base
    assert fingerprint(job_of(text.replace("thickness = 0.032", "thickness = 0.025")), "handbook") != base
    assert fingerprint(job_of(text), "strain-corrected") != base
    assert fingerprint(job_of(text), "handbook", "P1") != base


def test_windows_line_ends_and_a_byte_order_mark_are_read(tmp_path: Path) -> None:
    there = tmp_path / "RX-0007.part.toml"
    there.write_bytes(b"\xef\xbb\xbf" + Path(REPAIR).read_bytes().replace(b"\n", b"\r\n"))
    shop = EXAMPLES / "shop.toml"
    assert run("check", str(there), "--shop", str(shop)).exit_code == 0


def test_a_new_packet_leaves_no_sheet_of_an_older_one_behind(kept_packet: Path, tmp_path: Path) -> None:
    """A set-up card for another press beside the new job card would be believed."""
    out = tmp_path / "p"
    shutil.copytree(kept_packet, out)
    (out / "notes.txt").write_text("the shop's own")
    assert (out / "set-up-card.pdf").exists()
    assert run("packet", RIB, "--out", str(out)).exit_code == 0
    assert not (out / "set-up-card.pdf").exists()
    assert (out / "notes.txt").exists()


def test_a_stopped_card_gives_no_reading_to_pump_to(stopped_packet: Path) -> None:
    import pypdfium2

    words = pypdfium2.PdfDocument((stopped_packet / "job-card.pdf").read_bytes())[0].get_textpage().get_text_bounded()
    assert "DO NOT PUMP" in words


def test_what_is_not_released_says_so_on_its_sheets(tmp_path: Path) -> None:
    import pypdfium2

    assert run("packet", REPAIR, "--press", "P1", "--out", str(tmp_path / "p")).exit_code == 0
    words = pypdfium2.PdfDocument((tmp_path / "p" / "job-card.pdf").read_bytes())[0].get_textpage().get_text_bounded()
    assert "NOT RELEASED" in words


def test_check_and_packet_answer_margins_and_tolerances(kept_packet: Path) -> None:
    answer = ribwright.check(RIB, press="P2", model="closed-form")
    margins, stacks = answer["margins"], answer["tolerances"]
    keys = {"quantity", "where", "value", "limit", "margin", "unit", "source", "stations"}
    assert all(set(row) == keys for row in margins)
    judged = [row["margin"] for row in margins if row["margin"] is not None]
    assert judged == sorted(judged)
    edges = {row["where"]["edge"] for row in margins if "edge" in row["where"] and "hole" not in row["where"]}
    assert edges == {"lower", "rear", "upper", "front"}
    angle = next(row for row in stacks if row["quantity"] == "flange_angle")
    assert set(angle["forecast"]) == {"value", "low", "high", "model"}
    assert 0 < angle["chance_inside"]["first_piece"] < angle["chance_inside"]["corrected"] < 1
    assert angle["gauge"] == "G-02"
    kept = json.loads((kept_packet / "answers.json").read_text())
    assert (kept["margins"], kept["tolerances"]) == (margins, stacks)
    assert "margins" not in ribwright.blank(RIB)


def test_check_shows_the_least_margin_of_each_place_and_the_tolerances() -> None:
    words = run("check", RIB, "--press", "P2").output
    assert "Least margin of each place" in words
    assert "edge lower: bend radius" in words
    assert "edge upper: flute from a rivet" in words
    assert "flange angle, edge lower: ± 1 deg; forecast" in words
    assert "no forecast for this yet" in words
    assert "against the forecast" not in run("check", REPAIR).output


@pytest.mark.parametrize("kind", ["blank", "check", "block", "drill", "bevel"])
def test_every_kind_of_template_is_written_as_pdf_and_dxf_the_same_bytes_twice(kind: str, tmp_path: Path) -> None:
    for name in ("a.pdf", "b.pdf", "a.dxf", "b.dxf"):
        done = run("template", REPAIR, "--kind", kind, "--out", str(tmp_path / name))
        assert done.exit_code == 0
    for end in ("pdf", "dxf"):
        assert (tmp_path / f"a.{end}").read_bytes() == (tmp_path / f"b.{end}").read_bytes()
    ribwright.template(REPAIR, kind=kind, out=tmp_path / "c.pdf")
    assert (tmp_path / "c.pdf").read_bytes() == (tmp_path / "a.pdf").read_bytes()


def test_every_wrong_word_of_a_template_is_told_at_once_and_nothing_is_written(tmp_path: Path) -> None:
    words = (
        "--kind",
        "chekc",
        "--paper",
        "a3",
        "--units",
        "cm",
        "--router",
        "0.5 in",
        "--out",
        str(tmp_path / "x.svg"),
    )
    done = run("template", REPAIR, *words)
    assert done.exit_code == 2
    for key in ("--kind", "--paper", "--units", "--router", "--out", "'check'"):
        assert key in done.output
    assert not list(tmp_path.iterdir())


def test_a_router_template_is_for_a_blank_or_a_block_and_never_eaten_up(tmp_path: Path) -> None:
    out = str(tmp_path / "x.pdf")
    router = "0.500 in bushing, 0.250 in cutter"
    assert run("template", REPAIR, "--kind", "blank", "--router", router, "--out", out).exit_code == 0
    assert run("template", REPAIR, "--kind", "drill", "--router", router, "--out", out).exit_code == 2
    done = run(
        "template",
        REPAIR,
        "--kind",
        "block",
        "--router",
        "10 in bushing, 1 in cutter",
        "--out",
        str(tmp_path / "y.pdf"),
    )
    assert done.exit_code == 2
    assert "eaten up" in done.output
    assert [p.name for p in tmp_path.iterdir()] == ["x.pdf"]
