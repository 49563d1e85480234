"""An inspection on a terminal: everything outside is named, and what nobody can tell with its reason."""

import itertools
from dataclasses import replace

import pytest

from documents.inspected import found_at, inspection_of, said_of
from documents.sample import sample_plan
from documents.variants import bevelled, metric, without_tolerances
from ribwright.documents.inspect_screen import lines
from ribwright.documents.measures import measures
from ribwright.features.inspected import BLANK
from ribwright.stages.found import FoundSet
from ribwright.stages.inspection import Inspection, judged_all

EVERY = {
    "flap rib": lambda: sample_plan("Q7-2301-1", "P2"),
    "two rings": lambda: sample_plan("Q7-3205-1", "P3"),
    "bevel": bevelled,
    "no tolerances": without_tolerances,
    "metric": metric,
}


@pytest.mark.parametrize("case", EVERY)
def test_everything_outside_is_named_and_marked(case):
    plan = EVERY[case]()
    inspection = inspection_of(plan)
    text = lines(plan, inspection, "in")
    bad = {
        (j.found.quantity, str(j.found.where.get("edge", j.found.where.get("hole"))))
        for j in inspection.judged
        if j.verdict == "outside"
    }
    marked = [x for x in text if x.startswith("  !")]
    assert len(marked) == len(bad)
    assert all(x.endswith("outside") for x in marked)
    for _, owner in bad:
        assert any(owner in x for x in marked)


@pytest.mark.parametrize("case", EVERY)
def test_no_line_is_blank_twice_and_what_next_ends_it(case):
    plan = EVERY[case]()
    text = lines(plan, inspection_of(plan), "mm")
    assert not any(a == b == "" for a, b in itertools.pairwise(text))
    assert "Next:" in text
    assert text[text.index("Next:") + 1].startswith("  ")


def test_a_piece_that_lies_inside_is_left_to_a_person():
    plan = sample_plan("Q7-2301-1", "P2")
    asked = [m for m in measures(plan, "in") if m.quantity and m.value is not None and m.tolerance != "contour"]
    found = [found_at(m, 0.0, 0.001) for m in asked if "rim" not in m.what]
    contours = [
        replace(
            found[0], quantity="contour", where={"edge": e, "along_mm": 40.0}, value=0.0, nominal=0.0, unit="mm", u=0.01
        )
        for e in ("upper", "lower", "rear", "front")
    ]
    judged = judged_all(plan.job.part, plan.job.shop, said_of(plan), [*found, *contours])
    assert {j.verdict for j in judged} == {"inside"}
    inspection = Inspection(said_of(plan), "good.csv", FoundSet(tuple(j.found for j in judged)), judged)
    text = lines(plan, inspection, "in")
    assert (
        text[-1]
        == "  Everything measured lies inside. A person whom the shop authorises looks at it, decides and signs."
    )


def test_what_was_not_measured_is_named_and_a_gauge_past_its_date_is_told_first():
    plan = sample_plan("Q7-2301-1", "P2")
    late = said_of(plan, date="2031-04-01")
    m = next(m for m in measures(plan, "in") if m.what.startswith("upper: bend angle"))
    judged = judged_all(plan.job.part, plan.job.shop, late, [found_at(m, 0.0)])
    text = lines(plan, Inspection(late, "late.csv", FoundSet((judged[0].found,)), judged), "in")
    assert "Not measured, though the drawing gives a tolerance:" in text
    assert text[text.index("Next:") + 1] == "  Measure again what gauge G-02 read: it was due on 2031-03-20."


def test_a_blank_is_not_held_to_the_characteristics_of_the_formed_part():
    plan = sample_plan("Q7-2301-1", "P2")
    inspection = replace(inspection_of(plan), said=said_of(plan, what=BLANK))
    text = "\n".join(lines(plan, inspection, "in"))
    assert "cut blank" in text
    assert "Characteristics of the drawing" not in text
    assert "Not measured" not in text


def test_acceptance_and_refusal_are_said_with_their_person_and_reason():
    plan = sample_plan("Q7-2301-1", "P2")
    done = inspection_of(plan)
    assert "  Not accepted: 3 results are outside." in lines(
        plan, replace(done, refused=("3 results are outside",)), "in"
    )
    accepted = lines(plan, replace(done, accepted_by="M. Avocet"), "in")
    assert any("Accepted by M. Avocet" in x and "accepts nothing" in x for x in accepted)
