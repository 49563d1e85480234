"""What the template says is the plan's flat blank."""

import pytest

from documents.sample import sample_identity, sample_plan
from documents.variants import EVERY
from ribwright.documents.blank_content import blank_content
from ribwright.documents.template import template
from ribwright.geometry.path import Path


@pytest.mark.parametrize("case", EVERY)
def test_outline_holes_and_pins_are_the_plans(case):
    plan = EVERY[case]()
    content = blank_content(plan, sample_identity(plan))
    assert content.outline == plan.blank.outline.path
    assert [(h.name, h.diameter) for h in content.holes] == [(h.hole.name, h.cut_diameter) for h in plan.blank.holes]
    assert content.pins == tuple(p.at for p in plan.block.pins)
    assert content.stops == sample_identity(plan).stops


def test_every_bend_and_every_hole_flange_has_its_tangent_line():
    plan = sample_plan()
    content = blank_content(plan, sample_identity(plan))
    flanged = [h for h in plan.blank.holes if h.tangent_diameter is not None]
    assert len(content.tangents) == len(plan.blank.tangents) + len(flanged)
    circle = content.tangents[-1]
    assert abs(circle.area()) == pytest.approx(3.141592653589793 * flanged[-1].tangent_diameter ** 2 / 4)


def test_every_edge_is_named_inside_the_cut_line_and_not_on_its_head():
    plan = sample_plan()
    content = blank_content(plan, sample_identity(plan))
    names = [e.edge.name for loop in plan.blank.laid for e in loop.edges]
    assert [label.text.split(":")[0] for label in content.edge_labels] == names
    import shapely

    cut = shapely.Polygon(Path(content.outline.vertices).chords(0.05))
    for label in content.edge_labels:
        assert cut.contains(shapely.Point(label.x, label.y))
        assert -90.0 <= label.angle <= 90.0 + 1e-6


@pytest.mark.parametrize("paper", ["letter", "a4", "roll"])
def test_the_template_of_an_example_is_made_on_every_paper(paper):
    plan = sample_plan("Q7-2101-1")
    content = blank_content(plan, sample_identity(plan))
    assert len(template(content, paper).pages) >= 2
