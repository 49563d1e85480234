"""The page of measured circles: every circle on the blank, both its strains in the plot, each where its numbers say."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from building import EXAMPLES
from documents.sample import outside
from documents.test_blank_template import texts
from ribwright import wiring
from ribwright.adapters.circles_csv import parse_circles
from ribwright.documents.circle_page import DOT, PLOT, circle_page
from ribwright.documents.page import Circle, Line, Page
from ribwright.shop.circles import CircleRecord
from ribwright.stages.measured_circles import AGREES, APART
from ribwright.work import straining
from ribwright.work.asking import Request

TEXT = (
    "# circle = 5 mm\n# measured_by = A. Person\ncircle, major [mm], minor [mm]\n"
    "C20-R25, 5.05, 4.95\nC10-R15, 5.8, 5.0\nC15-R26, 6.0, 4.9\n"
)


class Files(wiring.DiskFiles):
    """The files on disk, but for the circles."""

    def circles(self, path: Path) -> CircleRecord:
        return parse_circles(TEXT, str(path))


@cache
def strained() -> straining.Strained:
    return straining.made(Files(), Request(EXAMPLES / "RX-0007.part.toml"), circles=Path("m.csv"))


def page() -> Page:
    done = strained()
    assert done.circles is not None
    return circle_page(done.answer.plan.blank, *done.circles, done.answer.identity)


def test_the_page_says_what_it_is_and_nothing_runs_off_it() -> None:
    words = " ".join(t.text for t in texts(page().items))
    for said in (
        "1 of 2 compared agree",
        "measured by A. Person",
        "C10-R15",
        "read to ±0.1 mm",
        "no other part was compared",
    ):
        assert said in words, said
    assert outside(page()) == []


def test_a_bar_stands_at_forecast_and_measured_and_is_as_long_as_what_is_left_open() -> None:
    done = strained()
    assert done.circles is not None
    known = [c for c in done.circles[1] if c.compared]
    bars = [
        i for i in page().items if isinstance(i, Line) and i.x0 == i.x1 and i.stroke.width == 0.2 and i.x0 >= PLOT[0]
    ]
    assert len(bars) == 2 * len(known)
    middle = np.array([(b.x0, (b.y0 + b.y1) / 2) for b in bars])
    strain = np.array([v for c in known for v in ((c.forecast_major, c.major), (c.forecast_minor, c.minor))])
    long = np.array([b.y1 - b.y0 for b in bars]) / 2
    left = np.array([v + c.faces for c in known for v in (c.major_reading, c.minor_reading)])
    scale = long[0] / left[0]
    assert long == pytest.approx(scale * left)
    # one scale and one origin put every strain where it stands, on either axis
    assert middle - middle[0] == pytest.approx(scale * (strain - strain[0]), abs=1e-9)


def test_full_open_and_crossed_are_told_apart() -> None:
    done = strained()
    assert done.circles is not None
    record, rows = done.circles
    blank, identity = done.answer.plan.blank, done.answer.identity
    every = {
        k: circle_page(blank, record, tuple(replace(c, outcome=k) for c in rows), identity)
        for k in (AGREES, APART, "over-a-bend")
    }
    full = {k: sum(isinstance(i, Circle) and i.fill == 0.0 and i.r >= DOT for i in p.items) for k, p in every.items()}
    bare = {k: sum(isinstance(i, Circle) and i.fill == 1.0 for i in p.items) for k, p in every.items()}
    assert full[AGREES] > full[APART] > full["over-a-bend"]
    assert bare[APART] > bare[AGREES] > bare["over-a-bend"]
