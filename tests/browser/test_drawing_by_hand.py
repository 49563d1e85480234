"""The drawing in the hand: points dragged and moved by keys, things placed, edges split and flanged, faults at their place."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Callable
from typing import Any

import pytest

from .steps import listed, panel, put_in_the_example_shop, settled

SHOP = "Example shop"
IN_MM = 25.4
FAULT_MARKS = ".part-over-marks .part-mark[data-severity=fault]"
PLACE = """([x, y]) => {
  const m = document.querySelector('.part-ground').getAttribute('transform').match(/matrix\\(([^)]*)\\)/)[1].split(' ').map(Number);
  const box = document.querySelector('.part-sheet').getBoundingClientRect();
  return [box.left + m[4] + m[0] * x, box.top + m[5] + m[3] * y];
}"""
pytestmark = pytest.mark.slow


@pytest.fixture(params=[(1280, 800)], ids=["1280x800"])
def size(request: pytest.FixtureRequest) -> tuple[int, int]:
    """The smaller of the sizes: what is in reach there is in reach on the other."""
    return request.param


@pytest.fixture
def rib(workbench, page) -> Callable[[str], Any]:
    """Opens a part of the example shop in a draft of its own and answers the page."""
    put_in_the_example_shop(page, workbench.url)

    def opened(part: str) -> Any:
        page.goto(f"{workbench.url}/#/{SHOP}/{part}/part")
        page.locator(".part-layer-edges path").first.wait_for(state="attached")
        settled(page)
        return page

    return opened


def _text(page: Any) -> dict[str, Any]:
    settled(page)
    return tomllib.loads(page.get_by_label("Part file", exact=True).input_value())


def _spot(page: Any, x: float, y: float) -> tuple[float, float]:
    px, py = page.evaluate(PLACE, [x * IN_MM, y * IN_MM])
    return px, py


def _press(page: Any, x: float, y: float) -> None:
    page.mouse.click(*_spot(page, x, y))
    settled(page)


def test_a_point_is_dragged_onto_the_grid_with_what_hangs_on_it(rib) -> None:
    page = rib("RX-0007")
    _press(page, 6.5, 0.3)
    panel(page).get_by_role("heading", name="Edge lower").wait_for()
    page.mouse.move(*_spot(page, 13.0, 0.6))
    page.mouse.down()
    page.mouse.move(*_spot(page, 13.512, 0.388), steps=5)
    before = page.get_by_label("Part file", exact=True).input_value()
    assert panel(page).get_by_label("To x").input_value() == "13.51"  # drawn and counted along before it is let go
    assert "13.51" not in before
    page.mouse.up()
    assert _text(page)["web"]["edge"][0]["to"] == [13.51, 0.39]


def test_the_point_where_an_outline_closes_is_one_point(rib) -> None:
    page = rib("RX-0007")
    _press(page, 0.0, 2.0)
    page.mouse.move(*_spot(page, 0.0, 0.0))
    page.mouse.down()
    page.mouse.move(*_spot(page, -0.3, -0.2), steps=4)
    page.mouse.up()
    web = _text(page)["web"]
    assert web["start"] == web["edge"][-1]["to"] == [-0.3, -0.2]


def test_keys_move_the_point_that_has_the_focus_by_a_step_or_ten(rib) -> None:
    page = rib("Q7-2301-1")
    listed(page).get_by_role("button", name="lower arc").click()
    page.get_by_role("button", name="Point 1 at 7, -1.05").focus()
    page.keyboard.press("ArrowUp")
    page.keyboard.press("Shift+ArrowRight")
    page.get_by_role("button", name="Point 1 at 7.1, -1.04").wait_for()
    page.wait_for_function("() => document.querySelector('#part-text').value.includes('[7.1, -1.04]')")
    assert _text(page)["web"]["edge"][0]["through"] == [7.1, -1.04]
    page.keyboard.press("Control+z")
    page.wait_for_function("() => document.querySelector('#part-text').value.includes('[7.0, -1.05]')")


def test_a_hole_is_placed_by_hand_and_says_what_it_still_wants(rib) -> None:
    page = rib("RX-0007")
    page.get_by_role("button", name="Add something").click()
    panel(page).get_by_label("Kind of hole").select_option(label="plain")
    panel(page).get_by_role("button", name="Place by hand").click()
    _press(page, 10.003, 3.502)
    field = panel(page).get_by_label("Diameter", exact=True)
    field.wait_for()
    fault = page.locator(f"#{field.get_attribute('aria-describedby')}")
    assert "found nothing; allowed: a length" in fault.inner_text()
    assert page.locator(FAULT_MARKS).count() == 1  # at the hole
    assert page.locator(".part-text-lines [data-bad]").count() == 1  # at its line
    field.fill("1/4 in")
    field.press("Enter")
    assert _text(page)["hole"][-1] == {"name": "D1", "kind": "plain", "at": [10, 3.5], "diameter": "1/4 in"}
    assert page.locator(FAULT_MARKS).count() == 0


def test_a_corner_is_picked_by_hand_and_a_cutout_placed_whole(rib) -> None:
    page = rib("RX-0007")
    page.get_by_role("button", name="Add something").click()
    panel(page).get_by_role("button", name="Pick by hand").click()
    _press(page, 13.05, 0.65)
    panel(page).get_by_role("heading", name="Corner lower / rear").wait_for()
    assert _text(page)["corner"][-1]["at"] == ["lower", "rear"]
    page = rib("Q7-3205-1")
    listed(page).get_by_role("button", name="bay cutout").first.click()
    panel(page).get_by_role("button", name="Place by hand").click()
    _press(page, -9.0842 + 0.5, -7.8416)
    bay = _text(page)["cutout"][0]
    assert bay["start"] == bay["edge"][-1]["to"]
    moved = bay["start"][0] + 9.0842
    assert moved == pytest.approx(0.5, abs=0.1)
    assert bay["edge"][0]["through"][0] == pytest.approx(moved, abs=1e-6)


def test_an_edge_is_split_bent_and_given_a_flange_of_its_own(rib) -> None:
    page = rib("Q7-4410-1")
    listed(page).get_by_role("button", name="right straight", exact=False).first.click()
    panel(page).get_by_role("button", name="Split by hand").click()
    _press(page, 11.0, 4.0)
    first, second = _text(page)["web"]["edge"][:2]
    assert (first["name"], second["name"]) == ("right", "right 2")
    assert first["to"] == pytest.approx([11.0, 4.0], abs=0.1)
    panel(page).get_by_label("Kind", exact=True).select_option(label="arc")
    assert "through" in _text(page)["web"]["edge"][0]
    panel(page).get_by_label("This edge's flange").select_option(label="a new one")
    for label, typed in (
        ("Name of the flange", "low"),
        ("Width, outside mold line to free edge", "0.50"),
        ("Bend angle, turned from flat", "84"),
        ("Bend radius, inside, as released", "0.06"),
    ):
        panel(page).locator("form").get_by_label(label).fill(typed)
    panel(page).get_by_role("button", name="Make this flange").click()
    assert _text(page)["flange"]["low"] == {"width": 0.5, "bend_angle": 84, "bend_radius": 0.06, "turn": "down"}
    assert panel(page).get_by_text("turned down, 84.0 deg from flat: open by 6.0 deg").is_visible()


def test_an_angle_that_changes_along_the_edge_is_shown_open_at_one_end_and_closed_at_the_other(rib) -> None:
    page = rib("Q7-2105-1")
    listed(page).get_by_role("button", name="upper spline").click()
    pictures = panel(page).get_by_role("img")
    assert [pictures.nth(i).get_attribute("aria-label") for i in range(2)] == [
        "Section of upper: turned down, 84.0 deg from flat: open by 6.0 deg",
        "Section of upper: turned down, 97.0 deg from flat: closed by 7.0 deg",
    ]


def test_text_that_cannot_be_read_leaves_the_part_drawn_as_it_was(rib) -> None:
    page = rib("Q7-2101-1")
    text = page.get_by_label("Part file", exact=True)
    edges = page.locator(".part-layer-edges path").count()
    text.press("Control+Home")
    page.keyboard.type("units = [\n")
    page.get_by_text("The text cannot be read just now").wait_for()
    assert page.locator(".part-layer-edges path").count() == edges
    assert text.evaluate("(area) => area === document.activeElement && area.selectionStart") == len("units = [\n")
    page.get_by_role("button", name="Undo").click()
    page.locator(".part-text-lines [data-bad]").wait_for(state="detached")


def test_a_point_of_a_spline_of_400_points_is_dragged_by_hand(rib, workbench) -> None:
    n = 400
    points = [
        [round(13 * math.cos(2 * math.pi * i / n), 4), round(5 * math.sin(2 * math.pi * i / n), 4)] for i in range(1, n)
    ]
    folder = workbench.data / SHOP
    text = (folder / "RX-0007.part.toml").read_text()
    head, tail = text.split("[web]")[0], text[text.index("[flange.skin]") : text.index("[[corner]]")]
    web = f'[web]\nline = "outside-mold-line"\nstart = [13.0, 0.0]\n[[web.edge]]\nname = "round"\nspline = {points}\nflange = "skin"\n'
    shut = '[[web.edge]]\nname = "shut"\nto = [13.0, 0.0]\n'
    (folder / "MANY-1.part.toml").write_text(f"{head}{web}{shut}{tail}".replace("RX-0007", "MANY-1"))
    page = rib("MANY-1")
    x, y = points[99]
    _press(page, x, y)
    page.mouse.move(*_spot(page, x, y))
    page.mouse.down()
    page.mouse.move(*_spot(page, 0.0, 5.5), steps=6)
    assert page.locator(".part-handle").count() < 80
    page.mouse.up()
    page.wait_for_function("() => document.querySelector('#part-text').value.includes('5.5]')")
    spline = _text(page)["web"]["edge"][0]["spline"]
    assert spline[99] == pytest.approx([0.0, 5.5], abs=0.02)
    assert spline[:99] + spline[100:] == points[:99] + points[100:]
