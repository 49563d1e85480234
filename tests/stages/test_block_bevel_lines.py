"""Lines of a straight edge whose bend angle changes along it: outline, foot and mold lines follow the angle between its rows."""

from __future__ import annotations

import numpy as np
import shapely

from documents.variants import bevelled
from ribwright.stages.section import wall_of

MISS_MM = 0.01


def test_the_foot_of_a_bevelled_block_stands_where_its_wall_does() -> None:
    # 84 deg at the start, 90 at 60 mm, 97 at the end: a chord over the whole spar would stand 0.46 mm off
    plan = bevelled()
    loops = [loop for loop in plan.blank.laid if loop.in_block]
    assert any(wall_of(plan.job, edge).varies for loop in loops for edge in loop.edges)
    for loop, foot in zip(loops, plan.block.feet, strict=True):
        ring = shapely.LinearRing(foot)
        for edge in loop.edges:
            at = wall_of(plan.job, edge).line(plan.block.height).point(np.linspace(0.1, 0.9, 201) * edge.curve.length)
            assert float(shapely.distance(shapely.points(at), ring).max()) < MISS_MM


def test_a_bend_tangent_line_is_sampled_where_the_angle_turns() -> None:
    plan = bevelled()
    for loop in plan.blank.laid:
        for edge in loop.edges:
            line = edge.tangent_line
            s = np.linspace(0.0, edge.curve.length, 400)
            chords = shapely.LineString(line.point(line.samples(0.0, edge.curve.length)))
            assert float(shapely.distance(shapely.points(line.point(s)), chords).max()) < MISS_MM
