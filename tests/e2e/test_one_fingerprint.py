"""Sheets asked for singly belong to the packet of the same press: one fingerprint on all of them."""

from __future__ import annotations

import json
from pathlib import Path

import pypdfium2
import pytest
from click.testing import CliRunner

import ribwright
from building import EXAMPLES, quick
from ribwright.cli import main

REPAIR = str(EXAMPLES / "RX-0007.part.toml")


def asked(*words: str) -> str:
    done = CliRunner().invoke(main, quick((*words, "--json")), catch_exceptions=False)
    return str(json.loads(done.output)["fingerprint"])


@pytest.mark.parametrize("command", [("template", "--kind", "drill", "--out", "t.pdf"), ("block", "--out", "b.pdf")])
def test_a_template_or_block_asked_for_with_the_packets_press_bears_its_fingerprint(
    tmp_path: Path, command: tuple[str, ...]
) -> None:
    name, *options, out = command
    there = tmp_path / out
    packets = asked("setup", REPAIR, "--press", "P1")
    found = asked(name, REPAIR, *options, str(there), "--press", "P1")
    assert found == packets != asked("blank", REPAIR)
    pages = list(pypdfium2.PdfDocument(there))
    assert all(packets in page.get_textpage().get_text_bounded() for page in pages)


def test_the_functions_take_the_press_too_and_refuse_one_the_shop_has_not(tmp_path: Path) -> None:
    packets = ribwright.setup(REPAIR, press="P1", model="closed-form")["fingerprint"]
    assert ribwright.block(REPAIR, press="P1", model="closed-form")["fingerprint"] == packets
    assert ribwright.template(REPAIR, press="P1", model="closed-form", out=tmp_path / "t.dxf")["fingerprint"] == packets
    with pytest.raises(ribwright.InputError, match="press"):
        ribwright.template(REPAIR, press="P9", model="closed-form", out=tmp_path / "u.pdf")
    assert not (tmp_path / "u.pdf").exists()
