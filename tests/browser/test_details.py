"""Notches, flutes, joggles and beads on the Part sheet: added, typed, placed by hand, drawn, taken away."""

from __future__ import annotations

import tomllib
from typing import Any

import pytest

from .steps import fill, listed, panel, put_in_the_example_shop, settled
from .test_drawing_by_hand import PLACE
from .test_every_sheet import _judged, _kept, _wide

IN_MM = 25.4
pytestmark = pytest.mark.slow


@pytest.fixture(params=[(1280, 800)], ids=["1280x800"])
def size(request: pytest.FixtureRequest) -> tuple[int, int]:
    """The smaller of the sizes."""
    return request.param


def _opened(page: Any, url: str, part: str) -> None:
    put_in_the_example_shop(page, url)
    page.goto(f"{url}/#/Example shop/{part}/part")
    page.locator(".part-layer-edges path").first.wait_for(state="attached")
    settled(page)


def _text(page: Any) -> dict[str, Any]:
    settled(page)
    return tomllib.loads(page.get_by_label("Part file", exact=True).input_value())


def _add(page: Any, kind: str, edge: str) -> None:
    listed(page).get_by_role("button", name=edge).first.click()
    panel(page).get_by_role("heading", name=f"Edge {edge}").wait_for()
    panel(page).get_by_role("button", name=f"Add a {kind}").click()
    panel(page).get_by_role("heading", name=f"{kind.capitalize()} on {edge}").wait_for()
    settled(page)


def _press(page: Any, x: float, y: float) -> None:
    px, py = page.evaluate(PLACE, [x * IN_MM, y * IN_MM])
    page.mouse.click(px, py)
    settled(page)


def test_details_are_added_by_number_and_by_hand_drawn_and_taken_away(workbench, page) -> None:
    _opened(page, workbench.url, "Q7-2301-1")
    others = page.locator(".part-layer-others path")
    _add(page, "notch", "lower")
    fill(page, **{"Its middle: start, end, 40 % or a length": "40 %", "Width along the edge, in the web": "1.20"})
    fill(page, **{"Depth, from the drawn line into the web": "0.50", "Radius of its inner corners": "0.125"})
    assert _text(page)["notch"] == [{"edge": "lower", "at": "40 %", "width": 1.2, "depth": 0.5, "corner_radius": 0.125}]
    assert "width = 1.20\n" in page.get_by_label("Part file", exact=True).input_value()  # as typed
    assert others.count() == 1
    assert others.first.get_attribute("data-part") == "notch"

    page.get_by_role("button", name="Place by hand").click()
    _press(page, 7.0, -1.05)  # the middle of the arc, which is 14.09 in long
    assert _text(page)["notch"][0]["at"] == pytest.approx(7.05, abs=0.1)

    _add(page, "joggle", "lower")
    fill(page, **{"From: start, end, 40 % or a length": "1", "To: start, end, 40 % or a length": "2.5"})
    fill(page, Depth_of_the_step="0.05", Length_over_which_a_step_runs_out="0.3")
    assert _text(page)["joggle"] == [{"edge": "lower", "from": 1, "to": 2.5, "depth": 0.05, "length": 0.3}]
    _add(page, "flute", "lower")
    fill(page, **{"Its middle: start, end, 40 % or a length": "6", "Width along the edge": "0.4"})

    page.get_by_role("button", name="Add something").click()
    at = panel(page)
    for label, value in {"From x": "3", "From y": "1.5", "To x": "7", "To y": "1.5"}.items():
        at.get_by_label(label, exact=True).fill(value)
    at.get_by_role("button", name="Add between these points").click()
    panel(page).get_by_role("heading", name="Bead 1").wait_for()
    panel(page).get_by_label("Section", exact=True).select_option(label="round")
    fill(page, Width_overall="0.5", Depth_overall="0.12")
    panel(page).get_by_role("button", name="Add a point after 1").click()
    settled(page)
    assert _text(page)["bead"][0]["points"] == [[3, 1.5], [5, 1.5], [7, 1.5]]
    assert others.count() == 4
    assert page.locator(".part-handle").count() >= 3
    assert _judged(page) == []
    assert _wide(page) <= 0
    _kept(page, "details")

    panel(page).get_by_role("button", name="Remove this bead").click()
    settled(page)
    assert "bead" not in _text(page)
    assert listed(page).get_by_role("button", name="notch on lower").is_visible()
    page.keyboard.press("ControlOrMeta+z")
    assert len(_text(page)["bead"]) == 1


def test_a_bead_is_drawn_by_two_presses_and_its_point_moves_by_keys(workbench, page) -> None:
    _opened(page, workbench.url, "RX-0007")
    page.get_by_role("button", name="Add something").click()
    hands = panel(page).get_by_role("button", name="Draw it by two presses")
    hands.click()
    _press(page, 3.0, 1.6)
    _press(page, 6.0, 1.6)
    panel(page).get_by_role("heading", name="Bead 1").wait_for()
    (a, b) = _text(page)["bead"][0]["points"]
    assert a == pytest.approx([3.0, 1.6], abs=0.02)
    assert b == pytest.approx([6.0, 1.6], abs=0.02)
    page.locator(".part-handle").last.focus()
    page.keyboard.press("Shift+ArrowUp")
    page.wait_for_timeout(500)
    assert _text(page)["bead"][0]["points"][1] == pytest.approx([b[0], b[1] + 0.1], abs=1e-9)
