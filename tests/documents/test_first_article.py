"""The list of a first article: every balloon of the drawing first, nothing left out, and no word that releases anything."""

import csv
import io
import json
from dataclasses import replace

import pytest

from documents.inspected import found_at, inspection_of, said_of
from documents.print_room import unreadable
from documents.sample import outside, said, sample_identity, sample_plan, texts_of
from documents.variants import bevelled, long_words, metric, without_tolerances
from ribwright.documents.first_article import (
    FIELDS,
    NOT_A_RELEASE,
    as_csv,
    as_json,
    document,
    requirement_lines,
    rows_of,
)
from ribwright.documents.measures import measures
from ribwright.stages.found import FoundSet
from ribwright.stages.inspection import Inspection, judged_all

EVERY = {
    "flap rib": lambda: sample_plan("Q7-2301-1", "P2"),
    "two rings": lambda: sample_plan("Q7-3205-1", "P3"),
    "notched": lambda: sample_plan("Q7-2101-1-notched"),
    "bevel": bevelled,
    "no tolerances": without_tolerances,
    "long words": long_words,
    "metric": metric,
}


def lines(plan, inspection):
    text = as_csv(plan, sample_identity(plan), inspection)
    return list(csv.DictReader(io.StringIO("".join(x for x in text.splitlines(True) if not x.startswith("#")))))


@pytest.mark.parametrize("paper", ["letter", "a4"])
@pytest.mark.parametrize("case", EVERY)
def test_every_page_can_be_read_and_nothing_prints_past_it(case, paper):
    plan = EVERY[case]()
    made = document(plan, sample_identity(plan), paper, inspection_of(plan, points=False))
    assert made.name == "first-article"
    assert [outside(p) for p in made.pages] == [[]] * len(made.pages)
    assert [unreadable(p) for p in made.pages] == [[]] * len(made.pages)


@pytest.mark.parametrize("case", EVERY)
def test_every_balloon_stands_first_in_the_order_a_person_counts_them(case):
    plan = EVERY[case]()
    rows = rows_of(plan, inspection_of(plan), "in")
    balloons = [r.balloon for r in rows]
    numbered = [b for b in balloons if b]
    assert balloons == numbered + [""] * (len(balloons) - len(numbered))
    assert [int(b) for b in numbered] == sorted(int(b) for b in numbered)
    assert set(numbered) == {m.balloon for m in measures(plan, "in")} - {""}
    assert sorted(r.number for r in rows) == list(range(1, len(rows) + 1))


@pytest.mark.parametrize("case", EVERY)
def test_csv_and_json_hold_the_same_rows_as_the_sheet_in_the_same_order(case):
    plan = EVERY[case]()
    inspection = inspection_of(plan)
    rows = rows_of(plan, inspection, sample_identity(plan).first)
    whole = json.loads(as_json(plan, sample_identity(plan), inspection))
    table = lines(plan, inspection)
    assert [r["number"] for r in whole["characteristics"]] == [r.number for r in rows]
    assert [int(r["number"]) for r in table] == [r.number for r in rows]
    for row, record in zip(table, whole["characteristics"], strict=True):
        assert tuple(row) == tuple(record) == FIELDS
        for key, value in record.items():
            cell = row[key]
            assert (cell == "") == (value in (None, ""))
            if isinstance(value, float):
                assert float(cell) == value


def test_a_result_is_nominal_and_deviation_together_and_lies_between_its_limits_where_the_verdict_says_inside():
    plan = sample_plan("Q7-2301-1", "P2")
    whole = json.loads(as_json(plan, sample_identity(plan), inspection_of(plan)))["characteristics"]
    measured = [r for r in whole if r["result"] is not None]
    assert len(measured) > 40
    for r in measured:
        assert r["result"] == pytest.approx(r["nominal"] + r["deviation"], abs=2e-6)
        if r["verdict"] == "inside":
            assert r["least"] + r["uncertainty"] - 1e-6 <= r["result"] <= r["most"] - r["uncertainty"] + 1e-6
        if r["verdict"] == "outside":
            assert not r["least"] - r["uncertainty"] <= r["result"] <= r["most"] + r["uncertainty"]


