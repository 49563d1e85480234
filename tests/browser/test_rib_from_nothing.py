"""A rib from nothing to a printed packet, through the page alone; the numbers are those of the command line."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from pathlib import Path
from typing import Any

import pypdfium2
import pytest
from playwright.sync_api import expect

from .steps import add_hole, draw_point, fill, listed, make_part, panel, put_in_the_example_shop, settled

LONG_MS = 240_000
SHOP = "Example shop"
pytestmark = pytest.mark.slow


def _outline(page: Any) -> None:
    page.get_by_role("button", name="Draw the outline").click()
    panel(page).get_by_role("heading", name="Drawing the outline").wait_for()
    for x, y in ((0, 0), (10, 0), (10, 3)):
        draw_point(page, x, y)
    panel(page).get_by_role("button", name="arc", exact=True).click()
    draw_point(page, 5, 3.4)
    draw_point(page, 0, 3)
    page.get_by_role("button", name="Close with a straight edge").click()
    page.get_by_role("button", name="Take it into the part").click()
    settled(page)


def _flanges(page: Any) -> None:
    edges = listed(page).get_by_role("button", name=re.compile("(straight|arc), "))
    expect(edges).to_have_count(4)
    at = panel(page)
    edges.nth(0).click()
    at.get_by_label("This edge's flange").select_option(label="a new one")
    at.get_by_label("Name of the flange").fill("skin")
    at.get_by_label("Width, outside mold line to free edge").fill("0.5")
    at.get_by_label("Bend angle, turned from flat").fill("90")
    at.get_by_label("Bend radius, inside, as released").fill("0.09")
    at.get_by_role("button", name="Make this flange").click()
    settled(page)
    for i in range(1, 4):
        edges.nth(i).click()
        at.get_by_label("This edge's flange").select_option(label="skin")
        settled(page)


def _holes(page: Any) -> None:
    add_hole(page, "lightening, flanged", 5, 1.6)
    fill(page, Diameter="2.0", Diameter_as_cut_in_the_flat="1.4")
    for label, typed in (("Bend angle, turned from flat", "45"), ("Bend radius, inside, as released", "0.09")):
        field = panel(page).get_by_label(label)
        field.fill(typed)
        field.press("Enter")
        settled(page)
    for x, y, size in ((1, 1, "3/16 in"), (9, 2, "1/4 in"), (3, 2.4, "3/16 in")):
        add_hole(page, "tooling, for a pin", x, y)
        fill(page, Diameter=size, Play_of_the_pin="0.003")


def _answer(part: Path, *words: str) -> dict[str, Any]:
    command = [sys.executable, "-m", "ribwright", words[0], str(part), *words[1:], "--json"]
    return json.loads(subprocess.run(command, capture_output=True, check=False).stdout)


@pytest.fixture(params=[(1280, 800)], ids=["1280x800"])
def size(request: pytest.FixtureRequest) -> tuple[int, int]:
    """Once: it is long. The other size is looked at by test_every_sheet.py."""
    return request.param


def test_a_rib_from_nothing_to_a_printed_packet(workbench, page, tmp_path: Path) -> None:
    put_in_the_example_shop(page, workbench.url)
    make_part(
        page,
        "T-100-1",
        Rev="A",
        Title="Test rib",
        Material="2024-O clad",
        Formed_in_temper="O",
        Final_temper="T42",
        Thickness="0.0320",
    )
    _outline(page)
    _flanges(page)
    _holes(page)
    text = page.get_by_label("Part file", exact=True).input_value()
    assert "thickness = 0.0320" in text  # the digits that were typed
    assert page.locator(".frame-state").inner_text().startswith("the file reads without fault")

    page.get_by_role("button", name="Save to the part file").click()
    settled(page)
    part = workbench.data / SHOP / "T-100-1.part.toml"
    assert part.read_text() == text

    page.get_by_label("Press", exact=True).select_option("P2")
    page.get_by_role("link", name="Blank and block").click()
    page.get_by_text("The section model's answer").or_(page.get_by_text("section model's")).first.wait_for(
        timeout=LONG_MS
    )
    page.wait_for_function("() => !document.querySelector('.frame-job')", timeout=LONG_MS)
    blank = _answer(part, "blank")["blank"]
    wide = f"{blank['size_mm'][0] / 25.4:.3f} in"
    assert page.get_by_text(wide).first.is_visible()

    page.get_by_role("link", name="Forecast").click()
    page.get_by_role("button", name="Forecast", exact=True).click()
    page.get_by_text("Shown: the section model's numbers").wait_for(timeout=LONG_MS)
    page.wait_for_function("() => !document.querySelector('.frame-job')", timeout=LONG_MS)
    stations = _answer(part, "forecast", "--press", "P2")["forecast"]["stations"]
    shown = page.locator("table.forecast-table").inner_text()
    for station in stations:
        assert f"{station['angle_released_deg']['value']:.1f} deg" in shown

    page.get_by_role("link", name="Packet").click()
    page.get_by_role("button", name="Make the packet").click()
    page.get_by_role("button", name="Make it again").wait_for(timeout=LONG_MS)
    page.wait_for_function("() => !document.querySelector('.frame-job')", timeout=LONG_MS)
    with page.expect_download() as coming:
        page.get_by_role("link", name="Save set-up-card.pdf").click()
    paper = tmp_path / "set-up-card.pdf"
    coming.value.save_as(paper)
    printed = pypdfium2.PdfDocument(paper)[0].get_textpage().get_text_range()
    assert _answer(part, "setup", "--press", "P2")["fingerprint"] in printed
    assert "T-100-1" in printed
