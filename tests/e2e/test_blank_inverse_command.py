"""`--method inverse` and the default that holds the quick blank beside it: answers, files, papers, fingerprints."""

from __future__ import annotations

import json
from pathlib import Path

import pypdfium2
import pytest
from click.testing import CliRunner, Result

import ribwright
from building import EXAMPLES, box
from ribwright.cli import main

PART = str(EXAMPLES / "Q7-2301-1.part.toml")


def run(*words: str) -> Result:
    return CliRunner().invoke(main, list(words), catch_exceptions=False)


def test_the_answer_names_its_method_and_is_the_same_every_time(tmp_path: Path) -> None:
    first = run("blank", PART, "--method", "inverse", "--json", "--out", str(tmp_path / "b.dxf"))
    answer = json.loads(first.stdout)
    assert answer["blank"]["method"] == "inverse"
    assert answer["inputs"]["method"] == "inverse"
    assert (tmp_path / "b.dxf").stat().st_size > 0
    assert ribwright.blank(PART, method="inverse") == answer
    quick = json.loads(run("blank", PART, "--method", "strain-corrected", "--json").stdout)
    assert quick["fingerprint"] != answer["fingerprint"]
    assert quick["blank"].keys() == answer["blank"].keys()
    assert answer["blank"]["size_mm"] == pytest.approx(quick["blank"]["size_mm"], abs=0.2)
    for a, b in zip(quick["blank"]["edges"], answer["blank"]["edges"], strict=True):
        assert a["name"] == b["name"]
        if a["flat_width_mm"]:
            assert b["flat_width_mm"]["max"] == pytest.approx(a["flat_width_mm"]["max"], abs=0.1)


ALL_SHEETS = ("cut-list.pdf", "inspection-sheet.pdf", "blank-template.pdf")


def words_of(path: Path) -> str:
    return "\n".join(page.get_textpage().get_text_bounded() for page in pypdfium2.PdfDocument(path))


def test_a_packet_by_the_inverse_method_goes_by_it_on_all_its_sheets(tmp_path: Path) -> None:
    out = tmp_path / "p"
    done = run("packet", PART, "--method", "inverse", "--out", str(out), "--json")
    assert done.exit_code in (0, 1)
    answer = json.loads((out / "answers.json").read_text())
    assert answer["blank"]["method"] == answer["inputs"]["method"] == "inverse"
    alone = json.loads(run("blank", PART, "--method", "inverse", "--json").stdout)
    assert alone["blank"] == answer["blank"]
    assert alone["fingerprint"] == answer["fingerprint"]
    dxf = tmp_path / "b.dxf"
    run("template", PART, "--method", "inverse", "--out", str(dxf))
    assert dxf.stat().st_size > 0
    for name in ALL_SHEETS:
        text = words_of(out / name)
        assert answer["fingerprint"] in text, name
        assert "inverse" in text, name
    number = "blank.edges[upper].flat_width_mm.max"
    told = json.loads(run("explain", PART, "--method", "inverse", "--number", number, "--json").stdout)
    assert told["fingerprint"] == answer["fingerprint"]
    assert "balance" in told["explanation"]["source"]
    row = next(e for e in answer["blank"]["edges"] if e["name"] == "upper")
    assert told["explanation"]["value"] == row["flat_width_mm"]["max"]


def test_by_default_the_answer_says_within_what_the_two_agree_and_quick_answers_say_they_did_not_look() -> None:
    answer = json.loads(run("blank", PART, "--json").stdout)
    a = answer["blank"]["agreement"]
    assert (answer["inputs"]["method"], answer["blank"]["method"]) == ("default", "strain-corrected")
    assert a["outcome"] == "agrees"
    assert 0.0 < a["within_mm"] < a["tolerance_mm"] == 0.25
    assert "agrees with the blank by balance within" in run("blank", PART).output
    codes = {f["code"] for f in json.loads(run("check", PART, "--json").stdout)["findings"]}
    assert "blank-not-compared" in codes
    assert "blank-not-compared" not in {f["code"] for f in answer["findings"]}


def test_by_default_a_part_whose_ends_lean_is_cut_by_balance_and_says_where(tmp_path: Path) -> None:
    part = str(EXAMPLES / "RX-0007.part.toml")
    answer = json.loads(run("blank", part, "--json").stdout)
    assert (answer["blank"]["method"], answer["blank"]["agreement"]["outcome"]) == ("inverse", "differs")
    found = next(f for f in answer["findings"] if f["code"] == "blank-by-balance")
    assert found["where"]["edge"] == "upper"
    assert 0.25 < found["value"] < 0.5
    block = json.loads(run("block", part, "--json").stdout)
    assert block["fingerprint"] == answer["fingerprint"]
    svg = tmp_path / "b.svg"
    run("blank", part, "--out", str(svg))
    assert svg.stat().st_size > 0


def test_every_command_takes_the_method_and_bears_one_fingerprint(tmp_path: Path) -> None:
    text = box(w=120.0, h=60.0, flanges=(True, False, False, False)).replace(
        "to = [120.0, 0.0]\n", "to = [120.0, 0.0]\nthrough = [60.0, -4.0]\n"
    )
    part = tmp_path / "arch.part.toml"
    part.write_text(text)
    asked = {"press": "P2", "model": "closed-form", "method": "inverse", "shop": EXAMPLES / "shop.toml"}
    one = ribwright.setup(part, **asked)["fingerprint"]
    assert ribwright.check(part, **asked)["fingerprint"] == one
    assert ribwright.block(part, **asked)["fingerprint"] == one
    assert ribwright.template(part, out=tmp_path / "t.dxf", **asked)["fingerprint"] == one
    assert ribwright.packet(part, out=tmp_path / "p", **asked)["fingerprint"] == one
    assert ribwright.forecast(part, **asked)["packet_fingerprint"] == one
    assert ribwright.setup(part, **{**asked, "method": "default"})["fingerprint"] != one
    with pytest.raises(ribwright.InputError, match="one of default, handbook, strain-corrected, inverse"):
        ribwright.check(part, **{**asked, "method": "by eye"})


def test_ctrl_c_while_it_searches_writes_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from ribwright.mechanics.inverse import model

    def stopped(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(model, "flat_of", stopped)
    out = tmp_path / "p"
    done = run("packet", PART, "--out", str(out))
    assert done.exit_code == 3
    assert "cancelled" in done.output
    assert not out.exists()
