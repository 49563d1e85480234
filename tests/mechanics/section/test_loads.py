"""What pushes on the strip: the pressure's resultant and slopes, the distance to the block, the block's push."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from ribwright.mechanics.flow_curve import Voce
from ribwright.mechanics.section.loads import HAIR, block_on, gap, pressure_on
from ribwright.mechanics.section.strip import Strip
from ribwright.mechanics.sheet_law import sheet_law

Array = NDArray[np.float64]
T = 1.2
LAW = sheet_law(70000.0, 0.33, Voce(100.0, 0.0, 1.0))

axes = st.sampled_from([(None, 1.0), (40.0, 1.0), (40.0, -1.0)])
chains = st.lists(st.tuples(st.floats(-8, 8), st.floats(-8, 8), st.floats(-3, 3)), min_size=2, max_size=6)


def case(
    axis: float | None = None, sign: float = 1.0, radius: float = 3.0, wall: float = 1.6, friction: float = 0.0
) -> Array:
    return Strip(LAW, np.array([0.0, 1.0]), T, radius, wall, axis, sign, friction).case()


def pushed(numbers: Array, nodes: Array, p: float) -> tuple[Array, Array]:
    """Force of the pressure on an element (6,), its slopes (6, 6)."""
    force, slope = np.zeros(6), np.zeros((6, 6))
    pressure_on(numbers, nodes, p, force, slope)
    return -force, -slope


@settings(max_examples=80, deadline=None)
@given(axes, chains, st.floats(0.1, 100))
def test_the_pressure_on_a_chain_adds_up_to_that_on_the_line_between_its_ends(
    axis: tuple[float | None, float], chain: list[tuple[float, float, float]], p: float
) -> None:
    """Straight: p times the line between the ends, turned a right angle. Round an axis, along it: p (r2^2 - r1^2)/2."""
    total = np.zeros(2)
    for a, b in itertools.pairwise(chain):
        f, _ = pushed(case(*axis), np.array([*a, *b]), p)
        total += f[:2] + f[3:5]
    first, last = np.array(chain[0]), np.array(chain[-1])
    d = (last - first)[:2]
    far, sign = axis
    if far is None:
        np.testing.assert_allclose(total, p * np.array([d[1], -d[0]]), atol=1e-9 * p)
    else:
        r = [far + sign * end[0] for end in (first, last)]
        assert total[1] == pytest.approx(-sign * p * (r[1] ** 2 - r[0] ** 2) / 2, abs=1e-8 * p)


@settings(max_examples=80, deadline=None)
@given(axes, chains, st.floats(0.1, 100))
def test_pressure_slopes_are_the_differences_of_its_forces(
    axis: tuple[float | None, float], chain: list[tuple[float, float, float]], p: float
) -> None:
    nodes = np.array([*chain[0], *chain[1]])
    _, slope = pushed(case(*axis), nodes, p)
    for j in range(6):
        d = np.zeros(6)
        d[j] = 1e-5
        numeric = (pushed(case(*axis), nodes + d, p)[0] - pushed(case(*axis), nodes - d, p)[0]) / 2e-5
        np.testing.assert_allclose(slope[:, j], numeric, atol=1e-6 * p * (1.0 if axis[0] is None else axis[0]))


@settings(max_examples=60, deadline=None)
@given(chains, st.floats(0.1, 100))
def test_the_pressure_on_a_chain_has_the_couple_of_that_on_the_line_between_its_ends(
    chain: list[tuple[float, float, float]], p: float
) -> None:
    """About the first end; a loop under even pressure feels no couple."""
    couple = 0.0
    x0, y0, _ = chain[0]
    for a, b in itertools.pairwise(chain):
        f, _ = pushed(case(), np.array([*a, *b]), p)
        for node, o in ((a, 0), (b, 3)):
            couple += f[o + 2] + (node[0] - x0) * f[o + 1] - (node[1] - y0) * f[o]
    d = np.array(chain[-1])[:2] - [x0, y0]
    assert couple == pytest.approx(-p * (d @ d) / 2, abs=1e-8 * p)


# ---------------------------------------------------------------- distance to the block


def slopes() -> tuple[Array, Array, Array]:
    """Room for the slopes with the face's distance, those of the push, and for what works on the face's distance."""
    return np.zeros(3), np.zeros(4), np.zeros(5)


radii, walls = st.floats(0.5, 10.0), st.floats(np.radians(20), np.radians(150))
spots = st.tuples(st.floats(-12, 12), st.floats(-12, 12))


def inside(x: float, y: float, radius: float, wall: float) -> bool:
    """Under the web's line, behind the wall's, and between their feet on the edge within the edge's circle."""
    v, s, c = y + radius, np.sin(wall), np.cos(wall)
    beside = x > 0.0 and x * c < v * s  # the sector of the edge
    return bool(y <= 0.0 and x * s + v * c <= radius and not (beside and np.hypot(x, v) > radius))


