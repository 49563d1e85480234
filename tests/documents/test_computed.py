"""The sheets' short form of where a number comes from is the explanation's own."""

from __future__ import annotations

import pypdfium2
import pytest

from building import EXAMPLES, box, example_shop, job_of
from ribwright.documents.computed import OPENS, book_of, computed, main_numbers, short
from ribwright.stages.plan import make_plan
from ribwright.wiring import DiskFiles, DiskKeeper, PaperWriters
from ribwright.work.asking import Request
from ribwright.work.packets import packet

SHOP = example_shop()


@pytest.mark.parametrize("press", ["P2", "P3", ""])
def test_every_main_number_is_told_with_formula_source_and_path(press: str) -> None:
    plan = make_plan(job_of(box(), SHOP), SHOP.press(press) if press else None)
    book = book_of(plan)
    rows = main_numbers(plan)
    assert {"Flat width", "Undercut", "Block radius"} <= set(rows)
    assert ("Needed pressure" in rows) == bool(press)
    for words, path in rows.items():
        line, told = short(book, words, path), book.open(path).told
        assert told.formula.partition(";")[0] in line
        assert told.source.partition(";")[0].rstrip(".") in line
        assert line.endswith(f"[{path}]")


def test_a_part_without_flange_or_press_has_no_box() -> None:
    plan = make_plan(job_of(box(flanges=(False, False, False, False)), SHOP))
    assert computed(plan, 180.0) == []


def test_job_card_and_set_up_card_say_how_to_open_a_number(tmp_path) -> None:
    request = Request(EXAMPLES / "Q7-2102-1.part.toml", None, "P2")
    packet(DiskFiles(), request, tmp_path, "letter", PaperWriters(), DiskKeeper())
    for name, path in (
        ("job-card", "undercut[lower][0].deg"),
        ("set-up-card", "setup.pump_to_gauge_mpa"),
        ("block-drawing", "ribwright explain"),
    ):
        pages = pypdfium2.PdfDocument((tmp_path / f"{name}.pdf").read_bytes())
        text = " ".join(page.get_textpage().get_text_bounded() for page in pages)
        assert path in text, name
    assert OPENS.split(":")[1].strip() in " ".join(
        page.get_textpage().get_text_bounded()
        for page in pypdfium2.PdfDocument((tmp_path / "job-card.pdf").read_bytes())
    )
