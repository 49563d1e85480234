"""A router template: set over by half of bushing less cutter, what cannot be cut as drawn told, nonsense refused."""

from __future__ import annotations

from math import sqrt

import pytest
import shapely

from building import RandomPart, box, job_of
from documents.sample import sample_identity
from ribwright.documents.router_content import router_content
from ribwright.documents.templates import content_of
from ribwright.errors import InputError
from ribwright.geometry.path import Path, polyline
from ribwright.stages.plan import make_plan
from ribwright.stages.router import Router, read_router, router_template

SQUARE = polyline([(0, 0), (100, 0), (100, 80), (0, 80)])
ELL = polyline([(0, 0), (100, 0), (100, 40), (50, 40), (50, 80), (0, 80)])


def test_bushing_and_cutter_are_read_in_any_unit() -> None:
    assert read_router("0.500 in bushing, 0.250 in cutter").set_over == pytest.approx(3.175)
    assert read_router("1/2 in, 6 mm") == Router(12.7, 6.0, "1/2 in, 6 mm")


@pytest.mark.parametrize(
    "text", ["0.5, 0.25", "0.5 in", "0.25 in, 0.5 in", "a in, b in", "0.5 in, 0 in", "1 in, 1 in, 1 in"]
)
def test_what_is_no_bushing_with_a_smaller_cutter_is_refused(text: str) -> None:
    with pytest.raises(InputError) as told:
        read_router(text)
    assert "--router" in str(told.value)
    assert repr(text) in str(told.value)


def test_the_cut_edge_comes_out_where_the_part_is() -> None:
    """Roll the bushing round the template and cut with the cutter: what is left is the part, its outside corners rounded
    to the set-over, and its inside corners to the cutter."""
    router = Router(12.0, 6.0)
    (edge,) = router_template([ELL], router).loops
    template = shapely.Polygon(edge.chords(1e-4))
    centre = template.buffer(router.bushing / 2, quad_segs=200)  # where the cutter's centre may not go
    # with the bushing pressed into every corner it reaches:
    reached = shapely.Polygon(centre.exterior).boundary.buffer(router.cutter / 2, quad_segs=200)
    left = shapely.Polygon(centre.exterior).difference(reached)
    part = shapely.Polygon(ELL.chords())
    rounded = part.buffer(-router.set_over, quad_segs=200).buffer(router.set_over, quad_segs=200)
    standing = left.difference(part.buffer(1e-2))
    assert left.symmetric_difference(rounded).difference(shapely.Point(50, 40).buffer(4)).area < 0.5
    # metal is left only at the inside corner, and lost only at the five outside corners
    assert standing.centroid.distance(shapely.Point(50, 40)) < 1.5
    assert (
        part.difference(left)
        .difference(shapely.MultiPoint([(0, 0), (100, 0), (100, 40), (50, 80), (0, 80)]).buffer(3))
        .area
        < 0.5
    )


def test_corners_that_do_not_come_out_are_told_with_how_much() -> None:
    told = router_template([ELL], Router(12.0, 6.0)).corners
    inside = [c for c in told if c.inside]
    assert [c.at for c in inside] == [(50.0, 40.0)]
    assert inside[0].depth == pytest.approx(3.0 * (sqrt(2) - 1))
    assert len(told) == 6
    assert all(c.depth == pytest.approx(3.0 * (sqrt(2) - 1)) for c in told)


def test_a_bearing_cutter_loses_no_outside_corner() -> None:
    made = router_template([ELL], Router(6.0, 6.0))
    assert made.loops[0].vertices == ELL.vertices
    assert [c.inside for c in made.corners] == [True]


def test_a_relief_hole_the_cutter_cannot_enter_is_told_as_such() -> None:
    plan = make_plan(job_of(box()))
    told = router_template([plan.blank.outline.path], Router(12.7, 6.35)).corners
    assert sum(c.inside and c.depth is None for c in told) == 4


def test_what_eats_the_template_is_refused() -> None:
    for loops in ([SQUARE], [SQUARE, Path(((20, 40, -1.0), (80, 40, -1.0)))]):
        with pytest.raises(InputError, match="eaten up"):
            router_template(loops, Router(100.0, 10.0, "100 mm, 10 mm"))


@pytest.mark.parametrize("kind", ["blank", "block"])
@pytest.mark.parametrize("seed", range(5))
def test_every_opening_grows_and_every_outline_shrinks_by_the_set_over(seed: int, kind: str) -> None:
    plan = make_plan(job_of(RandomPart(seed).text()))
    base = content_of(plan, sample_identity(plan), kind)
    made = router_content(base, Router(8.0, 5.0))
    own = shapely.Polygon(next(line.path for line in made.lines if line.look == "part").chords(1e-3))
    ours = shapely.Polygon(made.outline.chords(1e-3))
    assert own.contains(ours)
    assert shapely.distance(own.boundary, ours.boundary) == pytest.approx(1.5, abs=0.01)
    for before, after in zip(base.holes, made.holes, strict=True):
        grows = before.kind == "lightening"
        assert after.diameter == pytest.approx(before.diameter + (3.0 if grows else 0.0))
    if kind == "block":
        face, foot = (
            shapely.Polygon(p.chords(1e-3))
            for p in (base.outline, next(x.path for x in base.lines if x.look == "foot"))
        )
        assert own.buffer(0.02).contains(face)
        assert own.buffer(0.02).contains(foot)


def test_a_block_that_leans_both_ways_is_routed_to_the_larger_of_face_and_foot() -> None:
    plan = make_plan(job_of(box(angle="[[0, 75], ['end', 99]]", flanges=(True, False, True, False))))
    made = router_content(content_of(plan, sample_identity(plan), "block"), Router(8.0, 5.0))
    own = shapely.Polygon(next(line.path for line in made.lines if line.look == "part").chords(1e-3))
    both = shapely.union(*(shapely.Polygon(ring) for ring in (plan.block.outlines[0], plan.block.feet[0])))
    assert own.symmetric_difference(both).area < 0.02 * both.length
