"""What a press hand does on the page, one step a function; names are those that stand on the screen."""

from __future__ import annotations

from typing import Any

Page = Any


def put_in_the_example_shop(page: Page, url: str) -> None:
    """First start: the example shop, unless it is there."""
    page.goto(url)
    page.locator(".screen-start h2:visible").first.wait_for()
    button = page.get_by_role("button", name="Put in the example shop")
    if button.is_visible():
        button.click()
    page.get_by_role("heading", name="New part").wait_for()


def make_part(page: Page, number: str, **typed: str) -> None:
    """A new part from its title block, opened. `typed`: labels with blanks as underscores."""
    page.get_by_label("Part number").fill(number)
    for label, text in typed.items():
        page.get_by_label(label.replace("_", " "), exact=True).fill(text)
    page.get_by_role("button", name="Make the part").click()
    page.wait_for_selector(".screen-part")


def panel(page: Page) -> Page:
    """What is picked."""
    return page.get_by_role("region", name="What is picked")


def listed(page: Page) -> Page:
    """The list of everything in the part."""
    return page.get_by_role("group", name="Everything in this part")


def draw_point(page: Page, x: float, y: float) -> None:
    """One point of the outline by numbers."""
    at = panel(page)
    at.get_by_label("x", exact=True).fill(str(x))
    at.get_by_label("y", exact=True).fill(str(y))
    at.get_by_role("button", name="Add", exact=True).click()


def settled(page: Page) -> None:
    """Until the last change is with the server and shown."""
    page.evaluate("() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))")
    page.locator(".frame-state:not([data-busy])").wait_for()
    page.evaluate("() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))")


def add_hole(page: Page, kind: str, x: float, y: float) -> None:
    """A hole by number; it is picked then."""
    page.get_by_role("button", name="Add something").click()
    at = panel(page)
    at.get_by_role("heading", name="Nothing is picked").wait_for()
    at.get_by_label("Kind of hole").select_option(label=kind)
    at.get_by_label("x", exact=True).fill(str(x))
    at.get_by_label("y", exact=True).fill(str(y))
    at.get_by_role("button", name="Add at this place").click()
    at.get_by_label("Centre x").wait_for()
    settled(page)


def fill(page: Page, **typed: str) -> None:
    """Fields of the picked thing."""
    for label, text in typed.items():
        field = panel(page).get_by_label(label.replace("_", " "), exact=True)
        field.fill(text)
        field.press("Enter")
        settled(page)
