"""A part from a table and from a drawing on the first sheet: chosen, pasted, asked about, made; and all of it by keys."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest

import drawn_variants

from .steps import put_in_the_example_shop, settled
from .test_every_sheet import _judged, _kept, _wide
from .test_keyboard_alone import reach

TABLE = Path(__file__).parents[2] / "examples" / "ordinates" / "Q7-2102.csv"
pytestmark = pytest.mark.slow


@pytest.fixture(params=[(1280, 800)], ids=["1280x800"])
def size(request: pytest.FixtureRequest) -> tuple[int, int]:
    """The smaller of the sizes."""
    return request.param


def _sheet(page: Any) -> Any:
    return page.get_by_role("region", name="A part from a table, a drawing or a solid")


def _open(page: Any) -> Any:
    return page.get_by_role("region", name="The file that is read")


def _text(page: Any) -> dict[str, Any]:
    page.wait_for_selector(".screen-part")
    page.locator(".part-layer-edges path").first.wait_for(state="attached")
    settled(page)
    return tomllib.loads(page.get_by_label("Part file", exact=True).input_value())


def test_a_table_is_read_its_suspect_taken_and_a_part_made(workbench, page) -> None:
    put_in_the_example_shop(page, workbench.url)
    sheet = _open(page)
    _sheet(page).get_by_label("Choose a file").set_input_files(TABLE)
    sheet.get_by_text("A part can be made of it").wait_for()
    sheet.get_by_role("cell", name="4.037").wait_for()
    sheet.get_by_label("What to do with suspect 1").select_option(label="take what would fit")
    sheet.get_by_label("Length, with its unit").fill("50 in")
    sheet.get_by_label("Length, with its unit").press("Enter")
    sheet.get_by_label("It is", exact=True).select_option(label="the chord")
    sheet.get_by_text("typed 4.037, 3.938 in").first.wait_for()
    sheet.get_by_label("Number of the new part").fill("T-2102")
    sheet.get_by_label("Number of the new part").press("Enter")
    sheet.get_by_text("A part can be made of it").wait_for()
    assert _judged(page) == []
    assert _wide(page) <= 0
    _kept(page, "import-table")
    sheet.get_by_role("button", name="Make a part of it").click()
    text = _text(page)
    assert text["part"]["number"] == "T-2102"
    assert text["web"]["edge"][0]["ordinates"] == "T-2102-contour.csv"
    assert "3.938" in (workbench.data / "Example shop" / "T-2102-contour.csv").read_text()


def test_a_drawing_says_its_layers_and_a_part_is_made_of_it(workbench, page, tmp_path: Path) -> None:
    text = drawn_variants.variants()[3].text
    file = tmp_path / "rib.dxf"
    file.write_bytes(text.encode() if isinstance(text, str) else text)
    put_in_the_example_shop(page, workbench.url)
    sheet = _open(page)
    _sheet(page).get_by_label("Choose a file").set_input_files(file)
    sheet.get_by_text("No part can be made of it yet").wait_for()
    sheet.get_by_label("What layer WEB draws").select_option(label="web at a flange, mold line")
    sheet.get_by_label("Flange of layer WEB").fill("rim")
    sheet.get_by_label("Flange of layer WEB").press("Enter")
    sheet.get_by_label("Length, with its unit").fill("500 mm")
    sheet.get_by_label("Length, with its unit").press("Enter")
    sheet.get_by_label("It is", exact=True).select_option(label="the width of the outline")
    sheet.get_by_text("A part can be made of it").wait_for()
    assert _judged(page) == []
    assert _wide(page) <= 0
    _kept(page, "import-drawing")
    sheet.get_by_role("button", name="Make a part of it").click()
    assert {e.get("flange") for e in _text(page)["web"]["edge"]} == {"rim"}


def test_a_pasted_table_becomes_a_part_by_keys_alone(workbench, page) -> None:
    put_in_the_example_shop(page, workbench.url)
    reach(page, "Paste a table")
    page.keyboard.press("Enter")
    reach(page, "The table, its names in the first line")
    rows = [(0, 0), (100, 0), (200, 5), (300, 12), (400, 0), (400, 80), (0, 80)]
    page.keyboard.insert_text("x, y\n" + "\n".join(f"{x}, {y}" for x, y in rows))
    reach(page, "Unit of its numbers")
    page.keyboard.press("m")
    reach(page, "Read what was pasted")
    page.keyboard.press("Enter")
    _open(page).get_by_text("A part can be made of it").wait_for()
    reach(page, "Number of the new part")
    page.keyboard.press("ControlOrMeta+a")
    page.keyboard.type("PASTED-1")
    reach(page, "Make a part of it")
    page.keyboard.press("Enter")
    text = _text(page)
    assert text["part"]["number"] == "PASTED-1"
    assert text["units"] == "mm"
