"""The map on a template's cover shows the marks where they stand; a gauge card's words stay on the card."""

from __future__ import annotations

import pytest
import shapely

from documents.sample import sample_identity, sample_plan
from documents.test_blank_template import room, texts
from ribwright.documents.bevel_card import card
from ribwright.documents.bevel_cards import card_items
from ribwright.documents.blank_content import blank_content
from ribwright.documents.page import Polyline
from ribwright.documents.template import template
from ribwright.stages.bevels import Bevel, Place


@pytest.mark.parametrize("paper", ["letter", "roll"])
def test_the_marks_of_the_map_stand_in_a_rectangle(paper: str) -> None:
    plan = sample_plan()
    page = template(blank_content(plan, sample_identity(plan)), paper).pages[0]
    tips = [i.points[0] for i in page.items if isinstance(i, Polyline) and i.closed and len(i.points) == 3][:4]
    (ax, ay), (bx, by), (cx, cy), (dx, dy) = tips
    assert (ax, bx, ay, cy) == pytest.approx((dx, cx, by, dy))
    assert bx > ax + 20
    assert dy > ay + 5


@pytest.mark.parametrize("use", ["part", "block"])
@pytest.mark.parametrize("angle", [82.0, 89.62, 90.0, 100.33, 106.01])
def test_the_words_of_a_card_stay_on_the_card(use: str, angle: float) -> None:
    plan = sample_plan()
    c = card(11, use, Bevel(angle, (Place("upper", 382.35),), 2.0))  # type: ignore[arg-type]
    for t in texts(tuple(card_items(c, blank_content(plan, sample_identity(plan))))):
        if c.box[1] < t.y:
            assert shapely.contains(shapely.box(*c.box), room(t)), t.text
