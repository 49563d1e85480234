"""The loop as a shop walks it: a block is planned, pieces are measured and kept, the next block follows. The demonstration shop's flap rib,
made-up pieces; no formed part stands behind any of it."""

from __future__ import annotations

import json
import re
import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

import ribwright
from building import EXAMPLES
from ribwright.cli import main

PART = "Q7-2301-1.part.toml"
HEAD = """# units = in
# part = Q7-2301-1
# serial = {serial}
# lot = L-77
# gauge = G-02
# by = W. Heron
# date = 2031-03-10
# press = P2
# pressure = 1850 psi
{more}
kind, edge, along, value
"""
CUT = "# undercut = 3.2"


def run(*words: str) -> Result:
    return CliRunner().invoke(main, list(words), catch_exceptions=False)


def pressed(*words: str) -> Result:
    return run(*words, "--press", "P2", "--model", "closed-form")


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    """The shop file and the rib alone, in a folder of their own."""
    for name in ("shop.toml", PART):
        shutil.copy(EXAMPLES / name, tmp_path / name)
    return tmp_path


def piece(shop: Path, serial: str, angles: dict[str, float], more: str = CUT) -> str:
    path = shop / f"{serial}.csv"
    rows = "".join(f"flange_angle, {edge}, 50 %, {value}\n" for edge, value in angles.items())
    path.write_text(HEAD.format(serial=serial, more=more) + rows)
    return str(path)


def undercuts(shop: Path) -> dict[str, float]:
    answer = json.loads(pressed("block", str(shop / PART), "--json").output)
    return {r["edge"]: r["deg"]["value"] for r in answer["block"]["undercut"]}


def test_three_pieces_that_come_open_ask_for_a_block_with_more_undercut_and_the_old_one_is_filed(shop: Path) -> None:
    part, book = str(shop / PART), shop / "springback.jsonl"
    before = undercuts(shop)
    for i, value in enumerate((88.0, 88.2, 87.9)):
        done = pressed("inspect", part, piece(shop, f"00{i}", {"upper": value, "lower": value - 0.1}), "--keep")
        assert "Kept in springback.jsonl: 2 bend angles" in done.output
    assert len(book.read_text().splitlines()) == 6
    after = undercuts(shop)
    assert after["upper"] > before["upper"] + 1.0
    assert after["upper"] > after["rear"] > before["rear"]
    said = pressed("learn", part)
    assert said.exit_code == 0
    assert "last 3 pieces: forecast 3.2, came 5.2 ± 0.1 deg" in said.output
    assert "The old block can be filed to it" in said.output
    assert "rear, front, hole L1, hole L2: --cut-from tells" in said.output
    told = ribwright.learn(part, press="P2", model="closed-form")["learn"]
    upper = next(p for p in told["next_block"]["places"] if p.get("edge") == "upper")
    assert upper["before_deg"]["value"] == pytest.approx(before["upper"])
    assert upper["after_deg"]["value"] == pytest.approx(after["upper"])
    assert upper["rework"]["what"] == "file"
    assert sum(m["moved_deg"] for m in upper["moved_by"]) == pytest.approx(upper["shift_deg"])


def test_parts_that_come_closed_need_a_new_block(shop: Path) -> None:
    for i in range(3):
        pressed("inspect", str(shop / PART), piece(shop, f"00{i}", {"upper": 91.4, "lower": 91.5}), "--keep")
    assert "A new block." in pressed("learn", str(shop / PART)).output


def test_the_block_of_the_packet_that_a_piece_names_is_known_by_its_fingerprint_or_by_its_answers(shop: Path) -> None:
    part = str(shop / PART)
    kept = shop / "answers.json"
    kept.write_text(pressed("block", part, "--json").output)
    name = json.loads(kept.read_text())["fingerprint"]
    first = pressed("inspect", part, piece(shop, "001", {"upper": 89.0}, f"# packet = {name}"), "--keep")
    assert "Kept in springback.jsonl: 1 bend angle" in first.output
    # the plan has another name now that something is kept, but without the book it is the packet's still
    second = pressed("inspect", part, piece(shop, "002", {"upper": 89.1}, f"# packet = {name}"), "--keep")
    assert "Kept in springback.jsonl: 1 bend angle" in second.output
    third = pressed("inspect", part, piece(shop, "003", {"upper": 89.1}, f"# packet = {'0' * 16}"), "--keep")
    assert "nobody says how the block was cut" in third.output
    fourth = pressed("inspect", part, piece(shop, "003", {"upper": 89.1}, ""), "--keep", "--cut-from", str(kept))
    assert "Kept in springback.jsonl: 1 bend angle" in fourth.output
    rows = [json.loads(line) for line in (shop / "springback.jsonl").read_text().splitlines()]
    assert [r["serial"] for r in rows] == ["001", "002", "003"]
    assert len({round(r["undercut_deg"], 6) for r in rows}) == 1
    assert {r["block"] for r in rows} == {f"packet {name}"}
    assert [r["foretold"]["corrected_by_pieces"] for r in rows] == [0, 1, 2]


