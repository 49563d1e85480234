"""Contact of the rubber's surface: square on what it meets, an energy with its own slopes, and no way through the sheet."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from numpy.typing import NDArray

from ribwright.mechanics.pad_model.contact import Beside, Line, Touch, contact_energy, touch, went_through
from ribwright.mechanics.pad_model.line_kernel import profile_gap
from ribwright.mechanics.pad_model.profile import Profile, chain, press_profile

Array = NDArray[np.float64]
PRESS = press_profile(40.0, 25.0, 3.0, 85.0, 70.0, 3.0, 3.0)
FLOOR = chain([[-100.0, 0.0], [100.0, 0.0]], [])
FAR = Line(np.array([[0.0, 500.0, 0.0], [1.0, 500.0, 0.0]]), np.array([1.0]), 1.0)  # a sheet that nothing meets
BENT = Line(
    np.array([[-6.0, 0.0, 0.1], [-2.0, 0.2, -0.1], [1.5, -0.7, -0.5], [3.6, -3.2, -1.2]]),
    np.array([4.0, 3.7, 3.3]),
    1.2,
)
K = 20.0


def gap(profile: Profile, x: float, y: float) -> tuple[float, Array, float]:
    """Distance, unit normal, curvature of the level line."""
    g, nx, ny, bend = profile_gap(*profile.rows(), x, y)
    return g, np.array([nx, ny]), bend


# on the web face, the edge, the wall, the fillet at its foot, the table, the corner of the container, the container
PLACES = [(10.0, 24.9), (38.6, 24.5), (40.9, 12.0), (43.0, 1.2), (55.0, -0.02), (69.5, 0.6), (70.05, 30.0)]


@pytest.mark.parametrize("place", PLACES)
def test_the_way_out_of_a_tool_is_the_slope_of_the_distance(place: tuple[float, float]) -> None:
    _, normal, bend = gap(PRESS, *place)
    d = 1e-5
    x, y = place
    slope = [
        (gap(PRESS, x + d, y)[0] - gap(PRESS, x - d, y)[0]) / (2 * d),
        (gap(PRESS, x, y + d)[0] - gap(PRESS, x, y - d)[0]) / (2 * d),
    ]
    np.testing.assert_allclose(normal, slope, atol=1e-8)
    assert np.hypot(*normal) == pytest.approx(1.0)
    along = np.array([-normal[1], normal[0]])
    turned = (gap(PRESS, *(place + d * along))[1] - gap(PRESS, *(place - d * along))[1]) / (2 * d)
    assert turned @ along == pytest.approx(bend, abs=1e-6)


def test_the_distance_has_no_jumps_along_the_chain() -> None:
    # a path inside the tools from web face round to container: neighbours 0.01 mm apart differ by no more
    corners = np.array(
        [[20.0, 24.9], [39.9, 24.6], [41.9, 1.0], [43.5, -0.05], [68.0, -0.05], [70.05, 1.5], [70.05, 40.0]]
    )
    path = np.concatenate([np.linspace(a, b, 2000) for a, b in itertools.pairwise(corners)])
    far = np.array([gap(PRESS, *p)[0] for p in path])
    assert (np.abs(np.diff(far)) <= np.hypot(*np.diff(path, axis=0).T) + 1e-9).all()


def test_a_flat_floor_pushes_straight_up_with_depth_times_stiffness_and_holds_nothing_back() -> None:
    edge, nodes = np.array([[0, 1]]), np.array([[2.0, -0.3], [7.0, -0.3]])
    t = touch(nodes, edge, FLOOR, FAR, K)
    np.testing.assert_allclose(t.on_tools, K * 0.3)
    np.testing.assert_allclose(-t.tool_force[0].reshape(2, 2).sum(0), [0.0, K * 0.3 * 5.0], atol=1e-12)
    slid = contact_energy(nodes + [3.0, 0.0], edge, FLOOR, FAR, K)[0]
    assert slid == pytest.approx(t.energy, rel=1e-13) == pytest.approx(0.5 * K * 0.3**2 * 5.0)


def test_rubber_off_everything_feels_nothing() -> None:
    t = touch(np.array([[0.0, 0.5], [4.0, 2.0]]), np.array([[0, 1]]), FLOOR, FAR, K)
    assert t.energy == 0.0
    assert not t.tool_force.any()
    assert not t.sheet_force.any()


# edges against the web face, edge, wall, foot, table and container, a little in
INSIDE = [
    [[39.5, 24.92], [34.0, 24.95]],
    [[41.3, 18.0], [38.9, 24.2]],
    [[43.0, 0.65], [41.4, 8.0]],
    [[69.4, 0.4], [60.0, -0.03]],
    [[70.02, 20.0], [70.04, 12.0]],
]


@pytest.mark.parametrize("nodes", INSIDE)
def test_forces_and_stiffness_of_the_tools_are_slopes_of_the_energy(nodes: list[list[float]]) -> None:
    at, edge = np.array(nodes), np.array([[0, 1]])
    t = touch(at, edge, PRESS, FAR, K)
    assert t.energy > 0.0
    assert t.energy == pytest.approx(contact_energy(at, edge, PRESS, FAR, K)[0], rel=1e-13)
    d, force, stiff = 1e-6, np.zeros(4), np.zeros((4, 4))
    for i in range(4):
        move = d * np.eye(4)[i].reshape(2, 2)
        force[i] = (
            contact_energy(at + move, edge, PRESS, FAR, K)[0] - contact_energy(at - move, edge, PRESS, FAR, K)[0]
        ) / (2 * d)
        stiff[:, i] = (
            touch(at + move, edge, PRESS, FAR, K).tool_force[0] - touch(at - move, edge, PRESS, FAR, K).tool_force[0]
        ) / (2 * d)
    np.testing.assert_allclose(t.tool_force[0], force, atol=1e-6 * np.abs(force).max())
    np.testing.assert_allclose(t.tool_stiffness[0], stiff, atol=2e-6 * np.abs(stiff).max())
    np.testing.assert_allclose(t.tool_stiffness[0], t.tool_stiffness[0].T, atol=1e-11 * np.abs(stiff).max())


def on_sheet(values: Array) -> tuple[Array, Line]:
    """Ends of one edge and the nodes of BENT from 4 + 12 values."""
    return values[:4].reshape(2, 2), Line(values[4:].reshape(4, 3), BENT.lengths, BENT.t)


def gathered(t: Touch) -> tuple[Array, Array]:
    """Force (16,) and stiffness (16, 16) on the edge's ends and the sheet's nodes."""
    force, stiff = np.zeros(16), np.zeros((16, 16))
    for p in np.flatnonzero(t.segment >= 0):
        s = 4 + 3 * int(t.segment[p])
        ids = np.r_[0:4, s : s + 6]
        force[ids] += t.sheet_force[p]
        stiff[np.ix_(ids, ids)] += t.sheet_stiffness[p]
    return force, stiff


@pytest.mark.parametrize(
    "edge_at",
    [[[2.0, 0.1], [-3.0, 0.6]], [[3.95, -3.3], [3.6, -1.5]], [[3.7, -4.0], [4.3, -2.9]]],
    ids=["face", "bend", "edge"],
)
def test_forces_and_stiffness_of_the_sheet_are_slopes_of_the_energy(edge_at: list[list[float]]) -> None:
    v, edge, nothing = (
        np.r_[np.ravel(edge_at), BENT.nodes.ravel()],
        np.array([[0, 1]]),
        chain([[-100.0, -90.0], [100.0, -90.0]], []),
    )

    def stored(x: Array) -> float:
        at, line = on_sheet(x)
        return contact_energy(at, edge, nothing, line, K)[0]

    def full(x: Array) -> tuple[Array, Array]:
        at, line = on_sheet(x)
        return gathered(touch(at, edge, nothing, line, K))

    force, stiff = full(v)
    assert stored(v) > 0.0
    d = 1e-6
    by_energy = np.array([(stored(v + d * e) - stored(v - d * e)) / (2 * d) for e in np.eye(16)])
    by_force = np.array([(full(v + d * e)[0] - full(v - d * e)[0]) / (2 * d) for e in np.eye(16)]).T
    np.testing.assert_allclose(force, by_energy, atol=1e-6 * np.abs(force).max())
    np.testing.assert_allclose(stiff, by_force, atol=1e-5 * np.abs(stiff).max())
    assert (
        np.abs(force[:4].reshape(2, 2).sum(0) + force[4:].reshape(4, 3)[:, :2].sum(0)).max()
        < 1e-10 * np.abs(force).max()
    )


def test_no_pressure_pushes_rubber_through_the_sheet() -> None:
    flat = Line(np.array([[-5.0, 0.0, 0.0], [0.0, 0.0, 0.0], [5.0, 0.0, 0.0]]), np.array([5.0, 5.0]), 1.2)
    nothing, edge = chain([[-100.0, -90.0], [100.0, -90.0]], []), np.array([[0, 1]])

    def at(height: float) -> float:
        return contact_energy(np.array([[2.0, height], [-2.0, height]]), edge, nothing, flat, K)[0]

    assert at(0.61) == 0.0
    depths = [at(0.6 - d) for d in (0.1, 0.4, 0.8, 1.1, 1.19)]
    assert (np.diff(depths) > 0.0).all()
    assert depths[0] == pytest.approx(0.5 * K * 0.1**2 * 4.0 / (1.0 - 0.1 / 1.2))
    assert np.isinf(at(-0.6))  # the inner face


def test_a_point_that_changes_faces_has_gone_through_and_one_that_goes_round_the_edge_has_not() -> None:
    def beside(side: int, far: float = 0.4) -> Beside:
        return Beside(np.array([far]), np.array([side]))

    assert went_through(beside(1), beside(-1))
    assert not went_through(beside(1), beside(0))
    assert not went_through(beside(1), beside(1))
    assert not went_through(beside(1, 50.0), beside(-1, 50.0))  # far off a side says nothing
