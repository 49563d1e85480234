"""Every number of measured circles and of a rubbed web opens; what is closed is evaluated again."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from building import EXAMPLES
from ribwright import wiring
from ribwright.adapters.circles_csv import parse_circles
from ribwright.shop.circles import CircleRecord
from ribwright.stages.explain import NOT_WRITTEN, Book
from ribwright.stages.explain.explanation import ORIGINS
from ribwright.stages.explain.paths import at, numbers
from ribwright.work import straining
from ribwright.work.asking import Request

TEXT = """# circle = 5 mm
circle, major [mm], minor [mm], thickness [mm]
C20-R25, 5.05, 4.95, 0.80
C10-R15, 5.8, 5.0,
C15-R26, 6.0, 4.9,
"""


class Files(wiring.DiskFiles):
    """The files on disk, but for the circles."""

    def circles(self, path: Path) -> CircleRecord:
        return parse_circles(TEXT, str(path))


@cache
def book() -> Book:
    done = straining.made(Files(), Request(EXAMPLES / "RX-0007.part.toml", press="P2"), circles=Path("m.csv"))
    return Book(done.answer.plan, done.answer.json)


@cache
def mine() -> tuple[str, ...]:
    found = book().answer
    codes = [f"findings[{i}]." for i, f in enumerate(found["findings"]) if f["code"] in ("circles-apart", "web-slides")]
    return tuple(p for p in numbers(found) if p.startswith(("circles.", "web_slip.", *codes)))


def test_every_number_opens_with_an_origin_and_what_is_closed_comes_out_again() -> None:
    assert len(mine()) > 60
    again = 0
    for path in mine():
        e = book().open(path)
        assert e.told.what != NOT_WRITTEN, path
        assert e.told.origin in ORIGINS, path
        if e.told.again is not None:
            again += 1
            assert e.told.again == pytest.approx(at(book().answer, path), rel=1e-6, abs=1e-9), path
    assert again > 20


def test_what_was_measured_hangs_on_no_file_of_the_part_and_the_forecast_on_its_flow() -> None:
    assert book().open("circles.rows[0].major.measured").changes == ()
    keys = [k.path for k in book().open("circles.rows[0].major.forecast").changes]
    assert any("hardening" in k for k in keys)
    assert any("flanges" in k for k in keys)
    slip = [k.path for k in book().open("web_slip.largest_mm").changes]
    assert any("web_friction" in k for k in slip)
