"""Flutes on templates, drawings for a cutter and the block drawing: where they stand, and nothing where there are none."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
import shapely

from documents.sample import sample_identity, sample_plan
from ribwright.documents.drawing import Contour
from ribwright.documents.drawings import blank_drawing, block_drawing
from ribwright.documents.flute_marks import flute_table
from ribwright.documents.flute_pieces import flute_pieces
from ribwright.documents.templates import content_of, template_lines
from ribwright.stages.plan import Plan
from ribwright.stages.router import Router


@cache
def plan() -> Plan:
    return sample_plan("Q7-2102-1")


def marks(kind: str) -> list[np.ndarray]:
    content = content_of(plan(), sample_identity(plan()), kind)
    return [np.array([v[:2] for v in line.path.vertices]) for line in content.lines if line.look == "flute"]


def test_on_the_blank_a_flute_is_a_middle_and_two_sides_from_the_bend_line_to_the_cut_edge() -> None:
    flutes, lines = plan().fluting.flutes, marks("blank")
    assert len(flutes) == 3
    assert len(lines) == 3 * len(flutes)
    edge = shapely.LinearRing(plan().blank.outline.path.chords(0.01))
    for f, (middle, low, high) in zip(flutes, zip(*[iter(lines)] * 3, strict=True), strict=True):
        strip, _ = plan().blank.strip_of(f.edge)
        bend = shapely.LineString(strip.at.tangent)
        for line in (middle, low, high):
            assert bend.distance(shapely.Point(line[0])) < 0.02
            assert edge.distance(shapely.Point(line[1])) < 0.02
            assert line[0] == pytest.approx(middle[0], abs=1e-9)
        # at the cut edge, outside the drawn line of a gentle curve, nearly its width apart
        assert np.hypot(*(high[1] - low[1])) == pytest.approx(f.width, rel=0.03)
        # its middle stands where it is said to, on the drawn line
        far = shapely.LineString(middle).distance(shapely.Point(f.point))
        assert far < 0.02


def test_block_and_check_template_mark_middle_and_sides_at_the_flutes_places() -> None:
    for kind in ("block", "check"):
        lines = marks(kind)
        assert len(lines) == 9
        for f, (middle, low, high) in zip(plan().fluting.flutes, zip(*[iter(lines)] * 3, strict=True), strict=True):
            assert shapely.LineString(middle).distance(shapely.Point(f.point)) < 3.0
            assert np.hypot(*(high[-1] - low[-1])) == pytest.approx(f.width, rel=0.02)


def test_the_drill_template_has_no_flutes() -> None:
    assert marks("drill") == []


def test_for_a_cutter_flutes_lie_on_a_layer_of_their_own() -> None:
    identity = sample_identity(plan())
    for drawing in (
        blank_drawing(plan(), identity),
        block_drawing(plan(), identity),
        *(template_lines(plan(), identity, k) for k in ("blank", "check", "block")),
        template_lines(plan(), identity, "blank", Router(12.0, 6.0)),
    ):
        mine = [i for i in drawing.items if i.layer == "FLUTES"]
        assert len(mine) == 9
        assert all(isinstance(i, Contour) and not i.closed for i in mine)


def test_the_table_counts_from_the_edges_start_and_says_who_placed_them() -> None:
    made = flute_table(plan(), "in")
    assert made is not None
    assert [row[:2] for row in made.rows] == [("1", "lower"), ("2", "upper"), ("3", "upper")]
    assert made.rows[0][2].startswith("3.071 in")
    assert "from the FRONT end" in made.rows[0][2]
    assert made.rows[1][2].startswith("19.9875 in") or made.rows[1][2].startswith("19.988 in")
    assert "from the REAR end" in made.rows[1][2]
    assert {row[-1] for row in made.rows} == {"plan"}
    assert any("fluting pliers" in n and "common practice" in n for n in made.under)
    assert any("not in the part file" in n for n in made.under)


def test_a_drawn_flute_says_so_and_a_part_without_any_has_no_table() -> None:
    drawn = flute_table(sample_plan("Q7-2102-1-flutes-drawn"), "in")
    assert drawn is not None
    assert {row[-1] for row in drawn.rows} == {"drawing"}
    assert not any("not in the part file" in n for n in drawn.under)
    bare = sample_plan("RX-0007")
    assert flute_table(bare, "in") is None
    assert flute_pieces(bare, "in", 180.0) == []
