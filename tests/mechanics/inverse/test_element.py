"""Laws of one patch: its strain is the logarithm, its stress turns with it, and its slopes are the slopes."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy.linalg import expm, logm

from ribwright.mechanics.flow_curve import FlowCurve, Swift, Table, Voce
from ribwright.mechanics.inverse.element import ratio, respond, strain
from ribwright.mechanics.inverse.hill import Anisotropy
from ribwright.mechanics.sheet_law import sheet_law

Array = NDArray[np.float64]
CURVES = {
    "swift": Swift(330.0, 0.2, 1e-4),
    "voce": Voce(120.0, 180.0, 12.0),
    "table": Table(np.array([0.0, 0.01, 0.05, 0.2, 0.6]), np.array([100.0, 150.0, 210.0, 280.0, 330.0])),
}
ROLLED = Anisotropy(0.6, 0.9, 1.4)
parts = st.tuples(*(st.floats(-0.5, 0.5) for _ in range(4)))


def turn(angle: float) -> Array:
    return np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])


def strain_of(g: Array) -> tuple[Array, float]:
    h11, h22, shear, j = strain(*g.ravel(), np.empty((3, 4)))
    return np.array([[h11, shear / 2], [shear / 2, h22]]), j


def answer(g: Array, curve: FlowCurve = CURVES["swift"], a: Anisotropy = ROLLED, regular: float = 0.002) -> Array:
    """(3, 5): stress and slopes."""
    law = sheet_law(70000.0, 0.33, curve)
    out = np.empty((3, 5))
    j = respond(law.row(), law.points(), a.stiffness(), regular, 1.0, *g.ravel(), np.empty((3, 4)), np.empty(7), out)
    assert j == pytest.approx(np.linalg.det(g))
    return out


def stress_of(g: Array, **kind: object) -> Array:
    s = answer(g, **kind)[:, 0]  # type: ignore[arg-type]
    return np.array([[s[0], s[2]], [s[2], s[1]]])


@given(parts, st.floats(-3, 3))
@settings(deadline=None, max_examples=60)
def test_strain_is_the_logarithm(numbers: tuple[float, ...], angle: float) -> None:
    g = turn(angle) @ expm(np.reshape(numbers, (2, 2)))
    h, j = strain_of(g)
    np.testing.assert_allclose(h, -0.5 * logm(g @ g.T).real, atol=1e-13)
    assert np.trace(h) == pytest.approx(-np.log(j), abs=1e-13)


@pytest.mark.parametrize("x", [0.0, 1e-9, 1e-4, 0.00999, 0.0101, 0.3, 0.99])
def test_the_series_takes_over_without_a_step(x: float) -> None:
    exact = np.arctanh(np.sqrt(x)) / np.sqrt(x) if x > 1e-6 else 1.0 + x / 3.0
    assert ratio(x)[0] == pytest.approx(exact, abs=3e-14, rel=3e-14)
    if 1e-3 < x < 0.9:
        e = 1e-5
        assert ratio(x)[1] == pytest.approx((ratio(x + e)[0] - ratio(x - e)[0]) / (2 * e), rel=2e-8)


@pytest.mark.parametrize("curve", CURVES)
@pytest.mark.parametrize(
    "g", [[1.1, 0.2, -0.1, 0.8], [1.0, 0.0, 0.0, 1.0], [0.7, -0.6, 0.5, 0.6], [1.001, 0.0, 0.0, 1.0]]
)
def test_slopes_are_the_slopes(curve: str, g: list[float]) -> None:
    at = np.reshape(g, (2, 2))
    got = answer(at, CURVES[curve])
    scale = np.abs(got[:, 1:]).max()
    for k in range(4):
        e = np.zeros(4)
        e[k] = 1e-5
        e = e.reshape(2, 2)
        near = [answer(at + f * e, CURVES[curve])[:, 0] for f in (-2, -1, 1, 2)]
        slope = (near[0] - 8 * near[1] + 8 * near[2] - near[3]) / 12e-5
        np.testing.assert_allclose(got[:, 1 + k], slope, atol=1e-7 * scale)


@given(parts, st.floats(-3, 3))
@settings(deadline=None, max_examples=40)
def test_stress_turns_with_the_plane_it_is_written_in(numbers: tuple[float, ...], angle: float) -> None:
    g, r = expm(np.reshape(numbers, (2, 2))), turn(angle)
    np.testing.assert_allclose(stress_of(g @ r), r.T @ stress_of(g) @ r, atol=1e-9)


@given(parts, st.floats(-3, 3))
@settings(deadline=None, max_examples=40)
def test_without_a_rolling_direction_a_turned_blank_is_the_same_blank(numbers: tuple[float, ...], angle: float) -> None:
    g, a = expm(np.reshape(numbers, (2, 2))), Anisotropy.normal(0.7)
    np.testing.assert_allclose(stress_of(turn(angle) @ g, a=a), stress_of(g, a=a), atol=1e-9)


def test_a_turned_over_patch_says_so_and_writes_nothing() -> None:
    law = sheet_law(70000.0, 0.33, CURVES["swift"])
    out = np.full((3, 5), 7.0)
    row, points, c = law.row(), law.points(), ROLLED.stiffness()
    assert respond(row, points, c, 0.002, 1.0, 1.0, 0.0, 0.0, -1.0, np.empty((3, 4)), np.empty(7), out) < 0.0
    assert (out == 7.0).all()


@pytest.mark.parametrize("curve", CURVES)
@pytest.mark.parametrize("e", [0.02, 0.1, 0.3])
def test_a_strip_pulled_along_the_rolling_direction_follows_the_flow_curve(curve: str, e: float) -> None:
    across = -ROLLED.r0 / (1.0 + ROLLED.r0) * e
    s = stress_of(np.diag(np.exp([-e, -across])), curve=CURVES[curve], regular=0.0)
    assert s[0, 0] == pytest.approx(float(CURVES[curve].stress(np.array(e))), rel=1e-12)
    assert abs(s[1, 1]) < 1e-9
    assert abs(s[0, 1]) < 1e-9
