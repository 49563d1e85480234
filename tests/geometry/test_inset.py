"""Loops set over into the metal: exact on lines and arcs, the same as erosion by a disc, None when nothing is left."""

from __future__ import annotations

from math import pi

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from ribwright.geometry.fit import lines_and_arcs
from ribwright.geometry.inset import inset
from ribwright.geometry.path import Path, bulge_of, centre_of, polyline

SQUARE = polyline([(0, 0), (40, 0), (40, 30), (0, 30)])
# an L with a sharp inside corner, a rounded outside corner (r 6) and a relief circle bitten into one side
NOTCHED = Path(
    (
        (0, 0, 0),
        (54, 0, bulge_of(pi / 2)),
        (60, 6, 0),
        (60, 20, bulge_of(-pi)),
        (60, 26, 0),
        (60, 30, 0),
        (25, 30, 0),
        (25, 50, 0),
        (0, 50, 0),
    )
)


def circle(x: float, y: float, r: float, clockwise: bool = False) -> Path:
    b = -1.0 if clockwise else 1.0
    return Path(((x - r, y, b), (x + r, y, b)))


def polygon(*loops: Path) -> shapely.Polygon:
    return shapely.Polygon(loops[0].chords(2e-4), [p.chords(2e-4) for p in loops[1:]])


def eroded(metal: shapely.Geometry, e: float) -> shapely.Geometry:
    """What a disc of radius e can reach: the complement of the edge fattened by e. Fattening outward keeps every vertex."""
    return metal.difference(metal.boundary.buffer(e, quad_segs=400))


def test_a_rectangle_becomes_the_smaller_rectangle() -> None:
    made = inset([SQUARE], 3.0)
    assert made is not None
    assert sorted((round(x, 6), round(y, 6)) for x, y, _ in made[0].vertices) == [(3, 3), (3, 27), (37, 3), (37, 27)]
    assert made[0].counts() == {"lines": 4, "arcs": 0}


def test_a_disc_shrinks_and_its_opening_grows() -> None:
    made = inset([circle(0, 0, 50), circle(5, 0, 10, clockwise=True)], 3.0)
    assert made is not None
    assert made[0].area() == pytest.approx(pi * 47**2, rel=1e-9)
    assert made[1].area() == pytest.approx(-pi * 13**2, rel=1e-9)


def test_true_arcs_stay_arcs_about_their_centres() -> None:
    made = inset([NOTCHED], 2.0)
    assert made is not None
    arcs = {
        (round(c[0], 4), round(c[1], 4), round(r, 4))
        for a, b in made[0].segments()
        if abs(a[2]) > 1e-9
        for c, r in [centre_of(a, b)]
    }
    # outside corner 6 - 2, bite 3 + 2, sharp inside corner 0 + 2
    assert arcs == {(54, 6, 4), (60, 23, 5), (25, 30, 2)}


@pytest.mark.parametrize("e", [0.0, 0.5, 2.0, 5.9, 6.5, 8.0])
def test_it_is_the_erosion_by_a_disc(e: float) -> None:
    made = inset([NOTCHED], e)
    assert made is not None
    ours, theirs = polygon(*made), eroded(polygon(NOTCHED), e) if e else polygon(NOTCHED)
    assert ours.is_valid
    assert ours.hausdorff_distance(theirs) < 2e-3


corners = st.lists(
    st.tuples(st.floats(60, 140), st.floats(-0.12, 0.12), st.floats(-0.25, 0.25)), min_size=4, max_size=9
)


@given(corners, st.floats(0.2, 6.0))
@settings(max_examples=60, deadline=None)
def test_random_outlines_with_bulged_sides_are_eroded(rows: list[tuple[float, float, float]], e: float) -> None:
    n = len(rows)
    at = [
        (r * np.cos(2 * pi * (i / n + turn / n)), r * np.sin(2 * pi * (i / n + turn / n)))
        for i, (r, turn, _) in enumerate(rows)
    ]
    path = Path(tuple((float(x), float(y), bulge) for (x, y), (_, _, bulge) in zip(at, rows, strict=True)))
    metal = polygon(path)
    if not metal.is_valid:
        return
    left = eroded(metal, e)
    made = inset([path], e)
    if left.geom_type != "Polygon" or left.is_empty or made is None:
        # a shape that falls apart is refused; one that stays whole may be refused only where it is all but parted
        assert made is None or polygon(*made).is_valid
        assert left.geom_type != "Polygon" or eroded(metal, e + 0.05).geom_type != "Polygon"
        return
    assert polygon(*made).symmetric_difference(left).area < 2e-3 * metal.length


def test_what_is_eaten_up_or_falls_apart_is_none() -> None:
    dumbbell = polyline(
        [(0, 0), (20, 0), (20, 9), (40, 9), (40, 0), (60, 0), (60, 20), (40, 20), (40, 11), (20, 11), (20, 20), (0, 20)]
    )
    assert inset([SQUARE], 15.1) is None
    assert inset([dumbbell], 1.5) is None
    assert inset([dumbbell], 0.9) is not None
    assert inset([circle(0, 0, 20), circle(0, 0, 15, clockwise=True)], 3.0) is None


def test_a_sparse_straight_side_is_never_fitted_by_an_arc() -> None:
    """Four corners of any rectangle lie on one circle: only the middles of its sides tell it from one."""
    square = np.array([(0.0, 0.0), (40.0, 0.0), (40.0, 30.0), (0.0, 30.0), (0.0, 0.0)])
    assert all(bulge == 0.0 for _, _, bulge in lines_and_arcs(square, 0.01))
    t = np.linspace(-0.4, 0.4, 40)
    arc = 100 * np.column_stack([np.sin(t), np.cos(t)])
    drop = np.array([(arc[-1, 0], 0.0)])
    fitted = lines_and_arcs(np.concatenate([arc, drop]), 0.01)
    assert [round(v[2], 6) for v in fitted] == [round(bulge_of(-0.8), 6), 0.0, 0.0]
