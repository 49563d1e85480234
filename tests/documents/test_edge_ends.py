"""Which end of an edge is its start: told by the neighbour there, on papers by words and by a mark."""

from math import hypot

import numpy as np
import pytest

from documents.inspected import inspection_of
from documents.sample import said, sample_identity, sample_plan
from ribwright.documents.deviation_picture import deviation_picture
from ribwright.documents.deviation_sheet import document
from ribwright.documents.drawn_edges import lines_of
from ribwright.documents.edge_ends import end_words, ends_of, from_words, start_words
from ribwright.documents.page import Circle, Polyline, Text
from ribwright.features.inspected import PART
from ribwright.features.laid import neighbours_at_start

EVERY = ("Q7-2301-1", "Q7-3205-1", "Q7-2105-1")


@pytest.mark.parametrize("part", EVERY)
def test_the_neighbour_named_at_an_end_lies_nearest_to_it(part):
    plan = sample_plan(part)
    drawn = lines_of(plan, PART).edges
    starts = neighbours_at_start(plan.blank.laid)
    for name, (start, end) in ends_of(plan).items():
        e = drawn[name]
        assert start == starts[name]
        for along, neighbour in ((0.0, start), (e.length, end)):
            at = e.place(np.array([along]))[0][0]
            off = {n: _distance(o, at) for n, o in drawn.items() if n != name}
            assert off[neighbour] == pytest.approx(min(off.values()), abs=1e-6)


def _distance(edge, at):
    p = edge.place(np.array([0.0, edge.length]))[0]
    return float(np.min(np.hypot(*(p - at).T)))


def test_words_of_both_ends():
    ends = {"upper": ("rear", "front"), "rim": ("", "")}
    assert start_words(ends, "upper") == "start, at rear"
    assert end_words(ends, "upper") == "end, at front"
    assert from_words(ends, "upper") == "from the REAR end"
    assert [f(ends, "rim") for f in (start_words, end_words, from_words)] == ["start", "end", "from its start"]


@pytest.mark.parametrize("part", EVERY)
def test_the_deviation_picture_marks_the_start_of_every_edge_with_its_arrow_along_it(part):
    plan = sample_plan(part)
    made = deviation_picture(plan, inspection_of(plan), [], 187.0, 230.0, "in")
    lines = lines_of(plan, PART)
    x0, _, x1, y1 = lines.box
    k = 1 / made.drawn.smaller

    def page(p):
        return np.array([187.0 / 2 + (p[0] - (x0 + x1) / 2) * k, -19.0 + (p[1] - y1) * k])

    dots = [c for c in made.piece.items if isinstance(c, Circle) and c.fill == 0.0 and c.r == 0.8]
    heads = [
        i for i in made.piece.items if isinstance(i, Polyline) and i.closed and i.fill == 0.0 and len(i.points) == 3
    ]
    assert len(dots) == len(heads) == len(lines.edges)
    assert [i.text for i in made.piece.items if isinstance(i, Text)].count("0") == len(lines.edges)
    for e, dot, head in zip(lines.edges.values(), dots, heads, strict=True):
        a, b = (page(p) for p in e.place(np.array([0.0, 1.0]))[0])
        assert hypot(dot.cx - a[0], dot.cy - a[1]) < 1e-6
        tip, *wings = (np.array(p) for p in head.points)
        way = tip - (wings[0] + wings[1]) / 2
        assert way @ (b - a) / (hypot(*way) * hypot(*(b - a))) > 0.99


def test_the_strips_of_angles_name_both_ends():
    plan = sample_plan("Q7-2301-1")
    text = said(document(plan, sample_identity(plan), "letter", inspection_of(plan)))
    assert "start, at rear end, at front" in text  # upper: its start is at the right of the picture
    assert "start, at front end, at rear" in text  # lower
