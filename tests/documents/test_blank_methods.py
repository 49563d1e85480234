"""The table and the pictures of docs/blank_methods.md are what the three methods give."""

from __future__ import annotations

import re
import runpy
from pathlib import Path
from typing import Any

import pytest
import shapely

from building import EXAMPLES

ROOT = Path(__file__).parents[2]
DOCS = ROOT / "docs"
SMALL = ("RX-0007", "Q7-2301-1")
PARTS = sorted(p.name.removesuffix(".part.toml") for p in EXAMPLES.glob("*.part.toml"))
LARGEST = 150_000  # bytes of a picture


@pytest.fixture(scope="module")
def made() -> dict[str, Any]:
    return runpy.run_path(str(ROOT / "benchmarks" / "blank_methods.py"))


def _table() -> dict[str, list[tuple[str, float]]]:
    """(pair, mm) of each part."""
    out: dict[str, list[tuple[str, float]]] = {}
    name = ""
    for row in (DOCS / "blank_methods.md").read_text("utf-8").splitlines():
        cells = [c.strip() for c in row.strip("|").split("|")]
        if len(cells) != 5 or not re.fullmatch(r"[0-9.]+", cells[2]):
            continue
        if cells[0]:
            name = cells[0][1 : cells[0].index("]")]
        out.setdefault(name, []).append((cells[1], float(cells[2])))
    return out


def test_the_table_has_every_example_part_and_a_small_picture_of_it_that_says_its_numbers() -> None:
    table = _table()
    assert sorted(table) == PARTS
    for name in PARTS:
        text = (DOCS / "blank_methods" / f"{name}.svg").read_text("utf-8")
        assert len(text.encode()) < LARGEST
        for pair, mm in table[name]:
            assert f"{pair.replace(', ', ' and ')}: {mm:.2f} mm" in text, (name, pair)


@pytest.mark.parametrize("name", [pytest.param(n, marks=[] if n in SMALL else pytest.mark.slow) for n in PARTS])
def test_the_tables_numbers_are_what_the_code_gives(name: str, made: dict[str, Any]) -> None:
    now = made["compared"](EXAMPLES / f"{name}.part.toml")
    kept = _table()[name]
    assert [pair for pair, _ in kept] == [f"{a.first}, {a.second}" for a in now.apart]
    # 0.005 of rounding in the table besides
    assert [mm for _, mm in kept] == pytest.approx([a.mm for a in now.apart], abs=0.011)


def test_the_distance_of_two_lines_is_found_wherever_either_sticks_out(made: dict[str, Any]) -> None:
    square = shapely.LinearRing([(0, 0), (40, 0), (40, 30), (0, 30)])
    nose = shapely.LinearRing([(0, 0), (40, 0), (40, 30), (20, 30), (20, 33), (19.5, 30), (0, 30)])
    for a, b in ((square, nose), (nose, square)):
        mm, _, _ = made["furthest"](a, b)
        assert mm == pytest.approx(3.0)
    mm, at, to = made["furthest"](shapely.Point(5, 5).buffer(10.0).exterior, shapely.Point(5, 5).buffer(9.4).exterior)
    assert mm == pytest.approx(0.6, abs=0.003)
    assert abs(((at - to) ** 2).sum() ** 0.5 - mm) < 1e-9


def test_more_is_shown_where_more_is_asked(made: dict[str, Any]) -> None:
    c = made["compared"](EXAMPLES / "RX-0007.part.toml")
    assert "shown 7 times" in str(made["drawn"](c, 7.0).pages[0].items)
    high = [_ends(made["drawn"](c, f)) for f in (1.0, 20.0)]
    assert high[1] > high[0]


def _ends(document: Any) -> float:
    """Extent of the thick dashed line of the blank by balance on the page."""
    thick = [i for i in document.pages[0].items if getattr(getattr(i, "stroke", None), "width", 0) == 0.6]
    return float(max(max(p[1] for p in i.points) for i in thick if hasattr(i, "points")))
