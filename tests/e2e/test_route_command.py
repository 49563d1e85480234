"""`ribwright route`, and the two superseded sheets: each stops for its one fault, and without it nothing stops."""

from __future__ import annotations

import json
import shutil
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

import ribwright
from building import EXAMPLES, quick
from ribwright.cli import main

RING, RIB = "Q7-3205-1-rev-B", "Q7-2301-1-first-sheet"


def asked(command: str, part: Path | str, *words: str) -> tuple[int, dict[str, Any]]:
    done = CliRunner().invoke(main, quick((command, str(part), *words, "--json")), catch_exceptions=False)
    return done.exit_code, json.loads(done.output)


def changed(tmp_path: Path, name: str, *pairs: tuple[str, str]) -> Path:
    """The part beside a copy of the shop, with texts replaced, each of which is there once."""
    shutil.copy(EXAMPLES / "shop.toml", tmp_path / "shop.toml")
    text = (EXAMPLES / f"{name}.part.toml").read_text()
    for old, new in pairs:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    (tmp_path / f"{name}.part.toml").write_text(text)
    return tmp_path / f"{name}.part.toml"


def stops(answer: dict[str, Any]) -> list[dict[str, Any]]:
    return [f for f in answer["findings"] if f["severity"] == "stop"]


def test_the_superseded_ring_stops_on_its_radius_and_names_the_table() -> None:
    status, answer = asked("check", EXAMPLES / f"{RING}.part.toml", "--press", "P3")
    assert status == 1
    found = [f for f in stops(answer) if f["code"] == "bend-radius"]
    assert {f["where"]["flange"] for f in found} == {"rim", "bay rim"}
    for f in found:
        assert f["value"] == pytest.approx(0.06 * 25.4)
        assert f["limit"] == pytest.approx(3 * 0.040 * 25.4)  # AC 43.13-1B table 4-6, 2024-T3 to 0.064 in: 3 to 5 t
        assert f["margin"] == pytest.approx(-0.5)
        assert "AC 43.13-1B table 4-6" in f["say"]
        assert "AC 43.13-1B table 4-6" in f["source"]


def test_the_same_ring_of_annealed_sheet_runs_through(tmp_path: Path) -> None:
    part = changed(
        tmp_path,
        RING,
        ('material = "2024-T3"', 'material = "2024-O"'),
        ('formed_in = "as bought"', 'formed_in = "O"'),
        ('final = "T3"', 'final = "T42"'),
    )
    status, answer = asked("check", part, "--press", "P3")
    assert (status, stops(answer)) == (0, [])


def test_the_small_cut_hole_stops_on_its_rim_and_a_larger_cut_runs_through(tmp_path: Path) -> None:
    status, answer = asked("check", EXAMPLES / f"{RIB}.part.toml", "--press", "P2")
    assert status == 1
    (found,) = stops(answer)
    assert (found["code"], found["where"]) == ("hole-edge-limit", {"hole": "L1"})
    assert found["value"] > found["limit"] == pytest.approx(0.073)
    status, answer = asked(
        "check", changed(tmp_path, RIB, ("cut_diameter = 2.0\n", "cut_diameter = 2.125\n")), "--press", "P2"
    )
    assert (status, stops(answer)) == (0, [])


def test_a_stopped_part_is_told_which_way_would_hold_and_what_it_changes() -> None:
    status, answer = asked("route", EXAMPLES / f"{RING}.part.toml")
    assert status == 1
    route = answer["route"]
    assert (route["drawing"]["way"], route["proposed"]) == ("as-bought", "annealed")
    outcomes = {w["name"]: (w["outcome"], w["delivers"], w["reaches_final"]) for w in route["ways"]}
    assert outcomes["as-bought"] == ("not-feasible", "T3", True)
    assert outcomes["annealed"] == ("feasible", "T42", False)
    assert [f["code"] for f in answer["findings"] if f["code"].startswith("route")] == ["route-not-feasible"]
    room = {h["quantity"]: h["margin"] for w in route["ways"] if w["name"] == "annealed" for h in w["held"]}
    assert room["bend_radius"] == pytest.approx(0.5)  # 0.06 in against 1 t = 0.04 in


def test_route_with_the_packets_press_bears_its_fingerprint_and_changes_no_file(tmp_path: Path) -> None:
    part = changed(tmp_path, "Q7-2301-1")
    before = part.read_bytes()
    _, answer = asked("route", part, "--press", "P2")
    assert answer["fingerprint"] == asked("setup", part, "--press", "P2")[1]["fingerprint"]
    assert part.read_bytes() == before
    assert sorted(p.name for p in tmp_path.iterdir()) == [part.name, "shop.toml"]


def test_the_function_answers_as_the_command() -> None:
    part = EXAMPLES / "Q7-2301-1.part.toml"
    assert ribwright.route(part) == asked("route", part)[1]


def test_a_number_of_the_ways_opens_by_its_name() -> None:
    part = EXAMPLES / "Q7-2301-1.part.toml"
    _, answer = asked("explain", part, "--number", "route.ways[annealed].held[bend_radius, edge front].margin")
    assert answer["explanation"]["value"] == pytest.approx(1.0)
    assert "part file" in {k["file"] for k in answer["explanation"]["changes"]}


def test_the_clock_of_a_shop_that_entered_nothing_stays_open(tmp_path: Path) -> None:
    _, answer = asked("route", EXAMPLES / "Q7-2301-1.part.toml")
    clock = answer["route"]["clock"]
    assert clock["specification"] == ""
    assert all(clock[key] is None for key in clock["not_entered"])
    assert len(clock["not_entered"]) == 8
