"""What the page draws the formed part in three dimensions from."""

from __future__ import annotations

import json

import numpy as np
import pytest

from documents.sample import sample_plan
from ribwright.documents.views.formed_view import formed_view
from ribwright.stages.blank import make_blank
from ribwright.stages.finding import Finding
from ribwright.stages.formed_mesh import Meshed, mesh_part

COARSE = 6.0


@pytest.fixture(scope="module")
def made() -> tuple[object, dict[str, list[list[float]]]]:
    plan = sample_plan("Q7-2101-1")
    blank = make_blank(plan.job)
    return blank, formed_view(mesh_part(plan.job, blank, COARSE), plan.job.t)


def test_the_flat_of_the_mesh_has_the_extent_of_the_blank(made: tuple) -> None:  # type: ignore[type-arg]
    blank, view = made
    assert np.ptp(np.array(view["flat"]), axis=0) == pytest.approx(blank.size, abs=0.3)


def test_the_formed_part_lies_inside_the_extent_of_its_blank_and_below_its_web(made: tuple) -> None:  # type: ignore[type-arg]
    blank, view = made
    p, flat = np.array(view["nodes"]), np.array(blank.outline.points)
    assert (p[:, :2] >= flat.min(axis=0) - 1e-3).all()
    assert (p[:, :2] <= flat.max(axis=0) + 1e-3).all()
    assert p[:, 2].max() <= 1e-3
    assert p[:, 2].min() < -5.0


def test_triangles_and_boundaries_name_nodes_that_are_there(made: tuple) -> None:  # type: ignore[type-arg]
    view = made[1]
    most = len(view["nodes"])
    assert len(view["flat"]) == most
    assert len(view["part_of"]) == len(view["triangles"])
    assert max(max(t) for t in view["triangles"]) < most
    assert max(max(c) for c in view["loops"]) < most
    json.dumps(view, allow_nan=False)


def test_a_part_without_a_mesh_says_why() -> None:
    stop = Finding("flange-folds", "stop", "The flange folds.")
    view = formed_view(Meshed(None, (), (stop,)), 1.0)
    assert view["why_not"] == ["The flange folds."]
    assert view["nodes"] == []
