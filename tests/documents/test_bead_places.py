"""The block drawing says where beads lie: their number in the view from above, and the points of their middle."""

from __future__ import annotations

import pytest

from documents.sample import outside, sample_identity, sample_plan, texts_of
from ribwright.documents import block_sheet


@pytest.mark.parametrize("part", ["Q7-3310-1", "Q7-3205-1"])
def test_every_bead_and_notch_has_its_number_in_the_view_and_every_point_its_x_and_y(part: str) -> None:
    plan = sample_plan(part, "P3")
    document = block_sheet.document(plan, sample_identity(plan), "letter")
    texts = texts_of(document)
    assert [outside(page) for page in document.pages] == [[]] * len(document.pages)
    for k, b in enumerate(plan.job.part.beads, 1):
        assert texts.count(f"B{k}") == 1
        for x, y in b.points:
            for v in (x, y):
                assert f"{v / 25.4 + 0.0:.3f} in" in texts
    for k, _ in enumerate(plan.job.part.notches, 1):
        assert texts.count(f"N{k}") == 1
