"""A strip pressed into a groove: exact limits of stiff and of thin sheet, and what must rise with what."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from ribwright.geometry.groove_profile import GrooveProfile, groove_profile
from ribwright.mechanics.bead_fill import Filled, depth_at, distance_above, filling, strip_of
from ribwright.mechanics.flow_curve import Swift
from ribwright.mechanics.sheet_law import SheetLaw, sheet_law

T3 = sheet_law(65500.0, 0.33, Swift(704.0, 0.162, 0.0043), 0.7)
ELASTIC = sheet_law(70000.0, 0.33, Swift(1e6, 0.1, 1e-3))


def groove(width: float, depth: float, edge: float, bottom: float | None = None) -> GrooveProfile:
    made = groove_profile(width, depth, edge, bottom)
    assert made is not None
    return made


def fill(
    law: SheetLaw = T3, t: float = 0.8, web: float = 50.0, rub: float = 0.2, held: bool = True, depth: float = 2.0
) -> Filled:
    return filling(strip_of(law, t, groove(25.0, depth, 3.4), web, rub, held), 0.127, 60.0)


@pytest.mark.parametrize("t", [1.0, 2.0])
def test_a_stiff_strip_clamped_at_the_rims_sags_as_the_plate_of_the_textbook(t: float) -> None:
    """p w^4/(384 D): Timoshenko & Woinowsky-Krieger, Theory of Plates and Shells, art. 6, clamped edges."""
    p, w = 1e-3, 60.0
    stiffness = 70000.0 * t**3 / 12 / (1 - 0.33**2)
    assert depth_at(strip_of(ELASTIC, t, groove(w, 10, 0.01), 0.0), p) == pytest.approx(
        p * w**4 / 384 / stiffness, rel=0.01
    )


@pytest.mark.parametrize(("t", "pressure"), [(0.2, 2.0), (0.1, 1.4)])
def test_a_thin_sheets_free_arc_carries_p_rho_of_pull(t: float, pressure: float) -> None:
    """A membrane held at both rims hangs in a circle: p = sigma t/rho, sigma by the flow curve at the arc's own stretch."""
    w = 40.0
    s = strip_of(T3, t, groove(w, 15, 0.01), 0.0)
    deep = depth_at(s, pressure)
    rho = (w**2 + 4 * deep**2) / (8 * deep)
    eps = np.log(2 * rho * np.arcsin(w / 2 / rho) / w)
    c = 1.7 / np.sqrt(2.4)  # plane strain, r = 0.7
    sigma = c * T3.curve.stress(c * eps)
    for _ in range(20):  # the elastic part taken off
        sigma = c * T3.curve.stress(c * (eps - sigma * (1 - 0.33**2) / 65500))
    assert pressure == pytest.approx(sigma * t * np.exp(-eps) / rho, rel=0.005)


def test_the_gradient_is_that_of_the_work() -> None:
    rng = np.random.default_rng(4)
    s = strip_of(T3, 0.8, groove(25.0, 2.0, 3.4), 10.0, 0.2, held=False)
    q = s.at_rest()
    q[:, 1] -= 1.5 * np.exp(-((q[:, 0] / 9.0) ** 2))
    q += rng.normal(0, 2e-3, q.shape)
    q[0, 0] = q[-1, 1] = 0.0
    _, f = s.work(q, 3.0)
    for node, axis in ((0, 1), (1, 0), (7, 1), (20, 0), (len(q) - 2, 1), (len(q) - 1, 0)):
        ends = []
        for way in (1, -1):
            moved = q.copy()
            moved[node, axis] += way * 1e-6
            ends.append(s.work(moved, 3.0)[0])
        assert (ends[0] - ends[1]) / 2e-6 == pytest.approx(f[node, axis], rel=1e-4, abs=1e-5)


def test_more_depth_more_strength_and_more_hold_ask_for_more_pressure() -> None:
    usual = fill()
    assert usual.outcome == "filled"
    assert usual.depth == pytest.approx(2.0 - 0.127, rel=2e-3)
    assert fill(depth=2.4).pressure > usual.pressure
    assert fill(replace(T3, curve=T3.curve.scaled(1.1))).pressure > usual.pressure
    assert fill(t=0.9).pressure > usual.pressure
    assert fill(web=2.0).pressure > usual.pressure > fill(web=150.0).pressure
    assert fill(web=2.0).stretch > usual.stretch
    assert fill(held=False, rub=0.02).pressure < usual.pressure


def test_held_at_the_rim_it_stretches_by_the_length_of_the_section() -> None:
    """No more than the whole section's length over its width, and near it."""
    section = groove(25.0, 2.0, 3.4)
    full = np.log(section.length / section.width)
    made = filling(strip_of(T3, 0.8, section, 0.0), 0.02, 60.0)
    assert 0.9 * full < made.stretch < 1.01 * full
    assert made.thickness == pytest.approx(0.8 * np.exp(-made.stretch))


def test_a_pressure_that_is_not_enough_is_told() -> None:
    s = strip_of(T3, 0.8, groove(25.0, 2.0, 3.4), 50.0, 0.2)
    told = filling(s, 0.127, 1.0)
    assert told.outcome == "not-filled"
    assert told.pressure == np.inf
    assert 0.1 < told.depth < 1.5


@pytest.mark.parametrize("section", [(25.0, 2.0, 3.4), (12.0, 3.0, 2.0, 1.0), (10.0, 4.9, 1.0, 1.0)])
def test_points_of_the_section_lie_on_it_and_parallel_ones_as_far_above(section: tuple[float, ...]) -> None:
    p = groove(*section)
    line = p.line(0.01) * [1, -1]
    gap, normal = distance_above(p, line)
    assert np.abs(gap).max() < 1e-9
    assert distance_above(p, line + 0.2 * normal)[0] == pytest.approx(0.2, abs=1e-9)