def test_a_piece_off_a_block_of_an_earlier_packet_is_kept_whatever_was_kept_since(shop: Path) -> None:
    part = str(shop / PART)
    pressed("inspect", part, piece(shop, "001", {"upper": 88.0}), "--keep")
    cut = json.loads(pressed("block", part, "--json").stdout)
    deg = next(r["deg"]["value"] for r in cut["block"]["undercut"] if r["edge"] == "upper")
    for serial in ("002", "003", "004"):  # each moves the book, and with it the name of today's plan
        words = f"# packet = {cut['fingerprint']}\n# block = FB-1"
        done = pressed("inspect", part, piece(shop, serial, {"upper": 88.4}, words), "--keep")
        assert "Kept in springback.jsonl: 1 bend angle" in done.output
    rows = [json.loads(line) for line in (shop / "springback.jsonl").read_text().splitlines()]
    assert [r["undercut_deg"] for r in rows[1:]] == pytest.approx([deg] * 3)
    assert {r["block"] for r in rows[1:]} == {"FB-1"}
    # a form that was printed today bears today's name; the block in the stand is still the old one
    today = json.loads(pressed("block", part, "--json").stdout)["fingerprint"]
    before = (shop / "springback.jsonl").read_bytes()
    fresh = piece(shop, "005", {"upper": 89.8}, f"# packet = {today}\n# block = FB-1")
    done = pressed("inspect", part, fresh, "--keep")
    assert done.exit_code == 2
    assert f"packet: found {today}, which cuts upper to" in done.stderr
    assert f"by the book it is cut to {deg:.2f} deg there" in done.stderr
    assert (shop / "springback.jsonl").read_bytes() == before
    unnamed = piece(shop, "006", {"upper": 89.8}, f"# packet = {today}")
    done = pressed("inspect", part, unnamed, "--keep")
    assert "the packet that block FB-1 was cut from" in done.stderr
    other = piece(shop, "007", {"upper": 89.8}, f"# packet = {today}\n# block = FB-2")
    assert pressed("inspect", part, other, "--keep").exit_code == 0


def test_what_is_refused_leaves_the_book_as_it_is(shop: Path) -> None:
    part, book = str(shop / PART), shop / "springback.jsonl"
    good = piece(shop, "001", {"upper": 88.0})
    pressed("inspect", part, good, "--keep")
    before = book.read_bytes()
    again = pressed("inspect", part, good, "--keep")
    assert again.exit_code == 2
    assert "kept already, measured on 2031-03-10" in again.output
    nameless = Path(piece(shop, "002", {"upper": 88.0}))
    nameless.write_text(nameless.read_text().replace("# serial = 002\n", ""))
    assert "serial: found nothing" in pressed("inspect", part, str(nameless), "--keep").output
    late = Path(piece(shop, "003", {"upper": 88.0}))
    late.write_text(late.read_text().replace("2031-03-10", "2031-04-10"))
    assert "past its due date" in pressed("inspect", part, str(late), "--keep").output
    without = run("inspect", part, piece(shop, "004", {"upper": 88.0}), "--keep", "--model", "closed-form")
    assert "no press is named" in without.output
    assert "--cut-from" in pressed("inspect", part, good, "--cut-from", "x.json").output
    assert book.read_bytes() == before


def test_a_block_cut_by_one_model_is_not_held_against_the_other(shop: Path) -> None:
    part, book = str(shop / PART), shop / "springback.jsonl"
    pressed("inspect", part, piece(shop, "001", {"upper": 88.0}), "--keep")
    assert run("learn", part).exit_code == 0
    done = run("learn", part, "--press", "P2", "--model", "section")
    assert done.exit_code == 2
    assert "--model: found section; allowed: closed-form, by which the pieces of Q7-2301-1" in done.stderr
    book.write_text(book.read_text().replace('"family": "closed-form"', '"family": "section"'))
    done = run("learn", part)
    assert done.exit_code == 2
    assert "--press: found nothing" in done.stderr
    assert "--press P2: the last piece of Q7-2301-1 was formed there" in done.stderr


