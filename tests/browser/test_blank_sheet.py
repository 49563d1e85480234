"""Blank and block through the page: measured by keyboard, a number opened and closed, the methods and the block looked at."""

from __future__ import annotations

import re
from math import hypot
from typing import Any

import pytest
from playwright.sync_api import expect

from .steps import put_in_the_example_shop

pytestmark = pytest.mark.slow
PART = "Q7-2101-1"
LONG_MS = 240_000


@pytest.fixture
def size() -> tuple[int, int]:
    """Once: it computes."""
    return (1280, 800)


@pytest.fixture
def sheet(workbench, page) -> Any:
    """The sheet of an example part without a press, its answer there."""
    put_in_the_example_shop(page, workbench.url)
    page.goto(f"{workbench.url}/#/Example%20shop/{PART}/blank")
    page.locator(".blank-stands[data-state=closed]").wait_for(timeout=LONG_MS)
    page.locator("#sheet-flat .plane-world path").first.wait_for(state="attached", timeout=LONG_MS)
    return page


def _number(words: str) -> float:
    found = re.search(r"\(([\d.]+) mm\)|([\d.]+) mm", words)
    assert found is not None
    return float(found.group(1) or found.group(2))


def _measured_between_two_holes(page: Any) -> None:
    sheet = page.locator("#sheet-flat")
    sheet.get_by_role("combobox", name="From", exact=True).select_option(label="hole P1")
    sheet.get_by_role("combobox", name="To", exact=True).select_option(label="hole P2")
    part = page.request.get(f"{page.url.split('#')[0]}api/shops/Example%20shop/parts/{PART}/draft").json()
    at = {h["name"]: h["at_mm"] for h in part["sketch"]["holes"]}
    apart = hypot(at["P1"][0] - at["P2"][0], at["P1"][1] - at["P2"][1])
    assert _number(sheet.locator(".measure-answer b").inner_text()) == pytest.approx(apart, abs=0.006)


def _opened_and_closed(page: Any) -> None:
    button = page.locator("#sheet-flat button.number").first
    shown = button.inner_text()
    button.focus()
    page.keyboard.press("Enter")
    opened = page.get_by_role("dialog")
    expect(opened.locator(".opened-value b")).to_have_text(shown, timeout=LONG_MS)
    for heading in ("Formula", "What goes in", "Source", "Holds for", "What changes it"):
        expect(opened.get_by_role("heading", name=heading)).to_be_visible()
    page.keyboard.press("Escape")
    expect(opened).to_be_hidden()
    expect(button).to_be_focused()


def _turned_through_the_tabs_by_keyboard(page: Any) -> None:
    page.locator("#tab-flat").focus()
    page.keyboard.press("ArrowRight")
    expect(page.locator("#tab-methods")).to_be_focused()
    expect(page.locator("#sheet-methods")).to_be_visible()


def _differences_enlarged(page: Any) -> None:
    line = page.locator("#sheet-methods .plane-world path.handbook")
    line.wait_for(state="attached", timeout=LONG_MS)
    true = line.get_attribute("d")
    page.get_by_role("button", name="50 times").click()
    expect(page.locator("#sheet-methods .blank-said")).to_contain_text("50 times as large")
    assert line.get_attribute("d") != true
    page.get_by_role("button", name="as they are").click()
    assert line.get_attribute("d") == true


def _block_with_its_undercut_enlarged(page: Any) -> None:
    page.locator("#tab-solid").click()
    page.locator("#sheet-solid canvas[data-frame-ms]").wait_for(timeout=LONG_MS)
    page.get_by_label("Undercut shown").fill("10")
    expect(page.get_by_text("Undercut shown x10.")).to_be_visible()
    expect(page.get_by_role("button", name="three-quarter")).to_be_visible()


def _stop_crosses_and_leads_to_its_finding(page: Any) -> None:
    band = page.locator(".blank-stop")
    expect(band).to_contain_text("This job is stopped")
    band.get_by_role("button").click()
    expect(page.locator(".finding[data-severity=stop]").first).to_be_visible()


def _key_leads_to_its_field(page: Any) -> None:
    page.locator("#tab-flat").click()
    page.locator("#sheet-flat button.number").first.click()
    page.get_by_role("dialog").get_by_role("link", name="bend_radius").first.click(timeout=LONG_MS)
    page.wait_for_selector(".screen-part")
    expect(page.get_by_role("dialog")).to_be_hidden()


def test_the_blank_sheet_is_worked_by_keyboard_and_its_numbers_open(sheet) -> None:
    _measured_between_two_holes(sheet)
    _opened_and_closed(sheet)
    _turned_through_the_tabs_by_keyboard(sheet)
    _differences_enlarged(sheet)
    _block_with_its_undercut_enlarged(sheet)
    _stop_crosses_and_leads_to_its_finding(sheet)
    _key_leads_to_its_field(sheet)
