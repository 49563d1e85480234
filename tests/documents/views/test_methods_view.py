"""What the page draws the cut lines of the methods over each other from."""

from __future__ import annotations

from functools import cache
from typing import Any

import numpy as np
import pytest
import shapely

from documents.sample import sample_plan
from ribwright.documents.views.methods_view import methods_view
from ribwright.stages.agreement import apart
from ribwright.stages.blank import Blank, make_blank


@cache
def _blanks(part: str) -> dict[str, Blank | None]:
    job = sample_plan(part).job
    return {"handbook": make_blank(job, "handbook"), "strain-corrected": make_blank(job), "inverse": None}


@cache
def _view(part: str) -> dict[str, Any]:
    return methods_view(_blanks(part), 0.25, "strain-corrected")


@pytest.mark.parametrize("part", ["Q7-2101-1", "Q7-2102-1"])
def test_the_largest_difference_is_that_of_the_agreement(part: str) -> None:
    blanks, view = _blanks(part), _view(part)
    assert blanks["handbook"] is not None
    assert blanks["strain-corrected"] is not None
    worst = apart(blanks["handbook"], blanks["strain-corrected"])[0]
    [pair] = view["apart"]
    assert pair["between"] == ["handbook", "strain-corrected"]
    assert pair["rows"][0]["mm"] == pytest.approx(worst.mm, abs=1e-4)
    assert pair["rows"][0]["name"] == worst.name


def test_foot_and_way_from_it_make_the_methods_own_line() -> None:
    view = _view("Q7-2101-1")
    handbook, corrected, _ = view["methods"]
    for aside, loop, other in zip(handbook["aside"], handbook["loops"], corrected["loops"], strict=True):
        foot, off = np.array(aside["foot"]), np.array(aside["off"])
        mine, reference = shapely.LinearRing(loop["points"]), shapely.LinearRing(other["points"])
        assert max(shapely.distance(shapely.points(foot + off), mine)) < 0.03
        assert max(shapely.distance(shapely.points(foot), reference)) < 0.03


def test_the_reference_has_nothing_beside_itself_and_a_method_without_answer_says_so() -> None:
    _, corrected, inverse = _view("Q7-2101-1")["methods"]
    assert corrected["aside"] == []
    assert inverse["answered"] is False
    assert inverse["loops"] == []


def test_each_method_has_a_letter_of_its_own() -> None:
    letters = [m["letter"] for m in _view("Q7-2101-1")["methods"]]
    assert len(set(letters)) == 3
