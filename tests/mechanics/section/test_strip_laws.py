"""What a pressed and released flange must do whatever its sizes: scaling, mirrors, balance, work.

None of this was compared with a real formed part.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from ribwright.mechanics.flow_curve import Swift, Voce
from ribwright.mechanics.section.formed import look
from ribwright.mechanics.section.model import CONVERGED, RELEASE, Flange, closing_estimate, press_through, strip_of
from ribwright.mechanics.section.strip import State, Strip, at_rest, press, taken_off
from ribwright.mechanics.sheet_law import SheetLaw, scaled, sheet_law
from strips import element_at, free_strip, pressure_on_nodes

Array = NDArray[np.float64]
T3 = sheet_law(72400.0, 0.33, Swift(690.0, 0.16, 0.0131), share=0.5, limit=35.0)
T4 = sheet_law(68300.0, 0.33, Swift(410.0, 0.21, 0.0071), r=0.7, share=0.5, limit=35.0)
SOFT = sheet_law(72400.0, 0.33, Swift(330.0, 0.2, 0.00065), share=0.5, limit=35.0)
FLANGES = {
    "straight T3": (Flange(T3, 1.0, 3.0, 90.0, 12.0), 14.0),
    "straight soft, undercut, friction": (Flange(SOFT, 0.8, 2.4, 94.0, 10.0, friction=0.1), 7.0),
    "convex T4": (Flange(T4, 1.0, 3.0, 90.0, 12.0, axis=80.0), 14.0),
    "hole T4": (Flange(T4, 1.0, 3.0, 60.0, 8.0, axis=40.0, sign=-1.0), 14.0),
}
PATH = 0.01  # deg: the same flange by another way of steps
families = pytest.mark.parametrize("name", FLANGES)


def angles(f: Flange, pressure: float) -> Array:
    """Loaded, on the block, released [deg]."""
    run = press_through(f, (pressure,))
    assert run.outcome == CONVERGED
    (point,) = run.points
    assert point.on_block is not None
    assert point.released is not None
    return np.array([point.loaded.angle, point.on_block.angle, point.released.angle])


def larger(f: Flange, by: float) -> Flange:
    return replace(
        f, t=f.t * by, radius=f.radius * by, straight=f.straight * by, axis=None if f.axis is None else f.axis * by
    )


@families
@pytest.mark.parametrize("by", [0.37, 2.0])
def test_a_flange_of_twice_the_size_under_the_same_pressure_stands_at_the_same_angles(name: str, by: float) -> None:
    f, p = FLANGES[name]
    np.testing.assert_allclose(angles(larger(f, by), p), angles(f, p), atol=PATH)


@families
def test_a_sheet_twice_as_stiff_and_as_strong_under_twice_the_pressure_stands_at_the_same_angles(name: str) -> None:
    f, p = FLANGES[name]
    strong = replace(scaled(f.law, 2.0), e=2.0 * f.law.e)
    np.testing.assert_allclose(angles(replace(f, law=strong), 2 * p), angles(f, p), atol=PATH)


@pytest.mark.parametrize("sign", [1.0, -1.0])
@pytest.mark.parametrize("name", ["straight T3", "straight soft, undercut, friction"])
def test_a_flange_round_an_axis_far_away_is_a_straight_one_on_either_side(name: str, sign: float) -> None:
    f, p = FLANGES[name]
    far = replace(f, axis=1e8, sign=sign, web=4.0 * (f.radius + f.t) + f.straight)
    straight = replace(f, web=far.web)
    np.testing.assert_allclose(angles(far, p), angles(straight, p), atol=0.02)


@pytest.mark.parametrize(("name", "pressure"), [("straight T3", 0.3), ("convex T4", 0.3), ("hole T4", 0.6)])
def test_a_sheet_too_strong_to_yield_lies_flat_again_when_it_is_let_go(name: str, pressure: float) -> None:
    f, _ = FLANGES[name]
    spring = replace(f, law=sheet_law(f.law.e, f.law.nu, Voce(1e6, 0.0, 1.0)))
    s = strip_of(spring)
    state, off = walked(s, pressure)
    assert look(s, state).angle > 1.0
    assert look(s, off).angle == pytest.approx(0.0, abs=2e-3)
    assert off.history[..., 4].max() == 0.0


def walked(s: Strip, pressure: float, steps: int = 12) -> tuple[State, State]:
    """(under pressure, in the hand)."""
    state = at_rest(s)
    for p in np.geomspace(0.05 * pressure, pressure, steps):
        state = press(s, state, float(p))
        assert state.settled
    now = replace(state, over=0.0)
    for share in RELEASE:
        now = press(s, now, share * pressure)
        assert now.settled
    off = taken_off(s, now)
    assert off.settled
    return state, off


def pressed(f: Flange, pressure: float) -> tuple[Strip, State, State]:
    s = strip_of(f)
    steps = max(12, int(np.log(pressure / closing_estimate(f) * 20) / np.log(1.12)) + 1)
    return s, *walked(s, pressure, steps)


@pytest.mark.parametrize("name", ["straight T3", "straight soft, undercut, friction"])
def test_the_part_in_the_hand_carries_no_moment_and_no_pull(name: str) -> None:
    s, under, off = pressed(*FLANGES[name])
    assert np.abs(off.moment).max() < 1e-4 * np.abs(under.moment).max()
    assert np.abs(off.normal).max() < 1e-4 * np.abs(under.moment).max() / s.t
    assert np.abs(off.stress).max() > 10.0  # what is left locked in balances itself


def test_straight_hard_sheet_is_let_go_elastically() -> None:
    """Plastic strain gained while the pressure goes and the block is taken away: below 1e-5. Soft sheet under high pressure is
    another matter: 0.18 % where the sheet was pressed hardest (2024-O, 0.8 mm, R 2.4, 70 MPa)."""
    _, under, off = pressed(*FLANGES["straight T3"])
    assert (off.history[..., 4] - under.history[..., 4]).max() < 2e-5


@families
def test_the_block_carries_what_the_pressure_brings(name: str) -> None:
    """Down the press; what is left goes through the sheet into the web beyond the held end: little."""
    f, p = FLANGES[name]
    s, under, _ = pressed(f, p)
    pad = pressure_on_nodes(s, under)[1:, 1].sum()
    area = np.zeros(len(s.arc))
    half = np.diff(s.arc) / 2
    area[:-1] += half
    area[1:] += half
    if s.axis is not None:
        area *= s.axis + s.sign * s.arc
    th = under.q[:, 2]
    x, y = under.q[:, 0] + s.t / 2 * np.sin(th), under.q[:, 1] - s.t / 2 * np.cos(th) + s.radius
    turn = np.clip(np.arctan2(x, y), 0.0, s.wall)
    block = (under.push * area * np.cos(turn))[1:].sum()
    assert pad < 0.0
    assert block == pytest.approx(-pad, rel=0.02 + 0.5 * s.friction)


# ---------------------------------------------------------------- work


def energy(s: Strip, state: State) -> tuple[float, Array]:
    """(elastic energy [N], stresses (2, elements, layers) along and across) in plane strain, from Hooke's law and the plastic
    strains, without the model's own stresses."""
    zeta, weight = s.layer_rule()
    h = np.diff(s.arc)
    k = np.diff(state.q[:, 2]) / h
    th = (state.q[1:, 2] + state.q[:-1, 2]) / 2
    d = np.diff(state.q[:, :2], axis=0)
    l = (d[:, 0] * np.cos(th) + d[:, 1] * np.sin(th)) / h
    g = (d[:, 1] * np.cos(th) - d[:, 0] * np.sin(th)) / h
    along = 0.5 * np.log(l[:, None] ** 2 - 2 * k[:, None] * zeta * s.t)
    e1, e2 = along - state.history[..., 0], -state.history[..., 1]
    c = s.law.e / (1 - s.law.nu**2)
    stress = np.stack([c * (e1 + s.law.nu * e2), c * (e2 + s.law.nu * e1)])
    fibres = 0.5 * (stress[0] * e1 + stress[1] * e2) @ weight * s.t
    shear = 0.5 * 5 / 6 * s.law.e / (2 + 2 * s.law.nu) * s.t * g**2
    return float(((fibres + shear) * h).sum()), stress


