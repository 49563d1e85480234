"""The inspection sheet filled in: each result in the box of its row, verdicts by word and mark; without an inspection the empty form."""

from dataclasses import replace

import pytest

from documents.inspected import found_at, inspection_of, said_of
from documents.print_room import unreadable
from documents.sample import outside, said, sample_identity, sample_plan, texts_of
from documents.variants import bevelled, long_words, metric, without_tolerances
from ribwright.documents import deviation_sheet, first_article
from ribwright.documents.characteristics import characteristics
from ribwright.documents.inspection_sheet import document
from ribwright.documents.measures import measures
from ribwright.documents.measuring_form import measuring_form
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
    for words in ("0.5100 in", "12.95 mm", "± 0.0010 in"):
        assert more.count(words) == empty.count(words) + 1
    assert "Not measured: no. 1, 2, 3" in said(made)
    flanges = [e for loop in plan.job.part.loops for e in loop.edges if e.flange]
    reliefs = [j for joins in plan.blank.joins for j in joins if j.diameter > 0.0]
    blank = 2 + len(flanges) + len(plan.blank.holes) + len(reliefs)  # its extents, flat widths, holes, reliefs
    assert more.count("not measured") == blank + len(measures(plan, "in")) - 1  # the blank's rows too


def test_a_filled_sheet_asks_nobody_to_fill_it_in():
    plan = sample_plan("Q7-2301-1", "P2")
    assert "Fill in" in said(document(plan, sample_identity(plan), "letter"))
    assert "Fill in" not in said(document(plan, sample_identity(plan), "letter", inspection_of(plan)))


def test_a_hole_stands_with_its_place_as_found_and_how_far_that_is_off():
    plan = sample_plan("Q7-2301-1", "P2")
    m = next(
        m for m in measures(plan, "in") if m.quantity == "hole_position" and m.where == {"hole": "P3", "axis": "x"}
    )
    off = 0.0181 * 25.4
    judged = judged_all(plan.job.part, plan.job.shop, said_of(plan), [found_at(m, off)])
    inspection = Inspection(said_of(plan), "one.csv", FoundSet((judged[0].found,)), judged)
    for made in (
        document(plan, sample_identity(plan), "letter", inspection),
        first_article.document(plan, sample_identity(plan), "letter", inspection),
    ):
        texts = texts_of(made)
        at = texts.index("off +0.0181 in")
        assert texts[at - 2] == f"{m.value / 25.4 + 0.0181:.4f} in"
        assert texts[at - 1] == f"{m.value + off:.2f} mm"


def test_a_gap_that_comes_back_with_the_other_sign_is_told():
    plan = sample_plan("Q7-2301-1", "P2")
    felt = Found("contour", {"edge": "upper", "along_mm": 60.0}, -0.0762, 0.0, "mm", 0.0508, "feeler gauges", "G-07")
    judged = judged_all(plan.job.part, plan.job.shop, said_of(plan), [felt])
    inspection = Inspection(said_of(plan), "one.csv", FoundSet((felt,)), judged)
    words = "A gap under the template of 0.003 in is metal so far inside the line: it stands here as -0.003 in."
    for made in (
        document(plan, sample_identity(plan), "letter", inspection),
        first_article.document(plan, sample_identity(plan), "letter", inspection),
        deviation_sheet.document(plan, sample_identity(plan), "letter", inspection),
    ):
        assert words in said(made)
    scanned = replace(felt, by="points")
    silent = Inspection(said_of(plan), "one.csv", FoundSet((scanned,)), judged)
    assert "under the template of" not in said(document(plan, sample_identity(plan), "letter", silent))


def test_the_packets_form_has_a_box_for_everything_that_the_csv_form_asks():
    plan = sample_plan("Q7-2301-1", "P2")
    texts = texts_of(document(plan, sample_identity(plan), "letter"))
    text = " ".join(texts)
    for words in (
        "press",
        "pressure on the pad, or gauge reading",
        "or undercut of the block, deg",
        "packet the block was cut from",
    ):
        assert words in texts
    assert "state: as pressed, or set by hand" in texts
    assert "template held on: pins, or by hand" in texts
    asked = [
        r.split(",") for r in measuring_form(plan, sample_identity(plan)).splitlines() if r.startswith("template_gap")
    ]
    laid = {e.edge.name: e for loop in plan.blank.laid for e in loop.edges}
    assert len(asked) == 20
    for _, edge, share, *_ in asked:
        at = float(share.strip(" %")) / 100 * laid[edge.strip()].drawn.length
        assert f"at {at / 25.4:.2f} in" in texts
    assert len([t for t in texts if t.startswith("at ") and t.endswith(" in")]) == 20
    assert (
        "lower from the FRONT end, rear from the LOWER end, upper from the REAR end, front from the UPPER end." in text
    )
    for words in (
        "upper from the REAR end",
        "lower from the FRONT end",
        "+ light under the template (metal inside the line)",
    ):
        assert words in text


def test_the_head_of_the_file_stands_in_the_boxes_of_the_filled_sheet():
    plan = sample_plan("Q7-2301-1", "P2")
    one = replace(inspection_of(plan), said=said_of(plan, undercut_deg=3.2, state="as pressed"))
    texts = texts_of(document(plan, sample_identity(plan), "letter", one))
    for words in ("1450 psi (10.00 MPa)", "3.2", "as pressed", "pins"):
        assert words in texts, words


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
