"""The whole strip: its slopes, where its faces lie, and what a step of the nodes is as stretches and slopes."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from ribwright.mechanics.flow_curve import Swift
from ribwright.mechanics.section.balance import out_of_balance
from ribwright.mechanics.section.band import ROW
from ribwright.mechanics.section.faces import face_distance
from ribwright.mechanics.section.model import Flange, strip_of
from ribwright.mechanics.section.moves import moved, strains_between, strains_of
from ribwright.mechanics.section.strip import Strip, at_rest
from ribwright.mechanics.sheet_law import sheet_law
from strips import unbanded

Array = NDArray[np.float64]
T3 = sheet_law(72400.0, 0.33, Swift(690.0, 0.16, 0.0131), share=0.5, limit=35.0)
KINDS = {"straight": {}, "convex": {"axis": 40.0}, "hole": {"axis": 40.0, "sign": -1.0}}
kinds = pytest.mark.parametrize("kind", KINDS)


def bent_strip(kind: str, seed: int = 0) -> tuple[Strip, Array]:
    """A short strip bent 60 deg about its block, shaken a little."""
    s = strip_of(Flange(T3, 1.0, 3.0, 90.0, 6.0, web=6.0, **KINDS[kind]), fine=0.3)  # type: ignore[arg-type]
    q = at_rest(s).q
    q[:, 2] = -np.radians(60.0) * np.clip(s.arc / (3.5 * s.wall), 0.0, 1.0)
    for e, long in enumerate(np.diff(s.arc)):
        th = 0.5 * (q[e, 2] + q[e + 1, 2])
        q[e + 1, :2] = q[e, :2] + long * np.array([np.cos(th), np.sin(th)])
    return s, q + np.random.default_rng(seed).normal(size=q.shape) * 1e-4


def left_over(s: Strip, q: Array, rows: Array) -> Array:
    rest = at_rest(s)
    n = len(s.arc)
    force = np.zeros((n, 3))
    assert out_of_balance(
        s.case(), s.law.row(), s.law.points(), *s.gauss(), s.arc, 1.0, 2.0, q, rest.q, rest.history, rest.history.copy(),
        np.zeros(n), force, rows, np.zeros((n - 1, 2)), np.zeros((n - 1, s.layers)),
    )  # fmt: skip
    return force.ravel()


@kinds
def test_the_slopes_of_the_whole_strip_are_the_differences_of_its_forces(kind: str) -> None:
    """To 3e-8 of the largest, what differences of 1e-7 mm leave."""
    s, q = bent_strip(kind)
    rows = np.zeros((q.size, ROW))
    left_over(s, q, rows)
    slope = unbanded(rows)
    numeric = np.empty_like(slope)
    for j in range(q.size):
        d = np.zeros(q.size)
        d[j] = 1e-7
        ends = [left_over(s, q + k * d.reshape(q.shape), np.zeros_like(rows)) for k in (1, -1)]
        numeric[:, j] = (ends[0] - ends[1]) / 2e-7
    np.testing.assert_allclose(slope, numeric, atol=3e-8 * np.abs(slope).max())


@kinds
@pytest.mark.parametrize("side", [1.0, -1.0])
def test_the_faces_keep_the_volume_between_them_and_the_mid_surface(kind: str, side: float) -> None:
    """Layers of stretch sqrt(l^2 - 2 k zeta/h) from the middle to the face, each as thick as its volume leaves it."""
    s, q = bent_strip(kind)
    x, w = np.polynomial.legendre.leggauss(40)
    zeta, w = side * s.t / 4 * (x + 1), w * s.t / 4
    for i in range(1, len(q) - 1):
        long = s.arc[i + 1] - s.arc[i - 1]
        l = np.hypot(*(q[i + 1, :2] - q[i - 1, :2])) / long
        k = (q[i + 1, 2] - q[i - 1, 2]) / long
        hoop = 1.0 if s.axis is None else (s.axis + s.sign * q[i, 0]) / (s.axis + s.sign * s.arc[i])
        thick = (w / hoop / np.sqrt(l * l - 2 * k * zeta / hoop)).sum()
        assert face_distance(s.case(), s.arc, q, i, side) == pytest.approx(thick, rel=1e-9)


@settings(max_examples=40, deadline=None)
@given(st.sampled_from(list(KINDS)), st.integers(0, 10**6), st.floats(-1.0, 1.0))
def test_a_way_leads_from_one_position_to_another_and_a_turn_of_the_whole_sheet_stretches_nothing(
    kind: str, seed: int, turn: float
) -> None:
    s, q = bent_strip(kind)
    rng = np.random.default_rng(seed)
    goal, way, to = q + rng.normal(size=q.shape) * 0.1, np.empty_like(q), np.empty_like(q)
    goal[0, :2] = q[0, :2]
    strains_between(s.arc, q, goal, way)
    moved(s.arc, q, way, 1.0, to)
    np.testing.assert_allclose(to, goal, atol=1e-9)
    spin = np.zeros_like(q)
    spin[:, 2] = turn
    moved(s.arc, q, spin, 1.0, to)
    np.testing.assert_allclose(
        np.hypot(*np.diff(to[:, :2], axis=0).T), np.hypot(*np.diff(q[:, :2], axis=0).T), atol=1e-12
    )
    step = rng.normal(size=q.shape) * 1e-6
    step[0, :2] = 0.0
    strains_of(s.arc, q, step, way)
    moved(s.arc, q, way, 1.0, to)
    np.testing.assert_allclose(to, q + step, atol=1e-10)
