"""`ribwright forecast --pad` as a person types it: answers, statuses, sentences, pictures, Ctrl-C."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

import ribwright
from building import EXAMPLES, box
from padded import ONE, small_part
from ribwright.cli import main
from ribwright.work import under_padding

RIB = str(EXAMPLES / "Q7-2102-1.part.toml")
SHOP = """units = "mm"
name = "T"
[rules]
undercut = "closed-form"
[[press]]
id = "P2"
kind = "power"
force = "400 kN"
rated_pressure = "12 MPa"
source = "made up"
table = [300, 300]
daylight = 250
stroke = 200
tables = 1
pad = { size = [180, 160], thickness = 60, shore_a = 70, held = "container", strain_limit = 0.3 }
[[press]]
id = "F1"
kind = "fluid"
force = "400 kN"
rated_pressure = "12 MPa"
source = "made up"
table = [300, 300]
daylight = 250
stroke = 200
tables = 1
pad = { size = [180, 160], thickness = 60 }
"""
BOWED = 'name = "south"\nthrough = [40, -5]\n'


def run(*words: str) -> Result:
    return CliRunner().invoke(main, list(words), catch_exceptions=False)


@pytest.fixture
def part(tmp_path: Path) -> str:
    """A small part for a small press whose block is cut by the closed form, so that only the pad's run takes time."""
    path = tmp_path / "t.part.toml"
    path.write_text(small_part())
    (tmp_path / "shop.toml").write_text(SHOP)
    return str(path)


def test_the_answer_carries_the_keys_scripts_rely_on_and_the_picture_is_drawn(part: str, tmp_path: Path) -> None:
    out = tmp_path / "pad.svg"
    done = run("forecast", part, "--press", "P2", "--pad", "--pressure", "6 MPa", "--out", str(out), "--json")
    assert done.exit_code == 0
    answer = json.loads(done.stdout)
    assert "forecast" not in answer
    u = answer["under_pad"]
    assert (u["edge"], u["press"], u["outcome"], u["closes"]) == ("south", "P2", "converged", True)
    assert [p["pressure_mpa"] for p in u["points"]] == [1.5, 3.0, 6.0]
    assert answer["inputs"]["forecast"] == {"model": "pad", "pressure_mpa": 6.0, "undercut_deg": None, "place": ""}
    assert u["elapsed_s"] > 0
    text = out.read_text()
    assert f"{u['points'][-1]['angle_released_deg']:.1f} deg" in text
    assert "Nothing here was compared with a real formed part." in text
    again = ribwright.forecast(part, press="P2", pad=True, place="south", pressure="6 MPa")
    assert again["under_pad"]["points"] == u["points"]


def test_the_screen_says_what_closes_it_what_the_rubber_keeps_and_what_is_not_known(part: str) -> None:
    done = run("forecast", part, "--press", "P2", "--pad", "--pressure", "3 MPa", "--place", "south at 30 mm")
    assert done.exit_code == 0
    assert "Under the pad of press P2: south at" in done.output
    assert "stays OPEN up to 3.00 MPa" in done.output
    assert "a fluid closes it at" in done.output
    assert "not known: the pad's modulus is told from its hardness" in done.output
    assert "pad-too-hard" in done.output
    assert "Nothing here was compared with a real formed part." in done.output
    rows = [line for line in done.output.splitlines() if " kN " in line and "MPa" in line]
    assert max(len(line) for line in rows if line.startswith(("  0.75", "  3.00"))) <= 110


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--pad",), "--pad: found without --press"),
        (("--pad", "--press", "P2", "--model", "closed-form"), "no --model with --pad"),
        (("--place", "south", "--press", "P2"), "--place with --pad"),
        (("--pad", "--press", "P2", "--place", "sooth"), "did you mean 'south'"),
        (("--pad", "--press", "P2", "--pressure", "20 MPa"), "on all its pad within its ratings"),
        (("--pad", "--press", "P2", "--pressure", "7"), "without a unit"),
        (("--pad", "--press", "F1"), "a fluid press"),
        (("--pad", "--press", "P9"), "P2, F1"),
        (("--pad", "--press", "P2", "--out", "x.dxf"), ".svg"),
    ],
)
def test_a_wrong_option_is_one_sentence(part: str, words: tuple[str, ...], says: str) -> None:
    done = run("forecast", part, *words)
    assert done.exit_code == 2
    assert says in done.output
    assert "Traceback" not in done.output


