"""The pieces of the mid-surface's mesh: a flange as a surface, spacing, reliefs cut from a path, triangles with given edges."""

from __future__ import annotations

from math import pi

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ribwright.geometry.curve import Arc, Line, curve_from_points
from ribwright.geometry.midsurface.build import mesh_of
from ribwright.geometry.midsurface.crossing import crossings
from ribwright.geometry.midsurface.nodes import Nodes
from ribwright.geometry.midsurface.outline import Circle, Step, cut_by
from ribwright.geometry.midsurface.plans import Anchor, EdgePlan, HolePlan, JoinPlan, LoopPlan
from ribwright.geometry.midsurface.side import Side, located, placed
from ribwright.geometry.midsurface.sizes import size_along, spaced
from ribwright.geometry.midsurface.triangulate import OUTSIDE, Lines, triangulated
from ribwright.geometry.midsurface.values import BEND, FLANGE, PLAIN, RELIEF, WEB, FormedMesh, NoMesh

RM = 3.5


def side(up: float = -1.0, curve: object = None) -> Side:
    """A flange whose angle, inset and straight part all vary along a wavy edge; flat as long as formed."""
    curve = curve or curve_from_points("spline", [(0, 0), (30, 4), (60, 1), (90, 5)])

    def section(s: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        a = np.radians(84 + 0.15 * s)
        return 4 * np.tan(a / 2), a, 12 + 0.05 * s

    def flat(s: np.ndarray, q: np.ndarray) -> np.ndarray:
        _, a, leg = section(s)
        return RM * a * np.minimum(q, 4) / 4 + leg * np.maximum(q - 4, 0) / 6

    return Side(curve, section, RM, 3.45, up, 4, 6, flat, 0)  # type: ignore[arg-type]


@pytest.mark.parametrize("up", [-1.0, 1.0])
def test_the_normal_is_that_of_the_surface_where_everything_varies(up: float) -> None:
    one = side(up)
    s, q = (x.ravel() for x in np.meshgrid(np.linspace(3, 80, 12), np.linspace(0.05, 9.95, 13)))
    at, e = placed(one, s, q), 1e-5
    along = placed(one, s + e, q).formed - placed(one, s - e, q).formed
    across = placed(one, s, q + e).formed - placed(one, s, q - e).formed
    n = np.cross(across, along)
    n /= np.linalg.norm(n, axis=1, keepdims=True)
    assert np.abs(np.linalg.norm(at.normal, axis=1) - 1).max() < 1e-12
    # the q that straddles the end of the bend is left out of the differences by its grid
    assert np.abs(n - at.normal).max() < 2e-6
    assert (at.normal[q < 2][:, 2] > 0).all()


def test_on_the_tangent_line_the_flange_leaves_the_web_smoothly() -> None:
    at = placed(side(), np.linspace(0, 90, 40), np.zeros(40))
    assert np.abs(at.normal - [0, 0, 1]).max() < 1e-12
    assert np.abs(at.formed[:, 2]).max() == 0.0
    assert np.allclose(at.formed[:, :2], at.flat)


def test_a_place_in_the_flat_is_found_again() -> None:
    one = side()
    s, q = np.linspace(-2.0, 91.0, 15), np.linspace(0.0, 10.0, 15)
    at = placed(one, s, np.round(q))
    for k in range(15):
        found = located(one, at.flat[k : k + 1], float(s[k]) + 1.0)
        assert found[0][0] == pytest.approx(s[k], abs=1e-9)
        assert found[1][0] == pytest.approx(np.round(q[k]), abs=1e-9)


def test_up_and_down_are_mirror_images_in_the_web() -> None:
    s, q = np.linspace(0, 90, 20), np.linspace(0, 10, 20)
    down, up = placed(side(-1.0), s, q), placed(side(1.0), s, q)
    assert np.allclose(down.formed * [1, 1, -1], up.formed)
    # the normals stay on the same side of the sheet, so they are mirrored and turned round
    assert np.allclose(down.normal * [-1, -1, 1], up.normal)


def test_a_contour_tighter_than_the_reach_is_said_to_fold() -> None:
    hollow = Arc((0.0, 0.0), 12.0, 0.0, -pi)
    one = side(curve=hollow)
    opens = placed(one, np.full(3, 10.0), np.array([0.0, 4.0, 10.0])).opens
    x = RM * np.sin(np.radians(85.5)) + 12.5 * np.cos(np.radians(85.5)), 4 * np.tan(np.radians(85.5) / 2)
    assert opens[2] == pytest.approx(1 - (x[0] - x[1]) / 12.0, rel=1e-9)
    assert (opens > 0).all()
    assert placed(side(curve=Arc((0.0, 0.0), 3.0, 0.0, pi)), np.full(1, 1.0), np.zeros(1)).opens[0] < 0


@given(st.floats(5.0, 300.0), st.floats(0.5, 4.0), st.floats(0.3, 2.0))
@settings(max_examples=30, deadline=None)
def test_columns_are_even_in_number_and_no_wider_than_asked(length: float, size: float, fine: float) -> None:
    line = Line((0.0, 0.0), (length, 0.0))
    s = spaced(0.0, length, size_along(line, size, [(0.0, min(fine, size), 1.0)]))
    assert len(s) % 2 == 1
    assert (np.diff(s) > 0).all()
    assert np.diff(s).max() <= size * 1.02
    assert np.diff(s)[0] <= min(fine, size) * 1.25


def test_columns_read_backwards_are_the_same() -> None:
    curve = curve_from_points("spline", [(0, 0), (30, 4), (60, 1), (90, 5)])
    back = curve_from_points("spline", [(90, 5), (60, 1), (30, 4), (0, 0)])
    a = spaced(0.0, curve.length, size_along(curve, 2.0))
    b = spaced(0.0, back.length, size_along(back, 2.0))
    assert np.abs(a - (curve.length - b[::-1])).max() < 1e-3


def square_path(nodes: Nodes) -> list[Step]:
    """The open path (0, 0), (10, 0), (10, 10) of web nodes a millimetre apart."""
    p = [(float(x), 0.0) for x in range(11)] + [(10.0, float(y)) for y in range(1, 11)]
    return [Step(int(i), PLAIN, 0) for i in nodes.on_web(np.array(p))]


def test_a_circle_takes_its_far_side_of_a_corner() -> None:
    nodes = Nodes()
    cut = cut_by(nodes, square_path(nodes), Circle((10.0, 0.0), 2.5, 0.5), (None, None))
    assert cut is not None
    p = nodes.get("flat")[[x.id for x in cut.steps]]
    arc = [k for k, x in enumerate(cut.steps) if x.kind == RELIEF]
    assert np.allclose(np.hypot(p[arc, 0] - 10, p[arc, 1]), 2.5)
    assert p[arc[0]] == pytest.approx((7.5, 0.0))
    assert p[arc[-1] + 1] == pytest.approx((10.0, 2.5))
    assert (p[arc, 1] >= -1e-12).all(), "round through the material"
    assert np.hypot(*np.diff(p[[*arc, arc[-1] + 1]], axis=0).T).max() <= 0.5


def test_a_circle_that_misses_or_swallows_the_path_is_told() -> None:
    nodes = Nodes()
    path = square_path(nodes)
    assert cut_by(nodes, path, Circle((5.0, 5.0), 2.0, 0.5), (None, None)) is None
    assert cut_by(nodes, path, Circle((0.0, 0.0), 2.0, 0.5), (None, None)) is None


def region(ring: np.ndarray, first: int = 0) -> Lines:
    n = len(ring)
    ends = np.column_stack([np.arange(n), np.roll(np.arange(n), -1)]) + first
    inside, outside = np.tile([WEB, -1], (n, 1)), np.tile([OUTSIDE, OUTSIDE], (n, 1))
    return Lines(ends, inside, outside)


def area(points: np.ndarray, tri: np.ndarray) -> np.ndarray:
    a, b, c = (points[tri[:, k]] for k in range(3))
    return ((b - a)[:, 0] * (c - a)[:, 1] - (b - a)[:, 1] * (c - a)[:, 0]) / 2


def test_edges_that_delaunay_would_not_have_are_put_in() -> None:
    """A comb of thin teeth with few points on its long sides: their edges pass right by the points of the next tooth."""
    teeth = 9
    ring = [(0.0, -3.0), (2.0 * teeth, -3.0)]
    for k in reversed(range(teeth)):
        ring += [(2.0 * k + 1.1, 0.0), (2.0 * k + 1.0 + 0.05 * k, 11.0 + k), (2.0 * k + 0.9, 0.0)]
    p = np.array(ring)
    made = triangulated(p, region(p))
    assert not isinstance(made, int)
    got = area(p, made[0])
    q = np.roll(p, -1, axis=0)
    assert (got > 0).all()
    assert got.sum() == pytest.approx(np.sum(p[:, 0] * q[:, 1] - p[:, 1] * q[:, 0]) / 2)
    assert len(got) == len(p) - 2


def test_points_in_line_leave_no_triangle_without_height() -> None:
    turn = np.array([[np.cos(0.3), np.sin(0.3)], [-np.sin(0.3), np.cos(0.3)]])
    line = np.linspace(0, 50, 51)
    ring = np.concatenate([np.column_stack([line, 0 * line]), np.column_stack([line[::-1], 0 * line + 9.0])]) @ turn
    made = triangulated(ring, region(ring))
    assert not isinstance(made, int)
    assert area(ring, made[0]).min() > 0.1
    assert area(ring, made[0]).sum() == pytest.approx(450.0)


def test_an_edge_through_a_point_is_told() -> None:
    p = np.array([(0.0, 0.0), (2.0, 0.0), (4.0, 0.0), (4.0, 3.0), (0.0, 3.0), (2.0, 5.0), (2.0, -5.0)])
    lines = Lines(np.array([[0, 2]]), np.array([[WEB, -1]]), np.array([[OUTSIDE, OUTSIDE]]))
    assert triangulated(p, lines) == 0


def test_a_hole_is_left_out() -> None:
    t = np.linspace(0, 2 * pi, 17)[:-1]
    outer, inner = 5 * np.column_stack([np.cos(t), np.sin(t)]), 2 * np.column_stack([np.cos(t), -np.sin(t)])
    a, b = region(outer), region(inner, 16)
    p = np.concatenate([outer, inner])
    made = triangulated(
        p, Lines(*(np.concatenate(x) for x in ((a.ends, b.ends), (a.left, b.left), (a.right, b.right))))
    )
    assert not isinstance(made, int)
    assert area(p, made[0]).sum() == pytest.approx(16 / 2 * np.sin(2 * pi / 16) * (25 - 4))


def plate(x0: float, x1: float, z: float) -> np.ndarray:
    p = np.array([[x0, -1, z], [x1, -1, z], [x1, 1, z], [x0, 1, z]], float)
    return np.array([p[[0, 1, 2]], p[[0, 2, 3]]])


def test_plates_cross_where_they_do_and_not_where_they_touch() -> None:
    flat = plate(-1, 1, 0.0)
    upright = flat[:, :, [2, 1, 0]]  # in the plane x = 0
    hit = crossings(flat, upright * [1, 0.7, 1])
    assert len(hit)
    assert np.abs(hit[:, [0, 2]]).max() < 1e-12
    assert not len(crossings(flat, upright + [0, 0, 1.0])), "stands on it"
    assert not len(crossings(flat, plate(-1, 1, 0.1)))
    assert not len(crossings(flat, plate(1, 3, 0.0))), "side by side"


def plain_side(curve: object, place: int) -> Side:
    """A square flange of one section, bend tangent line on the drawn line."""

    def section(s: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        return np.zeros(len(s)), np.full(len(s), pi / 2), np.full(len(s), 10.0)

    def flat(s: np.ndarray, q: np.ndarray) -> np.ndarray:
        return RM * pi / 2 * np.minimum(q, 3) / 3 + 10 * np.maximum(q - 3, 0) / 4

    return Side(curve, section, RM, 3.45, -1.0, 3, 4, flat, place)  # type: ignore[arg-type]


def plate_plan(ends: tuple[float, float] = (0.0, 60.0), relief: tuple[float, float] | None = None) -> LoopPlan:
    """A plate of 60 x 40 mm, its lower edge flanged from `ends[0]` to `ends[1]`; a relief of 4 mm at that end, its centre given."""
    p = [(0.0, 0.0), (60.0, 0.0), (60.0, 40.0), (0.0, 40.0)]
    lines = [Line(a, b) for a, b in zip(p, [*p[1:], p[0]], strict=True)]
    edges = tuple(EdgePlan(c, k, plain_side(c, k) if k == 0 else None) for k, c in enumerate(lines))
    end = JoinPlan(
        "end-before", ends[1], 0.0, (60.0, 0.0), relief is not None, relief or (0.0, 0.0), 2.0 if relief else 0.0
    )
    joins = (
        end,
        JoinPlan("plain", 40.0, 0.0),
        JoinPlan("plain", 60.0, 0.0),
        JoinPlan("end-after", 40.0, ends[0], (0.0, 0.0)),
    )
    return LoopPlan(edges, joins)


def built(plan: LoopPlan, *holes: HolePlan) -> FormedMesh | NoMesh:
    return mesh_of((plan,), holes, Anchor((30.0, 20.0), 0.0), 3.0)


def test_a_plate_with_one_flange_is_meshed() -> None:
    m = built(plate_plan(), HolePlan((30.0, 20.0), 5.0, 4))
    assert isinstance(m, FormedMesh)
    hole = 12 / 2 * np.sin(2 * pi / 12) * 25
    assert m.areas[m.part_of == WEB].sum() == pytest.approx(2400 - hole)
    assert m.areas[m.part_of == BEND].sum() == pytest.approx(60 * 3 * 2 * RM * np.sin(pi / 12), rel=1e-9)
    assert m.areas[m.part_of == FLANGE].sum() == pytest.approx(600)
    relieved = built(plate_plan((0.0, 58.0), (60.0, 0.0)))
    assert isinstance(relieved, FormedMesh)
    # a quarter of the twelve-sided circle bites into the web, nothing into the flange, which ends beside it
    assert 2400 - relieved.areas[relieved.part_of == WEB].sum() == pytest.approx(pi, rel=0.06)
    assert relieved.areas[relieved.part_of == FLANGE].sum() == pytest.approx(580)


@pytest.mark.parametrize("turned", [0.0, 0.7, 2.0])
def test_a_slot_takes_its_area_wherever_it_points(turned: float) -> None:
    m = built(plate_plan(), HolePlan((30.0, 20.0), 4.0, 4, 9.0, turned))
    assert isinstance(m, FormedMesh)
    slot = m.start[m.loops[1].nodes]
    assert m.areas[m.part_of == WEB].sum() == pytest.approx(2400 - 9 * 8 - 12 / 2 * np.sin(2 * pi / 12) * 16, rel=1e-9)
    u = np.array([np.cos(turned), np.sin(turned)])
    assert np.ptp(slot @ u) == pytest.approx(17.0)
    assert np.ptp(slot @ [-u[1], u[0]]) == pytest.approx(8.0)


@pytest.mark.parametrize(
    ("why", "made"),
    [
        ("used-up", built(plate_plan((30.0, 20.0)))),
        ("relief", built(plate_plan((0.0, 58.0), (30.0, 20.0)))),
        ("web-crosses", built(plate_plan(), HolePlan((30.0, 2.0), 5.0, 4))),
        ("edge-lost", built(plate_plan(), HolePlan((30.0, 20.0), 5.0, 4), HolePlan((36.0, 20.0), 5.0, 5))),
    ],
)
def test_a_plan_that_cannot_be_is_given_up_with_a_word(why: str, made: FormedMesh | NoMesh) -> None:
    assert isinstance(made, NoMesh)
    assert made.why == why
