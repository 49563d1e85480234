"""Notches on the papers: cut on the blank, looked at on the check template, marked on a block that goes straight through."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from building import job_of
from documents.sample import sample_identity, sample_plan
from notched import NotchedPart
from ribwright.documents.drawing import NOTCHES, Contour
from ribwright.documents.drawings import block_drawing
from ribwright.documents.identity import identity_of
from ribwright.documents.notch_marks import notch_lines, notch_table, standing
from ribwright.documents.templates import content_of
from ribwright.geometry.path import Path
from ribwright.stages.plan import Plan, make_plan

SEEDS = (1, 2, 4)


def planned(text: str) -> Plan:
    return make_plan(job_of(text))


def area(path: Path) -> float:
    return abs(shapely.Polygon(path.chords(0.01)).area)


@pytest.mark.parametrize("seed", SEEDS)
def test_the_block_of_a_notched_part_is_that_of_the_part_without_notches(seed: int) -> None:
    notched, plain = planned(NotchedPart(seed).text()).block, planned(NotchedPart(seed).plain()).block
    for a, b in zip((*notched.outlines, *notched.feet), (*plain.outlines, *plain.feet), strict=True):
        assert np.allclose(a, b, atol=1e-9)
    assert notched.volume == pytest.approx(plain.volume)


@pytest.mark.parametrize("seed", SEEDS)
def test_each_template_shows_every_notch_once(seed: int) -> None:
    plan = planned(NotchedPart(seed).text())
    identity, count = identity_of(plan, "0123456789abcdef"), len(standing(plan))
    assert count == len(notch_lines(plan))
    for kind in ("check", "block"):
        content = content_of(plan, identity, kind)
        assert [line.look for line in content.lines].count("notch") == count
        assert content.kind.has("notch") == (count > 0)
    blank = content_of(plan, identity, "blank")
    assert area(blank.outline) == pytest.approx(area(plan.blank.outline.path))
    assert [t.title for t in blank.tables].count("Notches") == (count > 0)
    made = notch_table(plan, "mm")
    assert (0 if made is None else len(made.rows)) == count


def test_the_block_drawing_file_has_them_on_a_layer_of_their_own() -> None:
    plan = planned(NotchedPart(2).text())
    drawing = block_drawing(plan, identity_of(plan, "0123456789abcdef"))
    marks = [x for x in drawing.items if isinstance(x, Contour) and x.layer == NOTCHES]
    assert len(marks) == len(standing(plan)) > 0
    assert not any(m.closed for m in marks)


def test_the_ring_says_where_its_stringers_pass() -> None:
    plan = sample_plan("Q7-3205-1", "P3")
    content = content_of(plan, sample_identity(plan), "check")
    (table,) = (t for t in content.tables if t.title == "Notches")
    assert [row[1] for row in table.rows] == ["lower right", "upper right", "upper left", "lower left"]
    assert all("1.250 in" in row[3] and "0.750 in" in row[4] for row in table.rows)