def test_what_was_not_measured_stands_with_its_requirement_and_says_so():
    plan = sample_plan("Q7-2301-1", "P2")
    nothing = Inspection(said_of(plan), "empty.csv", FoundSet(()), ())
    whole = json.loads(as_json(plan, sample_identity(plan), nothing))["characteristics"]
    assert {r["verdict"] for r in whole} == {"not measured"}
    assert len(whole) == len(measures(plan, "in"))
    assert all(r["requirement"] for r in whole)
    text = said(document(plan, sample_identity(plan), "letter", nothing))
    assert f"Of {len(whole)} characteristics {len(whole)} not measured." in text


def test_the_head_names_piece_and_people_and_the_requirement_both_units():
    plan = sample_plan("Q7-2301-1", "P2")
    made = document(plan, sample_identity(plan), "letter", inspection_of(plan))
    texts = texts_of(made)
    for words in ("S-0007", "L-0247", "B-0112", "P2", "W. Dunlin", "2031-03-10", "1450 psi (10.00 MPa)"):
        assert words in texts
    rows = rows_of(plan, inspection_of(plan), "in")
    width = next(r for r in rows if r.what.startswith("upper: flange width"))
    assert requirement_lines(width) == "0.500 in ± 0.030 in\n12.70 mm ± 0.76 mm"
    head = json.loads(as_json(plan, sample_identity(plan), inspection_of(plan)))["head"]
    assert head["part"] == "Q7-2301-1"
    assert head["pressure_mpa"] == 10.0


def test_a_gauge_past_its_date_is_told_beside_what_it_read():
    plan = sample_plan("Q7-2301-1", "P2")
    m = next(m for m in measures(plan, "in") if m.what.startswith("upper: bend angle"))
    late = said_of(plan, date="2031-04-01")
    judged = judged_all(plan.job.part, plan.job.shop, late, [found_at(m, 0.0)])
    inspection = Inspection(late, "late.csv", FoundSet((judged[0].found,)), judged)
    text = said(document(plan, sample_identity(plan), "letter", inspection))
    assert "PAST DUE: proves nothing" in text
    row = next(r for r in lines(plan, inspection) if r["result"])
    assert (row["verdict"], row["gauge"], row["gauge_due"]) == ("cannot tell", "G-02", "2031-03-20")
    assert "past its due date" in row["reason"]


@pytest.mark.parametrize("case", EVERY)
def test_the_list_releases_nothing(case):
    plan = EVERY[case]()
    inspection = replace(inspection_of(plan), accepted_by="M. Avocet")
    text = said(document(plan, sample_identity(plan), "letter", inspection))
    assert "This list is not a release and accepts nothing" in text
    body = text.replace("Not an airworthiness approval", "").replace("airworthiness is not judged here", "")
    for word in ("airworth", "conforms", "approved by", "released"):
        assert word not in body.lower().replace("formed part, released", "").replace("not released", "")
    assert NOT_A_RELEASE in as_csv(plan, sample_identity(plan), inspection)
    assert json.loads(as_json(plan, sample_identity(plan), inspection))["not_a_release"] == NOT_A_RELEASE


def test_no_cell_is_a_formula_of_a_spreadsheet():
    plan = sample_plan("Q7-2301-1", "P2")
    inspection = inspection_of(plan)
    bad = replace(inspection, said=said_of(plan, by="=HYPERLINK(1)\nx"))
    text = as_csv(plan, sample_identity(plan), bad)
    assert "# measured_by = =HYPERLINK(1) x\n" in text
    for row in lines(plan, bad):
        assert not any(v[:1] in ("=", "@", "+") or (v[:1] == "-" and not v[1:2].isdigit()) for v in row.values())


def test_a_part_of_no_hand_says_so():
    plan = sample_plan("Q7-2301-1", "P2")
    one = replace(inspection_of(plan), said=said_of(plan, hand=""))
    assert "none: no other hand" in texts_of(document(plan, sample_identity(plan), "letter", one))
