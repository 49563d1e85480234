"""Laws of one element of the strip, straight or of a ring: its forces, their slopes, and moving it as a whole."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from ribwright.mechanics.flow_curve import Swift
from ribwright.mechanics.section.strip import Strip, at_rest
from ribwright.mechanics.sheet_law import sheet_law
from strips import Piece, element_at, free_strip

Array = NDArray[np.float64]
CURVE = Swift(410.0, 0.21, 0.0071)
LONG, T = 0.4, 1.0

kinds = st.sampled_from([(None, 1.0), (30.0, 1.0), (30.0, -1.0), (8.0, -1.0)])
bends = st.tuples(*(st.floats(-1, 1) for _ in range(6)))


def strip(axis: float | None = None, sign: float = 1.0, share: float = 0.5, r: float = 0.8) -> Strip:
    return free_strip(sheet_law(68300.0, 0.33, CURVE, r, share), LONG, T, 1, axis, sign, layers=6, through=True)


def ends_of(s: Strip, turned: float, numbers: tuple[float, ...], size: float) -> Array:
    """The flat element turned as a whole by `turned` about its middle and strained by `numbers` times `size`."""
    x, y, theta = numbers[0], numbers[1], numbers[2]
    middle = 0.5 * s.arc[-1]
    c, d = np.cos(turned), np.sin(turned)
    half = 0.5 * LONG
    flat = np.array([middle - half * c, -half * d, turned, middle + half * c, half * d, turned])
    return flat + size * np.array([x * LONG, y * LONG, theta, numbers[3] * LONG, numbers[4] * LONG, numbers[5]])


def walked(s: Strip, turned: float, numbers: tuple[float, ...], size: float) -> tuple[Array, Array]:
    """(ends, history) after a strained step, so that history is not virgin."""
    flat = at_rest(s)
    ends = ends_of(s, turned, numbers, size)
    return ends, element_at(s, ends, flat.history[0]).history


@settings(max_examples=80, deadline=None)
@given(kinds, st.floats(-2.5, 2.5), bends, bends, st.floats(0, 80), st.floats(0, 80))
def test_slopes_are_the_differences_of_the_forces(
    kind: tuple[float | None, float],
    turned: float,
    first: tuple[float, ...],
    then: tuple[float, ...],
    push: float,
    p: float,
) -> None:
    s = strip(*kind)
    ends, history = walked(s, turned, first, 0.05)
    ends = ends + 0.05 * np.array(then) * np.array([LONG, LONG, 1, LONG, LONG, 1])
    here = element_at(s, ends, history, push, p)
    h, scale = 1e-7, np.abs(here.slope).max()
    for j in range(6):
        d = np.zeros(6)
        d[j] = h
        up, down = (element_at(s, ends + k * d, history, push, p) for k in (1, -1))
        yields = [x.history[:, 4] > history[:, 4] for x in (up, down)]
        assume((yields[0] == yields[1]).all())  # a layer just at yield has two slopes
        np.testing.assert_allclose(here.slope[:, j], (up.force - down.force) / (2 * h), atol=2e-5 * scale)
    up, down = (element_at(s, ends, history, push + k * 1e-3, p) for k in (1, -1))
    yields = [x.history[:, 4] > history[:, 4] for x in (up, down)]
    assume((yields[0] == yields[1]).all())
    size = np.abs(here.by_push).max() + 1e-3 * s.t * (s.axis or 1.0)
    np.testing.assert_allclose(here.by_push, (up.force - down.force) / 2e-3, atol=1e-3 * size)


@settings(max_examples=60, deadline=None)
@given(kinds, st.floats(-2.5, 2.5), bends, bends)
def test_slopes_are_symmetric_where_hardening_is_isotropic(
    kind: tuple[float | None, float], turned: float, first: tuple[float, ...], then: tuple[float, ...]
) -> None:
    s = strip(*kind, share=0.0)
    ends, history = walked(s, turned, first, 0.05)
    ends = ends + 0.05 * np.array(then) * np.array([LONG, LONG, 1, LONG, LONG, 1])
    slope = element_at(s, ends, history).slope
    np.testing.assert_allclose(slope, slope.T, atol=1e-10 * np.abs(slope).max())


@settings(max_examples=60, deadline=None)
@given(st.floats(-2.5, 2.5), bends, st.floats(-3, 3), st.floats(-50, 50), st.floats(-50, 50))
def test_a_straight_element_moved_and_turned_as_a_whole_feels_the_same(
    turned: float, numbers: tuple[float, ...], more: float, dx: float, dy: float
) -> None:
    s = strip()
    ends, flat = ends_of(s, turned, numbers, 0.05), at_rest(s).history[0]
    c, d = np.cos(more), np.sin(more)
    spin = np.array([[c, -d], [d, c]])
    moved = ends.copy()
    for o in (0, 3):
        moved[o : o + 2] = spin @ ends[o : o + 2] + [dx, dy]
        moved[o + 2] += more
    a, b = element_at(s, ends, flat), element_at(s, moved, flat)
    back = a.force.copy()
    for o in (0, 3):
        back[o : o + 2] = spin @ a.force[o : o + 2]
    np.testing.assert_allclose(b.force, back, atol=1e-8 * max(1.0, np.abs(back).max()))
    np.testing.assert_allclose(b.history, a.history, atol=1e-8)


@settings(max_examples=60, deadline=None)
@given(kinds, st.floats(-2.5, 2.5), bends)
def test_an_element_is_in_balance_by_itself(
    kind: tuple[float | None, float], turned: float, numbers: tuple[float, ...]
) -> None:
    """No force along the axis is left in any; in plane strain none across it and no couple either. Round an axis hoop stress
    pulls inwards."""
    s = strip(*kind)
    ends = ends_of(s, turned, numbers, 0.05)
    f = element_at(s, ends, at_rest(s).history[0]).force
    size = 1e-9 * max(1.0, np.abs(f).max())
    assert abs(f[1] + f[4]) < size
    if kind[0] is None:
        assert abs(f[0] + f[3]) < size
        couple = f[2] + f[5] + (ends[3] - ends[0]) * f[4] - (ends[4] - ends[1]) * f[3]
        assert abs(couple) < size


@settings(max_examples=40, deadline=None)
@given(st.sampled_from([1.0, -1.0]), st.floats(-2.5, 2.5), bends)
def test_an_element_round_an_axis_far_away_is_a_straight_one(
    sign: float, turned: float, numbers: tuple[float, ...]
) -> None:
    far = 1e9
    ring, straight = strip(far, sign), strip()
    ends, flat = ends_of(straight, turned, numbers, 0.05), at_rest(straight).history[0]
    a, b = element_at(straight, ends, flat), element_at(ring, ends, flat)
    np.testing.assert_allclose(b.force / far, a.force, atol=1e-5 * max(1.0, np.abs(a.force).max()))
    np.testing.assert_allclose(b.slope / far, a.slope, atol=1e-5 * np.abs(a.slope).max())


@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_a_small_ring_opened_evenly_carries_the_uniaxial_hoop_force(sign: float) -> None:
    """Moved outwards by u with its ends free to follow: hoop stress E u/r, total hoop force E t L u/r, no other."""
    s = strip(20.0, sign)
    r, u = 20.0 + sign * 0.5 * LONG, 1e-4
    long = LONG * (1 - 0.33 * u / r)  # shortens by Poisson
    middle = 0.5 * LONG + sign * u
    ends = np.array([middle - long / 2, 0, 0, middle + long / 2, 0, 0])
    piece: Piece = element_at(s, ends, at_rest(s).history[0])
    hoop = sign * (piece.force[0] + piece.force[3])  # radial force per radian is the hoop force
    assert hoop == pytest.approx(68300.0 * T * LONG * u / r, rel=1e-4)
    assert abs(piece.force[3] - piece.force[0]) < 1e-4 * hoop * r / LONG
