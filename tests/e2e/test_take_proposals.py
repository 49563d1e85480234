"""Proposals taken by a named person: a copy that has them, and nothing written where something is wrong."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from building import EXAMPLES
from ribwright.adapters.part_toml import read_part
from ribwright.cli import main

NOSE, SHOP = EXAMPLES / "Q7-2101-1.part.toml", str(EXAMPLES / "shop.toml")


def check(*words: str, part: Path = NOSE) -> Result:
    return CliRunner().invoke(main, ["check", str(part), "--shop", SHOP, *words], catch_exceptions=False)


def test_the_copy_has_the_notches_names_who_took_them_and_has_no_stop(tmp_path: Path) -> None:
    out, before = tmp_path / "copy.part.toml", NOSE.read_bytes()
    first = check("--take-proposals", "--by", "M. Avocet", "--out", str(out), "--json")
    assert first.exit_code == 1
    (row,) = json.loads(first.stdout)["proposals"]
    text = out.read_text(encoding="utf-8")
    # what was approved is the part without them: nothing else of it is touched
    signed = NOSE.read_text(encoding="utf-8")
    for key in ("data", "by", "date"):
        signed = re.sub(rf'(?m)^{key} = ".*"$', f'{key} = ""', signed)
    assert text.startswith(signed.rstrip())
    assert read_part(NOSE).approval.complete
    assert not read_part(out).approval.complete
    assert row["toml"] in text
    assert "taken by M. Avocet" in text
    assert NOSE.read_bytes() == before
    assert [n.edge for n in read_part(out).notches] == [n["edge"] for n in row["notches"]]
    again = check("--json", part=out)
    assert again.exit_code == 0
    assert json.loads(again.stdout)["proposals"] == []


def test_the_example_with_notches_has_those_that_the_plain_one_is_given() -> None:
    (row,) = json.loads(check("--json").stdout)["proposals"]
    drawn = read_part(EXAMPLES / "Q7-2101-1-notched.part.toml").notches
    assert [(n.edge, n.at[1]) for n in drawn] == [(n["edge"], pytest.approx(n["along_mm"])) for n in row["notches"]]
    for n in drawn:
        assert (n.width, n.depth) == pytest.approx((row["width_mm"], row["depth_mm"]))


@pytest.mark.parametrize(
    ("words", "key"),
    [
        (("--take-proposals", "--out", "COPY"), "--by"),
        (("--take-proposals", "--by", "M. Avocet"), "--out"),
        (("--take-proposals", "--by", " ", "--out", "COPY"), "--by"),
        (("--take-proposals", "--by", "M. Avocet", "--out", str(NOSE)), "--out"),
        (("--take-proposals", "--by", "M. Avocet", "--out", "copy.toml"), "--out"),
    ],
)
def test_what_is_missing_or_would_write_over_the_part_is_refused(
    tmp_path: Path, words: tuple[str, ...], key: str
) -> None:
    out, before = tmp_path / "copy.part.toml", NOSE.read_bytes()
    told = check(*(str(out) if w == "COPY" else w for w in words))
    assert told.exit_code == 2
    assert key in told.stderr
    assert NOSE.read_bytes() == before
    assert list(tmp_path.iterdir()) == []


def test_a_part_with_nothing_proposed_is_refused_and_nothing_is_written(tmp_path: Path) -> None:
    out = tmp_path / "copy.part.toml"
    told = check("--take-proposals", "--by", "M. Avocet", "--out", str(out), part=EXAMPLES / "RX-0007.part.toml")
    assert told.exit_code == 2
    assert "nothing proposed" in told.stderr
    assert not out.exists()