def outline(radius: float, wall: float) -> Array:
    """Points of the block's outline, 1/500 mm apart and finer, 60 mm of web and of wall."""
    turn = np.linspace(0, wall, 20001)
    arc = np.stack([radius * np.sin(turn), radius * np.cos(turn) - radius], axis=1)
    run = np.linspace(0, 60, 30001)[1:, None]
    web = run * [-1.0, 0.0]
    down = arc[-1] + run * [np.cos(wall), -np.sin(wall)]
    return np.concatenate([web, arc, down])


@settings(max_examples=80, deadline=None)
@given(radii, walls, spots)
def test_distance_outside_the_block_is_that_of_the_nearest_point_of_its_outline(
    radius: float, wall: float, spot: tuple[float, float]
) -> None:
    g, mx, my, _ = gap(*spot, radius, wall)
    assert abs(g) < 1e-9 or (g < 0.0) == inside(*spot, radius, wall)
    assume(g > 0.0)
    points = outline(radius, wall)
    d = np.hypot(points[:, 0] - spot[0], points[:, 1] - spot[1])
    assert g == pytest.approx(float(d.min()), abs=2e-3)
    if g > 0.05:
        near = points[np.argmin(d)]
        np.testing.assert_allclose([mx, my], (np.array(spot) - near) / d.min(), atol=0.05)


@settings(max_examples=80, deadline=None)
@given(radii, walls, spots)
def test_the_normal_is_the_slope_of_the_distance_and_the_bend_that_of_the_normal(
    radius: float, wall: float, spot: tuple[float, float]
) -> None:
    g, mx, my, bend = gap(*spot, radius, wall)
    assume(g > -0.5 * radius)  # inside, towards the middle of the edge, the distance has a ridge
    assert np.hypot(mx, my) == pytest.approx(1.0, abs=1e-12)
    h = 1e-6
    for axis, normal in ((0, mx), (1, my)):
        d = np.eye(2)[axis] * h
        up, down = gap(*(np.array(spot) + d), radius, wall), gap(*(np.array(spot) - d), radius, wall)
        assume(abs(up[3] - down[3]) < 1e-3)  # from web or wall to edge, where the bend jumps
        assert normal == pytest.approx((up[0] - down[0]) / (2 * h), abs=1e-5)
        along = np.array([my, -mx])
        turned = along @ ((np.array(up[1:3]) - down[1:3]) / (2 * h))
        assert turned == pytest.approx(bend * along[axis], abs=1e-4)


@settings(max_examples=40, deadline=None)
@given(radii, walls, st.floats(-1, 1))
def test_distance_and_normal_do_not_jump_where_web_edge_and_wall_meet(radius: float, wall: float, out: float) -> None:
    far = radius * (1 + 0.4 * out)
    for turn in (0.0, wall):
        a, b = (gap(far * np.sin(turn + d), far * np.cos(turn + d) - radius, radius, wall) for d in (-1e-9, 1e-9))
        np.testing.assert_allclose(a[:3], b[:3], atol=1e-7)


# ---------------------------------------------------------------- the block's push

nodes = st.tuples(st.floats(-4, 5), st.floats(-6, 2), st.floats(-1.7, 0.3))
stiff = LAW.e / T


