"""The page without a mouse: everything is reached by Tab and done by keys."""

from __future__ import annotations

from typing import Any

import pytest

from .steps import put_in_the_example_shop, settled

MOST_TABS = 150
NAMED = """() => { const at = document.activeElement;
  return [at.getAttribute("aria-label") ?? "", at.textContent ?? "", at.labels?.[0]?.textContent ?? ""]; }"""


def along(page: Any, words: str, key: str = "ArrowDown") -> None:
    """One stop of Tab may be a whole list: its things are gone through by the arrows."""
    for _ in range(MOST_TABS):
        if any(said.strip().startswith(words) for said in page.evaluate(NAMED)):
            return
        page.keyboard.press(key)
    raise AssertionError(f"{words!r} is not reached by {key}")


def reach(page: Any, words: str) -> None:
    """Tab until the thing of that name or text has the focus."""
    for _ in range(MOST_TABS):
        page.keyboard.press("Tab")
        if any(said.strip().startswith(words) for said in page.evaluate(NAMED)):
            assert page.evaluate("() => document.activeElement.matches(':focus-visible')"), (
                f"{words}: focus is not seen"
            )
            return
    raise AssertionError(f"{words!r} is not reached by Tab")


@pytest.fixture(params=[(1280, 800)], ids=["1280x800"])
def size(request: pytest.FixtureRequest) -> tuple[int, int]:
    return request.param


@pytest.mark.slow
def test_a_part_is_changed_seen_and_printed_by_keys(workbench, page) -> None:
    page.goto(workbench.url)
    page.get_by_role("button", name="Put in the example shop").wait_for()
    reach(page, "Put in the example shop")
    page.keyboard.press("Enter")
    page.get_by_role("heading", name="New part").wait_for()
    reach(page, "Open Q7-2301-1")
    page.keyboard.press("Enter")
    page.wait_for_selector(".screen-part")

    reach(page, "lower")  # the first of the list of everything
    along(page, "Sheet")
    page.keyboard.press("Enter")
    page.get_by_role("heading", name="Sheet", exact=True).wait_for()
    reach(page, "Thickness")
    page.keyboard.press("ControlOrMeta+a")
    page.keyboard.type("0.0320")
    page.keyboard.press("Enter")
    settled(page)
    text = page.get_by_label("Part file", exact=True)
    assert "thickness = 0.0320" in text.input_value()
    page.evaluate("() => document.activeElement.blur()")
    page.keyboard.press("ControlOrMeta+z")
    settled(page)
    assert "thickness = 0.0320" not in text.input_value()

    reach(page, "2 Blank and block")
    page.keyboard.press("Enter")
    page.get_by_text("quick formula's answer stands").first.wait_for()
    reach(page, "Flat blank")
    page.keyboard.press("ArrowRight")
    page.get_by_role("tab", name="Methods", selected=True).wait_for()

    reach(page, "4 Packet")
    page.keyboard.press("Enter")
    page.get_by_role("button", name="Make the packet").wait_for()
    reach(page, "Make the packet")
    page.keyboard.press("Enter")
    page.get_by_role("button", name="Make it again").wait_for(timeout=240_000)
    reach(page, "Job card")
    along(page, "Findings")
    page.keyboard.press("Enter")
    page.get_by_text("Findings · ").wait_for()
    reach(page, "Save findings.pdf")


def test_the_first_tab_leads_past_the_head(workbench, page) -> None:
    put_in_the_example_shop(page, workbench.url)
    page.keyboard.press("Tab")
    reach(page, "To the content") if "To the content" not in page.evaluate(NAMED)[1] else None
    page.keyboard.press("Enter")
    assert page.evaluate("() => document.activeElement.id") == "content"
