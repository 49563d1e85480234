"""`strain`: the answer, its files, and a part that has no map."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

import ribwright
from building import EXAMPLES, box
from ribwright.cli import main

PART = str(EXAMPLES / "RX-0007.part.toml")


def run(*words: str) -> Result:
    return CliRunner().invoke(main, list(words), catch_exceptions=False)


def test_the_answer_its_files_and_the_function_agree(tmp_path: Path) -> None:
    got = run("strain", PART, "--json", "--out", str(tmp_path / "all"))
    answer = json.loads(got.stdout)
    s = answer["strain"]
    assert (s["outcome"], s["says"]) == ("answered", "not compared with a real formed part")
    assert {p.get("edge") or p["hole"] for p in s["places"]} == {"lower", "upper", "front", "L1"}
    assert s["least"]["hole"] == "L1"
    assert s["least"]["by"] == "free edge"
    assert s["least"]["margin"] == pytest.approx((s["least"]["limit"] - s["least"]["value"]) / s["least"]["limit"])
    assert sorted(p.name for p in (tmp_path / "all").iterdir()) == [
        f"RX-0007-strain{e}" for e in (".csv", ".pdf", ".png", ".svg")
    ]
    assert all(p.stat().st_size > 1000 for p in (tmp_path / "all").iterdir())
    assert "VOID" not in (tmp_path / "all" / "RX-0007-strain.svg").read_text(encoding="utf-8")
    assert ribwright.strain(PART) == answer


def test_the_screen_names_every_place_and_the_least_room() -> None:
    lines = run("strain", PART).stdout.splitlines()
    for name in ("lower", "upper", "front", "hole L1"):
        assert any(x.strip().startswith(name) for x in lines), name
    assert any("Least room: hole L1" in x for x in lines)
    assert any("estimated, untested" in x for x in lines)


def test_a_number_of_it_opens_by_explain() -> None:
    told = json.loads(run("explain", PART, "--number", "strain.places[L1].major.max", "--json").stdout)["explanation"]
    assert told["value"] > 0.05
    assert "h = -1/2 ln(G G^T)" in told["formula"]


def test_a_part_without_a_map_says_why_and_draws_nothing(tmp_path: Path) -> None:
    file = tmp_path / "t.part.toml"
    hole = '[[hole]]\nname = "L"\nkind = "lightening"\nat = [100, 50]\ndiameter = 50\ncut_diameter = 46\nbend_angle = 90\nbend_radius = 3\n'
    file.write_text(box(extra=hole), encoding="utf-8")
    got = run("strain", str(file), "--json")
    answer = json.loads(got.stdout)
    assert got.exit_code == 1
    assert (answer["strain"]["outcome"], answer["strain"]["places"], answer["strain"]["least"]) == ("no-mesh", [], None)
    refused = run("strain", str(file), "--out", str(tmp_path / "x.svg"))
    assert refused.exit_code == 2
    assert "nothing to draw" in refused.output
    assert not (tmp_path / "x.svg").exists()


def test_another_ending_is_refused_before_anything_is_computed(tmp_path: Path) -> None:
    refused = run("strain", PART, "--out", str(tmp_path / "x.dxf"))
    assert refused.exit_code == 2
    assert ".svg, .png, .pdf, .csv" in refused.output


def test_check_and_forecast_by_balance_say_the_room_and_otherwise_do_not() -> None:
    inverse = ("--method", "inverse")
    asked = ("forecast", PART, "--pressure", "7 MPa", "--model", "closed-form")
    assert "Room to split, by balance: hole L1 33 % to its free edge's limit" in run(*asked, *inverse).stdout
    assert "Room to split, by balance" not in run(*asked).stdout
    quantities = [
        {r["quantity"] for r in json.loads(run("check", PART, *m, "--json").stdout)["margins"]} for m in (inverse, ())
    ]
    assert "sheet_stretch" in quantities[0]
    assert "sheet_stretch" not in quantities[1]
