"""Every number of an inspection opens; what is closed is evaluated again."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from building import EXAMPLES
from ribwright import wiring
from ribwright.adapters.read_measured import parse_measured
from ribwright.features.inspected import Measured
from ribwright.stages.explain import NOT_WRITTEN, Book
from ribwright.stages.explain.explanation import ORIGINS
from ribwright.stages.explain.paths import at, numbers
from ribwright.work import inspecting
from ribwright.work.asking import Request

TEXT = """# units = in
# part = Q7-2301-1
# revision = A
# serial = 001
# gauge = G-02, G-05, G-07
# date = 2031-03-12
# by = W. Heron
kind, edge, along, value, uncertainty
flange_angle, upper, 7.1, 88.6,
flange_angle, upper, 7.1, 88.4,
flange_angle, lower, 50 %, 92.4,
template_gap, lower, 40 %, 0.012,
template_gap, upper, 40 %, 0.045,
flange_width, upper, 7.1, 0.53, 0.004
hole_x, P2, , 12.103,
hole_y, P2, , 1.2,
hole_diameter, L1, , 2.2,
web_bow, , , 0.050, 0.002
thickness, , , 0.0252,
"""


class Files(wiring.DiskFiles):
    """The files on disk, but for the measurements."""

    def measured(self, path: Path) -> Measured:
        return parse_measured(TEXT, str(path))


@cache
def book() -> Book:
    done = inspecting.made(Files(), Request(EXAMPLES / "Q7-2301-1.part.toml"), Path("m.csv"))
    return Book(done.answer.plan, done.answer.json)


def test_every_number_opens_with_an_origin_and_what_is_closed_comes_out_again() -> None:
    mine = [p for p in numbers(book().answer) if p.startswith(("inspect.", "findings["))]
    assert len(mine) > 150
    again = 0
    for path in mine:
        e = book().open(path)
        assert e.told.what != NOT_WRITTEN, path
        assert e.told.origin in ORIGINS, path
        if e.told.again is not None:
            again += 1
            assert e.told.again == pytest.approx(at(book().answer, path), rel=1e-6, abs=1e-9), path
    assert again > 20
