"""The drawn part in plan for the page: every edge over its own arc length, every hole."""

from __future__ import annotations

import numpy as np
import pytest

from building import box, job_of
from ribwright.documents.views.contour_view import contour_view
from ribwright.stages.plan import make_plan

HOLE = '[[hole]]\nname = "L1"\nkind = "lightening"\nat = [100, 50]\ndiameter = 40\nflange_height = 6\nbend_radius = 3\nbend_angle = 45\n'


def view(extra: str = HOLE) -> dict:
    return contour_view(make_plan(job_of(box(flanges=(True, False, True, False), extra=extra))))


def test_an_edges_points_lie_as_far_along_as_they_say():
    for e in view()["edges"]:
        at = np.array(e["points_mm"])
        steps = np.hypot(*np.diff(at, axis=0).T)
        assert np.abs(np.diff(e["along_mm"])) == pytest.approx(steps, abs=1e-3)


def test_edges_come_as_drawn_each_beginning_where_the_last_one_ended():
    edges = view()["edges"]
    assert [(e["name"], e["flange"]) for e in edges] == [("south", "f"), ("east", None), ("north", "f"), ("west", None)]
    for e, after in zip(edges, [*edges[1:], edges[0]], strict=True):
        assert e["points_mm"][-1] == pytest.approx(after["points_mm"][0], abs=1e-3)


def test_a_tolerance_of_the_drawing_is_told_where_there_is_a_flange():
    edges = view(HOLE + '[tolerance]\nflange_angle = "1 deg"\n')
    assert [e["tolerance_deg"] for e in edges["edges"]] == [[1.0, 1.0], None, [1.0, 1.0], None]
    assert edges["holes"][0]["tolerance_deg"] == [1.0, 1.0]
    assert view()["holes"][0]["tolerance_deg"] is None


def test_a_flanged_hole_is_told_by_its_tangent_circle():
    (hole,) = view()["holes"]
    assert hole["flanged"]
    assert hole["at_mm"] == [100.0, 50.0]
    assert hole["diameter_mm"] == pytest.approx(40.0)
