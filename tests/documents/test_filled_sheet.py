"""The inspection sheet filled in: each result in the box of its row, verdicts by word and mark; without an inspection the empty form."""

from dataclasses import replace

import pytest

from documents.inspected import found_at, inspection_of, said_of
from documents.print_room import unreadable
from documents.sample import outside, said, sample_identity, sample_plan, texts_of
from documents.variants import bevelled, long_words, metric, without_tolerances
from ribwright.documents.characteristics import characteristics
from ribwright.documents.inspection_sheet import document
from ribwright.documents.measures import measures
from ribwright.documents.page import Circle, Document, Text
from ribwright.features.inspected import BLANK
from ribwright.stages.found import Found, FoundSet
from ribwright.stages.inspection import Inspection, judged_all

EVERY = {
    "flap rib": lambda: sample_plan("Q7-2301-1", "P2"),
    "two rings": lambda: sample_plan("Q7-3205-1", "P3"),
    "bevel": bevelled,
    "no tolerances": without_tolerances,
    "long words": long_words,
    "metric": metric,
}


def verdicts(document_: Document) -> list[str]:
    """The print of the last column, its heading left out."""
    rows = [i for p in document_.pages for i in p.items if isinstance(i, Text) and i.x > 0.84 * p.width]
    return [t.text for t in rows if t.text and t.font == "regular" and t.anchor == "start"]


@pytest.mark.parametrize("paper", ["letter", "a4"])
@pytest.mark.parametrize("case", EVERY)
def test_every_page_can_be_read_and_nothing_prints_past_it(case, paper):
    plan = EVERY[case]()
    made = document(plan, sample_identity(plan), paper, inspection_of(plan))
    assert made.name == "inspection-sheet"
    assert [outside(p) for p in made.pages] == [[]] * len(made.pages)
    assert [unreadable(p) for p in made.pages] == [[]] * len(made.pages)


@pytest.mark.parametrize("case", EVERY)
def test_each_verdict_stands_as_word_and_as_mark_as_often_as_it_was_found(case):
    plan = EVERY[case]()
    inspection = inspection_of(plan)
    rows = characteristics(plan, inspection.judged)
    made = document(plan, sample_identity(plan), "letter", inspection)
    texts = verdicts(made)
    marks = [i for p in made.pages for i in p.items if isinstance(i, Circle) and i.r == 1.1]
    count = {v: sum(r.verdict == v for r in rows) for v in ("inside", "outside", "cannot-tell")}
    for verdict, n in count.items():
        assert texts.count(verdict.replace("-", " ")) == n
    assert sum(m.fill == 0.0 for m in marks) == count["outside"]
    assert sum(m.fill == 1.0 for m in marks) == count["inside"] + count["cannot-tell"]


@pytest.mark.parametrize("file", ["a/b/one.csv", "C:\\\\shop\\\\one.csv", "one.csv"])
def test_a_paper_names_the_file_without_its_folders(file):
    plan = sample_plan("Q7-2301-1", "P2")
    text = said(document(plan, sample_identity(plan), "letter", replace(inspection_of(plan), file=file)))
    assert "Results of one.csv: one formed part, serial S-0007" in text


def test_the_empty_form_has_no_mark_and_no_result():
    plan = sample_plan("Q7-2301-1", "P2")
    made = document(plan, sample_identity(plan), "letter")
    assert not [i for p in made.pages for i in p.items if isinstance(i, Circle)]
    assert "Results of" not in said(made)


def test_one_reading_fills_one_row_and_leaves_the_others_to_a_pen():
    plan = sample_plan("Q7-2301-1", "P2")
    m = next(m for m in measures(plan, "in") if m.what.startswith("rear: flange width"))
    judged = judged_all(plan.job.part, plan.job.shop, said_of(plan), [found_at(m, 0.254)])
    inspection = Inspection(said_of(plan), "one.csv", FoundSet((judged[0].found,)), judged)
    made = document(plan, sample_identity(plan), "letter", inspection)
    empty = texts_of(document(plan, sample_identity(plan), "letter"))
    more = texts_of(made)
    assert verdicts(made) == ["inside"]
    for words in ("0.510 in", "12.95 mm", "± 0.0010 in"):
        assert more.count(words) == empty.count(words) + 1
    assert "Not measured: no. 1, 2, 3" in said(made)


def test_why_nobody_can_tell_stands_under_the_table_with_the_numbers_of_the_rows():
    plan = without_tolerances()
    inspection = inspection_of(plan)
    rows = characteristics(plan, inspection.judged)
    text = said(document(plan, sample_identity(plan), "letter", inspection))
    first = next(r.number for r in rows if r.verdict == "cannot-tell")
    assert f"Cannot tell, no. {first}," in text
    assert "the drawing's tolerance is not in the part file" in text


def test_people_and_piece_stand_in_the_boxes_and_a_refusal_beside_the_signature():
    plan = sample_plan("Q7-2301-1", "P2")
    refused = replace(inspection_of(plan), refused=("gauge G-02 was due on 2031-03-09, measured on 2031-03-10",))
    texts, text = (
        texts_of(document(plan, sample_identity(plan), "letter", refused)),
        said(document(plan, sample_identity(plan), "letter", refused)),
    )
    for words in ("S-0007", "L-0247", "B-0112", "W. Dunlin", "2031-03-10"):
        assert words in texts
    assert "Not accepted: gauge G-02 was due" in text
    accepted = replace(refused, refused=(), accepted_by="M. Avocet")
    assert "M. Avocet" in texts_of(document(plan, sample_identity(plan), "letter", accepted))


def test_a_cut_blanks_results_stand_with_the_blank_and_not_with_the_formed_part():
    plan = sample_plan("Q7-2301-1", "P2")
    blank = said_of(plan, what=BLANK)
    hole = Found("hole_diameter", {"hole": "P1"}, 4.8, 4.7625, "mm", 0.02, "outline")
    judged = judged_all(plan.job.part, plan.job.shop, blank, [hole])
    made = document(plan, sample_identity(plan), "letter", Inspection(blank, "trace.csv", FoundSet((hole,)), judged))
    assert "Blank as measured" in texts_of(made)
    cut = next(i for i, t in enumerate(texts_of(made)) if t == "P1: diameter as cut")
    assert "0.1890 in" in texts_of(made)[cut : cut + 8]
    count = len(measures(plan, "in"))
    assert f"{count}." in said(made).split("Not measured: no. ")[1].split("Gauges")[0]


def test_a_deviation_found_between_the_places_of_the_form_gets_a_row_behind_them():
    plan = sample_plan("Q7-2301-1", "P2")
    m = next(m for m in measures(plan, "in") if m.what.startswith("upper: bend angle\nstart"))
    f = replace(found_at(m, 2.0), where={"edge": "upper", "along_mm": 100.0})
    judged = judged_all(plan.job.part, plan.job.shop, said_of(plan), [f])
    made = document(plan, sample_identity(plan), "letter", Inspection(said_of(plan), "x.csv", FoundSet((f,)), judged))
    texts = texts_of(made)
    assert str(len(measures(plan, "in")) + 1) in texts
    assert any(t.startswith("another place, 3.937 in") for t in texts)
    assert "outside" in texts
