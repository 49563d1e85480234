"""What the page draws the form block from."""

from __future__ import annotations

import json
from typing import Any

import numpy as np
import pytest
import shapely

from documents.sample import sample_plan
from documents.variants import bevelled, with_ring
from ribwright.documents.views.block_view import block_view
from ribwright.stages.plan import Plan
from ribwright.stages.solid import Loft, block_body

PLANS = {
    "nose rib": lambda: sample_plan("Q7-2101-1"),
    "rib": lambda: sample_plan("Q7-2102-1"),
    "bevelled": bevelled,
    "bulkhead": lambda: sample_plan("Q7-3205-1"),
}


@pytest.fixture(params=list(PLANS), scope="module")
def both(request: pytest.FixtureRequest) -> tuple[Plan, dict[str, Any]]:
    plan = PLANS[request.param]()
    return plan, block_view(plan)


def _apart(points: Any, line: Any) -> float:
    """Farthest of points from a ring, and of the ring's points from the points' ring [mm]."""
    a, b = shapely.LinearRing(points), shapely.LinearRing(line)
    return max(shapely.hausdorff_distance(a, b, densify=0.05), shapely.hausdorff_distance(b, a, densify=0.05))


def test_the_last_level_is_the_foot_of_the_block(both: tuple[Plan, dict[str, Any]]) -> None:
    plan, view = both
    for loop, foot in zip(view["loops"], plan.block.feet, strict=True):
        assert _apart(loop["levels"][-1], foot) < 0.02


def test_first_and_last_level_are_those_of_the_solid(both: tuple[Plan, dict[str, Any]]) -> None:
    plan, view = both
    body = block_body(plan.job, plan.block)
    assert not body.why_not
    for loop, loft in zip(view["loops"], [body.outside, *body.openings], strict=True):
        assert isinstance(loft, Loft)
        for level in (0, -1):
            assert _apart(loop["levels"][level], loft.points(level, 40)) < 0.02


def test_where_a_wall_of_the_last_level_is_carried_up_to_the_web_face_it_meets_the_outline(
    both: tuple[Plan, dict[str, Any]],
) -> None:
    # below the rounding a wall is straight: what is left above it leads to the outline that the papers print
    plan, view = both
    z = np.array(view["depths"])
    k = view["rounding_levels"]
    for loop, outline in zip(view["loops"], plan.block.outlines, strict=True):
        above, foot = np.array(loop["levels"][k]), np.array(loop["levels"][-1])
        assert _apart(above + (above - foot) * z[k] / (z[-1] - z[k]), outline) < 0.02


def test_level_0_lies_on_the_bend_tangent_lines(both: tuple[Plan, dict[str, Any]]) -> None:
    plan, view = both
    lines = {
        e.edge.name: shapely.LineString(e.tangent_line.point(np.linspace(0, e.curve.length, 4001)))
        for loop in plan.blank.laid
        for e in loop.edges
    }
    for loop in view["loops"]:
        level = np.array(loop["levels"][0])
        ends = [e["at"] for e in loop["edges"][1:]] + [len(level)]
        for edge, end in zip(loop["edges"], ends, strict=True):
            inner = level[edge["at"] : end][1:-1]
            if len(inner):
                assert max(shapely.distance(shapely.points(inner), lines[edge["name"]])) < 0.02


def test_every_level_has_the_same_number_of_points_with_and_without_undercut(both: tuple[Plan, dict[str, Any]]) -> None:
    _, view = both
    for loop in view["loops"]:
        assert {len(p) for p in (*loop["levels"], *loop["square"])} == {len(loop["levels"][0])}
        assert len(loop["levels"]) == len(loop["square"]) == len(view["depths"])


def test_without_undercut_a_square_flanges_wall_stands_straight_down() -> None:
    view = block_view(sample_plan("Q7-2101-1"))
    k = view["rounding_levels"]
    loop = view["loops"][0]
    assert np.abs(np.array(loop["square"][k]) - loop["square"][-1]).max() < 0.05
    # and with it the foot stands inside by what the answer says
    back = np.abs(np.array(loop["levels"][-1]) - loop["square"][-1]).max()
    assert back == pytest.approx(max(view["undercut"]["setback"]), rel=0.35)


def test_depths_run_from_the_web_face_to_the_foot(both: tuple[Plan, dict[str, Any]]) -> None:
    plan, view = both
    assert view["depths"][0] == 0.0
    assert view["depths"][-1] == pytest.approx(plan.block.height, abs=1e-4)
    assert (np.diff(view["depths"]) > 0).all()


def test_face_corners_lie_on_the_outline(both: tuple[Plan, dict[str, Any]]) -> None:
    plan, view = both
    rings = [shapely.LinearRing(p) for p in plan.block.outlines]
    corners = [p["at"] for p in view["places"] if p["kind"] == "face-corner"]
    assert corners
    for at in corners:
        assert min(shapely.distance(shapely.Point(at), r) for r in rings) < 0.02


def test_a_ring_is_drawn_for_the_hole_that_turns_against_the_others() -> None:
    plan = with_ring()
    view = block_view(plan)
    assert [r["name"] for r in view["rings"]] == [r.name for r in plan.block.rings] != []
    meridian = np.array(view["rings"][0]["meridian"])
    assert meridian[0, 0] == pytest.approx(plan.block.rings[0].tangent_radius, abs=1e-3)


def test_a_view_is_plain_json_without_what_is_not_a_number(both: tuple[Plan, dict[str, Any]]) -> None:
    json.dumps(both[1], allow_nan=False)
