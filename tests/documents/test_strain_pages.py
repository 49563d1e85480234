"""Strain pictures: bands and their letters, what shows, what every page says, what the diagram has on it and what not."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from itertools import pairwise

import numpy as np
import pytest

from building import box, job_of
from documents.sample import outside, said, texts_of
from ribwright.documents.identity import Identity, identity_of
from ribwright.documents.page import Circle, Document, Polyline, crossed_document
from ribwright.documents.strain_diagram import strain_diagram
from ribwright.documents.strain_pages import quantities, strain_pages
from ribwright.documents.strain_scale import scale_of
from ribwright.documents.strain_table import COLUMNS, strain_table
from ribwright.documents.strain_view import flat_eye, formed_eye, picture_of
from ribwright.stages.job import Job
from ribwright.stages.plan import make_plan
from ribwright.stages.strain_limit import LimitLine, NoLine, limit_line
from ribwright.stages.strain_map import StrainMap, strain_map
from ribwright.stages.strain_margins import SplitMargin, split_margins

HOLE = '[[hole]]\nname = "L"\nkind = "lightening"\nat = [100, 50]\ndiameter = 57\ncut_diameter = 40\nbend_angle = 90\nbend_radius = 3\n'


@cache
def case() -> tuple[Job, StrainMap, tuple[SplitMargin, ...], Identity]:
    job = job_of(box(extra=HOLE))
    plan = make_plan(job, method="inverse")
    assert plan.inverse is not None
    m = strain_map(job, plan.inverse)
    assert m is not None
    return job, m, split_margins(job, m), identity_of(plan, "0123456789abcdef")


@cache
def document() -> Document:
    job, m, rows, identity = case()
    return Document("strain", "strain", strain_pages(m, limit_line(job), rows, identity))


@pytest.mark.parametrize(
    ("low", "high"), [(0.0, 0.19), (-0.43, 0.0), (0.6, 0.81), (0.0, 0.0013), (-1e-9, 0.05), (0.0234, 0.0321)]
)
@pytest.mark.parametrize("down", [False, True])
def test_levels_are_round_few_inside_the_span_and_each_value_has_the_band_that_says_so(
    low: float, high: float, down: bool
) -> None:
    scale = scale_of(low, high, down, 1e-6)
    assert 2 <= scale.bands <= 6
    assert all(low < x < high for x in scale.levels)
    for v in np.linspace(low, high, 57):
        band = int(scale.band_of(np.array([v]))[0])
        words = scale.words(band).split()
        if words[0] == "under":
            assert v < float(words[1])
        elif words[0] == "over":
            assert v >= float(words[1])
        else:
            assert float(words[0]) <= v < float(words[2])
    greys = [scale.grey(k) for k in range(scale.bands)]
    assert all(a - b > 0.1 for a, b in pairwise(greys))
    worst = low if down else high
    assert int(scale.band_of(np.array([worst]))[0]) == scale.bands - 1  # the darkest


def test_no_level_lies_on_what_the_unstrained_sheet_has() -> None:
    assert 1.0 in scale_of(0.9, 1.1, True, 1e-6).levels
    assert 1.0 not in scale_of(0.9, 1.1, True, 1e-6, 1.0).levels


def test_nothing_strained_is_one_band() -> None:
    scale = scale_of(0.0, 1e-7, False, 2e-4)
    assert (scale.bands, scale.words(0)) == (1, "all one")


@pytest.mark.parametrize("eye", [flat_eye, formed_eye])
def test_the_greys_cover_what_shows_of_the_part(eye: object) -> None:
    _, m, _, _ = case()
    assert callable(eye)
    e = eye(m, 180.0, 80.0)
    q = quantities(m, "mm")[1]
    filled = [i for i in picture_of(m, e, q.corners, q.scale) if isinstance(i, Polyline) and i.fill is not None]
    assert {round(i.fill or 0.0, 4) for i in filled} == {
        0.0,
        *(round(q.scale.grey(k), 4) for k in range(q.scale.bands)),
    }
    lightest = [i.points for i in filled if i.fill == q.scale.grey(0)]
    area = sum(
        abs(sum(x0 * y1 - x1 * y0 for (x0, y0), (x1, y1) in zip(p, (*p[1:], p[0]), strict=True))) / 2 for p in lightest
    )
    if eye is flat_eye:
        a, b, c = (m.flat[m.triangles[:, k]] for k in range(3))
        true = np.abs((b - a)[:, 0] * (c - a)[:, 1] - (b - a)[:, 1] * (c - a)[:, 0]).sum() / 2 * e.scale**2
        assert area == pytest.approx(true, rel=0.02)
    points = np.array([p for i in filled for p in i.points])
    assert (points >= -0.5).all()
    assert (points <= np.array([180.5, 80.5])).all()


def test_of_the_formed_part_the_flange_in_front_hides_the_web_behind_it() -> None:
    """Height towards the eye decides: seen from below, a box's flanges stand up and the near one covers some of the web."""
    _, m, _, _ = case()
    e = formed_eye(m, 180.0, 80.0)
    place = e.of(m)
    flange = np.unique(m.triangles[m.place >= 0])
    assert m.formed[flange, 2].min() < -10.0  # they stand down on the drawing ...
    free = flange[m.formed[flange, 2] < -10.0]
    web = np.unique(m.triangles[m.web])
    assert place[free, 2].mean() > place[web, 2].mean()  # ... and nearer to the eye here