@settings(max_examples=150, deadline=None)
@given(nodes, st.floats(-0.01, 0.003), st.floats(0, 0.3), st.floats(-1e-3, 1e-3))
def test_the_block_s_slopes_are_the_differences_of_its_push(
    node: tuple[float, float, float], deep: float, friction: float, slid: float
) -> None:
    """The node is laid so that its inner face is `deep` from the block. Without friction it is exact; with it, the direction
    of the drag is held over a step, a slope that friction's share of the push leaves out."""
    numbers = case(friction=friction)
    at = np.array(node)

    def inner(n: Array) -> tuple[float, float]:
        return n[0] + T / 2 * np.sin(n[2]), n[1] - T / 2 * np.cos(n[2])

    g, mx, my, _ = gap(*inner(at), 3.0, 1.6)
    assume(g > -1.5)
    at[:2] += (deep - g) * np.array([mx, my])
    around = np.arctan2(inner(at)[0], inner(at)[1] + 3.0)
    assume(abs(around) > 1e-3 and abs(around - 1.6) > 1e-3)
    was = at + slid * np.array([my, -mx, 0.0])

    def push(n: Array, more: float = 0.0) -> Array:
        """On x, y, theta and the face's distance."""
        force, slope, (by_half, push_by, half_force) = np.zeros(3), np.zeros((3, 3)), slopes()
        block_on(numbers, T / 2 + more, stiff, 0.7, n, was, force, slope, by_half, push_by, half_force)
        return np.append(force, half_force[0])

    force, slope, (by_half, push_by, half_force) = np.zeros(3), np.zeros((3, 3)), slopes()
    here = block_on(numbers, T / 2, stiff, 0.7, at, was, force, slope, by_half, push_by, half_force)
    for j in range(3):
        d = np.zeros(3)
        d[j] = 1e-8
        numeric = (push(at + d) - push(at - d)) / 2e-8
        size = stiff * 0.7
        np.testing.assert_allclose([*slope[:, j], half_force[1 + j]], numeric, atol=(1e-4 + 0.02 * friction) * size)
    if friction == 0.0:  # sliding is counted from where the face was: its distance hardly matters there
        numeric = (push(at, 1e-8) - push(at, -1e-8)) / 2e-8
        np.testing.assert_allclose([*by_half, half_force[4]], numeric, atol=1e-4 * stiff * 0.7)
    for j, d in enumerate(1e-8 * np.eye(4)):
        ends = [
            block_on(
                numbers, T / 2 + k * d[3], stiff, 0.7, at + k * d[:3], was, np.zeros(3), np.zeros((3, 3)), *slopes()
            )
            for k in (1, -1)
        ]
        assert push_by[j] == pytest.approx((ends[0] - ends[1]) / 2e-8, abs=1e-4 * stiff), here


@settings(max_examples=60, deadline=None)
@given(nodes, st.floats(-0.3, 0.3))
def test_the_block_pushes_straight_out_and_only_where_the_sheet_lies_in_it(
    node: tuple[float, float, float], deep: float
) -> None:
    at = np.array(node)
    x, y = at[0] + T / 2 * np.sin(at[2]), at[1] - T / 2 * np.cos(at[2])
    g, mx, my, _ = gap(x, y, 3.0, 1.6)
    assume(g > -1.5)
    at[:2] += (deep - g) * np.array([mx, my])
    at[2] = -np.arctan2(mx, my)  # the sheet lies along the block
    x, y = at[0] + T / 2 * np.sin(at[2]), at[1] - T / 2 * np.cos(at[2])
    g, mx, my, _ = gap(x, y, 3.0, 1.6)
    force, slope = np.zeros(3), np.zeros((3, 3))
    push = block_on(case(), T / 2, stiff, 0.7, at, at, force, slope, *slopes())
    np.testing.assert_allclose(-force[:2], push * 0.7 * np.array([mx, my]), atol=1e-9 * stiff)
    hair = HAIR * T
    assert push >= 0.0
    if g > 100 * hair:
        assert push < stiff * hair * 3e-3
    if g < -100 * hair:
        assert push == pytest.approx(-stiff * g, rel=1e-2)
    at[:2] += 0.1 * hair * np.array([mx, my])
    assert block_on(case(), T / 2, stiff, 0.7, at, at, force, slope, *slopes()) <= push
    assert np.all(block_on(case(), T / 2, 0.0, 0.7, at, at, force, slope, *slopes()) == 0.0)  # taken away
