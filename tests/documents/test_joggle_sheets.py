"""Joggles on paper: the steps stand on block drawing and templates with places, depth and length; other parts say nothing of them."""

from __future__ import annotations

from functools import cache

import pytest
import shapely

from building import EXAMPLES, box, example_shop, job_of
from documents.sample import sample_identity
from joggled import joggled_box
from ribwright.documents import block_sheet
from ribwright.documents.joggle_marks import TITLE
from ribwright.documents.measures import measures, tolerance_words
from ribwright.documents.page import Document, Text
from ribwright.documents.templates import content_of, template_document
from ribwright.stages.plan import Plan, make_plan


@cache
def tail_rib() -> Plan:
    text = (EXAMPLES / "Q7-2110-1.part.toml").read_text(encoding="utf-8")
    shop = example_shop()
    return make_plan(job_of(text, shop), shop.press("P2"))


def words(document: Document) -> str:
    return "\n".join(i.text for p in document.pages for i in p.items if isinstance(i, Text))


def test_the_block_drawing_gives_depth_length_radius_and_place_of_the_step() -> None:
    said = words(block_sheet.document(tail_rib(), sample_identity(tail_rib()), "letter"))
    for want in (
        "Joggles: steps in the walls",
        "J1",
        "0.032 in",
        "0.200 in",
        "2.800 in - 3.000 in",
        "0.3205 in",
        "from the REAR end",
    ):
        assert want in said, want


def test_the_inspection_sheet_asks_for_depth_and_length_of_the_step_under_the_balloon_of_the_joggle() -> None:
    rows = [m for m in measures(tail_rib(), "in") if m.what.startswith("joggle 1 on upper")]
    assert [(m.balloon, m.nominal.split()[0]) for m in rows] == [("4", "0.032"), ("4", "0.200")]
    # the drawing's general contour tolerance is of another kind
    assert {tolerance_words(tail_rib().job.part, m, "in") for m in rows} == {"not given"}


@pytest.mark.parametrize("kind", ["blank", "check", "block"])
def test_templates_mark_both_ends_of_a_step_and_list_it(kind: str) -> None:
    content = content_of(tail_rib(), sample_identity(tail_rib()), kind)
    marks = [line for line in content.lines if line.look == "step"]
    assert len(marks) == 2
    assert content.kind.has("step")
    assert content.kind.has("sign")
    table = next(t for t in content.tables if t.title == TITLE)
    assert [row[:2] for row in table.rows] == [("J1", "upper")]
    # the ends stand 0.2 in apart on the upper edge, whose line rises 0.6 in over 12
    a, b = (line.path.vertices[1] for line in marks)
    assert ((a[0] - b[0]) ** 2 + (a[1] - b[1]) ** 2) ** 0.5 == pytest.approx(5.08, abs=0.9)
    assert words(template_document(tail_rib(), sample_identity(tail_rib()), "letter", kind)).count("J1") >= 1


def test_the_drill_template_shows_holes_alone() -> None:
    content = content_of(tail_rib(), sample_identity(tail_rib()), "drill")
    assert not [line for line in content.lines if line.look == "step"]


@pytest.mark.parametrize("kind", ["blank", "check", "block"])
def test_the_outline_of_every_template_steps_with_the_part(kind: str) -> None:
    """Its area against that of the part without the joggle: depth times the stretch between step's middle and the edge's end."""
    shop = example_shop()
    texts = [
        box(w=400.0, flanges=(True, False, False, False), extra=x) for x in ("", joggled_box(low=200.0, high="end"))
    ]
    areas = []
    for text in texts:
        plan = make_plan(job_of(text, shop))
        outline = content_of(plan, sample_identity(plan), kind).outline
        areas.append(shapely.Polygon(outline.chords(0.002)).area)
    assert areas[0] - areas[1] == pytest.approx(0.8 * (200.0 - 2.5), rel=0.02)


def test_a_part_without_joggles_has_no_word_of_them_on_paper() -> None:
    plan = make_plan(job_of(box(), example_shop()))
    said = words(block_sheet.document(plan, sample_identity(plan), "letter"))
    assert "oggle" not in said
    for kind in ("blank", "check", "block"):
        content = content_of(plan, sample_identity(plan), kind)
        assert not content.kind.has("step")
        assert TITLE not in [t.title for t in content.tables]