def test_every_page_says_what_it_is_of_and_that_nothing_was_compared() -> None:
    doc = document()
    assert len(doc.pages) == 4
    for page in doc.pages:
        text = said(Document("x", "x", (page,)))
        assert "not compared with a real formed part" in text
        assert "0123456789abcdef" in text
        assert outside(page) == []
    titles = [t for t in texts_of(doc) if t.startswith(("Thickness", "Major", "Minor", "Strain diagram"))]
    assert len(titles) == 4


def test_a_part_that_would_neck_says_so_on_every_page() -> None:
    job, m, rows, identity = case()
    assert "WOULD NECK" not in said(document())
    for page in strain_pages(replace(m, outcome="would-neck"), limit_line(job), rows, identity):
        assert "WOULD NECK" in said(Document("x", "x", (page,)))
        assert outside(page) == []


def test_every_band_of_a_legend_has_its_letter_and_numbers() -> None:
    _, m, _, identity = case()
    for page, q in zip(document().pages, quantities(m, identity.first), strict=False):
        words = texts_of(Document("x", "x", (page,)))
        for k in range(q.scale.bands):
            assert q.scale.letter(k) in words
            assert q.scale.words(k) in words


def test_the_diagram_has_points_line_and_least_room_and_no_line_without_a_limit() -> None:
    job, m, rows, _ = case()
    line = limit_line(job)
    assert isinstance(line, LimitLine)
    with_line = strain_diagram(m, line, rows, 150.0, 140.0)
    heavy = [i for i in with_line if isinstance(i, Polyline) and i.stroke is not None and i.stroke.width > 0.5]
    assert len(heavy) == 1
    assert sum(isinstance(i, Circle) and i.fill is not None for i in with_line) > 8
    assert sum(isinstance(i, Circle) and i.fill is None for i in with_line) == 1
    said_ = [i.text for i in with_line if hasattr(i, "text")]
    assert any("hole L" in t and "% left" in t for t in said_)
    bare = strain_diagram(m, NoLine("no curve"), (), 150.0, 140.0)
    assert not [i for i in bare if isinstance(i, Polyline) and i.stroke is not None and i.stroke.width > 0.5]
    assert {i.fill for i in with_line if isinstance(i, Polyline)} == {None}  # no zones


def test_a_stopped_part_has_every_page_crossed_out() -> None:
    crossed = crossed_document(document(), "The rim of hole L stretches 25 %: it will split.")
    assert all("VOID" in texts_of(Document("x", "x", (p,))) for p in crossed.pages)


def test_the_table_has_a_row_a_triangle_and_reads_back() -> None:
    _, m, _, identity = case()
    lines = strain_table(m, replace(identity, stops=("It will split.",))).splitlines()
    rows = [x.split(",") for x in lines if not x.startswith("#")]
    assert rows[0] == COLUMNS.split(",")
    assert len(rows) == len(m.triangles) + 1
    assert any("not compared with a real formed part" in x for x in lines[:4])
    assert any(x == "# STOP: It will split." for x in lines)
    k = int(np.argmax(m.major))
    assert float(rows[k + 1][7]) == pytest.approx(m.major[k], abs=1e-6)
    assert rows[k + 1][0:2] == list(m.place_of(k))
    assert float(rows[k + 1][10]) == pytest.approx(m.thickness[k], abs=1e-5)