def test_the_old_block_is_not_taken_from_the_other_hand(shop: Path) -> None:
    kept = shop / "answers.json"
    answer = json.loads(pressed("block", str(shop / PART), "--json").output)
    kept.write_text(json.dumps(answer | {"part": answer["part"] | {"hand": "right"}}))
    done = run("learn", str(shop / PART), "--cut-from", str(kept))
    assert done.exit_code == 2
    assert "part: found Q7-2301-1, right hand" in done.stderr


def test_withdrawing_takes_a_wrong_measurement_out_and_brings_the_old_plan_back(shop: Path) -> None:
    part, book = str(shop / PART), shop / "springback.jsonl"
    before = pressed("block", part, "--json").output
    pressed("inspect", part, piece(shop, "001", {"upper": 80.0}), "--keep")
    assert pressed("block", part, "--json").output != before
    row = json.loads(book.read_text())["id"]
    place = ("--shop", str(shop / "shop.toml"))
    assert "springback.jsonl: 1 angle of 1 piece\n" in run("learn", *place).output
    assert run("learn", "--withdraw", row, *place).exit_code == 2
    done = run("learn", "--withdraw", row, "--by", "W. Heron", "--why", "read off the web", *place)
    assert done.exit_code == 0
    assert f"Withdrawn by W. Heron: {row}, read off the web" in done.output
    assert pressed("block", part, "--json").output == before
    assert (
        row + ", withdrawn already by W. Heron"
        in run("learn", "--withdraw", row, "--by", "A", "--why", "b", *place).output
    )


def test_an_empty_book_and_a_torn_one_are_said(shop: Path) -> None:
    place = ("--shop", str(shop / "shop.toml"))
    assert "The springback book is empty" in run("learn", *place).output
    book = shop / "springback.jsonl"
    book.write_text('{"springback_book": 1, "id": "ab')
    for words in (("learn", *place), ("check", str(shop / PART))):
        done = run(*words)
        assert done.exit_code == 2
        assert re.search(r"line 1, the last one: .*cut off", done.output)


def test_what_hands_have_moved_teaches_the_book_nothing(shop: Path) -> None:
    first = piece(shop, "001", {"upper": 88.2})
    assert pressed("inspect", str(shop / PART), first, "--keep").exit_code == 0
    book = (shop / "springback.jsonl").read_bytes()
    set_ = piece(shop, "001", {"upper": 89.9}, CUT + "\n# state = set by hand")
    told = pressed("inspect", str(shop / PART), set_, "--keep")
    assert told.exit_code == 2
    assert "teaches the next block the hand" in told.stderr
    later = Path(piece(shop, "001", {"upper": 89.9}))
    later.write_text(later.read_text().replace("2031-03-10", "2031-03-11"))
    told = pressed("inspect", str(shop / PART), str(later), "--keep")
    assert told.exit_code == 2
    assert "in the book from 2031-03-10" in told.stderr
    assert (shop / "springback.jsonl").read_bytes() == book
    later.write_text(
        later.read_text().replace("upper, 50 %", "lower, 50 %").replace(CUT, CUT + "\n# state = as pressed")
    )
    assert pressed("inspect", str(shop / PART), str(later), "--keep").exit_code == 0


def test_papers_of_another_piece_in_the_folder_keep_the_book_as_it_is(shop: Path) -> None:
    first, other = piece(shop, "001", {"upper": 88.2}), piece(shop, "002", {"upper": 88.4})
    assert pressed("inspect", str(shop / PART), first, "--keep", "--out", str(shop / "p")).exit_code == 0
    book = (shop / "springback.jsonl").read_bytes()
    assert pressed("inspect", str(shop / PART), other, "--keep", "--out", str(shop / "p")).exit_code == 2
    assert (shop / "springback.jsonl").read_bytes() == book


def test_a_piece_pumped_to_the_set_up_card_needs_no_pressure_of_its_own(shop: Path) -> None:
    first = Path(piece(shop, "001", {"upper": 88.2}))
    first.write_text(first.read_text().replace("# pressure = 1850 psi", "# pressure = set-up"))
    setup = json.loads(pressed("setup", str(shop / PART), "--json").output)["setup"]
    done = json.loads(pressed("inspect", str(shop / PART), str(first), "--keep", "--json").output)
    assert len(done["kept"]["observations"]) == 1
    row = json.loads((shop / "springback.jsonl").read_text().splitlines()[-1])
    assert row["pressure_mpa"] == pytest.approx(setup["pump_to_pressure_mpa"])
