"""Which face of the blank is up on the block: told on every sheet from the way the flanges turn."""

from __future__ import annotations

from dataclasses import replace

from documents.sample import sample_identity, sample_plan, texts_of
from documents.variants import planned
from ribwright.documents import job_card, setup_card


def turned_up():
    part = sample_plan("Q7-2101-1").job.part
    flanges = {name: replace(f, turn="up") for name, f in part.flanges.items()}
    holes = tuple(replace(h, turn="up") if h.kind == "lightening" else h for h in part.holes)
    return planned(replace(part, flanges=flanges, holes=holes))


def test_a_part_drawn_from_its_flange_side_is_laid_with_the_drawn_face_down() -> None:
    plan = turned_up()
    for sheet in (job_card, setup_card):
        words = " ".join(texts_of(sheet.document(plan, sample_identity(plan), "letter")))
        assert "the face drawn lies DOWN" in words
        assert "flanges turn down" not in words


def test_a_part_drawn_from_its_heel_face_is_laid_as_drawn() -> None:
    plan = sample_plan("Q7-2101-1")
    words = " ".join(texts_of(setup_card.document(plan, sample_identity(plan), "letter")))
    assert "heel face up, flanges turn down" in words
    assert "lies DOWN" not in words