@pytest.mark.parametrize("law", [T3, SOFT], ids=["T3", "soft"])
def test_the_pressure_s_work_is_what_the_sheet_stores_and_spends(law: SheetLaw) -> None:
    """A cantilever blown down until its clamp yields, and let go. Miss 0.03 % of trapezoids in 80 steps."""
    s = free_strip(law, 20.0, 1.0, 30, beside_clamp=1.5)
    yield_stress = float(law.curve.stress(np.zeros(())))
    top = 1.45 * yield_stress / np.sqrt(3) / 20.0**2
    state, work, spent = at_rest(s), 0.0, 0.0
    _, weight = s.layer_rule()
    for p in np.concatenate([np.linspace(0, top, 61)[1:], np.linspace(top, 0, 21)[1:]]):
        now = press(s, state, float(p), block=0.0)
        assert now.settled
        work += float((0.5 * (pressure_on_nodes(s, state) + pressure_on_nodes(s, now)) * (now.q - state.q)).sum())
        stress = 0.5 * (energy(s, state)[1] + energy(s, now)[1])
        gained = np.moveaxis(now.history[..., :2] - state.history[..., :2], -1, 0)
        spent += float((((stress * gained).sum(axis=0) @ weight) * s.t * np.diff(s.arc)).sum())
        state = now
    stored = energy(s, state)[0]
    assert state.history[..., 4].max() > 0.003
    assert spent > 3 * stored > 0.0
    assert work == pytest.approx(stored + spent, rel=5e-4)


# ---------------------------------------------------------------- path


@pytest.mark.parametrize("name", ["straight T3", "convex T4"])
def test_looking_at_a_lower_pressure_on_the_way_changes_a_later_one_by_less_than_a_tenth_of_a_degree(name: str) -> None:
    f, p = FLANGES[name]
    alone = press_through(f, (p,)).points[-1].released
    after = press_through(f, (0.3 * p, 0.55 * p, p)).points[-1].released
    assert alone is not None
    assert after is not None
    assert after.angle == pytest.approx(alone.angle, abs=0.1)


def test_an_element_under_even_pressure_on_both_faces_gains_no_plastic_strain() -> None:
    s = free_strip(SOFT, 0.4, 0.8, 1, through=True)
    flat = at_rest(s)
    ends = np.concatenate([flat.q[0], flat.q[1]])
    p = 60.0
    piece = element_at(s, ends, flat.history[0], p, p)
    assert piece.stress.max() - piece.stress.min() < 1e-9
    # held at no strain along: the stress there is nu (1 + nu)/(1 - nu^2) of that through the sheet
    assert piece.stress[0] == pytest.approx(-p * SOFT.nu * (1 + SOFT.nu) / (1 - SOFT.nu**2), rel=1e-9)
    assert piece.history[:, 4].max() == 0.0
