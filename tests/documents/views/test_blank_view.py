"""What the page draws the flat blank and the formed part in plan from."""

from __future__ import annotations

import json

import numpy as np
import pytest

from documents.sample import sample_plan
from ribwright.documents.views.blank_view import blank_view
from ribwright.documents.views.plain import corners_of
from ribwright.geometry.path import Path
from ribwright.stages.answers import blank_answer

PARTS = ("Q7-2101-1", "Q7-2102-1", "Q7-3205-1")


@pytest.mark.parametrize("part", PARTS)
def test_the_drawn_outline_is_the_outline_of_the_answer(part: str) -> None:
    plan = sample_plan(part)
    view, answer = blank_view(plan), blank_answer(plan)
    rings = [answer["outline_mm"], *(c["outline_mm"] for c in answer["cutouts"])]
    for loop, ring in zip(view["loops"], rings, strict=True):
        assert np.abs(np.array(loop["points"]) - ring).max() <= 0.5e-4 + 1e-12


@pytest.mark.parametrize("part", PARTS)
def test_the_extent_of_the_picture_is_the_size_that_the_answer_says(part: str) -> None:
    plan = sample_plan(part)
    left, bottom, right, top = blank_view(plan)["box"]["flat"]
    assert (right - left, top - bottom) == pytest.approx(plan.blank.size, abs=2e-4)


@pytest.mark.parametrize("part", PARTS)
def test_every_place_of_the_flat_lies_on_the_blank(part: str) -> None:
    view = blank_view(sample_plan(part))
    left, bottom, right, top = view["box"]["flat"]
    for place in view["places"]["flat"]:
        x, y = place["at"]
        assert left - 1e-3 <= x <= right + 1e-3
        assert bottom - 1e-3 <= y <= top + 1e-3


def test_the_places_name_every_hole_and_both_ends_of_every_bend_tangent_line() -> None:
    plan = sample_plan("Q7-2102-1")
    places = blank_view(plan)["places"]["flat"]
    said = {(p["kind"], *p["of"]) for p in places}
    assert {("hole", h.hole.name) for h in plan.blank.holes} <= said
    assert {(k, name) for k in ("tangent-start", "tangent-end") for name, _ in plan.blank.tangents} <= said


def test_a_square_flanges_free_edge_is_drawn_with_the_mold_line_and_a_leaning_one_by_itself() -> None:
    view = blank_view(sample_plan("Q7-2101-1"))["formed"]
    bevelled = [e["name"] for e in blank_view(sample_plan("Q7-2101-1"))["edges"] if e["flanged"]]
    assert {row["edge"] for row in view["free"]} <= set(bevelled)


def test_the_way_out_of_an_edge_points_away_from_the_middle_of_a_convex_part() -> None:
    view = blank_view(sample_plan("Q7-2101-1"))
    outline = np.array(view["loops"][0]["points"])
    for edge in view["edges"]:
        away = np.array(edge["middle"]) - outline.mean(axis=0)
        assert away @ np.array(edge["outward"]) > 0


def test_a_rounded_rectangle_has_no_sharp_corner_and_a_plain_one_has_four() -> None:
    bulge = float(np.tan(np.pi / 8))
    plain = Path(((0, 0, 0), (10, 0, 0), (10, 5, 0), (0, 5, 0)))
    soft = Path(
        ((1, 0, 0), (9, 0, bulge), (10, 1, 0), (10, 4, bulge), (9, 5, 0), (1, 5, bulge), (0, 4, 0), (0, 1, bulge))
    )
    assert len(corners_of(plain)) == 4
    assert len(corners_of(soft)) == 0


def test_a_view_is_plain_json_without_what_is_not_a_number() -> None:
    json.dumps(blank_view(sample_plan("Q7-3205-1")), allow_nan=False)
