"""A stopped page: unmistakably void, its sentence at the head, everything under it still readable."""

from __future__ import annotations

import pytest

from documents.sample import sample_identity, sample_plan
from ribwright.documents import job_card
from ribwright.documents.lettering import text_width
from ribwright.documents.page import HEAD_ROOM, MOST_DOWN, Line, Page, Polyline, Text, crossed, paper_size
from ribwright.documents.sheets import packet_sheets

SHORT, LONG = (
    "The block is crushed.",
    "Edge upper needs more than this press gives at the pressure it is rated for. " * 3,
)


def texts(page: Page) -> list[Text]:
    return [t for t in page.items if isinstance(t, Text)]


def band_foot(page: Page) -> float:
    """Lower side of the black field that carries the word STOP [mm]."""
    return min(
        y for p in page.items if isinstance(p, Polyline) and p.fill == 0.0 for _, y in p.points if y > page.height / 2
    )


@pytest.mark.parametrize("sentence", [SHORT, LONG])
@pytest.mark.parametrize("size", [paper_size("letter"), paper_size("a4"), (914.4, 1200.0)])
def test_the_whole_sentence_stands_at_the_head_of_the_page(size: tuple[float, float], sentence: str) -> None:
    page = crossed(Page(*size, (Text(20, size[1] - HEAD_ROOM - 3.0, "Title", 9.0),)), sentence)
    head = [t for t in texts(page) if t.y > page.height - HEAD_ROOM - MOST_DOWN]
    said = " ".join(t.text for t in head if t.text != "Title")
    assert " ".join(said.split()) == " ".join(f"STOP: {sentence}".split())
    assert all(t.x + text_width(t.text, t.size_pt, t.font) < page.width for t in head if t.anchor == "start")


@pytest.mark.parametrize("times", [1, 4, 60])
def test_the_band_never_covers_what_is_printed_and_the_page_moves_by_little(times: int) -> None:
    plan = sample_plan()
    plain = job_card.document(plan, sample_identity(plan), "letter").pages[0]
    void = crossed(plain, LONG * times)
    foot = band_foot(void)
    for before in texts(plain):
        after = next(t for t in texts(void) if t.text == before.text and t.x == before.x and t.y <= before.y)
        assert before.y - after.y <= MOST_DOWN + 1e-9
        assert after.y < foot
        assert after.y > 5.0


def test_a_page_is_moved_as_a_whole_so_that_its_scale_stays() -> None:
    bars = (Line(20, 100, 120, 100), Line(20, 100, 20, 200))
    void = crossed(Page(215.9, 279.4, bars), LONG)
    found = [i for i in void.items if isinstance(i, Line)][:2]
    assert [(i.x1 - i.x0, i.y1 - i.y0) for i in found] == [(100, 0), (0, 100)]
    assert found[0].y0 == found[1].y0


def test_cross_and_word_lie_over_the_whole_page_and_hide_nothing() -> None:
    void = crossed(Page(215.9, 279.4, (Text(20, 100, "0.750 in", 20),)), SHORT)
    first = void.items[0]
    assert isinstance(first, Text)  # under everything else
    assert (first.text, first.grey >= 0.85) == ("VOID", True)
    cross = [i for i in void.items if isinstance(i, Line)]
    assert len(cross) == 2
    assert all(i.stroke.width <= 0.6 and abs(i.x1 - i.x0) > 200 and abs(i.y1 - i.y0) > 240 for i in cross)


def test_every_page_of_a_stopped_packet_says_stop_and_void() -> None:
    plan = sample_plan("Q7-2101-1", "P1")
    for sheet in packet_sheets(plan, sample_identity(plan), "letter"):
        for page in sheet.pages:
            assert {"STOP:", "VOID"} <= {t.text for t in texts(page)}
