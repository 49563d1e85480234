"""Where lengths along an edge begin, and names that lie on nothing else."""

import numpy as np
import pytest

from documents.sample import sample_plan
from documents.variants import bevelled
from ribwright.documents.block_plan_view import dense, plan_view, room_of, touches
from ribwright.documents.edge_start import start_marks, start_of, varying_edges
from ribwright.documents.layout import Fit
from ribwright.documents.page import Circle, Polyline, Text
from ribwright.documents.part_picture import part_picture
from ribwright.features.laid import neighbours_at_start

AS_IS = Fit(1.0, 0.0, 0.0)


@pytest.mark.parametrize("plan", [bevelled, lambda: sample_plan("Q7-2105-1"), lambda: sample_plan("Q7-2105-2")])
def test_the_dot_lies_where_the_edge_meets_its_neighbour_and_the_arrow_runs_along_it(plan):
    plan = plan()
    edges = varying_edges(plan)
    assert edges
    laid = {e.edge.name: e for loop in plan.blank.laid for e in loop.edges}
    for edge in edges:
        (x, y), direction = start_of(edge)
        neighbour = laid[neighbours_at_start(plan.blank.laid)[edge.edge.name]]
        ends = neighbour.curve.point(np.array([0.0, neighbour.curve.length]))
        other = [e for e in laid.values() if e.edge.name not in (edge.edge.name, neighbour.edge.name)]
        far = min(np.hypot(*(e.curve.point(np.array([e.curve.length / 2]))[0] - (x, y))) for e in other)
        assert np.min(np.hypot(*(ends - (x, y)).T)) < min(5.0, far)
        # what the table says at 0 is the bend angle there
        s = np.array([edge.curve.length if edge.edge.turned else 0.0])
        mine = next(e for e in plan.block.edges if e.edge == edge.edge.name)
        assert mine.along[0] == pytest.approx(0.0)
        assert float(edge.angle(s)[0]) == pytest.approx(float(mine.angle[0]))
        assert np.hypot(*direction) == pytest.approx(1.0)


def test_a_block_with_walls_of_one_lean_has_no_start_marks():
    assert start_marks(sample_plan(), AS_IS) == []


def test_plan_view_and_job_card_picture_carry_the_mark():
    plan = sample_plan("Q7-2105-1")
    for items in (plan_view(plan, 190.0, 110.0, "in").piece.items, part_picture(plan, 190.0, 60.0).items):
        assert [i.text for i in items if isinstance(i, Text) and i.text == "0"] == ["0"]
        assert any(isinstance(i, Circle) and i.fill == 0.0 and i.r == 0.9 for i in items)


@pytest.mark.parametrize("part", ["Q7-3205-1", "Q7-2105-1"])
def test_no_name_lies_on_another_one_or_on_the_block_s_outline(part):
    plan = sample_plan(part)
    items = plan_view(plan, 190.0, 105.0, "in").piece.items
    texts = [i for i in items if isinstance(i, Text) and i.text not in ("x", "y") and "mm)" not in i.text]
    rings = [i for i in items if isinstance(i, Polyline) and i.closed and i.stroke and i.stroke.width == 0.5]
    lines = np.concatenate([dense(np.array(r.points)) for r in rings])
    for k, t in enumerate(texts):
        assert not touches(t, lines), t.text
        for other in texts[:k]:
            a, b = room_of(t), room_of(other)
            assert not (a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]), (t.text, other.text)