def test_a_curved_edge_is_not_modelled_and_nothing_is_drawn_in_its_place(tmp_path: Path) -> None:
    path = tmp_path / "t.part.toml"
    path.write_text(box(w=80, h=60, width=12, flanges=ONE).replace('name = "south"\n', BOWED))
    (tmp_path / "shop.toml").write_text(SHOP)
    done = run("forecast", str(path), "--press", "P2", "--pad")
    assert done.exit_code == 0
    assert "the flange is curved in plan" in done.output
    assert "pad-not-modelled" in done.output
    assert "Straight edges of this part: none" in done.output
    drawn = run("forecast", str(path), "--press", "P2", "--pad", "--out", str(tmp_path / "a.svg"))
    assert drawn.exit_code == 2
    assert "nothing to draw" in drawn.output
    assert not list(tmp_path.glob("a.*"))


def test_ctrl_c_keeps_what_was_had_and_writes_nothing(
    part: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def interrupted(jobs: Any, tell: Any) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(under_padding, "_wait", interrupted)
    out = tmp_path / "pad.svg"
    done = run("forecast", part, "--press", "P2", "--pad", "--out", str(out), "--json")
    assert done.exit_code == 3
    u = json.loads(done.stdout)["under_pad"]
    assert u["outcome"] == "cancelled"
    assert u["points"] == []
    assert "cancelled" in done.stderr
    assert not out.exists()


def test_one_number_of_a_place_under_the_pad_opens(part: str) -> None:
    number = "under_pad.points[0].pad_strain"
    done = run("explain", part, "--press", "P2", "--number", number, "--pressure", "1.5 MPa", "--place", "south")
    assert done.exit_code == 0
    assert "x/T" in done.output
    assert "--pressure" in done.output
    refused = run("explain", part, "--number", "block.height_mm", "--place", "south")
    assert refused.exit_code == 2


@pytest.mark.slow
@pytest.mark.parametrize("name", ["pad.png", "pad.pdf"])
def test_the_demonstration_rib_is_pressed_on_the_power_press(name: str, tmp_path: Path) -> None:
    out = tmp_path / name
    done = run("forecast", RIB, "--press", "P2", "--pad", "--out", str(out), "--json")
    assert done.exit_code == 0
    u = json.loads(done.stdout)["under_pad"]
    assert (u["edge"], u["outcome"], u["closes"]) == ("rear", "converged", True)
    # the rubber keeps something, and less than the band of the set-up's k G reaches to
    assert 0.5 < u["pad_keeps_mpa"] < 2.0 * u["pad_share_mpa"]
    assert out.read_bytes().startswith({"png": b"\x89PNG", "pdf": b"%PDF"}[name[-3:]])


@pytest.mark.slow
def test_the_repair_rib_is_pressed_on_the_bench_press() -> None:
    u = ribwright.forecast(EXAMPLES / "RX-0007.part.toml", press="P1", pad=True)["under_pad"]
    assert (u["edge"], u["outcome"], u["closes"]) == ("lower", "converged", True)
    assert u["closing_fluid_mpa"] < u["closing_pressure_mpa"] < u["pad"]["rated_pressure_mpa"]


@pytest.mark.slow
def test_the_demonstration_rib_hangs_over_the_bench_press_and_says_so() -> None:
    done = run("forecast", RIB, "--press", "P1", "--pad", "--json")
    assert done.exit_code == 1
    answer = json.loads(done.stdout)
    assert answer["under_pad"]["outcome"] == "refused"
    assert {"flange-fouls-container", "pad-overhang"} <= {f["code"] for f in answer["findings"]}
