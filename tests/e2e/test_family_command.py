"""`ribwright family`: part files, the table on the screen, in JSON and for a spreadsheet, the pins proposed; all or nothing."""

from __future__ import annotations

import csv
import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

import ribwright
from building import EXAMPLES, box
from ribwright.cli import main

RIBS = str(EXAMPLES / "Q7-2102.family.csv")
PINS = "".join(
    f'[[hole]]\nname = "P{i}"\nkind = "tooling"\nat = {at}\ndiameter = {d}\npin_fit = 0.08\n'
    for i, (at, d) in enumerate((([30, 40], 5), ([170, 50], 6)), 1)
)


def run(*words: str) -> Result:
    return CliRunner().invoke(main, list(words))


@pytest.fixture
def boxes(tmp_path: Path) -> Path:
    """A family of three boxes."""
    (tmp_path / "base.part.toml").write_text(box(extra=PINS))
    table = tmp_path / "boxes.family.csv"
    table.write_text(
        "# part = base.part.toml\nnumber,web.scale,hole[P2].at,flange.f.width\nB-1,0.9,150 50,\nB-2,0.8,130 50,18\n"
    )
    return table


@pytest.fixture(scope="module")
def ribs(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Result]:
    out = tmp_path_factory.mktemp("ribs") / "members"
    return out, run("family", RIBS, "--out", str(out))


def test_the_wing_ribs_are_written_and_told_side_by_side(ribs: tuple[Path, Result]) -> None:
    out, done = ribs
    assert done.exit_code == 0
    lines = done.output.splitlines()
    assert [line.split()[0] for line in lines[:4]] == ["part", "Q7-2102-1", "Q7-2103-1", "Q7-2104-1"]
    assert "skin 0.66" in lines[1] and "8.4 deg" in lines[1]  # noqa: PT018
    assert {p.name for p in out.iterdir()} == {
        *(f"Q7-210{k}-1.part.toml" for k in (3, 4)),
        *(f"Q7-210{k}-1-{side}.csv" for k in (3, 4) for side in ("lower", "upper")),
        "family-table.csv",
    }


def test_a_member_answers_by_itself_as_in_the_table(ribs: tuple[Path, Result]) -> None:
    """The blank of the 46 in rib as the drawn part of that number has it, within the rounding of the drawn ordinates."""
    out, _ = ribs
    rows = list(csv.DictReader((out / "family-table.csv").open()))
    made = ribwright.blank(out / "Q7-2103-1.part.toml", shop=EXAMPLES / "shop.toml", method="strain-corrected")
    drawn = ribwright.blank(EXAMPLES / "Q7-2103-1.part.toml", method="strain-corrected")
    assert made["blank"]["size_mm"] == pytest.approx([float(rows[1][f"blank {a} in"]) * 25.4 for a in "xy"], abs=0.002)
    # relief holes at the corners are drawn there and are the shop's rule here
    assert made["blank"]["size_mm"] == pytest.approx(drawn["blank"]["size_mm"], abs=0.02)


def test_one_pattern_of_pins_is_proposed_for_the_three_ribs_and_no_part_file_takes_it(
    ribs: tuple[Path, Result],
) -> None:
    out, done = ribs
    assert "Common pins, a proposal (every part takes them): the holes of Q7-2103-1." in done.output
    assert "Q7-2103-1: has them as drawn" in done.output
    assert "at = [5.7, 0.25]" in (out / "Q7-2104-1.part.toml").read_text()


def test_the_answer_as_json_has_every_number_of_the_table(boxes: Path) -> None:
    told = json.loads(run("family", str(boxes), "--out", str(boxes.parent / "out"), "--json").output)["family"]
    assert [(m["number"], m["base"]) for m in told["members"]] == [("T-1", True), ("B-1", False), ("B-2", False)]
    assert told["members"][2]["changes"] == {"web.scale": "0.8", "hole[P2].at": "130 50", "flange.f.width": "18"}
    widths = [m["flat_widths"][0]["max_mm"] for m in told["members"]]
    assert widths[0] == pytest.approx(widths[1])
    assert widths[2] == pytest.approx(widths[0] + 3.0)
    assert told["pins"]["outcome"] == "all"


def test_a_member_without_a_place_for_its_pin_refuses_the_whole_family_and_writes_nothing(boxes: Path) -> None:
    boxes.write_text(boxes.read_text() + "B-3,0.7,,\n")
    done = run("family", str(boxes))
    assert done.exit_code == 2
    assert "boxes.family.csv: line 5, hole[2].at: found (170, 50) mm, outside the web" in done.output
    assert not (boxes.parent / "boxes-family").exists()


def test_a_file_that_somebody_changed_is_not_written_over_and_one_that_is_the_same_is_no_matter(boxes: Path) -> None:
    assert run("family", str(boxes)).exit_code == 0
    assert run("family", str(boxes)).exit_code == 0
    member = boxes.parent / "boxes-family" / "B-1.part.toml"
    member.write_text(member.read_text().replace('title = "test"', 'title = "mine"'))
    done = run("family", str(boxes))
    assert done.exit_code == 2
    assert "which is there with another content" in done.output
    assert "mine" in member.read_text()


def test_a_stop_on_one_member_is_the_exit_status_of_the_family(boxes: Path) -> None:
    boxes.write_text("# part = base.part.toml\nnumber,flange.f.bend_angle\nB-1,130\n")
    done = run("family", str(boxes))
    assert done.exit_code == 1
    assert "B-1:\n  STOP" in done.output
