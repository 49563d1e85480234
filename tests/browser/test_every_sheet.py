"""Every sheet of the page at both sizes: no serious finding of the accessibility rules, nothing wider than the window, keyboard alone."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

import pytest

from .steps import put_in_the_example_shop

AXE = (Path(__file__).parent / "vendor" / "axe.min.js").read_text()
PART = "Example shop/Q7-2301-1"
SHEETS = {
    "part": "Checked with the closed form",
    "blank": "quick formula's answer stands",
    "forecast": "Not asked yet",
    "packet": "Not made yet",
}
SERIOUS = ("serious", "critical")


def _judged(page: Any) -> list[str]:
    """Serious findings of the rules, each with the elements."""
    # evaluated, not added as a script: the page's policy runs its own scripts alone
    page.evaluate(AXE)
    found = page.evaluate("() => axe.run(document, {resultTypes: ['violations']})")["violations"]
    return [f"{v['id']}: {[n['target'] for n in v['nodes']][:4]}" for v in found if v["impact"] in SERIOUS]


def _kept(page: Any, sheet: str) -> None:
    """A picture of the sheet, to be looked at, where RIBWRIGHT_PICTURES names a folder for them."""
    folder = os.environ.get("RIBWRIGHT_PICTURES", "")
    if folder:
        page.screenshot(path=Path(folder) / f"{sheet}-{page.viewport_size['width']}.png")


def _wide(page: Any) -> int:
    """Pixels by which the sheet is wider than the window."""
    return int(page.evaluate("() => document.documentElement.scrollWidth - innerWidth"))


def test_the_start_is_readable_by_everybody(workbench, page) -> None:
    page.goto(workbench.url)
    page.locator(".screen-start h2:visible").first.wait_for()
    assert _judged(page) == []
    put_in_the_example_shop(page, workbench.url)
    assert _judged(page) == []
    assert _wide(page) <= 0


@pytest.mark.parametrize("sheet", SHEETS)
def test_each_sheet_is_readable_by_everybody(workbench, page, sheet: str) -> None:
    put_in_the_example_shop(page, workbench.url)
    page.goto(f"{workbench.url}/#/{PART}/{sheet}")
    page.get_by_text(SHEETS[sheet]).first.wait_for()
    page.wait_for_function("() => !document.querySelector('.frame-job')")
    assert _judged(page) == []
    assert _wide(page) <= 0
    _kept(page, sheet)


def test_a_number_opened_by_the_keyboard_is_readable_and_gives_the_focus_back(workbench, page) -> None:
    put_in_the_example_shop(page, workbench.url)
    page.goto(f"{workbench.url}/#/{PART}/blank")
    page.get_by_text(SHEETS["blank"]).first.wait_for()
    number = page.locator("button.number:visible").first
    number.focus()
    page.keyboard.press("Enter")
    page.get_by_role("dialog").get_by_text("Called").wait_for()
    assert _judged(page) == []
    page.keyboard.press("Escape")
    page.get_by_role("dialog").wait_for(state="hidden")
    assert page.evaluate("() => document.activeElement.className").startswith("number")
