"""A page with computed numbers says that nothing was compared with a real formed part; no step of a template is there twice."""

from __future__ import annotations

import pytest

from documents.sample import said, sample_identity, sample_plan
from ribwright.documents.block_content import block_content
from ribwright.documents.measures import CANNOT, measures, tolerance_words
from ribwright.documents.template_kinds import KINDS
from ribwright.documents.templates import template_document
from ribwright.stages.judged import plan_tolerances

PARTS = ("Q7-2102-1", "Q7-4410-1", "RX-0007")


@pytest.mark.parametrize("kind", [k.name for k in KINDS])
@pytest.mark.parametrize("part", PARTS)
def test_every_template_that_rests_on_a_calculation_says_so(kind: str, part: str) -> None:
    plan = sample_plan(part)
    text = said(template_document(plan, sample_identity(plan), "letter", kind))
    assert "not compared with a real formed part" in text


@pytest.mark.parametrize("part", PARTS)
def test_no_step_of_the_block_template_is_there_twice(part: str) -> None:
    plan = sample_plan(part)
    content = block_content(plan, sample_identity(plan))
    sentences = [s.strip(" .") for step in (*content.lay, content.kind.cut_note) for s in step.split(". ")]
    assert len(sentences) == len(set(sentences))
    assert sum("Saw on the full line" in s for s in sentences) == 1


@pytest.mark.parametrize("part", PARTS)
def test_sheet_and_check_agree_which_hole_sizes_have_a_tolerance(part: str) -> None:
    plan = sample_plan(part)
    stacks = {(r.where.get("hole"), r.quantity): r for r in plan_tolerances(plan)}
    for m in measures(plan, "in"):
        kind, name = m.owner.partition(".")[::2]
        row = stacks.get((name, m.tolerance))
        if kind == "hole" and row is not None and "slot" not in m.what:
            assert (tolerance_words(plan.job.part, m, "in") == CANNOT) == (row.allowed is None), m.what
